// @ts-check
/** Choosing the next load, up and down by the step or typed. */

import { doubtAbout, typedLoad } from "../rules/typed_loads.js";
import { BadMeasure, compareLoads } from "../rules/units.js";
import { button, el, setData, setText } from "./dom.js";
import { Keypad } from "./keypad.js";
import { otherText, sayLoad, stepIn, stepped } from "./loads.js";
import { say } from "../words/say.js";

/** @typedef {import("./loads.js").Load} Load */

/**
 * What a declaration starts from.
 * @typedef {object} Lifting
 * @property {any} task the lift task
 * @property {"kg" | "lb"} unit
 * @property {Load | null} last load judged last, if any
 * @property {Load | null} [tried] the heaviest load tried, if any
 * @property {Load | null} [planned] load that was to come next by the lifter's plan, if any
 * @property {Load | null} [heaviest] the heaviest believable load of the movement, if the event names one
 * @property {import("../rules/plates.js").Kit | null} [kit] what the lane can put on its bar, where the desk has said it
 * @property {Load | null} from load to start from
 * @property {Load | null} stands load that is declared already, if any
 * @property {string} [ask] what to ask once before any load is declared, where there is something
 * @property {number | null} attemptsLeft null: as many as time allows
 * @property {boolean} [out] on a judge's screen, which says here that none is left: whether misses alone leave the lifter none. Then one more
 *   may be written down, once it is asked for: it counts if the head judge changes a miss. One too many never counts, whatever is ruled
 * @property {(load: Load, record: boolean) => string} [refuse] why a load may not be declared now, empty where it may
 * @property {boolean} [verb] it is said what is on the bar: that is no declaration
 */

const MANY = 5; // least steps in the bigger step

/** Choosing the next load: up and down by the least step, or typed. Says the load in both units before it is declared. */
export class Declare {
  /** @type {Lifting | null} */
  #lifting = null;
  /** @type {Load | null} */
  #chosen = null;
  #unit = /** @type {"kg" | "lb"} */ ("kg");
  /** @type {import("../rules/typed_loads.js").Doubt | null} */
  #doubt = null;
  /** What can't be about the typed load, in a sentence; told when somebody wants to declare it. */
  #wrong = "";
  #told = false;
  #refused = "";
  #sure = false;
  #note = "";
  /** Whether a record is attempted, where the event has a finer step for that. */
  #record = false;
  /** Whether one attempt more is written down, though none is left. */
  #anyway = false;

  /** Called when another load is chosen. */
  onchange = () => {};

