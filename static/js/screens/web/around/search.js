// @ts-check
import { inTime } from "../../../device/stream.js";
import { el, fill, setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";
import { tell, tellIn } from "./said.js";

/** The search box: asks the desk's server while somebody types; arrows choose, Enter goes there. */

const WAIT_MS = 60; // a fast typist's next letter comes sooner
const ANSWER_MS = 5000;

/** @typedef {{name: string, words: string, link: string}} Hit */
/** @typedef {{kind: string, hits: Hit[]}} Hits */

export class Search {
  /** @type {HTMLAnchorElement[]} */
  #options = [];
  #at = -1;
  #asked = 0;
  #timer = 0;
  #pending = false;
  #goes = false; // Enter was pressed before the answer came
  #moved = false; // an arrow was pressed since the last letter: what it chose stays chosen when the answer comes

  /** @param {HTMLDialogElement} dialog */
  constructor(dialog) {
    this.dialog = dialog;
    this.field = /** @type {HTMLInputElement} */ (dialog.querySelector("input"));
    this.list = /** @type {HTMLElement} */ (dialog.querySelector("[role=listbox]"));
    this.none = /** @type {HTMLElement} */ (document.getElementById("search-none"));
    this.field.addEventListener("input", () => this.#type());
    this.field.addEventListener("keydown", (event) => this.#key(event));
    dialog.addEventListener("close", () => tellIn());
    dialog.addEventListener("click", (event) => event.target === dialog && dialog.close());
  }

  open() {
    if (this.dialog.open) return;
    this.dialog.showModal();
    tellIn(this.dialog);
    this.field.select();
    this.#type();
  }

  #type() {
    clearTimeout(this.#timer);
    this.#pending = true;
    this.#goes = false;
    this.#moved = false;
    this.#timer = setTimeout(() => this.#ask(), WAIT_MS);
  }

  async #ask() {
    const number = ++this.#asked;
    const typed = this.field.value.trim();
    const [found, trouble] = typed ? await ask(typed) : [[], ""];
    if (number !== this.#asked) return;
    this.#pending = false;
    this.#show(found, typed && !found.length ? trouble || "Nothing is called that." : "");
    if (this.#goes) this.#go();
  }

  /** @param {Hits[]} found @param {string} nothing what to say where there is none */
  #show(found, nothing) {
    const chosen = this.#moved ? this.#options[this.#at]?.href : "";
    this.#options = [];
    fill(this.list, ...found.map((one, number) => this.#group(one, number)));
    setText(this.none, nothing);
    this.none.hidden = !nothing;
    this.field.setAttribute("aria-expanded", String(this.#options.length > 0));
    const again = this.#options.findIndex(({ href }) => href === chosen);
    this.#choose(again < 0 && this.#options.length ? 0 : again);
    tell(nothing || (this.#options.length ? say("search.found", { n: this.#options.length }) : ""));
  }

  /** @param {Hits} hits @param {number} number */
  #group({ kind, hits }, number) {
    const links = hits.map(({ name, words, link }) =>
      el("a", { href: link, id: `found-${number}-${link}`, tabindex: -1 }, el("strong", {}, name), words ? " " : null, words ? el("span", { class: "soft small" }, words) : null),
    );
    for (const link of links) link.setAttribute("role", "option");
    this.#options.push(...links);
    const group = el("div", { "aria-labelledby": `found-${number}` }, el("p", { class: "soft small", id: `found-${number}`, "aria-hidden": "true" }, kind), ...links);
    group.setAttribute("role", "group");
    return group;
  }

  /** @param {number} at */
  #choose(at) {
    this.#at = at;
    for (const [number, option] of this.#options.entries()) option.setAttribute("aria-selected", String(number === at));
    const chosen = this.#options[at];
    if (chosen) this.field.setAttribute("aria-activedescendant", chosen.id);
    else this.field.removeAttribute("aria-activedescendant");
    chosen?.scrollIntoView({ block: "nearest" });
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const many = this.#options.length;
    const steps = /** @type {Record<string, number>} */ ({ ArrowDown: 1, ArrowUp: -1 });
    if (event.key in steps && many) this.#arrow((this.#at + steps[event.key] + many) % many);
    else if (event.key === "Enter" && !event.isComposing) this.#go();
    else if (event.key === "Escape") this.dialog.close(); // by itself it would first empty the field
    else return;
    event.preventDefault();
  }

  /** @param {number} at */
  #arrow(at) {
    this.#moved = true;
    this.#choose(at);
  }

  #go() {
    this.#goes = this.#pending;
    if (this.#pending || !this.#options[this.#at]) return;
    this.dialog.close(); // what is found may be on this very page
    this.#options[this.#at].click();
  }
}

/** @param {string} typed @returns {Promise<[Hits[], string]>} what was found, or why nothing could be */
async function ask(typed) {
  try {
    const answer = await fetch(`/find?q=${encodeURIComponent(typed)}`, { cache: "no-store", headers: { Accept: "application/json" }, signal: inTime(ANSWER_MS) });
    const told = await answer.json();
    return answer.ok ? [told.found, ""] : [[], told.sentence];
  } catch {
    return [[], "No line to the server."];
  }
}
