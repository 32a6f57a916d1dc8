// @ts-check

const REST_MS = 400; // two touches of one trembling hand are no two acts

/** Keys that have just come under the finger: they take no touch yet, and can be seen not to. */
export class FreshKeys {
  #resting = 0;

  /** @param {...HTMLElement} keys */
  constructor(...keys) {
    this.keys = keys;
  }

  /** Lets the keys rest, and wakes them afterwards but for those that have nothing to do. @param {HTMLElement[]} stay */
  rest(stay) {
    for (const key of this.keys) key.setAttribute("disabled", "");
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => {
      for (const key of this.keys) key.toggleAttribute("disabled", stay.includes(key));
    }, REST_MS);
  }
}
