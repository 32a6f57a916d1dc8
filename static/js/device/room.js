// @ts-check
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

const LOOK_MS = 60_000;
const LEAST_FREE = 20_000_000; // bytes; a day of marks is a hundredth of it
const FULL = say("This tablet's storage is nearly full: delete something on it between heats.");
const PRIVATE = say("This looks like a private window: it would lose its marks when closed. Open this page in an ordinary window.");
const NO_WORD = say("We can't tell whether this browser keeps marks when its window is closed: a private window does not.");

/** Watches how much the browser will still keep, and whether it keeps anything beyond this window. On plain http nobody tells. */
export class Room extends Watched {
  /** A sentence for the judge, else empty. */
  sentence = "";
  /** Whether the browser has given its word to keep what is stored here. */
  kept = false;

  /** @param {{refusal: string}} mirror whose refusal betrays a private window in some browsers */
  constructor(mirror) {
    super();
    this.mirror = mirror;
    if (!navigator.storage?.estimate) return;
    // Asks for that word where the browser decides by itself; others would ask the judge, in the middle of a heat.
    if ("userAgentData" in navigator) navigator.storage.persist().catch(() => false).then(() => this.look());
    this.look();
    setInterval(() => this.look(), LOOK_MS);
  }

  /** One look. */
  async look() {
    this.kept = await navigator.storage.persisted().catch(() => false);
    const { usage = 0, quota = Infinity } = await navigator.storage.estimate().catch(() => ({}));
    const said = this.#isPrivate(quota) ? PRIVATE : quota - usage < LEAST_FREE ? FULL : "";
    if (said === this.sentence) return;
    this.sentence = said;
    this.changed();
  }

  /** What is not known of this window, else empty: today's browsers show a private one the same room as any other. */
  get doubt() {
    return this.kept || this.sentence === PRIVATE ? "" : NO_WORD;
  }

  /**
   * No browser says so. Firefox and Safari refuse a private window the second store. Older Chromium gave it a share of the memory only,
   * less than the heap that one page may have; 156 shows it the same 10 GB as any other (measured), and nothing tells.
   * @param {number} quota
   */
  #isPrivate(quota) {
    const heap = /** @type {any} */ (performance).memory?.jsHeapSizeLimit ?? 0;
    return (!this.kept && quota < heap) || ["SecurityError", "UnknownError"].includes(this.mirror.refusal);
  }
}
