// One vessel's sheet: what is in there, what is next, is it safe; then numbers, alarms, the plan, trends, and what the
// person can do.
import { token } from "/daemon.js";
import { Actions, acknowledgeButton } from "/actions.js";
import { Numbers } from "/numbers.js";
import { capital, daemonNow, element, spoken, write } from "/text.js";
import { Trends } from "/trends.js";

const priorityWords = { critical: "Critical alarm", high: "High alarm", medium: "Alarm", low: "Low alarm" };

function alarmBox(alarm) {
  const box = element("li", `alarm ${alarm.priority} ${alarm.state}`);
  const state = alarm.shelved_until ? "shelved" : alarm.state;
  box.append(element("p", "kind", `${priorityWords[alarm.priority] ?? "Alarm"}, ${state}`),
             element("p", "title", alarm.title || capital(spoken(alarm.rule))), element("p", "text", alarm.text));
  if (alarm.first_aid) box.append(element("p", "first-aid", alarm.first_aid));
  box.append(element("p", "since", `Since ${alarm.raised_at_text}`));
  if (alarm.state === "raised" && token.get()) box.append(acknowledgeButton(alarm));
  return box;
}

function stageItem(stage, batch) {
  const item = element("li", `stage ${stage.state}`, capital(spoken(stage.kind)));
  const words = stage.state === "past" ? "done" : stage.state === "to_come" ? "to come"
    : `now, since ${batch.stage_since_text}; ends ${stage.ends_text}`;
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
  #sentence = element("p", "sentence");
  #alarms = element("ul", "alarms");
  #stages = element("ol", "stages");
  #trends;
  #actions;
  #alarmsShown = "";
  #stagesShown = "";

  constructor(id) {
    this.sheet = element("article", "sheet vessel");
    this.sheet.id = `vessel-${encodeURIComponent(id)}`;
    this.#name.id = `${this.sheet.id}-name`;
    this.sheet.setAttribute("aria-labelledby", this.#name.id);
    const head = element("div", "vessel-head");
    head.append(this.#name, this.#batch);
    this.#alarms.setAttribute("aria-live", "polite");
    this.#alarms.setAttribute("aria-label", "Standing alarms");
    this.#stages.setAttribute("aria-label", "The plan");
    this.#trends = new Trends(id);
    this.#actions = new Actions(id);
    this.sheet.append(head, this.#sentence, this.#numbers.list, this.#alarms, this.#stages, this.#trends.section,
                      this.#actions.section);
  }

  show(view) {
    this.view = view;
    write(this.#name, view.name);
    write(this.#batch, view.batch ? `${view.batch.name}, ${view.batch.volume_l} L, since ${view.batch.started_text}`
                                  : "no batch");
    write(this.#sentence, view.sentence || "Nothing is known yet.");
    this.#numbers.show(view);
    this.showAges(daemonNow());
    this.#showAlarms();
    this.#showStages();
    this.#trends.show(view);
    this.#actions.show(view, Vessel.display);
  }

  showAges(now) {
    this.#numbers.showAges(now);
  }

  #showAlarms() {
    const key = JSON.stringify([this.view.alarms, Boolean(token.get())]);
    if (key === this.#alarmsShown) return;
    this.#alarmsShown = key;
    this.#alarms.replaceChildren(...this.view.alarms.map(alarmBox));
    this.#alarms.hidden = this.view.alarms.length === 0;
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
