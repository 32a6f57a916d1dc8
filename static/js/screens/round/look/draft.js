// @ts-check
import { recall, remember } from "../../floor/video/remembered.js";

const BEGINS = "lane-ledger.look.";

/** What is written into a look's form is kept in the browser until it is sealed, so that a reload loses nothing. */
export class Draft {
  /** @param {HTMLFormElement} form @param {string} look @param {() => void} taken after what was kept is in the form again */
  constructor(form, look, taken) {
    this.form = form;
    this.key = BEGINS + look;
    if (!form.hasAttribute("data-refused")) this.#fill();
    taken();
    for (const news of ["input", "change"]) form.addEventListener(news, () => this.#keep());
  }

  #keep() {
    const values = /** @type {Record<string, string>} */ ({});
    for (const field of this.#fields()) values[field.name] = field.type === "checkbox" ? (field.checked ? "on" : "") : field.value;
    remember(this.key, values);
  }

  #fill() {
    const values = recall(this.key) ?? {};
    for (const field of this.#fields()) {
      const value = values[field.name];
      if (value === undefined) continue;
      if (field.type === "checkbox") field.checked = value === "on";
      else field.value = value;
    }
  }

  /** All but the last word: that is given anew. @returns {HTMLInputElement[]} */
  #fields() {
    const all = /** @type {HTMLInputElement[]} */ ([...this.form.elements]);
    return all.filter((field) => field.name && field.name !== "sure" && field.name !== "look" && !(field instanceof HTMLButtonElement));
  }
}
