// @ts-check
/** The tries of a lift window as the event's rules judge them. Twin of app/rules/count/lifting/judged.py, where the rules are said in words. */
import { compare, plus } from "../fractions.js";
import { misload } from "../misload.js";
import { compareLoads, inKg, plainLoad } from "../units.js";
import { DOUBTS, lateness } from "./in_time.js";

/** @typedef {import("../units.js").Load} Load */
/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("./bars.js").Try} Try */
/** @typedef {import("../misload.js").Misload} Misload */

/**
 * One try: the mark that judged it, the declaration it was made under, the load that counts, and whether it may count.
 * @typedef {object} Lift
 * @property {string} mark
 * @property {string | null} declared
 * @property {Load} load
 * @property {number} reps
 * @property {boolean} good
 * @property {string | null} fault
 * @property {number | null} member
 * @property {number} at
 * @property {boolean} counts
 * @property {Load | null} asked the load declared, where it is another one than `load`
 * @property {Load | null} on_bar the load really lifted, where it is another one than `load`
 * @property {boolean} again void because the bar was loaded wrong
 * @property {string | null} begun the mark of the bar leaving its rack
 * @property {boolean} racked the bar of its declaration was racked in the end
 * @property {(boolean | null)[]} lights the decisions of several judges, lane judge first; empty where one judge decides
 * @property {string | null} doubt what is still open about them
 */

/** @typedef {{good: boolean, lights: (boolean | null)[], doubt: string | null}} Verdict what several judges decided; see app/rules/count/lifting/verdicts.py */

/** @typedef {{tries: Map<string, number>, heaviest: Load | null, best: Load | null, missed: number}} Lifter what a member has done so far */

/** @typedef {{lift: Lift, wrong: Misload | null, broken: string[], doubtful: string[], out: boolean}} Judged one try; which rules it breaks, which it may break if the clocks are off; whether misses have put its lifter out */

/** What the tries of a window are judged by: its rules, what is told of its bars so far, and what was decided elsewhere. */
export class Tried {
  /** @type {Try[]} */
  tries = [];
  /** @type {Map<string, Mark>} */
  loaded = new Map();
  /** All marks that say of one leaving of a rack that it was, by each of them. @type {Map<string, string[]>} */
  pressed = new Map();
  /** Declarations whose bar was racked. @type {Set<string>} */
  racked = new Set();

  /**
   * @param {any} task @param {any} window
   * @param {number} [lateMs] the grace of a bell
   * @param {Map<string, Verdict>} [verdicts] of several judges, by the mark of the try
   * @param {Load | null} [asked] the load that must be lifted there at least, of one that grows
   * @param {Set<string>} [credited] the tries that a ruling calls good, whatever a clock said of them
   */
  constructor(task, window, lateMs = 1000, verdicts = new Map(), asked = null, credited = new Set()) {
    this.task = task;
    this.window = window;
    this.lateMs = lateMs;
    this.verdicts = verdicts;
    this.asked = asked;
    this.credited = credited;
  }

  /** Of the marks that say of one leaving of a rack that it was, the last: it stands for all of them. @param {string} mark */
  leaving(mark) {
    return this.pressed.get(mark)?.at(-1) ?? mark;
  }

  /** Two marks say of one leaving of a rack that it was. @param {Mark} first @param {Mark} mark */
  leftOnce(first, mark) {
    const pressed = [...(this.pressed.get(first.id) ?? [first.id]), mark.id];
    for (const id of pressed) this.pressed.set(id, pressed);
  }

  /** What was said to be on the bar of a try. @param {Try} one @returns {Mark | null} */
  told({ under, apart, loaded }) {
    return (apart || under === null ? loaded : this.loaded.get(under.id)) ?? null;
  }

  /** What the event's rule makes of another load than declared, or of uneven ends; null where the bar was right. @param {Try} one */
  misload(one) {
    const { under, mark } = one;
    if (under === null) return null;
    const said = this.told(one);
    const [asked, actual] = [under.body.load, (said ?? mark).body.load];
    const uneven = said?.body.uneven === true;
    if (compareLoads(actual, asked) === 0 && !uneven) return null;
    const { task } = this;
    return misload(task.misload ?? {}, task.step, plainLoad(asked), plainLoad(actual), uneven, mark.body.good, said?.body.keep ?? null);
  }

  /** Whether a try is none, by what is told so far. @param {Try} one */
  void(one) {
    return this.misload(one)?.again ?? false;
  }
}

/** The tries so far, in order. @param {Tried} tried @returns {Judged[]} */
export function judged(tried) {
  /** @type {Map<number | null, Lifter>} */
  const lifters = new Map();
  return tried.tries.map((one) => {
    const lifter = lifters.get(one.member) ?? { tries: new Map(), heaviest: null, best: null, missed: 0 };
    lifters.set(one.member, lifter);
    return judgedOne(tried, one, lifter);
  });
}

