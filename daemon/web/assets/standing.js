// What stands, of all vessels and of the watch itself: the first thing on the page.
import { tell } from "/daemon.js";
import { capital, clockText, element, momentText, spoken, write } from "/text.js";

const urgency = { critical: 3, high: 2, medium: 1, low: 0 };
const priorityWords = { critical: "Critical alarm", high: "High alarm", medium: "Alarm", low: "Low alarm" };
const calls = (alarm) => alarm.state === "raised" && !alarm.shelved_until;

/** Most urgent first, of these those that nobody has acknowledged, of these the newest. */
const inOrder = (alarms) => [...alarms].sort((a, b) =>
  urgency[b.priority] - urgency[a.priority] || calls(b) - calls(a) || Date.parse(b.raised_at) - Date.parse(a.raised_at));

export const calling = (alarms) => inOrder(alarms).filter(calls);

/** A shape for each priority, so that colour is not the only sign; the word stands beside it. */
function mark(priority) {
  const made = element("span", `mark ${priority}`);
  made.setAttribute("aria-hidden", "true");
  return made;
}

/** "14:02", or with its day when that was long ago. */
export function sinceText(at, now) {
  return now - at < 20 * 3_600_000 ? clockText(at) : momentText(at);
}

/** One alarm. Its words change in place, so that a screen reader is not told the same again and a thumb hits the button. */
class Box {
  root = element("li");
  #kind = element("p", "kind");
  #words = element("span");
  #text = element("p", "text");
  #first = element("p", "first-action");
  #firstWords = element("span");
  #button = element("button", "acknowledge", "Acknowledge");
  #said = element("p", "not-done");
  #rest = element("p", "first-aid");
  #shape = "";
  #id;

  constructor(id) {
    this.#id = id;
    this.#button.type = "button";
    this.#button.addEventListener("click", () => this.#acknowledge());
    this.#said.setAttribute("role", "alert");
    this.#first.append(element("strong", "", "First: "), this.#firstWords);
    this.root.append(this.#kind, this.#text, this.#first, this.#button, this.#said, this.#rest);
  }

  show(alarm, now) {
    if (this.#shape !== alarm.priority) {
      this.#kind.replaceChildren(mark(alarm.priority), this.#words);
      this.#shape = alarm.priority;
    }
    this.root.className = `alarm ${alarm.priority} ${alarm.shelved_until ? "shelved" : alarm.state}`;
    const state = alarm.shelved_until ? `shelved until ${sinceText(Date.parse(alarm.shelved_until), now)}`
      : calls(alarm) ? "" : alarm.state;
    write(this.#words, [priorityWords[alarm.priority] ?? "Alarm", state, alarm.vessel_name,
                        `since ${sinceText(Date.parse(alarm.raised_at), now)}`].filter(Boolean).join(", "));
    write(this.#text, alarm.now_text || alarm.text || alarm.title || capital(spoken(alarm.rule)));
    const first = alarm.first_action ?? "";
    write(this.#firstWords, first);
    this.#first.hidden = !first;
    write(this.#rest, (alarm.first_aid ?? "").slice(first.length).trim());
    this.#button.hidden = !calls(alarm);
  }

  /** What is said above already is not said again: the next alarm would slide off the screen. */
  tellRest(told) {
    this.#rest.hidden = told.has(this.#rest.textContent);
    told.add(this.#rest.textContent);
  }

  async #acknowledge() {
    this.#button.disabled = true;
    write(this.#said, "");
    try {
      await tell("/api/alarms/acknowledge", { alarm: this.#id });
    } catch (refused) {
      write(this.#said, `Not done: ${refused.message}`);
    }
    this.#button.disabled = false;
  }
}

const boxes = new Map();
export function showStanding(section, list, alarms, now) {
  const ordered = inOrder(alarms);
  const ids = new Set(ordered.map((alarm) => alarm.alarm));
  for (const [id, box] of boxes) {
    if (ids.has(id)) continue;
    box.root.remove();
    boxes.delete(id);
  }
  const told = new Set([""]);
  ordered.forEach((alarm, index) => {
    if (!boxes.has(alarm.alarm)) boxes.set(alarm.alarm, new Box(alarm.alarm));
    const box = boxes.get(alarm.alarm);
    box.show(alarm, now);
    box.tellRest(told);
    if (list.children[index] !== box.root) list.insertBefore(box.root, list.children[index] ?? null);
  });
  section.hidden = ordered.length === 0;
}
