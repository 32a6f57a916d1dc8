// @ts-check
/** The marks of a lift window as attempts: a declaration, the tries under it, the bar racked. Twin of app/rules/fold_lifts.py. */
import { compare, fraction, times } from "./fractions.js";
import { compareLoads, inKg, onStep } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./tally.js").Mark} Mark */

/**
 * One try: the mark that judged it, the declaration it was made under, the load on the bar, and whether it may count.
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
 */

/** @typedef {{lifts: Lift[], declaration: string | null, odd: [string, string][]}} Lifts odd: mark and why */

/**
 * The tries of one window in order, the declaration that stands, and what is odd.
 *
 * A rule of the event (attempts, one try, no going down) makes a try not count; a doubt (no declaration, another load than declared,
 * off the step) is only flagged, for the judge saw the lift.
 * @param {any} task
 * @param {any} movement
 * @param {any} window
 * @param {Mark[]} marks in order
 * @returns {Lifts}
 */
export function foldLifts(task, movement, window, marks) {
  const declared = new Map(marks.filter((mark) => mark.kind === "declare").map((mark) => [mark.id, mark]));
  let standing = /** @type {Mark | null} */ (null);
  let heaviest = /** @type {Load | null} */ (null);
  const racked = new Set();
  const tries = new Map();
  /** @type {Lifts} */
  const found = { lifts: [], declaration: null, odd: [] };
  for (const mark of marks) {
    if (mark.kind === "declare") standing = mark;
    else if (mark.kind === "racked") {
      /** @type {string | null} */
      const named = mark.body.declared ?? standing?.id ?? null;
      if (named !== null) racked.add(named);
      if (standing?.id === named) standing = null;
    } else if (mark.kind === "lift") {
      const under = declared.get(mark.body.declared ?? "") ?? (mark.body.declared == null ? standing : null);
      const attempt = under?.id ?? mark.id;
      tries.set(attempt, (tries.get(attempt) ?? 0) + 1);
      const load = mark.body.load;
      const broken = rulesBroken(task, load, heaviest, [...tries.keys()].indexOf(attempt), tries.get(attempt));
      for (const why of [...doubts(task, movement, load, under, racked), ...broken]) found.odd.push([mark.id, why]);
      if (heaviest === null || compareLoads(load, heaviest) > 0) heaviest = load;
      found.lifts.push(lift(mark, under, window, broken.length === 0));
    }
  }
  found.declaration = standing?.id ?? null;
  return found;
}

/** @param {Mark} mark @param {Mark | null} under @param {any} window @param {boolean} counts @returns {Lift} */
function lift(mark, under, window, counts) {
  const only = Array.isArray(window.who) && window.who.length === 1 ? window.who[0] : null;
  const { amount, unit } = mark.body.load;
  return {
    mark: mark.id,
    declared: under?.id ?? null,
    load: { amount, unit },
    reps: mark.body.reps ?? 1,
    good: mark.body.good,
    fault: mark.body.fault ?? null,
    member: mark.body.member || under?.body.member || only,
    at: mark.at,
    counts,
  };
}

/**
 * @param {any} task
 * @param {any} movement
 * @param {Load} load
 * @param {Mark | null} under
 * @param {Set<string>} racked
 * @returns {string[]}
 */
function doubts(task, movement, load, under, racked) {
  const found = [];
  if (!under) found.push("no-declaration");
  if (under && compareLoads(under.body.load, load) !== 0) found.push("load-differs");
  if (under && racked.has(under.id)) found.push("after-rack");
  if (compareLoads(load, task.bar) < 0) found.push("below-bar");
  if (!onStep(load, task.step)) found.push("off-step");
  if (movement.heaviest && compareLoads(load, movement.heaviest) > 0) found.push("heavy");
  return found;
}

/**
 * @param {any} task
 * @param {Load} load
 * @param {Load | null} heaviest
 * @param {number} attempt from 0
 * @param {number} tries
 * @returns {string[]}
 */
function rulesBroken(task, load, heaviest, attempt, tries) {
  const found = [];
  if (task.attempts != null && attempt >= task.attempts) found.push("attempt-over");
  if (!task.tries_until_racked && tries > 1) found.push("second-try");
  if (!task.may_go_down && heaviest !== null && compareLoads(load, heaviest) < 0) found.push("went-down");
  return found;
}

/**
 * The best good lift that counts: the heaviest (times its repetitions if the task says so), then the earliest.
 * @param {Lift[]} lifts
 * @param {boolean} timesReps
 * @returns {Lift | null}
 */
export function bestLift(lifts, timesReps) {
  const worth = (/** @type {Lift} */ one) => (timesReps ? times(inKg(one.load), fraction(BigInt(one.reps))) : inKg(one.load));
  const before = (/** @type {Lift} */ a, /** @type {Lift} */ b) =>
    -compare(worth(a), worth(b)) || a.at - b.at || (a.mark < b.mark ? -1 : 1);
  return lifts.filter((one) => one.good && one.counts).sort(before)[0] ?? null;
}
