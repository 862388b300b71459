// What of a plan its vessel does not bear: shown beside the plan, and to be confirmed before the next step.
import { element } from "/text.js";

const words = { dangerous: "Dangerous", doubtful: "Doubtful" };

function item(finding) {
  const made = element("li", `finding ${finding.severity}`);
  made.append(element("strong", "", `${words[finding.severity] ?? "Doubtful"}: `), finding.text);
  return made;
}

export class PlateFindings {
  list = element("ul", "findings");
  #shown = "";

  constructor() {
    this.list.setAttribute("aria-label", "What of the plan the vessel does not bear");
    this.list.hidden = true;
  }

  show(findings) {
    const key = JSON.stringify(findings);
    if (key === this.#shown) return;
    this.#shown = key;
    this.list.replaceChildren(...findings.map(item));
    this.list.hidden = findings.length === 0;
  }
}

/** Shows why something was refused. True once the person confirms it all the same, which danger never allows. */
export function askToConfirm(refusal) {
  const dialog = element("dialog", "confirm");
  const head = element("h2", "", refusal.confirmable ? "Is it meant so?" : "The vessel does not bear this");
  head.id = "confirm-head";
  dialog.setAttribute("aria-labelledby", head.id);
  const list = element("ul", "findings");
  list.append(...refusal.findings.map(item));
  const leave = element("button", "", refusal.confirmable ? "No, leave it as it is" : "Close");
  const buttons = element("p", "buttons");
  buttons.append(leave);
  dialog.append(head, list, element("p", "", "The vessel's plate and its relief valve decide, not this page."), buttons);
  leave.addEventListener("click", () => dialog.close());
  if (refusal.confirmable) {
    const goOn = element("button", "go-on", "I have looked: go on");
    goOn.addEventListener("click", () => dialog.close("confirmed"));
    buttons.append(goOn);
  }
  for (const button of buttons.children) button.type = "button";
  return new Promise((answer) => {
    dialog.addEventListener("close", () => {
      dialog.remove();
      answer(dialog.returnValue === "confirmed");
    });
    document.body.append(dialog);
    dialog.showModal();
    leave.focus();  // a second touch of the same thumb confirms nothing
  });
}
