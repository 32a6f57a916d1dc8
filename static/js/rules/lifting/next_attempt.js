// @ts-check
/** The attempt that a lifter's next declaration is for, and why one may not stand. Twin of app/rules/count/lifting/next_attempt.py, where the rules are said in words. */
import { compare, plus } from "../fractions.js";
import { MOST_LOAD_KG, compareLoads, decimalText, inKg, inUnit, load as loadOf, plainLoad } from "../units.js";

/** @typedef {import("../units.js").Load} Load */
/** @typedef {"opener-late" | "changes-over" | "change-late" | "change-lower"} Refusal */

/**
 * What a declaration made now is for; moments in ms on the heat clock.
 * @typedef {object} NextAttempt
 * @property {number} number the attempt, from 1 on
 * @property {Load | null} load what was declared for it
 * @property {boolean} own somebody declared it, not the rule alone
 * @property {number} changes how often it was changed
 * @property {Load | null} auto the load that stands from due_ms on where nobody declares; null where no rule puts one in
 * @property {number | null} due_ms
 * @property {number | null} since_ms the attempt's clock; null where it does not run
 * @property {number | null} seconds
 * @property {boolean} follows whoever is called follows their own attempt
 * @property {Load | null} again the load asked for of a try that is made again
 */

/** @param {number} number @returns {NextAttempt} */
export const fresh = (number) => ({ number, load: null, own: false, changes: 0, auto: null, due_ms: null, since_ms: null, seconds: null, follows: false, again: null });

/** Whether the time to declare was over by then. @param {NextAttempt} coming @param {number} at @param {number} lateMs */
export function overdue({ auto, due_ms }, at, lateMs) {
  return auto !== null && due_ms !== null && at >= due_ms + lateMs;
}

/** What is lifted if nobody says another thing. @param {NextAttempt} coming */
export const stands = ({ load, auto }) => load ?? auto;

/** Whether a load is one of those. @param {Load} load @param {(Load | null)[]} others */
const isOne = (load, ...others) => others.some((other) => other !== null && compareLoads(other, load) === 0);

/** Whether a declaration made then changes what stands. @param {any} task @param {NextAttempt} coming @param {number} at @param {number} lateMs */
export function isChange(task, coming, at, lateMs) {
  return coming.own || (Boolean(task.declare_seconds) && overdue(coming, at, lateMs));
}

/**
 * Why the event's rules do not let a load stand that is declared at a moment of the heat clock; null where they do.
 * @param {any} task @param {number} startMs when the lift's window opens @param {NextAttempt} coming @param {Load} load @param {number} at
 * @param {number} lateMs the grace of a bell @returns {Refusal | null}
 */
export function refused(task, startMs, coming, load, at, lateMs) {
  const now = stands(coming);
  if (isOne(load, now, coming.again)) return null;
  const late = tooLittleLeft(task, coming, at, lateMs);
  if (!isChange(task, coming, at, lateMs)) return late ? "change-late" : null;
  const opener = coming.number === 1;
  if (opener && task.opener_seconds != null && at > Math.max(0, startMs - task.opener_seconds * 1000 + lateMs)) return "opener-late";
  const most = changesAllowed(task, coming.number);
  if (most !== null && coming.changes >= most) return "changes-over";
  if (late) return "change-late";
  const lowers = now !== null && compareLoads(load, now) < 0;
  return lowers && (task.lower_change === "never" || (task.lower_change === "opener" && !opener)) ? "change-lower" : null;
}

/** How often the load of an attempt may be changed, null for as often as one likes. @param {any} task @param {number} number @returns {number | null} */
export function changesAllowed(task, number) {
  if (number === 1 && task.opener_changes != null) return task.opener_changes;
  if (number === task.attempts && task.last_changes != null) return task.last_changes;
  return task.changes ?? null;
}

/** How much time must be left on the clock for a declaration; null for none. @param {any} task @param {NextAttempt} coming @returns {number | null} */
export function leftNeeded(task, { follows, own }) {
  return (follows && !own ? task.follow_left_seconds : null) ?? task.change_left_seconds ?? null;
}

/** @param {any} task @param {NextAttempt} coming @param {number} at @param {number} lateMs */
function tooLittleLeft(task, coming, at, lateMs) {
  const needs = leftNeeded(task, coming);
  const { since_ms, seconds } = coming;
  if (needs === null || since_ms === null || seconds === null) return false;
  return at > since_ms + (seconds - needs) * 1000 + lateMs;
}

/** The load of the next attempt by the rule. @param {any} task @param {Load} lifted @param {boolean} good @returns {Load} */
export function automatic(task, lifted, good) {
  if (!good) return lifted;
  const step = task.auto_step ?? task.step_after_good ?? task.step;
  if (compare(plus(inKg(lifted), inKg(step)), MOST_LOAD_KG) > 0) return lifted;
  return loadOf(decimalText(plus(inUnit(lifted, lifted.unit), inUnit(step, lifted.unit)), 4), lifted.unit);
}

/** @typedef {{load: Load, own: boolean, change: boolean, out: boolean}} Declared a declaration that stands, as all was told then; out: for the attempt after */
/** @typedef {{one: import("./bars.js").Try, at: number}} Over the attempt of a try was over */

/** A lifter's attempts, asked anew each time: that a bar was loaded wrong is often told after the try. */
export class Turns {
  /** @type {(Declared | Over)[]} */
  steps = [];

  /** @param {NextAttempt} about what it was made for @param {Load} load @param {boolean} byRule it says no more than the rule's own load @param {boolean} change @param {boolean} out whether the bar is out */
  declared(about, load, byRule, change, out) {
    this.steps.push({ load, own: !(byRule && isOne(load, about.auto)), change: change && !isOne(load, stands(about), about.again), out });
  }

  /** The attempt that comes, the one after it, and what ended the one before. @param {(one: import("./bars.js").Try) => boolean} isVoid */
  told(isVoid) {
    let [now, then] = [fresh(1), fresh(2)];
    /** @type {Over | null} */
    let before = null;
    for (const step of this.steps) {
      if ("load" in step && step.out) then = saying(then, step);
      else if ("load" in step) now = saying(now, step);
      else if (!isVoid(step.one)) [now, then, before] = [then, fresh(then.number + 1), step];
      else {
        now = { ...now, again: step.one.under && plainLoad(step.one.under.body.load) };
        if (then.load !== null) [now, then] = [{ ...now, load: then.load, own: then.own, changes: now.changes + then.changes }, fresh(then.number)];
      }
    }
    return { now, then, before };
  }
}

/** @param {NextAttempt} about @param {Declared} said @returns {NextAttempt} */
function saying(about, { load, own, change }) {
  return { ...about, load, own: about.own || own, changes: about.changes + (change ? 1 : 0) };
}
