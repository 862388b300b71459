// What the person can do to a batch, once the token is there. The daemon decides whether it may be; its reason is shown.
import { tell, token } from "/daemon.js";
import { askToConfirm } from "/plate.js";
import { SureButton } from "/sure.js";
import { capital, element, spoken, write } from "/text.js";

function labelled(words, field) {
  const label = element("label", "", words);
  label.append(field);
  return label;
}

/** What a reading by hand can change; the daemon refuses the rest. */
const measurable = ["gravity", "forced_final_gravity", "co2_volumes"];

const textField = (most) => {
  const field = element("input");
  field.type = "text";
  field.autocomplete = "off";
  field.maxLength = most;
  return field;
};

export class Actions {
  section = element("div", "doing");
  #base;
  #next = new SureButton(() => this.#step("stage", { next: true }));
  #skip = new SureButton(() => this.#step("stage", { skip: true }));
  #back = new SureButton(() => this.#step("stage", { back: true }));
  #undo = new SureButton(() => this.#do("batch/undo", {}, "Taken back."));
  #end = new SureButton(() => this.#step("batch/end", {}));
  #when = textField(40);
  #why = textField(200);
  #said = element("p", "said");
  #quantity = element("select");
  #value = element("input");
  #note = element("input");
  #shownUnits = "";

  constructor(id) {
    this.#base = `/api/vessels/${encodeURIComponent(id)}`;
    this.#said.setAttribute("role", "status");
    const form = element("form");
    this.#value.type = "text";
    this.#value.required = true;
    this.#value.autocomplete = "off";
    this.#note.type = "text";
    this.#note.maxLength = 200;
    const send = element("button", "", "Save");
    send.type = "submit";
    form.append(labelled("Measured by hand", this.#quantity), labelled("Value", this.#value),
                labelled("Note", this.#note), send);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#measure();
    });
    this.section.append(element("h3", "", "What you can do"), this.#next.root, this.#otherSteps(), form, this.#said);
  }

  /** What is asked for seldom, with the moment and the reason that a step may have. */
  #otherSteps() {
    const more = element("details", "steps");
    const fields = element("div", "fields");
    this.#when.placeholder = "10:42, 20min ago";
    fields.append(labelled("When, if not now", this.#when), labelled("Why", this.#why));
    const buttons = element("div", "buttons");
    buttons.append(...[this.#skip, this.#back, this.#undo, this.#end].map((button) => button.root));
    more.append(element("summary", "", "Other steps"), fields, buttons);
    return more;
  }

  show(view, display) {
    this.section.hidden = !token.get();
    const batch = view.batch;
    const stage = (ahead) => batch?.stages[batch.stage_index + ahead]?.text;
    const [before, next, afterNext] = [stage(-1), stage(1), stage(2)];
    this.#next.show(next ? `Start the next stage: ${next}` : "", `Confirm: start ${next}`);
    this.#skip.show(afterNext ? `Leave out ${next}, start ${afterNext}` : "");
    this.#back.show(before ? `Back to ${before}, once more` : "");
    const isFresh = !batch || batch.entered.length > 1;
    this.#undo.show(!isFresh ? "" : batch ? `Take back that ${stage(0)} has begun` : "Take back the end of the last batch");
    this.#end.show(batch ? "End the batch" : "");
    this.#showUnits(display);
  }

  #showUnits(display) {
    if (!display || this.#shownUnits === JSON.stringify(display)) return;
    this.#shownUnits = JSON.stringify(display);
    this.#quantity.replaceChildren(...measurable.map((name) => {
      const option = element("option", "", `${capital(spoken(name))}, ${display.quantities[name].unit}`);
      option.value = name;
      return option;
    }));
  }

  async #step(what, body) {
    const full = { ...body, why: this.#why.value.trim() || "by hand, on the page" };
    if (this.#when.value.trim()) full.at = this.#when.value.trim();
    if (await this.#do(what, full, "Done.")) this.#when.value = this.#why.value = "";
  }

  async #measure() {
    const text = this.#value.value.trim();
    if (!text) return write(this.#said, "Write what the instrument shows, with or without a unit.");
    const body = { quantity: this.#quantity.value, text };  // as typed: the daemon knows the person's units
    if (this.#note.value.trim()) body.note = this.#note.value.trim();
    if (await this.#do("measurements", body, "Noted.")) this.#value.value = this.#note.value = "";
  }

  async #do(what, body, done) {
    try {
      const { understood } = await tell(`${this.#base}/${what}`, body);
      write(this.#said, understood?.join(" ") || done);
      return true;
    } catch (refused) {
      if (refused.findings?.length && (await askToConfirm(refused)))
        return this.#do(what, { ...body, confirm: true }, done);
      write(this.#said, `Not done: ${refused.message}`);
      return false;
    }
  }
}