/** @param {Tried} tried @param {Try} one @param {Lifter} lifter @returns {Judged} */
function judgedOne(tried, one, lifter) {
  const wrong = tried.misload(one);
  const again = wrong?.again ?? false;
  const late = again ? [] : lateness(tried.task, tried.window, tried.lateMs, one, !lifter.tries.has(one.attempt), tried.credited.has(one.mark.id));
  const broken = again ? [] : [...rulesBroken(tried, one, wrong, lifter), ...late.filter((why) => !DOUBTS.has(why))];
  const ruled = tried.verdicts.get(one.mark.id);
  const waiting = ruled?.doubt === "waiting";
  const lift = lifted(tried, one, wrong, !(broken.length || waiting || again), ruled);
  if (!again) lifter.heaviest = heavier(lifter.heaviest, lift.load);
  if (!again && !waiting && !broken.includes("below-asked")) lifter.missed = lift.good && lift.counts ? 0 : lifter.missed + 1;
  if (lift.good && lift.counts) lifter.best = heavier(lifter.best, lift.load);
  const most = tried.task.misses_out;
  const counts = lift.good && lift.counts; // nothing rests on a miss, nor on a try that waits or that a rule keeps out
  const doubtful = late.filter((why) => DOUBTS.has(why) && counts);
  return { lift, wrong, broken, doubtful, out: most != null && lifter.missed >= most };
}

/** The heavier of two, the first of equals. @param {Load | null} a @param {Load} b @returns {Load} */
export function heavier(a, b) {
  return a === null || compareLoads(b, a) > 0 ? b : a;
}

/** @param {Tried} tried @param {Try} one @param {Misload | null} wrong @param {boolean} counts @param {Verdict} [ruled] @returns {Lift} */
function lifted(tried, one, wrong, counts, ruled) {
  const { mark, under } = one;
  const left = leftBy(one);
  const load = plainLoad(wrong?.load ?? mark.body.load);
  const asked = plainLoad((under ?? mark).body.load);
  return {
    mark: mark.id,
    declared: under?.id ?? null,
    load,
    reps: mark.body.reps ?? 1,
    good: mark.body.good,
    fault: mark.body.fault ?? null,
    member: one.member,
    at: mark.at,
    counts,
    asked: wrong && compareLoads(asked, load) !== 0 ? asked : null,
    on_bar: wrong && compareLoads(wrong.actual, load) !== 0 ? wrong.actual : null,
    again: wrong?.again ?? false,
    begun: left && tried.leaving(left),
    racked: one.apart === true || tried.racked.has(one.attempt),
    lights: ruled?.lights ?? [],
    doubt: ruled?.doubt ?? null,
  };
}

/** Which leaving of its rack a decision is about: the one that it names, else by which the bar was out. @param {Try} one @returns {string | null} */
export const leftBy = ({ mark, begun }) => mark.body.begun ?? begun?.id ?? null;

/** @param {Tried} tried @param {Try} one @param {Misload | null} wrong @param {Lifter} lifter @returns {string[]} */
function rulesBroken({ task, asked: least }, one, wrong, lifter) {
  const found = [];
  const { attempt } = one;
  const tries = (lifter.tries.get(attempt) ?? 0) + 1;
  lifter.tries.set(attempt, tries);
  const asked = (one.under ?? one.mark).body.load;
  if (task.attempts != null && [...lifter.tries.keys()].indexOf(attempt) >= task.attempts) found.push("attempt-over");
  if (task.misses_out != null && lifter.missed >= task.misses_out) found.push("put-out");
  if (!task.tries_until_racked && tries > 1) found.push("second-try");
  if (!task.may_go_down && lifter.heaviest !== null && compareLoads(asked, lifter.heaviest) < 0) found.push("went-down");
  if (tries === 1 && tooSmall(task, one, asked, lifter)) found.push("small-increase");
  if (least && compareLoads(wrong?.load ?? one.mark.body.load, least) < 0) found.push("below-asked");
  return found;
}

/** Whether a load after a good lift is nearer to it than the least increase. @param {any} task @param {Try} one @param {Load} asked @param {Lifter} lifter */
function tooSmall(task, one, asked, lifter) {
  const record = one.under?.body.record === true && task.record_step != null;
  const least = task.step_after_good != null && record ? task.record_step : task.step_after_good;
  if (least == null || lifter.best === null) return false;
  const above = compareLoads(asked, lifter.best);
  if (above < 0 || (above === 0 && task.may_go_down)) return false;
  return compare(inKg(asked), plus(inKg(lifter.best), inKg(least))) < 0;
}
