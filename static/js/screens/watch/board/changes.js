// @ts-check
/** Puts updates on the board, in order, and shows what changed: a line that moves, a score that lights up. */

import { inTime } from "../../../device/stream.js";
import { which } from "../which.js";

const ANSWER_MS = 4000; // a network that swallows what it is sent answers never
const MOVE_MS = 180;
const LIT_MS = 3000; // how long a new score stays lit
const MOVED_MS = 12_000; // how long the arrow of a changed place stays

/** @typedef {{ from: string | null, version: string, html: string }} Update from null: the whole board */
/** @typedef {{ place: number, score: string, top: number }} Line */

export class Changes {
  /** @type {Promise<void>} */
  #last = Promise.resolve();
  /** Arrows of changed places by row, with when they go. @type {Map<string, { text: string, until: number }>} */
  #arrows = new Map();

  /**
   * @param {HTMLElement} main
   * @param {() => void} onChange called after each update
   */
  constructor(main, onChange) {
    this.main = main;
    this.onChange = onChange;
    this.version = main.dataset.version ?? "";
    setInterval(() => this.#showArrows(), 1000);
  }

  /** Takes one update; those that come meanwhile wait their turn. @param {Update} update */
  take(update) {
    this.#last = this.#last.then(() => this.#apply(update)).catch(() => this.#fetchWhole());
  }

  /** Fetches the board if it has changed behind this page's back. */
  catchUp() {
    this.#last = this.#last.then(() => this.#fetchWhole());
  }

  async #fetchWhole() {
    try {
      const update = await this.ask();
      if (update) await this.#apply(update);
    } catch {
      // No network: the stream comes back by itself and begins with what was missed.
    }
  }

  /** Asks for the whole board: null if this page shows the newest. Throws when there is no answer. @returns {Promise<Update | null>} */
  async ask() {
    const headers = { "If-None-Match": `"${this.version}"` };
    const answer = await fetch(`/board/parts${which}`, { headers, cache: "no-store", signal: inTime(ANSWER_MS) });
    if (answer.status === 304) return null;
    if (answer.status !== 200) throw new Error(`The board's parts: ${answer.status}`);
    return answer.json();
  }

  /** @param {Update} update */
  async #apply(update) {
    if (update.version === this.version) return;
    if (update.from !== null && update.from !== this.version) {
      await this.#fetchWhole();
      return;
    }
    const before = this.#lines();
    await window.htmx.swap({ text: update.html, target: this.main, sourceElement: this.main, swap: "none" });
    this.version = update.version;
    this.main.dataset.version = update.version;
    this.onChange();
    this.#show(before);
  }

  /** The lines in sight. @returns {Map<string, Line>} */
  #lines() {
    const rows = /** @type {NodeListOf<HTMLElement>} */ (this.main.querySelectorAll(".panel:not([hidden]) tbody tr"));
    return new Map([...rows].map((row) => [row.id, lineOf(row)]));
  }

  /** @param {Map<string, Line>} before */
  #show(before) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    for (const [id, now] of this.#lines()) {
      const old = before.get(id);
      const row = document.getElementById(id);
      if (!old || !row) continue;
      if (old.score !== now.score) lightUp(row);
      if (old.place && now.place && old.place !== now.place) this.#arrow(id, old.place - now.place);
      if (!still && old.top !== now.top) {
        const from = `translateY(${old.top - now.top}px)`;
        row.animate([{ transform: from }, { transform: "none" }], { duration: MOVE_MS, easing: "ease-out" });
      }
    }
    this.#showArrows();
  }

  /** @param {string} id @param {number} gained */
  #arrow(id, gained) {
    this.#arrows.set(id, { text: gained > 0 ? `▲${gained}` : `▼${-gained}`, until: performance.now() + MOVED_MS });
  }

  #showArrows() {
    for (const [id, { text, until }] of this.#arrows) {
      const past = performance.now() > until;
      const slot = document.getElementById(id)?.querySelector(".moved");
      if (slot) slot.textContent = past ? "" : text;
      if (past) this.#arrows.delete(id);
    }
  }
}

/** @param {HTMLElement} row @returns {Line} */
function lineOf(row) {
  return {
    place: Number((row.dataset.place ?? "").replace("=", "")),
    score: row.dataset.score ?? "",
    top: row.offsetTop,
  };
}

/** Only the browser's own animation marks it: no attribute that the next update would have to keep. @param {HTMLElement} row */
function lightUp(row) {
  const score = row.querySelector(".score");
  const lit = getComputedStyle(row).getPropertyValue("--lit");
  score?.animate([{ color: lit }, { color: lit, offset: 0.8 }, {}], { duration: LIT_MS });
}
