// @ts-check
import { say } from "../words/say.js";

/** @typedef {import("./shelf.js").Mark} Mark */

/**
 * How many marks a browser lost when it wiped its store: beside the store it keeps the numbers that it gave out, so that the desk's
 * word on what it holds shows what is missing.
 */
export class Losses {
  /** @type {Record<string, number>} */
  #made;
  /** The numbers given out before the store was wiped, until they are accounted for. @type {Record<string, number> | null} */
  #doubt = null;
  #restored = 0;
  #missing = 0;

  /** @param {string} [place] the name of the device's store */
  constructor(place = "lane-ledger") {
    this.madeKey = `${place}-made`; // in localStorage: the last number of each epoch that the desk does not hold in full
    this.#made = recall(this.madeKey);
  }

  /** The store came up empty where there had been one. */
  wiped() {
    this.#doubt = { ...this.#made };
  }

  /** A mark was numbered. @param {number} epoch @param {number} seq */
  made(epoch, seq) {
    this.#made[epoch] = seq;
    remember(this.madeKey, this.#made);
  }

  /** The desk holds everything. */
  settled() {
    if (!Object.keys(this.#made).length || this.#doubt) return;
    this.#made = {};
    remember(this.madeKey, this.#made);
  }

  /** Marks came back from the second copy. @param {number} count */
  restored(count) {
    this.#restored += count;
  }

  /**
   * The desk said what it holds through: what was given out, is not here and is not there either, is missing.
   * @param {Record<string, number>} held
   * @param {Mark[]} here
   */
  heard(held, here) {
    if (!this.#doubt) return;
    const known = new Set(here.map(({ epoch, seq }) => `${epoch}/${seq}`));
    this.#missing = 0;
    for (const [epoch, last] of Object.entries(this.#doubt)) {
      for (let seq = (held[epoch] ?? 0) + 1; seq <= last; seq += 1) this.#missing += known.has(`${epoch}/${seq}`) ? 0 : 1;
    }
    this.#doubt = null;
  }

  /** How many marks are missing for good. */
  get missing() {
    return this.#missing;
  }

  /** What the judge should know, or an empty text. @param {boolean} wiped whether the store was found wiped */
  sentence(wiped) {
    const back = this.#restored ? ` ${say("marks.came_back", { n: this.#restored })}` : "";
    if (!wiped) return back && `This browser had lost marks.${back}`;
    if (this.#doubt) return `This browser had lost its marks.${back} What the desk holds comes back when the desk is reached; anything else is missing: tell the desk.`;
    if (this.#missing) return `This browser had lost its marks.${back} ${say("marks.missing", { n: this.#missing })}`;
    return `This browser had lost its marks.${back} All of them are back; nothing is missing.`;
  }
}

/** @param {string} key @returns {Record<string, number>} */
function recall(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "{}") ?? {};
  } catch {
    return {};
  }
}

/** @param {string} key @param {Record<string, number>} made */
function remember(key, made) {
  try {
    localStorage.setItem(key, JSON.stringify(made));
  } catch {
    // without it a loss is told, but not how large it was
  }
}
