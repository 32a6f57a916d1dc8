// @ts-check
/** The marks of a lift window as attempts: which tries count, and for how much. Twin of app/rules/count/fold_lifts.py. */
import { compare, fraction, times } from "./fractions.js";
import { Floor } from "./lift_floor.js";
import { heavier, judged } from "./lifting/judged.js";
import { compareLoads, inKg, onStep, plainLoad } from "./units.js";

/** @typedef {import("./units.js").Load} Load */
/** @typedef {import("./tally.js").Mark} Mark */
/** @typedef {import("./lifting/bars.js").Try} Try */
/** @typedef {import("./misload.js").Misload} Misload */
/** @typedef {import("./lifting/judged.js").Lift} Lift */
/** @typedef {import("./lifting/judged.js").Tried} Tried */
/** @typedef {import("./lifting/judged.js").Verdict} Verdict */

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
 * @property {number} since_off_ms how far that start may be off
 * @property {number | null} attempt_seconds how long that time is
 * @property {import("./lifting/next_attempt.js").NextAttempt} coming what the next declaration at that bar is for
 * @property {Record<string, import("./lifting/next_attempt.js").NextAttempt>} comings the same of each member who declared or lifted
 * @property {[string, string][]} odd mark and why
 */

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
 * @param {Set<string>} credited lifts that a ruling calls good
 * @returns {Lifts}
 */
export function foldLifts(task, movement, window, marks, lateMs, verdicts, takenBack, asked, admitted, credited) {
  const told = marks.map((mark) => decided(mark, verdicts));
  let floor = new Floor(task, window, lateMs, verdicts, asked, credited);
  floor.walk(told, takenBack, admitted);
  if (floor.twices.turned) { // another decision of a try stands than its first: walked again by what stands
    const { twices } = floor;
    floor = new Floor(task, window, lateMs, verdicts, asked, credited);
    floor.known = twices;
    floor.walk(told, takenBack, admitted);
  }
  const found = judged(floor);
  const { odd } = floor;
  found.forEach(({ lift, wrong, broken, doubtful }, i) => {
    for (const why of [...doubts(floor, movement, floor.tries[i], wrong), ...doubtful, ...broken]) odd.push([lift.mark, why]);
    if (lift.doubt) odd.push([lift.mark, `judges-${lift.doubt}`]);
  });
  const lifts = found.map(({ lift }) => lift);
  const bar = floor.newest();
  const said = bar.standing && floor.loaded.get(bar.standing.id);
  const [declaration, begun, waiting] = [bar.standing, bar.out, bar.waiting].map((mark) => mark?.id ?? null);
  const { sinceMs: since_ms, seconds: attempt_seconds, offMs: since_off_ms } = floor.timeOf(bar, bar.standing);
  const comings = Object.fromEntries(floor.members.map((who) => [who, floor.coming(floor.bar(who), who)]));
  return { lifts, declaration, begun, waiting, loaded: said ? plainLoad(said.body.load) : null, free_ms: bar.free.at, since_ms, since_off_ms, attempt_seconds, coming: newestComing(floor, bar, lifts), comings, odd };
}

/** What the next declaration is for, of whoever lifted last or stands at the bar. @param {Floor} floor @param {import("./lifting/bars.js").Bar} bar @param {Lift[]} lifts */
function newestComing(floor, bar, lifts) {
  const last = lifts.at(-1);
  return floor.coming(bar, last ? last.member : bar.standing ? floor.member(bar.standing) : null);
}

/** A lift as the judges together decided it. @param {Mark} mark @param {Map<string, Verdict>} verdicts @returns {Mark} */
function decided(mark, verdicts) {
  const ruled = mark.kind === "lift" ? verdicts.get(mark.id) : undefined;
  return ruled ? { ...mark, body: { ...mark.body, good: ruled.good } } : mark;
}

/** Attempts that a lifter has used: several tries under one declaration are one, one that is lifted again none. @param {Lift[]} mine */
export function attemptsUsed(mine) {
  return new Set(mine.filter(({ again }) => !again).map(({ declared, mark }) => declared ?? mark)).size;
}

/** What a member has lifted of several lifts; all of them where nobody is named. @template {{member: number | null}} L @param {L[]} lifts @param {number | null} member */
export const liftsOf = (lifts, member) => lifts.filter((lift) => member === null || lift.member === null || lift.member === member);

/** Whether so many misses running have put a lifter out. @param {any} task @param {Lift[]} mine */
export function putOut({ misses_out: most }, mine) {
  const last = most ? mine.filter(({ again }) => !again).slice(-most) : [];
  return Boolean(most) && last.length === most && !last.some(({ good }) => good);
}

/**
 * Whether misses alone leave a lifter none: a ruling on a miss may give them another attempt, which none gives beyond the last.
 * @param {any} task @param {Lift[]} mine @param {string | null} [out] as for attemptsLeft
 */
export const outOnMisses = (task, mine, out = null) => putOut(task, mine) && attemptsLeft({ ...task, misses_out: null }, mine, out) !== 0;

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

/**
 * Whether one more try under a declaration may count: where the event allows one alone, or misses have put the lifter out, it can't.
 * @param {any} task @param {Lift[]} mine of the lifter, in the window @param {string} declared
 */
export function mayTryAgain(task, mine, declared) {
  const tried = mine.some((lift) => lift.declared === declared && !lift.again);
  return !tried || (task.tries_until_racked && !putOut(task, mine));
}

/** The heaviest load that was tried, lifted or missed; null before any. @param {Lift[]} lifts of one lifter @returns {Load | null} */
export function heaviestTried(lifts) {
  return lifts.filter((lift) => !lift.again).reduce((/** @type {Load | null} */ most, lift) => heavier(most, lift.load), null);
}

/** @param {Tried} tried @param {any} movement @param {Try} one @param {Misload | null} wrong @returns {string[]} */
function doubts(tried, movement, one, wrong) {
  const { task } = tried;
  const found = [];
  const load = wrong?.actual ?? one.mark.body.load;
  if (!one.under) found.push("no-declaration");
  if (wrong) found.push(tried.told(one) ? "loaded-wrong" : "load-differs");
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
