// @ts-check
import { el, setData, setText } from "../../../parts/dom.js";
import { printOf } from "../film_print.js";

/** Whether the film that is open is the very file whose print was handed in: worked out in this browser, told to the reviewer. */

/** State and sentence by what is known. @type {Record<string, [string, string]>} */
const SAYS = {
  none: ["none", "No print came with this film, so nobody can tell whether this file is the one that was meant."],
  reading: ["none", "Comparing this file with the print that was handed in…"],
  same: ["safe", "This file is the film that was handed in: the prints are the same."],
  other: ["look", "This is not the file that was handed in: its print is another. A film that was sent on, cut or saved anew has another print too. Get it again; if it stays so, tell headquarters before you seal."],
  unread: ["look", "This browser could not read the whole file, so it is not known whether it is the film that was handed in. Open it again."],
};

export class SameFilm {
  #turn = 0;
  /** @type {File | null} */
  #of = null;

  /** @param {string | null} print as it was handed in; null where none was */
  constructor(print) {
    this.print = print;
    this.node = el("p", { class: "state", "data-role": "same-film", "aria-live": "polite", hidden: true });
  }

  /** Looks at a film, once. @param {File | null} file that is open */
  async draw(file) {
    if (file === null || file === this.#of) return;
    this.#of = file;
    const mine = ++this.#turn; // another film may be opened meanwhile
    this.#say(this.print === null ? "none" : "reading");
    if (this.print === null) return;
    const found = await printOf(file, () => mine === this.#turn).catch(() => "");
    if (mine === this.#turn) this.#say(found === "" ? "unread" : found === this.print ? "same" : "other");
  }

  /** @param {string} what */
  #say(what) {
    const [state, words] = SAYS[what];
    setData(this.node, "state", state);
    setText(this.node, words);
    this.node.hidden = false;
  }
}
