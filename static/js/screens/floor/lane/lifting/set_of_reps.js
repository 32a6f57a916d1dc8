// @ts-check
import { button, el, setText } from "../../../../parts/dom.js";
import { onLand } from "../../../../parts/press.js";
import { say } from "../../../../words/say.js";

/** Repetitions of one set, where a lift is worth its load times its repetitions. */
export class SetOfReps {
  count = 0;
  #of = "";

  /** @param {() => void} changed */
  constructor(changed) {
    this.changed = changed;
    this.less = button("− 1", () => this.#add(-1), { class: "press", role: "rep-less" });
    this.more = el("button", { type: "button", class: "press rep-more", role: "rep-more" }, say("+ 1 repetition"));
    this.shown = el("output", { class: "rep-count", role: "rep-count", "aria-live": "polite" });
    this.node = el("div", { class: "set-of-reps", hidden: true }, this.less, this.shown, this.more);
    onLand(this.more, () => this.#add(1));
  }

  /** Begins again for another try. @param {string} key names the try @param {boolean} asked whether repetitions are counted here */
  show(key, asked) {
    if (key !== this.#of) this.count = 0;
    this.#of = key;
    this.node.hidden = !asked;
    this.less.disabled = this.count === 0;
    setText(this.shown, this.count);
  }

  /** @param {number} by */
  #add(by) {
    this.count = Math.max(0, Math.min(1000, this.count + by));
    this.changed();
  }
}
