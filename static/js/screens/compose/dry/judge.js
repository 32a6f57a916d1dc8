// @ts-check
/** Judges a lane by itself, for the dry run. */

import { endMs, startMs } from "../../../rules/clock.js";
import { stepped } from "../../../parts/loads.js";

/** @typedef {import("../../floor/lane/state.js").Lane} Lane */

const STEP_MS = 100; // of the heat clock, between two looks
const USUAL_REP_MS = 1600;
const FASTER_THAN_BOUND = 2.5; // a person keeps well above the least believable time
const NO_REP_EACH = 9;
const TARGET_BY = 0.7; // of its window
const LIST_BY = 0.85;
const LIFT_MS = 25_000;
const DECLARE_AFTER_MS = 4000;
const RACKED_AFTER_MS = 3000;
const FIRST_LOAD_STEPS = 40;
const NEXT_LOAD_STEPS = 5;
const MEASURE_BY = 0.97;
/** What somebody does of a measured thing in a second; only to show a number of the right size. @type {Record<string, number>} */
const IN_A_SECOND = { m: 3.5, km: 0.0035, ft: 11, mi: 0.0022, cal: 0.3, kJ: 1.2, s: 0.8, cm: 1, in: 0.5 };

/** Judges a lane by itself: taps, no-reps, lifts and numbers as a person might make them, each at its time on the heat clock. */
export class DryJudge {
  #at = 0;
  /** When the next tap of a window is due. @type {Map<number, number>} */
  #due = new Map();
  #taps = 0;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
  }

  /** The clock was set: what is due is found anew. @param {number} ms */
  set(ms) {
    this.#at = ms;
    this.#due.clear();
  }

  /** Makes the marks that fall due up to a moment. @param {number} ms */
  until(ms) {
    while (this.#at < ms) {
      this.#at = Math.min(this.#at + STEP_MS, ms);
      this.lane.format.windows.forEach((window, index) => {
        if (window.task != null && this.#at >= startMs(window) && this.#at < endMs(window)) this.#look(index);
      });
    }
  }

  /** @param {number} index of a window that is open now */
  #look(index) {
    const { format } = this.lane;
    const window = format.windows[index];
    const task = format.tasks[/** @type {string} */ (window.task)];
    const due = this.#due.get(index) ?? this.#first(index, task.kind);
    this.#due.set(index, due);
    if (this.#at < due) return;
    const make = { count: () => this.#count(index, task), list: () => this.#list(index, task), lift: () => this.#lift(index, task), measure: () => this.#measure(index, task) };
    this.#due.set(index, due + Math.max(STEP_MS, make[/** @type {keyof typeof make} */ (task.kind)]()));
  }

  /** @param {number} index @param {string} kind */
  #first(index, kind) {
    const window = this.lane.format.windows[index];
    const begun = Math.max(startMs(window), this.#at - STEP_MS);
    if (kind === "measure") return startMs(window) + window.seconds * 1000 * MEASURE_BY;
    return kind === "lift" ? begun + DECLARE_AFTER_MS : begun + USUAL_REP_MS;
  }

  /** @param {string} movement @param {number} wanted ms */
  #pace(movement, wanted) {
    return Math.max(wanted, (this.lane.format.movements[movement].fastest_ms ?? 0) * FASTER_THAN_BOUND);
  }

  /** A repetition, now and then a no-rep. @param {number} index @param {string} movement */
  #rep(index, movement) {
    this.#taps += 1;
    const [likely] = this.lane.format.movements[movement].faults ?? [];
    if (likely && this.#taps % NO_REP_EACH === 0) this.lane.mark("norep", { fault: likely.id, movement }, index, this.#at);
    else this.lane.mark("rep", {}, index, this.#at);
  }

  /** @param {number} index @param {any} task @returns {number} ms until the next */
  #count(index, task) {
    const found = this.lane.tally.windows[index];
    const length = this.lane.format.windows[index].seconds * 1000;
    if (found.target !== null && found.count >= found.target) return length;
    this.#rep(index, task.movement);
    return this.#pace(task.movement, found.target === null ? USUAL_REP_MS : Math.min(USUAL_REP_MS * 2, (length * TARGET_BY) / found.target));
  }

  /** @param {number} index @param {any} task */
  #list(index, task) {
    const found = this.lane.tally.windows[index];
    const length = this.lane.format.windows[index].seconds * 1000;
    const inRound = task.items.reduce((/** @type {number} */ sum, /** @type {any} */ item) => sum + item.reps, 0);
    const all = task.rounds === null ? Infinity : inRound * task.rounds;
    if (found.count >= all) {
      if (found.finish_ms === null || !this.#finished(index)) this.lane.mark("finish", {}, index, this.#at);
      return length;
    }
    let done = found.count % inRound;
    const item = task.items.find((/** @type {any} */ one) => (done -= one.reps) < 0);
    this.#rep(index, item.movement);
    const wanted = all === Infinity ? USUAL_REP_MS : Math.min((length * LIST_BY) / all, length / 12);
    return this.#pace(item.movement, wanted);
  }

  /** @param {number} index */
  #finished(index) {
    return this.lane.standing().some((mark) => mark.kind === "finish" && mark.win === index);
  }

  /** Declared, lifted, racked, one after another; every third is missed. @param {number} index @param {any} task */
  #lift(index, task) {
    const found = this.lane.tally.windows[index];
    const standing = this.lane.marks().find((mark) => mark.id === found.declaration);
    if (!standing) return this.#declare(index, task, found);
    const { load, member } = standing.body;
    const who = member ? { member } : {};
    if (found.lifts.some((/** @type {any} */ lift) => lift.declared === standing.id)) {
      this.lane.mark("racked", { declared: standing.id }, index, this.#at);
      return RACKED_AFTER_MS;
    }
    const good = found.lifts.length % 3 !== 2;
    const [likely] = this.lane.format.movements[task.movement].faults ?? [];
    const fault = !good && likely ? { fault: likely.id } : {};
    this.lane.mark("lift", { load, good, declared: standing.id, ...who, ...fault }, index, this.#at);
    return RACKED_AFTER_MS;
  }

  /** @param {number} index @param {any} task @param {any} found tally of the window */
  #declare(index, task, found) {
    const window = this.lane.format.windows[index];
    const used = new Set(found.lifts.map((/** @type {any} */ lift) => lift.declared ?? lift.mark)).size;
    if (task.attempts !== null && used >= task.attempts) return window.seconds * 1000;
    const lifters = Array.isArray(window.who) ? window.who : this.lane.format.members > 1 ? [...Array(this.lane.format.members).keys()].map((i) => i + 1) : [];
    const member = lifters.length > 1 ? { member: lifters[used % lifters.length] } : {};
    const steps = FIRST_LOAD_STEPS + used * NEXT_LOAD_STEPS;
    let load = task.bar;
    for (let i = 0; i < steps; i++) load = stepped(load, task.step, 1, task.bar, task.step.unit);
    this.lane.mark("declare", { load, by: "judge", ...member }, index, this.#at);
    return LIFT_MS;
  }

  /** @param {number} index @param {any} task */
  #measure(index, task) {
    const window = this.lane.format.windows[index];
    const likely = window.seconds * (IN_A_SECOND[task.unit] ?? 1);
    const [low, high, step] = [task.low, task.high, task.step].map(numberOf);
    const value = Math.max(Math.min(Math.round(likely / step) * step, high), low);
    this.lane.mark("measure", { value: String(Number(value.toFixed(4))) }, index, this.#at);
    return window.seconds * 1000;
  }
}

/** An exact number of the format, `1/3` or `0.5`, as near as a picture needs it. @param {string | number} text */
function numberOf(text) {
  const [above, below = "1"] = String(text).split("/");
  return Number(above) / Number(below);
}
