// Words for the page. Values come as text in the person's units; here are only ages, moments and elements.

/** Makes an element. Text goes in as text, never as markup: names and payloads come from strangers. */
export function element(tag, className = "", text = "") {
  const made = document.createElement(tag);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
}

/** Writes only what changed, so that a screen reader is told only what is new. */
export function write(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** Stages beside which a person stands. */
export const hotSide = ["strike", "mash", "mash_out", "sparge", "boil", "chill", "clean", "rinse", "sanitise"];

export const spoken = (name) => name.replaceAll("_", " ");
export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

export function ageText(seconds) {
  const minutes = Math.floor(seconds / 60);
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${minutes} min ago`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `${hours} h ${minutes % 60} min ago` : `${hours} h ago`;
  return `${Math.floor(hours / 24)} days ago`;
}

/** How long until then: what a person on brew day looks at. */
export function untilText(seconds) {
  if (seconds < 0) return "should have been by now";
  const minutes = Math.round(seconds / 60);
  if (minutes < 1) return "in less than a minute";
  if (minutes < 60) return `in ${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `in ${hours} h ${minutes % 60} min` : `in ${hours} h`;
  return `in ${Math.round(hours / 24)} days`;
}

/** The daemon's clock, as far as this page knows: ages do not depend on the phone's clock being right. */
let ahead = 0;
export const setDaemonTime = (rfc3339) => { ahead = Date.parse(rfc3339) - Date.now(); };
export const daemonNow = () => Date.now() + ahead;

let zone = "UTC";
const formats = new Map();
export function setZone(name) {
  if (name === zone) return;
  zone = name;
  formats.clear();
}

function format(options) {
  const key = JSON.stringify(options);
  if (!formats.has(key)) {
    let made;
    try {
      made = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: zone });
    } catch {  // a zone that this browser does not know
      made = new Intl.DateTimeFormat("en-GB", { ...options, timeZone: "UTC" });
    }
    formats.set(key, made);
  }
  return formats.get(key);
}

const pick = (ms, options) =>
  Object.fromEntries(format(options).formatToParts(ms).map((part) => [part.type, part.value]));

const full = { weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", hourCycle: "h23" };

/** "Fri 13 Mar 18:00" in the person's zone. */
export function momentText(ms) {
  const p = pick(ms, full);
  return `${p.weekday} ${p.day} ${p.month} ${p.hour}:${p.minute}`;
}
export function clockText(ms) {
  const p = pick(ms, full);
  return `${p.hour}:${p.minute}`;
}
export function dayText(ms) {
  const p = pick(ms, full);
  return `${p.weekday} ${p.day}`;
}
export function dateText(ms) {
  const p = pick(ms, full);
  return `${p.day} ${p.month}`;
}

/** How far the person's zone is ahead of UTC at a moment, in milliseconds. */
export function zoneOffset(ms) {
  const p = pick(ms, { year: "numeric", month: "numeric", day: "numeric", hour: "numeric", minute: "numeric",
                       second: "numeric", hourCycle: "h23" });
  const asUtc = Date.UTC(+p.year, +p.month - 1, +p.day, +p.hour, +p.minute, +p.second);
  return asUtc - Math.floor(ms / 1000) * 1000;
}
