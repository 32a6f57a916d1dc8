// @ts-check
/** A measured number, typed, with its unit. */

import { button, el, setData, setText } from "../../../parts/dom.js";
import { Keypad } from "../../../parts/keypad.js";
import { compare, exact, isMultiple } from "../../../rules/fractions.js";
import { reactionWords } from "./count.js";
import { TakeBack } from "./side.js";

/** What is wrong with a typed number, as a sentence; empty when nothing is. @param {string} text @param {any} task */
export function measureTrouble(text, task) {
  const value = exact(text);
  if (compare(value, exact(task.low)) < 0 || compare(value, exact(task.high)) > 0) return `Between ${task.low} and ${task.high} ${task.unit}.`;
  return isMultiple(value, exact(task.step)) ? "" : `In steps of ${task.step} ${task.unit}.`;
}

/** A measured number, typed, with its unit. */
export class MeasureView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;

  /** @param {import("./state.js").Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.keypad = new Keypad(() => this.#show());
    this.value = el("output", { class: "declare-amount", role: "measure-value" });
    this.says = el("p", { class: "declare-says", "aria-live": "polite" });
    this.recorded = el("p", { class: "soft", role: "measured" });
    this.go = button("Enter the number", () => this.#record(), { class: "act declare-go", role: "measure" });
    this.takeBack = new TakeBack(lane);
    const read = el("div", { class: "declare-read" }, this.value, this.recorded);
    this.node = el("div", { class: "lifting measuring" }, el("div", { class: "choosing" }, el("div", { class: "declare" }, read, this.says, this.keypad.node, this.go)), el("div", { class: "lift-foot" }, this.takeBack.node));
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const { measure } = this.lane.tally.windows[/** @type {number} */ (scene.win)];
    setText(this.recorded, measure === null ? "Nothing entered yet" : `Entered: ${measure} ${this.#task.unit}`);
    this.takeBack.show(scene);
    this.#show();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    return this.keypad.typed(event);
  }

  get #task() {
    const { format } = this.lane;
    return format.tasks[/** @type {string} */ (format.windows[/** @type {number} */ (this.#scene?.win)].task)];
  }

  #show() {
    const { text } = this.keypad;
    const trouble = text ? measureTrouble(text, this.#task) : "";
    setText(this.value, `${text || "–"} ${this.#task.unit}`);
    setText(this.says, trouble || (this.#scene?.late ? LATE_WORDS : ""));
    setData(this.says, "tone", trouble ? "look" : null);
    setText(this.go, text ? `Enter ${text} ${this.#task.unit}` : "Type the number");
    this.go.disabled = !text || Boolean(trouble);
  }

  #record() {
    this.lane.mark("measure", { value: this.keypad.text.replace(/\.$/, "") }, this.#scene?.win ?? null);
    this.keypad.set("");
  }
}