  /**
   * @param {(load: Load, more: {record?: true}) => void} act
   * @param {{bigger?: boolean}} [options] bigger: a second pair of keys steps further
   */
  constructor(act, { bigger = false } = {}) {
    this.act = act;
    this.keypad = new Keypad(() => this.#typed(), { letters: true });
    this.amount = el("output", { class: "declare-amount", role: "declare-load", "aria-live": "polite" });
    this.other = el("p", { class: "declare-other soft" });
    this.down = button("", () => this.#step(-1), { class: "key step", role: "load-down" });
    this.up = button("", () => this.#step(1), { class: "key step", role: "load-up" });
    this.further = bigger ? [this.#biggerKey(-1), this.#biggerKey(1)] : [];
    this.unit = button("", () => this.#turnUnit(), { class: "plain declare-unit", role: "declare-unit" });
    this.type = button("", () => this.#turnTyping(), { class: "plain declare-type" });
    this.record = button(say("Record attempt"), () => this.#turnRecord(), { class: "plain declare-unit", role: "record", hidden: true });
    this.says = el("p", { class: "declare-says", role: "declare-says", "aria-live": "polite" });
    this.more = button(say("Declare one more anyway"), () => this.#oneMore(), { class: "press quiet declare-more", role: "one-more", hidden: true });
    this.go = button("", () => this.#declare(), { class: "act declare-go", role: "declare" });
    const read = el("div", { class: "declare-read" }, this.amount, this.other, el("div", { class: "declare-how" }, this.unit, this.type, this.record));
    this.node = el(
      "div",
      { class: "declare", "data-bigger": bigger },
      el("div", { class: "declare-load" }, this.down, read, this.up, ...this.further),
      this.says,
      this.keypad.node,
      this.more,
      this.go,
    );
  }

  /** The load that is chosen and nothing stands against, or null. @returns {Load | null} */
  get chosen() {
    return this.#wrong ? null : this.#chosen;
  }

  /** Says something where there is nothing more urgent; and looks again whether the load may be declared. @param {string} words */
  note(words) {
    if (words === this.#note) return this.look();
    this.#note = words;
    if (this.#lifting) this.#label();
  }

  /** Looks again whether the load may be declared now: that can end with time. */
  look() {
    if (this.#lifting?.refuse && this.#refusal !== this.#refused) this.#label();
  }

  /** Why what is chosen may not be declared now; empty where it may. */
  get #refusal() {
    const { refuse = null } = this.#lifting ?? {};
    if (!refuse || !this.chosen || this.#same) return "";
    return refuse(this.chosen, this.#record);
  }

  /** Starts a new choice. @param {Lifting} lifting @param {boolean} [goesOn] more is known of the same one: what is being typed stays */
  begin(lifting, goesOn = false) {
    const typed = goesOn ? this.keypad.text : "";
    this.#lifting = lifting;
    this.#unit = lifting.unit;
    this.#record = this.#anyway = false;
    this.record.hidden = !lifting.task.record_step || Boolean(lifting.verb);
    this.keypad.text = "";
    if (typed) return this.keypad.set(typed);
    this.#turnTyping(false);
    this.choose(lifting.from);
  }

  /** Puts a load in, for a person to declare. @param {Load | null} load */
  choose(load) {
    this.keypad.text = "";
    if (load) this.#unit = load.unit;
    this.#take(load);
  }

  /** Whether no attempt is left, and none more was asked for. */
  get #over() {
    return this.#lifting?.attemptsLeft === 0 && !this.#anyway;
  }

  #oneMore() {
    this.#anyway = true;
    this.#take(this.#chosen);
  }

  /** On a phone the digits take the place of the steps. @param {boolean} [typing] */
  #turnTyping(typing = !this.node.hasAttribute("data-typing")) {
    setData(this.node, "typing", typing);
    setText(this.type, typing ? say("Use the steps") : say("Type it"));
  }

  /** The task, with the step of a record where one is attempted. */
  get #task() {
    const { task } = /** @type {Lifting} */ (this.#lifting);
    return this.#record ? { ...task, step: task.record_step } : task;
  }

  #turnRecord() {
    this.#record = !this.#record;
    this.#take(this.#chosen);
  }

  get #around() {
    const { last, tried = null, planned = null, heaviest = null, kit = null } = /** @type {Lifting} */ (this.#lifting);
    return { last, tried, planned, heaviest, kit };
  }

  /** @param {Load | null} load */
  #take(load) {
    this.#read(() => (load ? { load, doubt: doubtAbout(load, this.#task, this.#around) } : null), load);
  }

  #typed() {
    const { text } = this.keypad;
    this.#read(() => (text ? typedLoad(text, this.#task, this.#unit, this.#around) : null), null);
  }

  /** @param {() => {load: Load, doubt: any} | null} read @param {Load | null} anyway what is shown where it can't be */
  #read(read, anyway) {
    this.#wrong = "";
    try {
      const found = read();
      this.#chosen = found?.load ?? null;
      const ask = this.#anyway ? say("Out on misses: it counts only if the head judge changes one of them.") : this.#lifting?.ask;
      this.#doubt = found?.doubt ?? (found && ask ? { sentence: ask, offers: [] } : null);
    } catch (wrong) {
      if (!(wrong instanceof BadMeasure)) throw wrong;
      this.#chosen = anyway;
      this.#doubt = null;
      this.#wrong = wrong.message;
    }
    this.#show();
  }

  /** @param {1 | -1} way */
  #biggerKey(way) {
    return button("", () => this.#step(way, MANY), { class: "key step further", role: way < 0 ? "load-far-down" : "load-far-up" });
  }

  /** @param {1 | -1} way @param {number} [count] */
  #step(way, count = 1) {
    const { bar, step } = this.#task;
    if (count === 1 && this.#offers.length === 2) return this.choose(this.#offers[way < 0 ? 0 : 1]);
    this.keypad.text = "";
    this.#take(stepped(this.#chosen ?? bar, step, way, bar, this.#unit, count));
  }

  /** Loads that may have been meant instead. @returns {Load[]} */
  get #offers() {
    return this.#doubt?.offers ?? [];
  }

  /** The one that may have been meant. Off the step there are two: the step keys take them. @returns {Load | null} */
  get #offer() {
    return this.#offers.length === 1 ? this.#offers[0] : null;
  }

  #turnUnit() {
    if (this.#offer) return this.choose(this.#offer);
    this.#unit = this.#unit === "kg" ? "lb" : "kg";
    this.keypad.text = "";
    this.#take(null);
  }

  #declare() {
    if (this.#wrong) {
      this.#told = true;
      this.#label();
      return;
    }
    if (!this.#chosen) return;
    if (this.#refusal) return this.#label();
    if (this.#doubt && !this.#sure) {
      this.#sure = true;
      this.#label();
      return;
    }
    this.act(this.#chosen, this.#record ? { record: true } : {});
  }

  #show() {
    this.#sure = false;
    this.#told = false;
    this.record.setAttribute("aria-pressed", String(this.#record));
    setText(this.amount, this.#chosen ? sayLoad(this.#chosen) : this.keypad.text ? `${this.keypad.text} ${this.#unit}` : `– ${this.#unit}`);
    setText(this.other, this.#chosen ? otherText(this.#chosen) : this.#wrong ? "" : say("Step up, or type a load"));
    const step = stepIn(this.#task.step, this.#unit);
    const apart = this.#offers.length === 2;
    for (const [key, sign, n] of /** @type {const} */ ([[this.down, "−", 0], [this.up, "+", 1]])) {
      setText(key, apart ? say("Take {load}", { load: sayLoad(this.#offers[n]).replace(" ", "\u00a0") }) : `${sign} ${sayLoad(step)}`);
      setData(key, "take", apart);
    }
    const far = stepped({ amount: "0", unit: step.unit }, step, 1, { amount: "0", unit: step.unit }, step.unit, MANY);
    this.further.forEach((key, i) => setText(key, `${i ? "+" : "−"} ${sayLoad(far)}`));
    this.#label();
    this.onchange();
  }

  /** Whether what is chosen is what stands declared: then there is nothing to declare. */
  get #same() {
    const { stands = null } = this.#lifting ?? {};
    return stands !== null && this.#chosen !== null && !this.#wrong && compareLoads(stands, this.#chosen) === 0;
  }

  /** What the key that declares says. @param {string} load empty while there is none @param {boolean} changes */
  #goWords(load, changes) {
    const sure = this.#sure;
    if (this.#same) return say("Unchanged: {load}", { load });
    if (this.#lifting?.verb) return sure ? say("Yes, on the bar: {load}", { load }) : say("On the bar: {load}", { load });
    if (changes) return sure ? say("Yes, change to {load}", { load }) : load ? say("Change to {load}", { load }) : say("Change to");
    return sure ? say("Yes, declare {load}", { load }) : load ? say("Declare {load}", { load }) : say("Declare");
  }

  #label() {
    const left = this.#lifting?.attemptsLeft;
    const over = () => (this.#lifting?.out ? say("Out on misses: no attempts left.") : say("attempts_used", { n: this.#lifting?.task.attempts }));
    const usual = left === null || left === undefined ? "" : left ? say("attempts_left", { n: left }) : over();
    setData(this.node, "over", this.#over);
    this.more.hidden = !this.#over || !this.#lifting?.out;
    this.node.hidden = this.#over && this.#lifting?.out === undefined; // whoever shows it says so
    this.#refused = this.#refusal;
    const trouble = !this.#over && ((this.#told && this.#wrong) || this.#refused || this.#doubt?.sentence || "");
    setText(this.says, trouble || [this.#over ? "" : this.#note, usual].filter(Boolean).join(" "));
    setData(this.says, "tone", trouble ? "look" : null);
    setText(this.unit, this.#offer ? say("Take {load}", { load: sayLoad(this.#offer) }) : otherUnit(this.#unit === "kg" ? "lb" : "kg", Boolean(this.#lifting?.verb)));
    const load = this.#chosen && !this.#wrong ? sayLoad(this.#chosen) : "";
    const stands = this.#lifting?.stands ?? null;
    const asks = Boolean(this.#wrong || (this.#doubt && !this.#sure));
    setText(this.go, this.#goWords(load, stands !== null) + (asks && load ? "?" : ""));
    setData(this.go, "asks", asks);
    setData(this.node, "same", this.#same);
    this.go.disabled = this.#over || Boolean(this.#refused) || this.#same || (!this.#wrong && !this.#chosen);
  }
}

/** @param {LoadUnit} unit @param {boolean} plain whether nothing is declared by it */
const otherUnit = (unit, plain) => (plain ? say("In {unit}", { unit }) : say("Declare in {unit}", { unit }));
