// One trend: a heading, a line of words, a plot, and a read-out below it that follows the finger.
import { axis, paint } from "/plot.js";
import { element, hotSide, momentText, write } from "/text.js";

const nothing = "Nothing was recorded in this range.";

const number = (value, trend) => value.toFixed(trend.decimals).replace(/^-(0(\.0+)?)$/, "$1");
const worded = (value, trend) => `${number(value, trend)}${trend.unit === "%" ? " %" : trend.unit ? ` ${trend.unit}` : ""}`;

/** What a person who cannot see the plot should know of it. */
function summary(trend, marks) {
  if (!trend.t.length) return nothing;
  const known = trend.v.filter((value) => value !== null);
  const judged = marks.filter((mark) => mark.text).map((mark) => `${mark.words} ${mark.text}`).join(", ");
  return `${worded(known[0], trend)} at the start, ${worded(known.at(-1), trend)} at the end, between `
    + `${number(Math.min(...known), trend)} and ${number(Math.max(...known), trend)}${judged ? `; ${judged}` : ""}.`;
}

function nearest(times, t) {
  let low = 0;
  let high = times.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (times[middle] < t) low = middle + 1;
    else high = middle;
  }
  return low > 0 && t - times[low - 1] < times[low] - t ? low - 1 : low;
}

/** On brew day nobody asks a kettle for its gravity, pressure or gas. */
const isBrewing = (stages) => stages.length > 0 && hotSide.includes(stages.at(-1).kind);

export class Chart {
  plan;
  #pointAll;
  #summary = element("p", "summary");
  #key = element("p", "key");
  #plot = element("div", "plot");
  #canvas = element("canvas");
  #readout = element("p", "readout");
  #trends = [];
  #range = { from: 0, to: 1 };
  #cursor = null;
  #drawing = null;

  /** `pointAll` moves the cursor of all charts of the vessel to a moment, or away with null. */
  constructor(plan, pointAll) {
    this.plan = plan;
    this.#pointAll = pointAll;
    this.figure = element("figure", `trend ${plan.name}`);
    this.#key.setAttribute("aria-hidden", "true");
    this.#plot.tabIndex = 0;
    this.#plot.setAttribute("role", "slider");
    this.#plot.setAttribute("aria-label", `${plan.title} over time`);
    this.#plot.setAttribute("aria-valuemin", "0");
    this.#plot.append(this.#canvas);
    this.figure.append(element("h4", "", plan.title), this.#summary, this.#key, this.#plot, this.#readout);
    for (const kind of ["pointerdown", "pointermove"]) this.#plot.addEventListener(kind, (event) => this.#follow(event));
    for (const kind of ["pointerleave", "pointercancel", "blur"])
      this.#plot.addEventListener(kind, () => this.#pointAll(null));
    this.#plot.addEventListener("keydown", (event) => this.#step(event));
    this.#say();
  }

  async draw(view, trends, range, stages, samples) {
    this.#trends = trends;
    this.#range = range;
    const marks = this.plan.judgedBy(view);
    this.figure.hidden = !samples.length && trends.every((trend) => !trend.t.length) && isBrewing(stages);
    const told = trends.findLast((trend, index) => this.plan.curves[index].kind === "line" && trend.t.length)
      ?? trends.find((trend) => trend.t.length) ?? trends[0];
    write(this.#summary, summary(told, marks));
    this.#showKey(marks, samples);
    this.#drawing = await paint(this.#canvas, this.#drawing,
                                { ...this.plan, trends, marks, range, stages, samples, cursor: () => this.#cursor });
    this.#say();
  }

  fail(reason) {
    write(this.#summary, `Could not be drawn: ${reason}`);
  }

  point(t) {
    if (t === this.#cursor) return;
    this.#cursor = t;
    this.#drawing?.draw();
    this.#say();
  }

  #showKey(marks, samples) {
    const keys = [];
    this.plan.curves.forEach((curve, index) => {
      if (!this.#trends[index].t.length) return;
      keys.push(element("span", curve.kind, curve.words));
      if (curve.band) keys.push(element("span", "area", curve.band));
    });
    if (samples.length) keys.push(element("span", "ring", "measured by hand"));
    this.#key.replaceChildren(...keys, ...marks.map((mark) => element("span", mark.kind, mark.words)));
  }

  /** The times that the keyboard steps through: those of the fullest curve. */
  #times() {
    return this.#trends.reduce((best, trend) => (trend.t.length > best.length ? trend.t : best), []);
  }

  #say() {
    const times = this.#times();
    this.#readout.classList.toggle("pointing", this.#cursor !== null);
    this.#plot.setAttribute("aria-valuemax", String(Math.max(0, times.length - 1)));
    if (!times.length) {
      write(this.#readout, "");
      this.#plot.setAttribute("aria-valuenow", "0");
      this.#plot.setAttribute("aria-valuetext", nothing);
      return;
    }
    const t = this.#cursor ?? times.at(-1);
    const index = nearest(times, t);
    const step = times.length > 1 ? (times.at(-1) - times[0]) / (times.length - 1) : 0;
    const parts = this.plan.curves.flatMap((curve, at) => this.#valueAt(this.#trends[at], curve, times[index], step));
    const words = `${momentText(times[index])}: ${parts.join(", ") || "nothing recorded"}`;
    write(this.#readout, words);
    this.#plot.setAttribute("aria-valuenow", String(index));
    this.#plot.setAttribute("aria-valuetext", words);
  }

  #valueAt(trend, curve, t, step) {
    if (!trend.t.length) return [];
    const index = nearest(trend.t, t);
    if (Math.abs(trend.t[index] - t) > Math.max(2 * step, 1) || trend.v[index] === null) return [];
    const hasBand = curve.band && trend.low[index] !== null && trend.high[index] !== null
      && number(trend.low[index], trend) !== number(trend.high[index], trend);
    const band = hasBand ? ` (${number(trend.low[index], trend)} to ${number(trend.high[index], trend)})` : "";
    return [`${curve.words} ${worded(trend.v[index], trend)}${band}`];
  }

  #follow(event) {
    if (!this.#drawing) return;
    const x = event.clientX - this.#canvas.getBoundingClientRect().left;
    const t = axis(this.#drawing).getValueForPixel(x);
    this.#pointAll(Math.min(this.#range.to, Math.max(this.#range.from, t)));
  }

  #step(event) {
    const times = this.#times();
    if (!times.length) return;
    const index = this.#cursor === null ? times.length - 1 : nearest(times, this.#cursor);
    const moves = { ArrowLeft: index - 1, ArrowDown: index - 1, ArrowRight: index + 1, ArrowUp: index + 1,
                    PageDown: index - 20, PageUp: index + 20, Home: 0, End: times.length - 1 };
    if (event.key === "Escape") this.#pointAll(null);
    if (!(event.key in moves)) return;
    event.preventDefault();
    this.#pointAll(times[Math.min(times.length - 1, Math.max(0, moves[event.key]))]);
  }
}
