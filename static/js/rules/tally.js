// @ts-check
/**
 * Marks to tally: one sheet's marks added up, window by window, with what was struck and what is odd. The tally of a set of marks
 * is one value, whatever order they arrive in and however often. Twin of app/rules/count/tally.py; both pass tests/vectors/tally.json.
 */
import { butForBeyond } from "./beyond.js";
import { PLACED } from "./kinds.js";
import { askedLoad, Climb, growsLoad } from "./ladder.js";
import { creditedBy, judgedAnew } from "./lifting/ruled_lifts.js";
import { bestLift, foldLifts } from "./lifts.js";
import { oneOfEachNumber } from "./numbers.js";
import { doubled } from "./one_tablet.js";
import { byOrder, byText } from "./order.js";
import { place, saidMember } from "./placing.js";
import { asHeard, butForAhead, isJudged } from "./received.js";
import { PLAIN, retimed } from "./sheet_clock.js";
import { foldList, hasNoEnd } from "./windows/lists.js";
import { measured } from "./windows/measures.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./lifts.js").Lift} Lift */
/** @typedef {{mark: string, why: string}} Flag an odd mark, kept and shown to the head judge */
/** @typedef {{marks: Mark[], takenBack: Mark[], admitted: Set<string>, credited: Set<string>}} Placed a window's marks in order; its declarations that were struck out, and what struck them; what a ruling lets count, and the lifts that one calls good */

/**
 * A member's part of a window, null for what is nobody's in particular: repetitions marked and refused, the measured number that counts.
 * @typedef {{member: number | null, count: number, norep: number, measure: string | null}} Share
 */

/**
 * What one window holds.
 * @typedef {object} WindowTally
 * @property {number} index
 * @property {number} count repetitions marked
 * @property {number} norep repetitions refused
 * @property {number} credited repetitions of work that count (after target, elimination and worth)
 * @property {number | null} target
 * @property {number | null} finish_ms finish of the work list since the window's start
 * @property {number | null} left repetitions of work left of a list with an end
 * @property {string | null} measure the measured number that counts
 * @property {Share[]} shares whose these are, in the order of members
 * @property {[number, number, number | null][]} reps when each repetition that counts was done, what it is worth, and whose it is
 * @property {Lift[]} lifts
 * @property {Lift | null} best the heaviest good lift
 * @property {string | null} declaration id of the declaration that stands
 * @property {string | null} begun id of the mark that the bar left its rack, while it is out
 * @property {string | null} waiting id of the declaration made meanwhile
 * @property {number | null} free_ms since when its bar has been free, on the heat clock
 * @property {number | null} since_ms since when the time of the attempt that stands runs, null where it does not
 * @property {number} since_off_ms how far that start may be off
 * @property {number | null} attempt_seconds how long that time is
 * @property {import("./lifting/next_attempt.js").NextAttempt | null} coming what the next declaration is for; null where no load is lifted
 * @property {Record<string, import("./lifting/next_attempt.js").NextAttempt>} comings the same of each member who declared or lifted
 * @property {import("./units.js").Load | null} loaded what was said to be on the bar of the declaration that stands
 */

/**
 * A sheet added up.
 * @typedef {object} Tally
 * @property {WindowTally[]} windows one for each window of the format, rests too
 * @property {string[]} stops
 * @property {Record<string, string>} signed who -> name
 * @property {Flag[]} flags
 * @property {string[]} struck ids of marks taken back
 * @property {boolean} any_marks tells an empty sheet from a zero
 */

/**
 * Adds up the marks of one sheet under a format (as the packet brings it, every field written out), timed by its clock.
 * @param {any} format
 * @param {Mark[]} marks
 * @param {import("./sheet_clock.js").SheetClock} [clock]
 * @param {Map<string, import("./lifts.js").Verdict>} [verdicts] what several judges together decided, by the mark of a try
 * @returns {Tally}
 */
export function fold(format, marks, clock = PLAIN, verdicts = new Map()) {
  /** @type {Flag[]} */
  const flags = [];
  const admitted = new Set(clock.admitted);
  const known = uniqueById(oneOfEachNumber(marks, clock.counting).map((mark) => (mark.receipt && admitted.has(mark.id) ? { ...mark, receipt: undefined } : mark)));
  const { placed: timed, into } = retimed(butForBeyond(butForAhead(known, clock, flags), format, flags), clock);
  const unique = asHeard(judgedAnew(timed, clock.ruled), clock, flags);
  const credited = creditedBy(clock.ruled);
  const struck = strikeOut(unique, flags);
  const standing = [...unique.values()].filter((mark) => mark.kind !== "strike" && !struck.has(mark.id)).sort(byOrder);
  /** @type {Placed[]} */
  const placed = format.windows.map(() => ({ marks: [], takenBack: [], admitted, credited }));
  const declared = new Map([...unique].filter(([, mark]) => mark.kind === "declare"));
  const where = (/** @type {Mark} */ mark, /** @type {Flag[]} */ odd) => place(format, mark, saidMember(mark, declared), into.get(mark.id), odd);
  for (const mark of standing) {
    const index = PLACED.has(mark.kind) ? where(mark, flags) : null;
    if (index !== null) placed[index].marks.push(mark);
  }
  for (const mark of [...declared.values()].filter(({ id }) => struck.has(id))) {
    const index = where(mark, []);
    if (index !== null) placed[index].takenBack.push(mark, ...strikesOn(unique, mark));
  }
  for (const window of placed) window.marks = fromOneTablet(window.marks, format.quiet_ms, flags);
  return {
    windows: foldWindows(format, placed, flags, verdicts),
    stops: standing.filter((mark) => mark.kind === "stop").map((mark) => mark.id),
    signed: signatures(standing),
    flags: inOrder(flags, new Map([...known, ...unique])),
    struck: [...struck].sort(),
    any_marks: isJudged(unique),
  };
}

