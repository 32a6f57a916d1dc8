// @ts-check
/** The pieces that a wall was sent, by name: each update brings those that changed. */
import { inTime } from "../../../device/stream.js";
import { which } from "../which.js";

const ANSWER_MS = 4000; // a network that swallows what it is sent answers never

/** @typedef {{from: string, version: string, gone: string[], set: Record<string, any>}} Update from empty: all there is */

export class Pieces {
  version = "";
  /** @type {Map<string, any>} */
  #held = new Map();

  /** Takes an update; false if it is of a version that this screen never had. @param {Update} update */
  take(update) {
    if (update.version === this.version) return true;
    if (update.from && update.from !== this.version) return false;
    if (!update.from) this.#held.clear();
    for (const name of update.gone) this.#held.delete(name);
    for (const [name, piece] of Object.entries(update.set)) this.#held.set(name, piece);
    this.version = update.version;
    return true;
  }

  /** Asks for all of it. @returns {Promise<Update>} */
  async ask() {
    const answer = await fetch(`/wall/now${which}`, { cache: "no-store", signal: inTime(ANSWER_MS) });
    if (answer.status !== 200) throw new Error(`The wall: ${answer.status}`);
    return answer.json();
  }

  /** @template T @param {string} name @returns {T | null} */
  get(name) {
    return this.#held.get(name) ?? null;
  }

  /** Those of some names that are there. @template T @param {string[]} names @returns {T[]} */
  all(names) {
    return names.map((name) => this.#held.get(name)).filter((piece) => piece !== undefined);
  }
}
