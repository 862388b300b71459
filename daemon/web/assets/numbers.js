// The deciding numbers of a vessel, in the order in which they decide; each in the person's units as the daemon wrote
// them.
import { ageText, capital, element, hotSide, untilText, write } from "/text.js";

const stageOf = (view) => view.batch?.stages[view.batch.stage_index]?.kind;
const holds = (view, fact) => view.facts.some((f) => f.fact === fact && !f.revoked);

/** A number beyond its own limit is drawn so: with a shape and a word, in colour. */
const beyond = (words) => ({ note: words, out: true });

function againstBand(band, reading) {
  if (!band || !reading || reading.value === null) return {};
  if (reading.value < band.low) return beyond(`below its band, ${band.text}`);
  if (reading.value > band.high) return beyond(`above its band, ${band.text}`);
  return { note: `within ${band.text}` };
}

function temperature(view) {
  const reading = view.measured.beer_temperature;
  return reading && { label: "Temperature", reading, ...againstBand(view.limits.temperature_band, reading) };
}

/** What a pressure is beyond, of what the vessel bears; nothing when it is within or nobody knows. */
function againstRating(view, value) {
  const { pressure: limit, vacuum } = view.limits;
  if (limit && value >= limit.value) return beyond(`at or above the limit of ${limit.text}`);
  if (vacuum && value < vacuum.value) return beyond(`below what it bears, ${vacuum.text}`);
  return null;
}

function pressure(view) {
  const reading = view.measured.head_pressure;
  if (!reading) return null;
  const limit = view.limits.pressure;
  const spare = view.estimates.pressure_headroom;
  const note = !limit ? "limit not known: see the vessel's plate"
    : `limit ${limit.text}` + (spare && !spare.stale ? `, ${spare.text} to spare` : "");
  return { label: "Head pressure", reading, note, ...againstRating(view, reading.value) };
}

/** What is beyond is so by the unsafe end of what is believed. */
const againstRatingAtMost = (view, estimate) => againstRating(view, estimate.high) ?? againstRating(view, estimate.low);

/** How gas can leave, in the stage that it stands in. */
const headSpace = (view) => view.batch?.stages[view.batch.stage_index]?.head_space;
const keepsGasIn = (view) => ["sealed", "supplied"].includes(headSpace(view));

/** A pressure that is foretold; beyond only where gas cannot leave. */
function foretold(label, name, note = () => "") {
  return (view) => {
    const estimate = view.estimates[name];
    return estimate && { label, estimate, note: note(view),
                         ...(keepsGasIn(view) ? againstRatingAtMost(view, estimate) : null) };
  };
}

/** For somebody at the valve: where it ends, closed now, and from which gravity on it may be closed. */
function closed(view) {
  const { closed_pressure: estimate, closing_gravity: closing, final_gravity: final } = view.estimates;
  if (!estimate || !closing || holds(view, "fermentation_finished")) return null;
  const never = final && closing.value < final.value;
  const note = never ? "at this pressure it cannot be closed: let gas off first" : `close it from ${closing.text} on`;
  const rated = keepsGasIn(view) ? againstRatingAtMost(view, estimate) : null;
  return { label: keepsGasIn(view) ? "It ends at" : "If closed now, it ends at", estimate,
           ...rated, note: rated ? `${rated.note}; ${note}` : note };
}

function gravity(view) {
  const estimate = view.estimates.gravity_now;
  const reading = view.measured.gravity;
  const final = view.estimates.final_gravity;
  const note = final && !holds(view, "fermentation_finished") ? `heading for ${final.text}` : "";
  return (estimate || reading) && { label: "Gravity", estimate, reading, note };
}

function gas(view) {
  const estimate = view.estimates.co2_volumes;
  const target = view.batch?.target_co2_volumes;
  return estimate && { label: "Dissolved CO₂", estimate, note: target ? `wanted ${target.text}` : "" };
}

const moment = (label, name) => (view) => {
  const estimate = view.estimates[name];
  return estimate && estimate.value !== null && { label, estimate, isMoment: true };
};

function plain(label, name, note = () => "") {
  return (view) => view.estimates[name] && { label, estimate: view.estimates[name], note: note(view) };
}

const limitTime = moment("Limit reached about", "limit_time");
const finish = (view) => !holds(view, "fermentation_finished") && moment("Finished about", "finish_time")(view);
const carbonated = (view) => !holds(view, "carbonated") && moment("Carbonated about", "carbonated_time")(view);
const alcohol = plain("Alcohol by volume", "alcohol_by_volume", (view) =>
  view.estimates.apparent_attenuation ? `attenuation ${view.estimates.apparent_attenuation.text}` : "");
