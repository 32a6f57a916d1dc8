// @ts-check
/** The other tabs of this browser: what each says to all of its marks. */

import { AfterPaint } from "./after_paint.js";
import { plain } from "./copies.js";

/** @typedef {import("./shelf.js").Mark} Mark */
/** @typedef {import("./shelf.js").Entry} Entry */
/** @typedef {import("./shelf.js").Kept} Kept */

/** Says to the other tabs where marks are: not at once, for a word to them takes as long as all else that a touch does. */
export class Tabs {
  /** @type {Set<Entry>} */
  #untold = new Set();
  #telling = new AfterPaint(() => this.#tell());
  /** @type {BroadcastChannel} */
  #channel;

  /**
   * @param {string} name of the channel
   * @param {(made: Mark[], kept: Kept[]) => void} heard what another tab made, and where marks are by its word
   */
  constructor(name, heard) {
    this.#channel = new BroadcastChannel(name);
    // A page of the version before says a mark that it made by itself.
    this.#channel.onmessage = ({ data }) => heard(data.made ?? (data.mark ? [data.mark] : []), data.kept ?? []);
  }

  /** Has the others told of marks. @param {Entry[]} entries */
  tell(entries) {
    for (const entry of entries) this.#untold.add(entry);
    this.#telling.ask();
  }

  /** A mark that was only made is said apart: it must not take back what another tab has heard of it since. */
  #tell() {
    const fresh = (/** @type {Entry} */ entry) => entry.own && entry.made && entry.state === "here" && !entry.again;
    const [made, moved] = [[...this.#untold].filter(fresh), [...this.#untold].filter((entry) => !fresh(entry))];
    this.#channel.postMessage({ type: "states", made: made.map(({ mark }) => mark), kept: moved.map(plain) });
    this.#untold.clear();
  }
}
