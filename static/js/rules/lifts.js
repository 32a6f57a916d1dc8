// @ts-check
/** The marks of a lift window as attempts: which tries count, and for how much. Twin of app/rules/count/fold_lifts.py. */
import { endMs } from "./clock.js";
import { compare, fraction, plus, times } from "./fractions.js";
import { Floor, plainLoad } from "./lift_floor.js";
import { automatic } from "./lifting/next_attempt.js";
import { compareLoads, inKg, onStep } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./tally.js").Mark} Mark */
/** @typedef {import("./lifting/bars.js").Try} Try */
/** @typedef {import("./misload.js").Misload} Misload */

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

/** @typedef {{good: boolean, lights: (boolean | null)[], doubt: string | null}} Verdict what several judges decided; see app/rules/count/verdicts.py */

/**
 * A lift window added up.
 * @typedef {object} Lifts
 * @property {Lift[]} lifts in order
 * @property {string | null} declaration the one that stands
 * @property {string | null} begun the mark of the bar leaving its rack, while it is out
 * @property {string | null} waiting the declaration that waits for the bar
 * @property {Load | null} loaded what was said to be on the bar of the declaration that stands
 * @property {number} free_ms since when the bar has been free, on the heat clock
 * @property {number | null} since_ms since when the time of the attempt that stands runs, null where it does not
 * @property {number | null} attempt_seconds how long that time is
 * @property {import("./lifting/next_attempt.js").NextAttempt} coming what the next declaration at that bar is for
 * @property {Record<string, import("./lifting/next_attempt.js").NextAttempt>} comings the same of each member who declared or lifted
 * @property {[string, string][]} odd mark and why
 */

/** @typedef {{tries: Map<string, number>, heaviest: Load | null, best: Load | null, missed: number}} Lifter what a member has done so far */

/**
 * Folds the marks of one window. A rule of the event makes a try not count; a doubt is only flagged, for the judge saw the lift.
 * @param {any} task
 * @param {any} movement
 * @param {any} window
 * @param {Mark[]} marks in order
 * @param {number} lateMs
 * @param {Map<string, Verdict>} verdicts of several judges, by the mark of the try
 * @param {Mark[]} takenBack declarations that were struck out, and what struck them
 * @param {Load | null} asked the load that must be lifted there at least, of one that grows
 * @param {Set<string>} admitted marks that a ruling lets count
 * @returns {Lifts}
 */
export function foldLifts(task, movement, window, marks, lateMs, verdicts, takenBack, asked, admitted) {
  const floor = new Floor(task, window, marks.map((mark) => decided(mark, verdicts)), takenBack, lateMs, admitted);
  /** @type {Map<number | null, Lifter>} */
  const lifters = new Map();
  const lifts = [];
  const odd = floor.odd;
  for (const one of floor.tries) {
    const lifter = lifters.get(one.member) ?? { tries: new Map(), heaviest: null, best: null, missed: 0 };
    lifters.set(one.member, lifter);
    const wrong = floor.misload(one);
    const broken = wrong?.again ? [] : rulesBroken(floor, one, lifter, lateMs);
    if (asked && !wrong?.again && compareLoads(wrong?.load ?? one.mark.body.load, asked) < 0) broken.push("below-asked");
    for (const why of [...doubts(floor, movement, one, wrong), ...broken]) odd.push([one.mark.id, why]);
    const ruled = verdicts.get(one.mark.id);
    if (ruled?.doubt) odd.push([one.mark.id, `judges-${ruled.doubt}`]);
    const counts = broken.length === 0 && ruled?.doubt !== "waiting" && !wrong?.again;
    const made = lift(floor, one, wrong, counts, ruled);
    if (!made.again) lifter.heaviest = heavier(lifter.heaviest, made.load);
    if (!made.again && ruled?.doubt !== "waiting" && !broken.includes("below-asked")) lifter.missed = made.good && made.counts ? 0 : lifter.missed + 1;
    if (made.good && made.counts) lifter.best = heavier(lifter.best, made.load);
    lifts.push(made);
  }
  const bar = floor.newest();
  const said = bar.standing && floor.loaded.get(bar.standing.id);
  const [declaration, begun, waiting] = [bar.standing, bar.out, bar.waiting].map((mark) => mark?.id ?? null);
  const { sinceMs: since_ms, seconds: attempt_seconds } = floor.timeOf(bar, bar.standing);
  return { lifts, declaration, begun, waiting, loaded: said ? plainLoad(said.body.load) : null, free_ms: bar.freeMs, since_ms, attempt_seconds, coming: newestComing(floor, bar, lifts, lifters), comings: Object.fromEntries(floor.members.map((who) => [who, coming(floor, floor.bar(who), who, lifts, lifters)])), odd };
}

/** What the next declaration is for, of whoever lifted last or stands at the bar. @param {Floor} floor @param {import("./lifting/bars.js").Bar} bar @param {Lift[]} lifts @param {Map<number | null, Lifter>} lifters */
function newestComing(floor, bar, lifts, lifters) {
  const last = lifts.at(-1);
  return coming(floor, bar, last ? last.member : bar.standing ? floor.member(bar.standing) : null, lifts, lifters);
}

