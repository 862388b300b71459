// The watch line: what of the watch does not work, and since when; a calm word when there is nothing to say. It never
// claims to see what it cannot see.
import { sinceText } from "/standing.js";
import { capital, clockText, element } from "/text.js";

const asked = { failedSince: null, streamLostSince: null };

/** How this page itself reaches the daemon: `now` is the moment when it was found so. */
export function noteAnswer(isAnswered, now) {
  asked.failedSince = isAnswered ? null : asked.failedSince ?? now;
}
export function noteStream(isOpen, now) {
  asked.streamLostSince = isOpen ? null : asked.streamLostSince ?? now;
}

function ownImpairments(heardAt) {
  if (asked.failedSince !== null) {
    const known = heardAt ? `all below is as of ${clockText(heardAt)}` : "nothing is known";
    return [{ text: `no connection to gyled, ${known}`, since: asked.failedSince, name: "no_answer",
              first_aid: "Look at the vessels yourself until it is back." }];
  }
  if (asked.streamLostSince === null) return [];
  return [{ text: "news no longer come by themselves", since: asked.streamLostSince, name: "stream_lost",
            first_aid: "Asking every 15 seconds instead." }];
}

function item(impairment, now) {
  const made = element("li");
  made.dataset.name = impairment.name;
  const at = typeof impairment.since === "string" ? Date.parse(impairment.since) : impairment.since;
  made.append(element("strong", "", capital(impairment.text)), at ? `, since ${sinceText(at, now)}.` : ".");
  if (impairment.first_aid) made.append(" ", element("span", "remedy", impairment.first_aid));
  return made;
}

let shown = "";
/** Everything that is impaired, from the daemon and from this page. */
export function showWatch(line, told, heardAt, now) {
  const all = [...ownImpairments(heardAt), ...told];
  const key = JSON.stringify(all);
  line.hidden = false;
  if (key === shown) return all;
  shown = key;
  line.classList.toggle("impaired", all.length > 0);
  if (!all.length) {
    line.replaceChildren(element("p", "calm", "Watching"));
    return all;
  }
  const head = element("p", "watch-head");
  const mark = element("span", "mark watch-mark");
  mark.setAttribute("aria-hidden", "true");
  head.append(mark, "The watch is impaired");
  const list = element("ul");
  list.append(...all.map((impairment) => item(impairment, now)));
  line.replaceChildren(head, list);
  return all;
}
