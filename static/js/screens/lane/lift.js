// @ts-check
import { attemptMarks, CROSS, TICK } from "../../parts/attempts.js";
import { Declare } from "../../parts/declare.js";
import { button, el, fill, setData, setText, svg } from "../../parts/dom.js";
import { BarGlance } from "../../parts/glance.js";
import { likelyNext, otherText, sayLoad } from "../../parts/loads.js";
import { onLand } from "../../parts/press.js";
import { TakeBack } from "./side.js";
import { faultName, memberName } from "./words.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("../../device/outbox.js").Mark} Mark */

/**
 * A lift window: declare a load, judge the lift, try again until the bar is racked.
 * Good and no lift lie apart, on the two sides of the load; the fault is asked after the mark is safe.
 */
export class LiftView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;
  #begun = "";
  #changing = false;
  #lifter = 1;
  /** The "no lift" whose fault has not been named. @type {Mark | null} */
  #unnamed = null;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.declare = new Declare((load) => this.#declare(load));
    this.load = el("output", { class: "bar-load", role: "load" });
    this.other = el("p", { class: "bar-other" });
    this.by = el("p", { class: "bar-by soft" });
    this.good = verdict("Good lift", "good-lift", TICK);
    this.no = verdict("No lift", "no-lift", CROSS);
    this.racked = button("Bar racked", () => this.#rack(), { class: "press racked", role: "racked" });
    this.change = button("Change the load", () => this.#change(), { class: "press quiet", role: "change-load" });
    this.faults = el("div", { class: "lift-faults", role: "faults", hidden: true });
    this.line = el("ol", { class: "attempts", role: "attempts", tabindex: 0, "aria-label": "Attempts so far" });
    this.who = el("div", { class: "lifters", role: "lifters" });
    this.says = el("p", { class: "lift-says", "aria-live": "polite" });
    this.glance = new BarGlance();
    this.takeBack = new TakeBack(lane);
    onLand(this.good, () => this.#judge(true));
    onLand(this.no, () => this.#judge(false));
    this.middle = el("div", { class: "bar-read" }, this.by, this.load, this.other, this.glance.node, this.says, this.faults);
    this.judging = el("div", { class: "judging" }, this.good, this.middle, this.no);
    this.choosing = el("div", { class: "choosing" }, this.who, this.declare.node);
    const foot = el("div", { class: "lift-foot" }, this.line, this.racked, this.change, this.takeBack.node);
    this.node = el("div", { class: "lifting" }, this.judging, this.choosing, foot);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const found = this.#found();
    const standing = this.#standing();
    const choosing = this.#changing || (!standing && this.#unnamed === null);
    this.judging.hidden = choosing;
    this.choosing.hidden = !choosing;
    this.racked.hidden = !standing || this.#changing;
    setData(this.racked, "next", found.lifts.some((/** @type {any} */ lift) => lift.declared === standing?.id));
    this.change.hidden = !standing;
    setText(this.change, this.#changing ? "Keep the load" : "Change the load");
    this.declare.note(this.lane.callerWords);
    if (choosing) this.#begin(standing);
    else this.#showLoad(standing);
    fill(this.line, ...attemptMarks(found.lifts, found.best?.mark ?? null, (fault) => faultName(this.lane.format, fault)));
    this.line.scrollLeft = this.line.scrollWidth; // where they don't all fit, the newest is in sight
    this.takeBack.show(scene.win);
  }

  /** Whether a declared bar is waiting to be judged: a lift begun before the bell is decided after it. */
  waiting() {
    const standing = this.#scene && this.#standing();
    return Boolean(standing && !this.#found().lifts.some((/** @type {any} */ lift) => lift.declared === standing.id && lift.good));
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    return !this.choosing.hidden && this.declare.keypad.typed(event);
  }

  get #task() {
    return this.lane.format.tasks[/** @type {string} */ (this.#window.task)];
  }

  get #window() {
    return this.lane.format.windows[/** @type {number} */ (this.#scene?.win)];
  }

  #found() {
    return this.lane.tally.windows[/** @type {number} */ (this.#scene?.win)];
  }

  /** The declaration that stands. @returns {Mark | null} */
  #standing() {
    const id = this.#found().declaration;
    return id === null ? null : (this.lane.marks().find((mark) => mark.id === id) ?? null);
  }

  /** Members who may lift in this window, when the format leaves it open. @returns {number[]} */
  #lifters() {
    const { who } = this.#window;
    if (Array.isArray(who)) return who;
    return Array.from({ length: this.lane.format.members }, (_, i) => i + 1);
  }

  /** Prepares the next declaration, once for each state of the sheet. @param {Mark | null} standing */
  #begin(standing) {
    const lifters = this.#lifters();
    if (!lifters.includes(this.#lifter)) this.#lifter = lifters[0];
    const mine = this.#found().lifts.filter((/** @type {any} */ lift) => lift.member === null || lift.member === this.#lifter);
    const stamp = `${this.lane.sheet}/${this.#scene?.win}/${this.#lifter}/${mine.length}/${standing?.id}/${this.#changing}`;
    if (stamp === this.#begun) return;
    this.#begun = stamp;
    const { attempts } = this.#task;
    const used = new Set(this.#found().lifts.map((/** @type {any} */ lift) => lift.declared ?? lift.mark)).size;
    this.#showLifters(lifters);
    this.declare.begin({
      task: this.#task,
      unit: this.lane.format.unit,
      last: mine.at(-1)?.load ?? null,
      stands: standing?.body.load ?? null,
      from: standing?.body.load ?? likelyNext(mine, this.#task, this.lane.format.unit),
      attemptsLeft: attempts === null ? null : Math.max(0, attempts - used),
    });
  }

  /** @param {number[]} lifters */
  #showLifters(lifters) {
    this.who.hidden = lifters.length < 2;
    const choice = (/** @type {number} */ member) =>
      button(memberName(this.lane.entry, member), () => this.#turnTo(member), { "aria-pressed": String(member === this.#lifter), class: "press quiet" });
    fill(this.who, el("span", { class: "soft" }, "Who lifts?"), ...lifters.map(choice));
  }

  /** @param {number} member */
  #turnTo(member) {
    this.#lifter = member;
    this.render(/** @type {any} */ (this.#scene));
  }

  /** @param {Mark | null} standing */
  #showLoad(standing) {
    const load = standing?.body.load ?? this.#unnamed?.body.load;
    setText(this.load, sayLoad(load));
    setText(this.other, otherText(load));
    this.glance.show(this.lane.packet, this.#task, standing, this.lane.standing());
    const lifter = standing?.body.member ?? this.#lifter;
    const by = standing?.body.by === "lifter" ? "declared by the lifter" : "declared";
    setText(this.by, this.lane.format.members > 1 ? `${memberName(this.lane.entry, lifter)}, ${by}` : by);
    const over = this.#scene?.late || this.#scene?.held;
    setText(this.says, over ? this.#lateWords() : "");
    setData(this.says, "tone", over ? "look" : null);
    if (this.#unnamed && this.lane.tally.struck.includes(this.#unnamed.id)) this.#unnamed = null;
    this.faults.hidden = this.#unnamed === null;
  }

  #lateWords() {
    const what = this.#scene?.held ? "The heat is held." : "The bell has gone.";
    return `${what} Judge only a lift ${this.#task.counts_when === "begun" ? "begun" : "finished"} before it.`;
  }

  /** @param {any} load */
  #declare(load) {
    const lifters = this.#lifters();
    this.#changing = false;
    this.#unnamed = null;
    this.lane.mark("declare", { load, by: "judge", ...(lifters.length > 1 ? { member: this.#lifter } : {}) }, this.#scene?.win ?? null);
  }

  #change() {
    this.#changing = !this.#changing;
    this.render(/** @type {any} */ (this.#scene));
  }

  /** @param {boolean} good */
  #judge(good) {
    const standing = this.#standing();
    if (!standing) return;
    const { load, member } = standing.body;
    const body = { load, good, declared: standing.id, ...(member ? { member } : {}) };
    const mark = this.lane.mark("lift", body, this.#scene?.win ?? null);
    this.#unnamed = good ? null : mark;
    navigator.vibrate?.(good ? 20 : [20, 60, 20]);
    if (!good) this.#askFault();
  }

  #askFault() {
    const faults = this.lane.format.movements[this.#task.movement].faults ?? [];
    if (!faults.length) this.#unnamed = null;
    const choices = faults.map((/** @type {any} */ fault) => button(fault.name, () => this.#name(fault.id), { class: "press fault", "data-fault": fault.id }));
    fill(this.faults, el("p", { class: "faults-title" }, "No lift, because:"), ...choices, button("Not named", () => this.#name(null), { class: "press quiet" }));
  }

  /** Puts the fault on the sheet: the mark without it is struck out, and made again at its own time with it. @param {string | null} fault */
  #name(fault) {
    const plain = this.#unnamed;
    this.#unnamed = null;
    this.faults.hidden = true;
    if (plain && fault) {
      this.lane.strike(plain);
      this.lane.mark("lift", { ...plain.body, fault }, plain.win, plain.at);
    }
    this.lane.tablet.outbox.changed();
  }

  #rack() {
    const standing = this.#standing();
    if (standing) this.lane.mark("racked", { declared: standing.id }, this.#scene?.win ?? null);
    this.#unnamed = null;
  }
}

/** A plane with a drawn sign and its words. @param {string} words @param {string} role @param {string} sign */
function verdict(words, role, sign) {
  const drawn = svg("svg", { class: "verdict-sign", viewBox: "0 0 20 20", "aria-hidden": "true" }, svg("path", { d: sign }));
  return el("button", { type: "button", class: `press ${role}`, role }, drawn, el("span", { class: "press-words" }, words));
}
