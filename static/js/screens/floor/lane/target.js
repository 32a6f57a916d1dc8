// @ts-check
import { el, setData, setText } from "../../../parts/dom.js";
import { onLand } from "../../../parts/press.js";
import { Strokes } from "../../../parts/strokes.js";

/** The one target that counts: the number, and behind it the strokes in gates of five. */
export class Target {
  #shown = 0;

  /** @param {() => void} act called at each landing finger */
  constructor(act) {
    this.strokes = new Strokes();
    this.number = el("span", { role: "count" }, "0");
    this.unit = el("span", { class: "target-unit" });
    this.figure = el("span", { class: "target-number" }, this.number, " ", this.unit);
    this.words = el("span", { class: "target-words" });
    this.standards = el("span", { class: "what-counts" });
    const foot = el("span", { class: "target-foot" }, this.words, this.standards);
    this.node = el("button", { type: "button", class: "target", role: "count-target" }, this.strokes.node, this.figure, foot);
    onLand(this.node, act);
  }

  /** Moves the number on as the finger lands; `show` follows with all the rest. @param {1 | -1} by */
  step(by) {
    this.#shown = Math.max(0, this.#shown + by);
    setText(this.number, this.#shown);
  }

  /** Whether a tap is asked for. Where it is not, one is still marked, and the words say what becomes of it. @param {boolean} invites */
  invite(invites) {
    setData(this.node, "done", !invites);
  }

  /**
   * @param {number} shown the number
   * @param {number} strokes how many strokes stand behind it
   * @param {string} words what a tap means now
   * @param {string} [standards] what makes a repetition good
   * @param {string} [unit] what the number says, where it is not what has been done
   */
  show(shown, strokes, words, standards = "", unit = "") {
    this.#shown = shown;
    setText(this.number, shown);
    setText(this.unit, unit);
    setData(this.figure, "short", shown < 100);
    setData(this.figure, "unit", unit !== "");
    this.strokes.show(strokes);
    setText(this.words, words);
    setText(this.standards, standards);
  }
}
