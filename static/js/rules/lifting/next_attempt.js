// @ts-check
/** The attempt that a lifter's next declaration is for, and why one may not stand. Twin of app/rules/count/lifting/next_attempt.py, where the rules are said in words. */
import { compare, fraction, plus } from "../fractions.js";
import { readAt } from "./bars.js";
import { pastEnd } from "./in_time.js";
import { judged } from "./judged.js";
import { MOST_LOAD_KG, compareLoads, decimalText, inKg, inUnit, load as loadOf, plainLoad, roundTo } from "../units.js";

/** @typedef {import("../units.js").Load} Load */
/** @typedef {import("./bars.js").Said} Said */
/** @typedef {(typeof REFUSALS)[number]} Refusal */

/** Why a declaration may not stand, each the key of a flag and of a sentence. */
export const REFUSALS = /** @type {const} */ (["opener-late", "changes-over", "change-late", "change-lower"]);
/** What a time is held against a declaration for: that it was over, or that it may have been. */
const OVER = ["past"];
const PERHAPS = ["past", "doubt"];
const FINEST = fraction(1n, 10_000n); // of a load's unit

/**
 * What a declaration made now is for; moments in ms on the heat clock.
 * @typedef {object} NextAttempt
 * @property {number} number the attempt, from 1 on
 * @property {Load | null} load what was declared for it
 * @property {boolean} own somebody declared it, not the rule alone
 * @property {number} changes how often it was changed
 * @property {Load | null} auto the load that stands from due_ms on where nobody declares; null where no rule puts one in
 * @property {number | null} due_ms
 * @property {Said | null} over when the attempt before was over; null where no rule puts a load in
 * @property {number | null} since_ms the attempt's clock; null where it does not run
 * @property {number | null} seconds
 * @property {Said[]} told the moments of which the latest began it
 * @property {boolean} follows whoever is called follows their own attempt
 * @property {Load | null} again the load asked for of a try that is made again
 */

/** @param {number} number @returns {NextAttempt} */
export const fresh = (number) => ({ number, load: null, own: false, changes: 0, auto: null, due_ms: null, over: null, since_ms: null, seconds: null, told: [], follows: false, again: null });

/** Whether the time to declare was over by then. @param {NextAttempt} coming @param {number} at @param {number} lateMs */
export function overdue({ auto, due_ms }, at, lateMs) {
  return auto !== null && due_ms !== null && at >= due_ms + lateMs;
}

/** What is lifted if nobody says another thing. @param {NextAttempt} coming */
export const stands = ({ load, auto }) => load ?? auto;

/** Whether a load is one of those. @param {Load} load @param {(Load | null)[]} others */
const isOne = (load, ...others) => others.some((other) => other !== null && compareLoads(other, load) === 0);

/** Whether a declaration made then changes what stands. @param {any} task @param {NextAttempt} coming @param {Said} at @param {number} lateMs @param {string[]} [late] */
export function isChange(task, coming, at, lateMs, late = OVER) {
  if (coming.own || !task.declare_seconds || coming.auto === null || coming.over === null) return coming.own;
  return late.includes(pastEnd(at, [coming.over], task.declare_seconds * 1000 + lateMs));
}

/**
 * Why the event's rules do not let a load stand that is declared at a moment of the heat clock; null where they do.
 * @param {any} task @param {number} startMs when the lift's window opens @param {NextAttempt} coming @param {Load} load @param {Said} at
 * @param {number} lateMs the grace of a bell @param {string[]} [late] what a time is held against it for @returns {Refusal | null}
 */
export function refused(task, startMs, coming, load, at, lateMs, late = OVER) {
  const now = stands(coming);
  if (isOne(load, now, coming.again)) return null;
  const little = tooLittleLeft(task, coming, at, lateMs, late);
  if (!isChange(task, coming, at, lateMs, late)) return little ? "change-late" : null;
  const opener = coming.number === 1;
  if (opener && openerOver(task, startMs, at, lateMs, late)) return "opener-late";
  const most = changesAllowed(task, coming.number);
  if (most !== null && coming.changes >= most) return "changes-over";
  if (little) return "change-late";
  const lowers = now !== null && compareLoads(load, now) < 0;
  return lowers && (task.lower_change === "never" || (task.lower_change === "opener" && !opener)) ? "change-lower" : null;
}

