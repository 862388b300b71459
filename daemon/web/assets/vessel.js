// One vessel's sheet: what is in there, what is next, is it safe; then numbers, the plan, trends, and what the person
// can do. Its alarms stand above all sheets (standing.js).
import { Actions } from "/actions.js";
import { Numbers } from "/numbers.js";
import { PlateFindings } from "/plate.js";
import { capital, daemonNow, element, write } from "/text.js";
import { Trends } from "/trends.js";

function stageItem(stage, batch) {
  const item = element("li", `stage ${stage.state}`, capital(stage.text));
  const words = { past: "done", skipped: "left out", to_come: "to come" }[stage.state]
    ?? `now, since ${batch.stage_since_text}; ends ${stage.ends_text}`;
  item.append(element("small", "", words));
  if (stage.state === "now") item.setAttribute("aria-current", "step");
  return item;
}

export class Vessel {
  static display = null;
  view = null;
  #numbers = new Numbers();
  #name = element("h2");
  #batch = element("span");
  #waiting = element("strong");
  #detail = element("span");
  #countdown = element("p", "countdown");
  #sentence = element("p", "sentence");
  #stages = element("ol", "stages");
  #findings = new PlateFindings();
  #trends;
  #actions;
  #stagesShown = "";

  constructor(id) {
    this.sheet = element("article", "sheet vessel");
    this.sheet.id = `vessel-${encodeURIComponent(id)}`;
    this.#name.id = `${this.sheet.id}-name`;
    this.sheet.setAttribute("aria-labelledby", this.#name.id);
    const head = element("div", "vessel-head");
    head.append(this.#name, this.#batch);
    this.#stages.setAttribute("aria-label", "The plan");
    this.#trends = new Trends(id);
    this.#actions = new Actions(id);
    this.#countdown.append(this.#waiting, this.#detail);
    this.sheet.append(head, this.#countdown, this.#sentence, this.#numbers.list, this.#stages, this.#findings.list,
                      this.#trends.section, this.#actions.section);
  }

  show(view) {
    this.view = view;
    write(this.#name, view.name);
    write(this.#batch, view.batch ? `${view.batch.name}, ${view.batch.volume_l} L, since ${view.batch.started_text}`
                                  : "no batch");
    this.#showCountdown(view.countdown);
    write(this.#sentence, view.sentence || "Nothing is known yet.");
    this.#numbers.show(view);
    this.showAges(daemonNow());
    this.#showStages();
    this.#findings.show(view.batch?.findings ?? []);
    this.#trends.show(view);
    this.#actions.show(view, Vessel.display);
  }

  /** What a person beside the vessel waits for; its last minutes, and a rest that stands still, look so. */
  #showCountdown(countdown) {
    this.#countdown.hidden = !countdown;
    if (!countdown) return;
    this.#countdown.className = `countdown ${countdown.kind}`;
    write(this.#waiting, countdown.text);
    write(this.#detail, countdown.detail);
  }

  showAges(now) {
    this.#numbers.showAges(now);
  }

  #showStages() {
    const batch = this.view.batch;
    const key = JSON.stringify([batch?.stages, batch?.stage_since]);
    if (key === this.#stagesShown) return;
    this.#stagesShown = key;
    this.#stages.replaceChildren(...(batch?.stages ?? []).map((stage) => stageItem(stage, batch)));
    this.#stages.hidden = !batch;
  }
}
