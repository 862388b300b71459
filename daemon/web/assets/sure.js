// A button that has to be pressed twice: a thumb in a pocket does not end a fermentation.
import { element, write } from "/text.js";

const patience = 8000;

export class SureButton {
  root = element("button");
  #words = "";
  #sure = "";
  #isSure = false;
  #timer = 0;

  constructor(act) {
    this.root.type = "button";
    this.root.addEventListener("click", () => {
      if (this.#isSure) {
        this.#settle(false);
        act();
        return;
      }
      this.#settle(true);
      this.#timer = setTimeout(() => this.#settle(false), patience);
    });
  }

  /** `words`: what it does; `sure`: the same, once it has been pressed. Another meaning asks anew; none hides it. */
  show(words, sure = words && `Confirm: ${words.charAt(0).toLowerCase()}${words.slice(1)}`) {
    this.root.hidden = !words;
    const isOther = sure !== this.#sure;
    this.#words = words;
    this.#sure = sure;
    this.#settle(this.#isSure && !isOther);
  }

  #settle(isSure) {
    if (!isSure) clearTimeout(this.#timer);
    this.#isSure = isSure;
    write(this.root, isSure ? this.#sure : this.#words);
  }
}
