// @ts-check
/**
 * A lift whose load grows: the load of a window, those that come after it, and who is out. Twin of LiftTask.load_at,
 * Format.asked_load and Climb in app/rules/count/settling.py.
 */
import { compare, exact, fraction, plus, times } from "./fractions.js";
import { bestLift } from "./lifts.js";
import { membersIn } from "./turns.js";
import { compareLoads, decimalText, inUnit, load as loadOf, roundTo } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./lifts.js").Lift} Lift */

const MOST = loadOf("2000", "kg"); // as in app/rules/values/units.py
const SHOWN = 60; // loads to come that are worth telling

/** Whether the load of a task grows. @param {any} task */
export const growsLoad = (task) => task?.kind === "lift" && (task.loads ?? []).length > 0;

/** The load by its number from 0 on; where the list ends without a rise, its last. @param {any} task @param {number} number @returns {Load} */
function loadAt({ loads, rise }, number) {
  const last = loads[loads.length - 1];
  const beyond = number - loads.length + 1;
  if (beyond <= 0 || rise == null) return loads[Math.min(number, loads.length - 1)];
  const grown = plus(inUnit(last, last.unit), times(fraction(BigInt(beyond)), inUnit(rise, last.unit)));
  const most = roundTo(inUnit(MOST, last.unit), exact("1"), "down");
  return loadOf(decimalText(compare(grown, most) > 0 ? most : grown, 4), last.unit);
}

/** Which of the windows of the same people, for the same work, a window is, from 0 on. @param {any} format @param {number} win */
function numberOf(format, win) {
  const same = (/** @type {any} */ one) => JSON.stringify([one.task, one.who]) === JSON.stringify([format.windows[win].task, format.windows[win].who]);
  return format.windows.slice(0, win).filter(same).length;
}

/** The load that a lift which grows asks for in a window; null for other work. @param {any} format @param {number} win @returns {Load | null} */
export function askedLoad(format, win) {
  const task = format.tasks[format.windows[win].task];
  return growsLoad(task) ? loadAt(task, task.rises === "window" ? numberOf(format, win) : 0) : null;
}

/** The loads of a lift that grows, from a window's own on; empty for other work. @param {any} format @param {number} win @returns {Load[]} */
export function loadsFrom(format, win) {
  const task = format.tasks[format.windows[win].task];
  if (!growsLoad(task)) return [];
  const from = task.rises === "window" ? numberOf(format, win) : 0;
  const loads = Array.from({ length: SHOWN }, (_, n) => loadAt(task, from + n));
  return loads.filter((load, n) => n === 0 || compareLoads(load, loads[n - 1]) > 0);
}

/** A load that grows, through the windows of its task in order. */
export class Climb {
  /** @type {Set<number | null>} */
  #out = new Set();
  /** Misses running. @type {Map<number | null, number>} */
  #missed = new Map();

  /** @param {any} format @param {any} task */
  constructor(format, task) {
    this.format = format;
    this.task = task;
  }

  /** What counts of a window's lifts, and the marks of those that don't because their lifter was out. @param {number} win @param {Lift[]} found @param {boolean} [over] whether the window is behind */
  through(win, found, over = true) {
    /** @type {string[]} */
    const after = [];
    const lifts = found.map((lift) => this.#one(lift, after));
    const asked = askedLoad(this.format, win);
    if (over && this.task.rises === "window" && asked) {
      const done = lifts.filter((lift) => lift.good && lift.counts && compareLoads(lift.load, asked) >= 0).map((lift) => this.#who(lift));
      for (const who of this.#lifters(win)) if (!done.includes(who)) this.#out.add(who);
    }
    return { lifts, best: bestLift(lifts, this.task.times_reps), after };
  }

  /** Whether a member is out by what was lifted so far. @param {number | null} member */
  isOut(member) {
    return this.#out.has(this.format.members > 1 ? member : null);
  }

  /** @param {Lift} lift @param {string[]} after */
  #one(lift, after) {
    const who = this.#who(lift);
    if (this.#out.has(who)) {
      if (lift.counts) after.push(lift.mark);
      return { ...lift, counts: false };
    }
    if (lift.counts) this.#missed.set(who, lift.good ? 0 : (this.#missed.get(who) ?? 0) + 1);
    if (this.task.misses_out != null && (this.#missed.get(who) ?? 0) >= this.task.misses_out) this.#out.add(who);
    return lift;
  }

  /** @param {Lift} lift */
  #who({ member }) {
    return this.format.members > 1 ? member : null;
  }

  /** @param {number} win @returns {(number | null)[]} */
  #lifters(win) {
    return [null, ...(this.format.members > 1 ? membersIn(this.format, this.format.windows[win]) : [])];
  }
}

/**
 * How a member stands in a window whose load grows: whether they are out by what came before, the load to lift now and the one after
 * it; null where the load does not grow.
 * @param {any} format @param {{windows: import("./tally.js").WindowTally[]}} tally @param {number} win @param {number | null} member
 * @returns {{out: boolean, now: Load | null, next: Load | null} | null}
 */
export function standsAt(format, tally, win, member) {
  const { task: name } = format.windows[win];
  const task = format.tasks[name];
  if (!growsLoad(task)) return null;
  const climb = new Climb(format, task);
  const windows = tally.windows.filter(({ index }) => index <= win && format.windows[index].task === name);
  for (const { index, lifts } of windows) climb.through(index, lifts, index < win);
  const here = windows.filter(({ index }) => task.rises === "lift" || index === win).flatMap(({ lifts }) => lifts);
  const best = bestLift(here.filter((lift) => format.members === 1 || lift.member === member), false);
  const left = loadsFrom(format, win).filter((load) => best === null || compareLoads(load, best.load) > 0);
  return { out: climb.isOut(member), now: left[0] ?? null, next: left[1] ?? null };
}
