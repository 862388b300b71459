// The trends of one vessel: which curves, over which range, and one cursor through all of them.
import { Chart } from "/chart.js";
import { read } from "/daemon.js";
import { daemonNow, element, hotSide } from "/text.js";

const day = 86_400_000;
const hour = 3_600_000;
const ranges = [["1 h", () => hour], ["6 h", () => 6 * hour], ["24 h", () => day], ["7 days", () => 7 * day],
                ["Batch", (view) => view.batch ? daemonNow() - Date.parse(view.batch.started) : 7 * day]];

const rule = (words, value) => (value ? [{ kind: "rule", words, at: value.display.value, text: value.text }] : []);

/** The stages that were entered: each from when to when. */
const entered = (view) => (view.batch?.entered ?? []).map((one, index, all) => ({
  ...one, plan: view.batch.stages[one.index], from: Date.parse(one.at), to: Date.parse(all[index + 1]?.at ?? view.at) }));

/** The band of each stage over its own time; the last is told in words. */
function zones(words, view, bandOf) {
  const all = entered(view).filter((stage) => stage.plan && bandOf(stage.plan))
    .map((stage) => ({ from: stage.from, to: stage.to, ...bandOf(stage.plan).display }));
  const now = view.batch && bandOf(view.batch.stages[view.batch.stage_index]);
  return all.length ? [{ kind: "zone", words, parts: all, text: now ? `now ${now.text}` : "" }] : [];
}

const samples = (view, quantity) => (view.batch?.measurements ?? []).filter((one) => one.quantity === quantity)
  .map((one) => ({ x: Date.parse(one.at), y: one.display.value, text: `${one.text}, ${one.at_text}` }));

/** Each chart: its curves by the quantity's name, and what they are to be judged by. */
const charts = [
  { name: "gravity", title: "Gravity", curves: [
      { quantity: "gravity", kind: "dots", words: "sensor" },
      { quantity: "gravity_now", kind: "line", words: "estimate", band: "90 % interval" }],
    sampled: "gravity",
    judgedBy: (view) => (view.batch ? rule("expected final", view.batch.expected_final_gravity) : []) },
  { name: "temperature", title: "Temperature", curves: [
      { quantity: "beer_temperature", kind: "line", words: "beer", band: "lowest to highest" }],
    judgedBy: (view) => zones("band of each stage", view, (stage) => stage.temperature_band) },
  { name: "pressure", title: "Head pressure", curves: [
      { quantity: "head_pressure", kind: "line", words: "measured", band: "lowest to highest" },
      { quantity: "warm_pressure", kind: "dashes", words: "shut and warmed up", isBeside: true }],
    sampled: "head_pressure",
    judgedBy: (view) => rule("limit", view.limits.pressure), fromZero: true },
  { name: "gas", title: "Dissolved CO₂", curves: [
      { quantity: "co2_volumes", kind: "line", words: "estimate", band: "90 % interval" },
      { quantity: "co2_equilibrium_volumes", kind: "dashes", words: "at equilibrium" }],
    sampled: "co2_volumes",
    judgedBy: (view) => (view.batch ? rule("wanted", view.batch.target_co2_volumes) : []) },
];

const isBrewDay = (view) => hotSide.includes(view.batch?.stages[view.batch.stage_index]?.kind);

/** A trend with its moments in milliseconds, as charts count. */
async function trendOf(target) {
  const trend = await read(target);
  return { ...trend, t: trend.t.map(Date.parse) };
}

export class Trends {
  section = element("div");
  #id;
  #view = null;
  #range = null;
  #buttons;
  #charts;
  #drawnAt = 0;
  #isVisible = false;
  #asked = 0;

  constructor(id) {
    this.#id = id;
    const head = element("div", "trends-head");
    const group = element("div", "ranges");
    group.setAttribute("role", "group");
    group.setAttribute("aria-label", "How far back");
    this.#buttons = ranges.map(([words], index) => {
      const button = element("button", "", words);
      button.type = "button";
      button.addEventListener("click", () => this.#choose(index));
      return button;
    });
    group.append(...this.#buttons);
    head.append(element("h3", "", "Trends"), group);
    this.#charts = charts.map((plan) => new Chart(plan, (t) => this.#point(t)));
    const grid = element("div", "trends");
    grid.append(...this.#charts.map((chart) => chart.figure));
    this.section.append(head, grid);
    // Nothing is fetched or drawn until it is about to be seen.
    new IntersectionObserver((entries) => {
      this.#isVisible = entries.at(-1).isIntersecting;
      this.#refresh();
    }, { rootMargin: "300px" }).observe(this.section);
  }

  /** Until somebody chooses, the range suits the work: brew day so far, or a day. */
  show(view) {
    this.#view = view;
    const age = view.batch ? daemonNow() - Date.parse(view.batch.started) : 0;
    const suits = !isBrewDay(view) ? "24 h" : age < hour ? "1 h" : "Batch";
    this.#range ??= ranges.findIndex(([words]) => words === suits);
    this.#mark();
    this.#refresh();
  }

  #choose(index) {
    this.#range = index;
    this.#mark();
    this.#drawnAt = 0;
    this.#refresh();
  }

  #mark() {
    this.#buttons.forEach((button, index) => button.setAttribute("aria-pressed", String(index === this.#range)));
  }

  #point(t) {
    for (const chart of this.#charts) chart.point(t);
  }

  /** Asks at most every half minute: a trend of a day does not change faster than that. */
  async #refresh() {
    if (!this.#view || !this.#isVisible || Date.now() - this.#drawnAt < 30_000) return;
    this.#drawnAt = Date.now();
    const turn = ++this.#asked;
    const to = Math.round(daemonNow());
    const from = Math.round(to - ranges[this.#range][1](this.#view));
    const points = Math.min(600, Math.max(150, Math.round(this.section.clientWidth * 0.8)));
    const base = `/api/vessels/${encodeURIComponent(this.#id)}/trend?units=display&from=${from}&to=${to}&points=${points}`;
    for (const chart of this.#charts) {
      try {
        const trends = await Promise.all(chart.plan.curves.map((curve) => trendOf(`${base}&quantity=${curve.quantity}`)));
        if (turn !== this.#asked) return;  // another range was chosen meanwhile
        await chart.draw(this.#view, trends, { from, to }, entered(this.#view), samples(this.#view, chart.plan.sampled));
      } catch (trouble) {
        chart.fail(trouble.message);
      }
    }
  }
}
