// @ts-check
/** What a touch need not wait for. */

// A touch is painted by then, on a slow tablet too, and as a rule the desk has answered it: both are done with in one.
const AFTER_PAINT_MS = 50;

/** Work that is done once a touch has been painted, however often it is asked for meanwhile. Nobody looks at a hidden page, and its timers
 * are slow: there it is done at once, and when the page goes. */
export class AfterPaint {
  #asked = false;
  #act;

  /** @param {() => void} act */
  constructor(act) {
    this.#act = act;
    addEventListener("pagehide", () => this.#now());
    document.addEventListener("visibilitychange", () => this.#now());
  }

  /** Has it done soon. */
  ask() {
    const asked = this.#asked;
    this.#asked = true;
    if (document.hidden) this.#now();
    else if (!asked) setTimeout(() => this.#now(), AFTER_PAINT_MS);
  }

  #now() {
    if (!this.#asked) return;
    this.#asked = false;
    this.#act();
  }
}
