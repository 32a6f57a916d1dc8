// @ts-check
import { button } from "../../../parts/dom.js";
import { clock } from "../../floor/video/player.js";

/** @typedef {import("../../../parts/film.js").Film} Film */

/** Beside each field for a moment of the film a button that writes down where the film stands, and one that goes there. */
export class Moments {
  /** @type {HTMLButtonElement[]} */
  #here = [];

  /** @param {HTMLFormElement} form @param {Film} film */
  constructor(form, film) {
    this.form = form;
    this.film = film;
    for (const field of this.#fields(form)) this.#dress(field);
    form.querySelector("[data-role=more-gear]")?.addEventListener("click", () => this.#add());
    /** @type {HTMLElement | null} */ (form.querySelector("[data-role=more-gear]"))?.removeAttribute("hidden");
  }

  /** The buttons work while there is a film. */
  draw() {
    for (const one of this.#here) one.disabled = !this.film.ready;
  }

  /** @param {Element} within @returns {HTMLInputElement[]} */
  #fields(within) {
    return [...within.querySelectorAll("input[data-moment]")].map((one) => /** @type {HTMLInputElement} */ (one));
  }

  /** @param {HTMLInputElement} field */
  #dress(field) {
    const here = button("Here", () => this.#write(field), { "aria-label": `Where the film stands: ${field.dataset.moment}` });
    const show = button("Show", () => this.#go(field), { class: "plain", "aria-label": `Show the moment: ${field.dataset.moment}` });
    this.#here.push(here, show);
    field.after(here, show);
  }

  /** @param {HTMLInputElement} field */
  #write(field) {
    field.value = clock(this.film.at);
    this.form.dispatchEvent(new Event("change"));
  }

  /** @param {HTMLInputElement} field */
  #go(field) {
    const [, minutes, seconds] = /^(\d+):(\d\d(?:\.\d+)?)$/.exec(field.value.trim()) ?? [];
    if (minutes !== undefined) this.film.jump((Number(minutes) * 60 + Number(seconds)) * 1000);
  }

  /** One more line for a plate, a marking or what else there is. */
  #add() {
    const lines = [...this.form.querySelectorAll("[data-gear]")];
    const spare = lines.find((line) => line.hasAttribute("hidden"));
    if (!spare) return;
    spare.removeAttribute("hidden");
    /** @type {HTMLElement | null} */ (spare.querySelector("select, input"))?.focus();
    if (lines.filter((line) => line.hasAttribute("hidden")).length === 0) this.form.querySelector("[data-role=more-gear]")?.setAttribute("hidden", "");
  }
}