/**
 * One mark per id. The desk refuses a second mark under a used id; here the choice only has to be the same each time.
 * @param {Mark[]} marks
 */
function uniqueById(marks) {
  /** @type {Map<string, Mark>} */
  const unique = new Map();
  for (const mark of marks) {
    const known = unique.get(mark.id);
    if (!known || (known !== mark && byContent(mark, known) < 0)) unique.set(mark.id, mark);
  }
  return unique;
}

/** @param {Mark} a @param {Mark} b */
function byContent(a, b) {
  const body = (/** @type {Mark} */ mark) => JSON.stringify(Object.entries(mark.body).sort());
  const rest = a.err - b.err || (a.win ?? -1) - (b.win ?? -1) || byText(body(a), body(b));
  return byOrder(a, b) || byText(a.sheet, b.sheet) || byText(a.kind, b.kind) || rest || receiptNumber(a) - receiptNumber(b);
}

/** A receipt that is known goes before none. @param {Mark} mark */
function receiptNumber({ receipt }) {
  return receipt?.number ?? Number.MAX_SAFE_INTEGER;
}

/**
 * What strike-outs strike. A strike-out can't be struck itself: to bring a mark back, it is made again.
 * @param {Map<string, Mark>} unique
 * @param {Flag[]} flags
 */
function strikeOut(unique, flags) {
  /** @type {Set<string>} */
  const struck = new Set();
  for (const mark of unique.values()) {
    if (mark.kind !== "strike") continue;
    const target = unique.get(mark.body.mark);
    if (!target || target.kind === "strike") flags.push({ mark: mark.id, why: "strikes-nothing" });
    else struck.add(target.id);
  }
  return struck;
}

/** @param {Map<string, Mark>} marks by id @param {Mark} target @returns {Mark[]} */
function strikesOn(marks, target) {
  return [...marks.values()].filter(({ kind, body }) => kind === "strike" && body.mark === target.id);
}

/** @param {Mark[]} marks of one window @param {number} quietMs @param {Flag[]} flags @returns {Mark[]} without what a second tablet counted beside the first */
function fromOneTablet(marks, quietMs, flags) {
  const extra = doubled(marks, quietMs);
  for (const mark of extra) flags.push({ mark, why: "second-tablet" });
  return extra.size ? marks.filter((mark) => !extra.has(mark.id)) : marks;
}

/** @param {any} format @param {Placed[]} placed @param {Flag[]} flags @param {Map<string, any>} verdicts @returns {WindowTally[]} */
function foldWindows(format, placed, flags, verdicts) {
  const seen = new Map();
  const out = new Set();
  let gone = false; // out of the event
  /** @type {Map<string, Climb>} */
  const climbs = new Map();
  return format.windows.map((/** @type {any} */ window, /** @type {number} */ index) => {
    const tally = empty(index);
    if (window.task == null) return tally;
    const nth = seen.get(window.task) ?? 0;
    seen.set(window.task, nth + 1);
    const task = format.tasks[window.task];
    Object.assign(tally, foldOne(format, window, task, placed[index], nth, gone || out.has(window.task), flags, verdicts, askedLoad(format, index)));
    if (growsLoad(task)) {
      const climb = climbs.get(window.task) ?? new Climb(format, task);
      climbs.set(window.task, climb);
      const { after, ...counted } = climb.through(index, tally.lifts);
      for (const mark of after) flags.push({ mark, why: "after-out" });
      Object.assign(tally, counted);
    }
    if (misses(task, tally)) {
      gone ||= Boolean(format.miss_puts_out);
      if (task.miss_puts_out) out.add(window.task);
    }
    return tally;
  });
}

/** Whether what a window asks for, a target or a list with an end, was not done. @param {any} task @param {WindowTally} tally */
const misses = (task, tally) => (task.kind === "list" ? tally.left !== null && tally.finish_ms === null : tally.target !== null && tally.credited < tally.target);

/**
 * The window before another whose miss put the entry out, of the same work or of the event, so that what is done now scores nothing; null where there is none.
 * @param {any} format @param {WindowTally[]} windows of a tally @param {number} win
 * @returns {WindowTally | null}
 */
