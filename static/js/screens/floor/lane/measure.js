// @ts-check
/** A measured number, typed, with its unit. */

import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { Keypad } from "../../../parts/keypad.js";
import { compare, exact, isMultiple } from "../../../rules/fractions.js";
import { sharers } from "../../../rules/turns.js";
import { Pick } from "./members/pick.js";
import { TakeBack } from "./side.js";
import { andAll } from "./words.js";
import { say } from "../../../words/say.js";

const LATE_WORDS = say("The bell has gone. Enter only what was done before it.");
const HELD_WORDS = say("The heat is held. Enter only what was done before.");

/** What is wrong with a typed number, as a sentence; empty when nothing is. @param {string} text @param {any} task */
function measureTrouble(text, task) {
  const value = exact(text);
  if (compare(value, exact(task.low)) < 0 || compare(value, exact(task.high)) > 0) return say("Between {low} and {high} {unit}.", { low: task.low, high: task.high, unit: task.unit });
  return isMultiple(value, exact(task.step)) ? "" : say("In steps of {step} {unit}.", { step: task.step, unit: task.unit });
}

/** A unit in full: a bare m beside the clock would be minutes. @param {string} unit */
function unitName(unit) {
  return say(/** @type {any} */ (`unit.${unit}`));
}

/** A measured number, typed, with its unit; where any member may do it, after a touch on whose it is. */
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
    this.go = button(say("Enter the number"), () => this.#record(), { class: "act declare-go", role: "measure" });
    this.takeBack = new TakeBack(lane);
    const read = el("div", { class: "declare-read" }, this.value, this.recorded);
    this.pick = new Pick(say("Whose number?"), (member) => this.#turnTo(member));
    this.other = button(say("Somebody else's"), () => this.#turnTo(null), { class: "press quiet", role: "picks-again" });
    this.typing = el("div", { class: "choosing" }, el("div", { class: "declare of-number" }, read, this.says, this.keypad.node, this.go));
    this.node = el("div", { class: "lifting measuring" }, this.pick.node, this.typing, el("div", { class: "lift-foot" }, this.other, this.takeBack.node));
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const { measure, shares } = this.lane.tally.windows[/** @type {number} */ (scene.win)];
    const members = this.#members;
    const asks = members.length > 0 && this.#member === null;
    this.pick.node.hidden = !asks;
    this.typing.hidden = asks;
    this.other.hidden = asks || !members.length;
    this.pick.show(this.lane, members, (member) => {
      const mine = shares.find((/** @type {any} */ one) => one.member === member)?.measure ?? null;
      return mine === null ? say("nothing entered yet") : `${mine} ${this.#task.unit}`;
    });
    setText(this.recorded, measure === null ? this.#whoseWords() : say("Entered: {measure} {unit}", { measure, unit: this.#task.unit }));
    setData(this.recorded, "open", measure === null);
    this.takeBack.show(scene);
    this.#show();
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    return !this.typing.hidden && this.keypad.typed(event);
  }

  get #members() {
    const { format } = this.lane;
    return sharers(format, format.windows[/** @type {number} */ (this.#scene?.win)]);
  }

  /** Whose number is typed; null where that is plain, or not said yet. @returns {number | null} */
  get #member() {
    return this.#members.length ? this.lane.turns.picked(/** @type {number} */ (this.#scene?.win)) : null;
  }

  /** @param {number | null} member */
  #turnTo(member) {
    this.keypad.set("");
    this.lane.turns.pick(/** @type {number} */ (this.#scene?.win), member);
    this.lane.tablet.outbox.changed();
  }

  get #task() {
    const { format } = this.lane;
    return format.tasks[/** @type {string} */ (format.windows[/** @type {number} */ (this.#scene?.win)].task)];
  }

  #show() {
    const { text } = this.keypad;
    const trouble = text ? measureTrouble(text, this.#task) : "";
    const over = this.#scene?.held ? HELD_WORDS : this.#scene?.late ? LATE_WORDS : "";
    fill(this.value, el("span", { class: "measure-typed" }, text), ` ${unitName(this.#task.unit)}`);
    setText(this.says, trouble || over);
    setData(this.says, "tone", trouble ? "look" : over ? "now" : null);
    setText(this.go, text ? say("Enter {text} {unit}", { text, unit: this.#task.unit }) : say("Type the number first"));
    setData(this.go, "empty", !text);
    this.go.disabled = !text || Boolean(trouble);
  }

  /** Whose number it is where all work together, and when it is read off. */
  #whoseWords() {
    const { format, entry } = this.lane;
    const { who } = format.windows[/** @type {number} */ (this.#scene?.win)];
    const together = who === "all" ? entry.members.map((_, n) => n + 1) : Array.isArray(who) ? who : [];
    if (together.length < 2) return say("measure.when");
    const names = together.length === 2 ? andAll(together.map(this.lane.whose)) : entry.name;
    return say("One number for {names} together. {when}", { names, when: say("measure.when") });
  }

  #record() {
    const whose = this.#member === null ? {} : { member: this.#member };
    this.lane.mark("measure", { value: this.keypad.text.replace(/\.$/, ""), ...whose }, this.#scene?.win ?? null);
    this.keypad.set("");
  }
}
