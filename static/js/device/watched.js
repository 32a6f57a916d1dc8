// @ts-check
/** Something whose changes others want to hear of. A listener that throws never stops the one who changed. */
export class Watched {
  /** @type {Set<() => void>} */
  #watchers = new Set();

  /** One listener of the owner's choice, beside those of `watch`. @type {(() => void) | null} */
  onchange = null;

  /**
   * Calls `listener` after each change, until the returned function is called.
   * @param {() => void} listener
   * @returns {() => void}
   */
  watch(listener) {
    this.#watchers.add(listener);
    return () => this.#watchers.delete(listener);
  }

  /** Tells all listeners. */
  changed() {
    for (const listener of [this.onchange, ...this.#watchers]) {
      try {
        listener?.();
      } catch (wrong) {
        reportError(wrong);
      }
    }
  }
}