const warm = foretold("Shut and warmed up", "warm_pressure", (view) => `at ${view.limits.warmest.text}, sugar left included`);
const crash = foretold("Pressure after the crash", "crash_pressure");
const air = plain("Air above the beer", "head_space_air", (view) =>
  view.estimates.head_space_oxygen ? `oxygen ${view.estimates.head_space_oxygen.text}` : "");
const jacket = (view) => view.measured.jacket_temperature && { label: "Jacket", reading: view.measured.jacket_temperature };

const fill = plain("It heats as", "heated_volume", (view) => (view.batch?.volume_l ? `told: ${view.batch.volume_l} L` : ""));

const hotOrder = [moment("Ready about", "ready_time"), temperature, jacket, fill, gravity, pressure, limitTime];
const coldOrder = [gravity, temperature, pressure, closed, gas, finish, carbonated, limitTime, alcohol, warm, crash, air];

/** What to show, most deciding first. */
export function decidingNumbers(view) {
  const order = hotSide.includes(stageOf(view)) ? hotOrder : coldOrder;
  return order.map((make) => make(view)).filter(Boolean);
}

/** A grid of numbers that is updated in place. */
export class Numbers {
  list = element("dl", "numbers");
  #shown = new Map();

  show(view) {
    const wanted = decidingNumbers(view);
    const labels = wanted.map((number) => number.label);
    for (const [label, entry] of this.#shown) {
      if (labels.includes(label)) continue;
      entry.root.remove();
      this.#shown.delete(label);
    }
    wanted.forEach((number, index) => {
      if (!this.#shown.has(number.label)) this.#shown.set(number.label, this.#make(number));
      const entry = this.#shown.get(number.label);
      if (this.list.children[index] !== entry.root) this.list.insertBefore(entry.root, this.list.children[index] ?? null);
      this.#fill(entry, number);
    });
  }

  showAges(now) {
    for (const entry of this.#shown.values()) this.#age(entry, now);
  }

  #make(number) {
    const root = element("div", "number");
    const mark = element("span", "mark");
    mark.setAttribute("aria-hidden", "true");
    const label = element("dt", "", number.label);
    label.prepend(mark);
    const value = element("dd", number.isMoment ? "value moment" : "value");
    const interval = element("dd", "more interval");
    const note = element("dd", "more note");
    const age = element("dd", "more age");
    root.append(label, value, interval, note, age);
    return { root, value, interval, note, age, readAt: null, dueAt: null, isStale: false, restsOnOld: null };
  }

  #fill(entry, { estimate, reading, note, out, isMoment }) {
    write(entry.value, (estimate ?? reading).text);
    write(entry.interval, estimate ? estimate.interval : "");
    write(entry.note, capital(note ?? ""));
    entry.root.classList.toggle("out", Boolean(out));
    entry.readAt = reading ? Date.parse(reading.at) : null;
    entry.dueAt = isMoment ? Date.parse(estimate.value) : null;
    entry.staleAfter = reading?.stale_after_s ?? null;
    entry.isStale = Boolean(reading?.stale);
    entry.restsOnOld = estimate?.stale ? estimate.rests_on : null;  // a belief is no fresher than what it rests on
    entry.readText = reading && estimate ? `sensor ${reading.text}, ` : "";
    for (const more of [entry.interval, entry.note]) more.hidden = more.textContent === "";
  }

  #age(entry, now) {
    const words = [];
    if (entry.dueAt !== null) words.push(untilText((entry.dueAt - now) / 1000));
    let isStale = entry.isStale || entry.restsOnOld !== null;
    if (entry.readAt !== null) {
      const seconds = Math.max(0, (now - entry.readAt) / 1000);
      isStale ||= entry.staleAfter !== null && seconds > entry.staleAfter;  // it goes on ageing while we are cut off
      words.push(`${entry.readText}${ageText(seconds)}${isStale ? ": old" : ""}`);
    } else if (entry.restsOnOld) {
      words.push(`old: ${entry.restsOnOld.text} ${ageText((now - Date.parse(entry.restsOnOld.at)) / 1000)}`);
    }
    entry.age.hidden = words.length === 0;
    entry.root.classList.toggle("stale", isStale);
    write(entry.age, capital(words.join("; ")));
  }
}
