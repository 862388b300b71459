// What the person can do to a batch, once the token is there. The daemon decides whether it may be; its reason is shown.
import { tell, token } from "/daemon.js";
import { askToConfirm } from "/plate.js";
import { capital, element, spoken, write } from "/text.js";

function labelled(words, field) {
  const label = element("label", "", words);
  label.append(field);
  return label;
}

/** What a reading by hand can change; the daemon refuses the rest. */
const measurable = ["gravity", "co2_volumes"];

export class Actions {
  section = element("div", "doing");
  #base;
  #next = element("button");
  #isSure = false;
  #nextStage = null;
  #said = element("p", "said");
  #quantity = element("select");
  #value = element("input");
  #note = element("input");
  #shownUnits = "";

  constructor(id) {
    this.#base = `/api/vessels/${encodeURIComponent(id)}`;
    this.#next.type = "button";
    this.#next.addEventListener("click", () => this.#moveOn());
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
    this.section.append(element("h3", "", "What you can do"), this.#next, form, this.#said);
  }

  show(view, display) {
    this.section.hidden = !token.get();
    const upcoming = view.batch?.next_stage ?? null;
    if (upcoming !== this.#nextStage) this.#isSure = false;
    this.#nextStage = upcoming;
    this.#next.hidden = !upcoming;
    write(this.#next, upcoming ? `${this.#isSure ? "Confirm: start" : "Start the next stage:"} ${spoken(upcoming)}` : "");
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

  async #moveOn() {
    if (!this.#isSure) {  // a thumb in a pocket does not end a fermentation
      this.#isSure = true;
      write(this.#next, `Confirm: start ${spoken(this.#nextStage)}`);
      setTimeout(() => {
        this.#isSure = false;
        write(this.#next, `Start the next stage: ${spoken(this.#nextStage ?? "")}`);
      }, 8000);
      return;
    }
    this.#isSure = false;
    await this.#do("stage", { next: true, why: "by hand, on the page" }, "The next stage has begun.");
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