/** What a member's next declaration is for. @param {Floor} floor @param {import("./lifting/bars.js").Bar} bar @param {number | null} member @param {Lift[]} lifts @param {Map<number | null, Lifter>} lifters */
function coming(floor, bar, member, lifts, lifters) {
  const { task } = floor;
  const last = lifts.filter((one) => one.member === member).at(-1);
  const found = floor.coming(bar, member);
  if (found.auto === null || !last) return found;
  const out = task.misses_out != null && (lifters.get(member)?.missed ?? 0) >= task.misses_out;
  if (last.doubt === "waiting" || task.loads?.length || out) return { ...found, auto: null, due_ms: null };
  const good = last.good && last.counts;
  return { ...found, auto: automatic(task, good ? last.load : (last.asked ?? last.load), good) };
}

/** A lift as the judges together decided it. @param {Mark} mark @param {Map<string, Verdict>} verdicts @returns {Mark} */
function decided(mark, verdicts) {
  const ruled = mark.kind === "lift" ? verdicts.get(mark.id) : undefined;
  return ruled ? { ...mark, body: { ...mark.body, good: ruled.good } } : mark;
}

/** @param {Load | null} a @param {Load} b @returns {Load} the first of equals */
function heavier(a, b) {
  return a === null || compareLoads(b, a) > 0 ? b : a;
}

/** Attempts that a lifter has used: several tries under one declaration are one, one that is lifted again none. @param {Lift[]} mine */
export function attemptsUsed(mine) {
  return new Set(mine.filter(({ again }) => !again).map(({ declared, mark }) => declared ?? mark)).size;
}

/** Whether so many misses running have put a lifter out. @param {any} task @param {Lift[]} mine */
export function putOut({ misses_out: most }, mine) {
  const last = most ? mine.filter(({ again }) => !again).slice(-most) : [];
  return Boolean(most) && last.length === most && !last.some(({ good }) => good);
}

/**
 * Attempts that a lifter may still declare; 0 too for one whom misses have put out; null for as many as time allows.
 * @param {any} task @param {Lift[]} mine @param {string | null} [out] the declaration of theirs under which the bar is out: what is declared now is for another
 */
export function attemptsLeft(task, mine, out = null) {
  if (putOut(task, mine)) return 0;
  if (task.attempts == null) return null;
  const taken = out === null || mine.some(({ declared, again }) => declared === out && !again) ? 0 : 1;
  return Math.max(0, task.attempts - attemptsUsed(mine) - taken);
}

/** The heaviest load that was tried, lifted or missed; null before any. @param {Lift[]} lifts of one lifter @returns {Load | null} */
export function heaviestTried(lifts) {
  return lifts.filter((lift) => !lift.again).reduce((/** @type {Load | null} */ most, lift) => heavier(most, lift.load), null);
}

/** @param {Floor} floor @param {Try} one @param {Misload | null} wrong @param {boolean} counts @param {Verdict} [ruled] @returns {Lift} */
function lift(floor, one, wrong, counts, ruled) {
  const { mark, under } = one;
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
    begun: mark.body.begun ?? one.begun?.id ?? null,
    racked: floor.racked.has(one.attempt),
    lights: ruled?.lights ?? [],
    doubt: ruled?.doubt ?? null,
  };
}

/** @param {Floor} floor @param {any} movement @param {Try} one @param {Misload | null} wrong @returns {string[]} */
function doubts({ task, loaded }, movement, one, wrong) {
  const found = [];
  const load = wrong?.actual ?? one.mark.body.load;
  if (!one.under) found.push("no-declaration");
  if (wrong) found.push(one.under && !loaded.has(one.under.id) ? "load-differs" : "loaded-wrong");
  if (wrong?.again) found.push("misload-again");
  else if (wrong?.open) found.push("misload-choose");
  if (one.racked) found.push("after-rack");
  if (compareLoads(load, task.bar) < 0) found.push("below-bar");
  const record = one.under?.body.record === true;
  if (record && task.record_step == null) found.push("no-records");
  const step = record && task.record_step ? task.record_step : task.step;
  if (!task.loads?.length && !onStep(load, step) && (!wrong || !onStep(wrong.load, step))) found.push("off-step");
  if (movement.heaviest && compareLoads(load, movement.heaviest) > 0) found.push("heavy");
  return found;
}

/** @param {Floor} floor @param {Try} one @param {Lifter} lifter @param {number} lateMs @returns {string[]} */
function rulesBroken({ task, window }, one, lifter, lateMs) {
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
  if (tries === 1 && outOfTime(one, lateMs)) found.push("attempt-late");
  if (one.begun && task.counts_when === "begun" && one.begun.at >= endMs(window) + lateMs) found.push("begun-late");
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

/** Whether the bar left its rack after the time of the attempt. @param {Try} one @param {number} lateMs */
function outOfTime({ time, begun }, lateMs) {
  if (time.sinceMs === null || time.seconds === null || begun === null) return false;
  return begun.at >= time.sinceMs + time.seconds * 1000 + lateMs;
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

/** Each member's best good lift that counts, in the order of members. @param {Lift[]} lifts @param {boolean} timesReps @returns {Lift[]} */
export function bestOfEach(lifts, timesReps) {
  const members = [...new Set(lifts.map(({ member }) => member))].sort((a, b) => (a ?? Infinity) - (b ?? Infinity));
  return members.flatMap((member) => bestLift(lifts.filter((lift) => lift.member === member), timesReps) ?? []);
}
