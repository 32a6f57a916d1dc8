// @ts-check
/** The headings of a wall's columns: a line over the rows that is laid out as they are. A number of a lane says so itself too. */
import { el, setText } from "../../../parts/dom.js";
import { say } from "../../../words/say.js";

export class Names {
  /** @type {Map<string, HTMLElement>} */
  #words;

  /** @param {string[]} columns the classes of a row's cells, in order */
  constructor(columns) {
    this.#words = new Map(columns.map((column) => [column, el("span", { class: "wall-name" })]));
    // Not for a screen reader, which hears each number with no column above it: the rows are a list.
    this.node = el("li", { class: "wall-names", "aria-hidden": "true" }, ...[...this.#words].map(([column, word]) => el("span", { class: column }, word)));
  }

  /** @param {Record<string, string>} said by column; those that are left out have none */
  show(said) {
    for (const [column, word] of this.#words) setText(word, said[column] ?? "");
  }

  /** How many signs a column's name has. @param {string} column */
  signs(column) {
    return this.#words.get(column)?.textContent?.length ?? 0;
  }
}

/** Makes the column of lanes as wide as the longest of their numbers. @param {HTMLElement} rows @param {{lane: number}[]} lanes */
export function fitNumbers(rows, lanes) {
  rows.style.setProperty("--lane-signs", String(Math.max(1, ...lanes.map(({ lane }) => String(lane).length))));
}

/** A lane's number with the word before it, for alone it is read as a place. @param {string | number} [number] @returns {{node: HTMLElement, number: HTMLElement}} */
export function laneNumber(number = "") {
  const told = el("span", {}, number);
  return { node: el("span", { class: "wall-number" }, el("span", { class: "wall-word" }, say("Lane")), told), number: told };
}
