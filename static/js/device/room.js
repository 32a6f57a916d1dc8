// @ts-check
import { Watched } from "./watched.js";

const LOOK_MS = 60_000;
const LEAST_FREE = 20_000_000; // bytes; a day of marks is a hundredth of it
const FULL = "This tablet's storage is nearly full: delete something on it between heats.";
const PRIVATE = "This is a private window: it forgets its marks when it is closed. Open this page in an ordinary window.";

/** Watches how much the browser will still keep, and whether it keeps anything beyond this window. On plain http nobody tells. */
export class Room extends Watched {
  /** A sentence for the judge, else empty. */
  sentence = "";

  /** @param {{refusal: string}} mirror whose refusal betrays a private window in some browsers */
  constructor(mirror) {
    super();
    this.mirror = mirror;
    if (!navigator.storage?.estimate) return;
    this.look();
    setInterval(() => this.look(), LOOK_MS);
  }

  /** One look. */
  async look() {
    const { usage = 0, quota = Infinity } = await navigator.storage.estimate().catch(() => ({}));
    const said = this.#isPrivate(quota) ? PRIVATE : quota - usage < LEAST_FREE ? FULL : "";
    if (said === this.sentence) return;
    this.sentence = said;
    this.changed();
  }

  /**
   * No browser says so. Firefox and Safari refuse a private window the second store; Chromium gives it a share of the memory only,
   * less than the heap that one page may have.
   * @param {number} quota
   */
  #isPrivate(quota) {
    const heap = /** @type {any} */ (performance).memory?.jsHeapSizeLimit ?? 0;
    return quota < heap || ["SecurityError", "UnknownError"].includes(this.mirror.refusal);
  }
}