/** What is open about a declaration that stands: the clocks can't tell whether it came in time; null where nothing is. @param {any} task @param {number} startMs @param {NextAttempt} coming @param {Load} load @param {Said} at @param {number} lateMs */
export function doubtful(task, startMs, coming, load, at, lateMs) {
  const why = refused(task, startMs, coming, load, at, lateMs, PERHAPS);
  return why && (why === "opener-late" ? "opener-doubt" : "change-doubt");
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

/** Whether an opener may be changed no more. Before GO it may. @param {any} task @param {number} startMs @param {Said} at @param {number} lateMs @param {string[]} late */
function openerOver({ opener_seconds: seconds }, startMs, at, lateMs, late) {
  if (seconds == null || at.at <= 0) return false;
  return late.includes(pastEnd(at, [readAt(0)], Math.max(0, startMs - seconds * 1000 + lateMs) + 1));
}

/** @param {any} task @param {NextAttempt} coming @param {Said} at @param {number} lateMs @param {string[]} late */
function tooLittleLeft(task, coming, at, lateMs, late) {
  const needs = leftNeeded(task, coming);
  const { since_ms, seconds } = coming;
  if (needs === null || since_ms === null || seconds === null) return false;
  return late.includes(pastEnd(at, coming.told, (seconds - needs) * 1000 + lateMs + 1));
}

/** The load of the next attempt by the rule. @param {any} task @param {Load} lifted @param {boolean} good @returns {Load} */
function automatic(task, lifted, good) {
  return good ? heavier(lifted, task.auto_step ?? task.step_after_good ?? task.step) : lifted;
}

/** Of another unit it is rounded up. @param {Load} lifted @param {Load} step @returns {Load} */
function heavier(lifted, step) {
  if (compare(plus(inKg(lifted), inKg(step)), MOST_LOAD_KG) > 0) return lifted;
  const { n, d } = plus(inUnit(lifted, lifted.unit), inUnit(step, lifted.unit));
  const below = roundTo(fraction(-n, d), FINEST, "down");
  return loadOf(decimalText(fraction(-below.n, below.d)), lifted.unit);
}

/**
 * What a lifter must declare at least after their lifts, where a load would not count; null where it may.
 * @param {any} task @param {import("./judged.js").Lift[]} lifts @param {Load} load @param {boolean} record @returns {Load | null}
 */
export function leastThatCounts(task, lifts, load, record) {
  const tried = lifts.filter(({ again }) => !again);
  const best = heaviest(tried.filter(({ good, counts }) => good && counts).map((lift) => lift.load));
  const step = task.step_after_good && ((record ? task.record_step : null) ?? task.step_after_good);
  const wanted = task.may_go_down ? [] : tried.map((lift) => lift.load);
  if (best && step && !(task.may_go_down && compareLoads(load, best) <= 0)) wanted.push(heavier(best, step));
  const least = heaviest(wanted);
  return least && compareLoads(load, least) < 0 ? least : null;
}

/** The heaviest of some loads, of equal ones the first; null of none. @param {Load[]} loads @returns {Load | null} */
const heaviest = (loads) => loads.reduce((/** @type {Load | null} */ most, one) => (most && compareLoads(one, most) <= 0 ? most : one), null);

/** @typedef {{load: Load, own: boolean, change: boolean, out: boolean}} Declared a declaration that stands, as all was told then; out: for the attempt after */
/** @typedef {{one: import("./bars.js").Try, at: Said}} Over the attempt of a try was over */

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
    const ended = new Set(); // a further try under a declaration whose attempt is over ends none
    for (const step of this.steps) {
      if ("load" in step && step.out) then = saying(then, step);
      else if ("load" in step) now = saying(now, step);
      else if (ended.has(step.one.attempt)) continue;
      else if (!isVoid(step.one)) {
        ended.add(step.one.attempt);
        [now, then, before] = [then, fresh(then.number + 1), step];
      } else {
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

/**
 * The load that the rule puts in for an attempt after a try, by what came of it.
 * @param {import("./judged.js").Tried} tried @param {import("./bars.js").Try} one @param {number} number @returns {Load | null}
 */
export function byRule(tried, one, number) {
  const { task } = tried;
  if (task.declare_seconds == null || task.loads?.length || (task.attempts != null && number > task.attempts)) return null;
  const mine = judged(tried).filter(({ lift }) => lift.member === one.member);
  const { lift } = /** @type {import("./judged.js").Judged} */ (mine.find((had) => had.lift.mark === one.mark.id));
  if (mine.at(-1)?.out || lift.doubt === "waiting") return null;
  const good = lift.good && lift.counts;
  return automatic(task, good ? lift.load : (lift.asked ?? lift.load), good);
}