export function missedBefore(format, windows, win) {
  const { task } = format.windows[win];
  const putsOut = (/** @type {any} */ key) => (key === task && format.tasks[key].miss_puts_out) || (key != null && format.miss_puts_out);
  return windows.slice(0, win).find((one) => putsOut(format.windows[one.index].task) && misses(format.tasks[format.windows[one.index].task], one)) ?? null;
}

/** @param {number} index @returns {WindowTally} */
function empty(index) {
  const nothing = { target: null, finish_ms: null, left: null, measure: null, best: null, declaration: null, begun: null, waiting: null, loaded: null, free_ms: null, since_ms: null, since_off_ms: 0, attempt_seconds: null, coming: null, comings: {} };
  return { index, count: 0, norep: 0, credited: 0, shares: [], reps: [], lifts: [], ...nothing };
}

/**
 * @param {any} format
 * @param {any} window
 * @param {any} task
 * @param {Placed} placed
 * @param {number} nth
 * @param {boolean} out
 * @param {Flag[]} flags
 * @param {Map<string, any>} verdicts
 * @param {import("./units.js").Load | null} asked the least load there, of one that grows
 * @returns {Partial<WindowTally>}
 */
function foldOne(format, window, task, { marks, takenBack, admitted, credited }, nth, out, flags, verdicts, asked) {
  const norep = marks.filter((mark) => mark.kind === "norep").length;
  if (task.kind === "lift") {
    const { odd, ...found } = foldLifts(task, format.movements[task.movement], window, marks, format.late_ms, verdicts, takenBack, asked, admitted, credited);
    for (const [mark, why] of odd) flags.push({ mark, why });
    return { norep, ...found, best: bestLift(found.lifts, task.times_reps) };
  }
  const shares = sharesOf(window, task, marks);
  if (task.kind === "measure") return { norep, shares, measure: measured(task, marks, flags) };
  const reps = marks.filter((mark) => mark.kind === "rep");
  const found = task.kind === "list" ? foldList(window, task, marks, reps, out, flags, hasNoEnd(format, window.task)) : foldCount(format.movements[task.movement], task, reps, nth, out, flags);
  const { worths, ...counted } = found;
  return { norep, shares, ...counted, reps: worths.map((worth, i) => [reps[i].at, worth, memberOf(window, reps[i])]) };
}

/** The member a mark is for: as it says, else the window's only member, else nobody in particular. @param {any} window @param {Mark} mark @returns {number | null} */
function memberOf({ who }, { body }) {
  return body.member ?? (Array.isArray(who) && who.length === 1 ? who[0] : null);
}

/** What of a window is whose, by member; last what is nobody's in particular. @param {any} window @param {any} task @param {Mark[]} marks @returns {Share[]} */
function sharesOf(window, task, marks) {
  /** @type {Map<number | null, Mark[]>} */
  const mine = new Map();
  for (const mark of marks) {
    const member = memberOf(window, mark);
    if (!mine.has(member)) mine.set(member, []);
    mine.get(member)?.push(mark);
  }
  const shares = [...mine].sort(([a], [b]) => (a ?? Infinity) - (b ?? Infinity)).map(([member, of]) => ({
    member,
    count: of.filter(({ kind }) => kind === "rep").length,
    norep: of.filter(({ kind }) => kind === "norep").length,
    measure: task.kind === "measure" ? measured(task, of, []) : null,
  }));
  return shares.filter(({ count, norep, measure }) => count || norep || measure !== null);
}

/** @param {any} movement @param {any} task @param {Mark[]} reps @param {number} nth @param {boolean} out @param {Flag[]} flags */
function foldCount(movement, task, reps, nth, out, flags) {
  const fastest = movement.fastest_ms ?? 0;
  for (let i = 1; i < reps.length; i += 1) {
    if (reps[i].at - reps[i - 1].at < fastest) flags.push({ mark: reps[i].id, why: "fast" });
  }
  const target = task.target == null ? null : task.target + task.grows * nth;
  if (out) for (const mark of reps) flags.push({ mark: mark.id, why: "after-out" });
  const credited = out ? 0 : Math.min(reps.length, target ?? reps.length);
  return { count: reps.length, credited, target, worths: Array(credited).fill(1) };
}

/** @param {Mark[]} standing @returns {Record<string, string>} */
function signatures(standing) {
  const latest = new Map(standing.filter((mark) => mark.kind === "sign").map((mark) => [mark.body.who, mark.body.name]));
  return Object.fromEntries([...latest].sort((a, b) => byText(a[0], b[0])));
}

/** @param {Flag[]} flags @param {Map<string, Mark>} unique @returns {Flag[]} each once, in the order of their marks */
function inOrder(flags, unique) {
  const once = new Map(flags.map((flag) => [`${flag.mark} ${flag.why}`, flag]));
  const mark = (/** @type {Flag} */ flag) => /** @type {Mark} */ (unique.get(flag.mark));
  return [...once.values()].sort((a, b) => byOrder(mark(a), mark(b)) || byText(a.why, b.why));
}
