// @ts-check
/** Who lifts next at a bar that lanes share, and who is at it. Twin of app/rules/count/lift_order.py, where the rules are said in words; both pass tests/vectors/lift_order.json. */
import { endMs, startMs } from "../clock.js";
import { attemptClock, startBound } from "../lifting/attempt_clock.js";
import { barFloor, declaredBelow } from "../lifting/bar_floor.js";
import { leastThatCounts, overdue } from "../lifting/next_attempt.js";
import { byOrder } from "../order.js";
import { compareLoads } from "../units.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {import("../units.js").Load} Load */
/** @typedef {{lot: number, who: string, load: Load, attempts: number, lastAt: number | null, atTheEnd: boolean, declared: string, automatic: boolean, least: Load | null}} Waiting automatic: by the event's rule, and declared is empty until somebody calls with it; least: what must be declared where the load would not count, or is below the bar */
/** @typedef {{lot: number, who: string, format: any, tally: import("../tally.js").Tally, marks: Mark[], admitted?: string[], out?: boolean}} BarLane marks: of all its sheets; admitted: those that a ruling lets count; out: its lifter waits for nothing more */

const AT_THE_BAR = new Set(["called", "begun"]);

/** @type {Record<string, (a: Waiting, b: Waiting) => number>} */
const ORDERS = {
  lanes: (a, b) => a.lot - b.lot,
  lightest: (a, b) => compareLoads(a.load, b.load) || a.attempts - b.attempts || since(a) - since(b) || a.lot - b.lot,
  rounds: (a, b) => a.attempts - b.attempts || Number(a.atTheEnd) - Number(b.atTheEnd) || compareLoads(a.load, b.load) || a.lot - b.lot,
};

/** Who has not lifted yet comes before who has. @param {Waiting} one */
const since = ({ lastAt }) => lastAt ?? -(10 ** 9);

/** @param {Waiting[]} waiting @param {string} order @returns {Waiting[]} */
function liftOrder(waiting, order) {
  return [...waiting].sort(ORDERS[order]);
}

/** The window whose lifters are called at a moment; null without a bar that is shared. @param {any} format @param {number | null} ms @returns {number | null} */
export function barWindow(format, ms) {
  const windows = /** @type {any[]} */ (format.windows);
  const shared = windows.map((window, index) => ({ window, index })).filter(({ index }) => taskOf(format, index));
  shared.sort((a, b) => startMs(a.window) - startMs(b.window) || a.index - b.index);
  return (shared.find(({ window }) => ms === null || ms < endMs(window)) ?? shared.at(-1))?.index ?? null;
}

/** Those of a platform who wait at a moment, in the order in which they are called. @param {BarLane[]} lanes @param {number | null} ms @returns {Waiting[]} */
export function calledNext(lanes, ms) {
  const waiting = [];
  let order = "lanes";
  let rises = false;
  for (const lane of lanes) {
    const window = barWindow(lane.format, ms);
    const task = window === null ? null : taskOf(lane.format, window);
    if (window === null || !task) continue;
    order = task.order;
    rises ||= task.bar_rises === true;
    const one = lane.out ? null : waitingOf(lane, lane.tally.windows[window], task, ms);
    if (one) waiting.push({ one, window });
  }
  const marks = rises ? lanes.flatMap((lane) => lane.marks) : [];
  const admitted = new Set(lanes.flatMap((lane) => lane.admitted ?? []));
  return liftOrder(waiting.map(({ one, window }) => (rises && !admitted.has(one.declared) ? notBelow(one, marks, window) : one)), order);
}

/** A lifter who waits, with what must be declared at least where the load is below the bar. @param {Waiting} one @param {Mark[]} marks @param {number} window @returns {Waiting} */
function notBelow(one, marks, window) {
  const floor = barFloor(marks, window);
  const low = one.automatic && floor && compareLoads(one.load, floor) < 0;
  if (!floor || (!low && !declaredBelow(marks, window).has(one.declared))) return one;
  return { ...one, least: one.least && compareLoads(one.least, floor) > 0 ? one.least : floor };
}

/** Who is at the bar, and the mark that says so; null before anybody was called, and where whoever was is out. @param {BarLane[]} lanes @returns {{lot: number, mark: string} | null} */
export function atTheBar(lanes) {
  const said = lanes.flatMap((lane) => saying(lane.marks).map((mark) => ({ lane, mark })));
  const newest = said.sort((a, b) => byOrder(a.mark, b.mark)).at(-1);
  if (!newest || (newest.lane.out && !newest.lane.tally.windows.some(({ begun }) => begun))) return null;
  return { lot: newest.lane.lot, mark: newest.mark.id };
}

/** Of those who wait, whoever was called to the bar and has not lifted since. @param {Waiting[]} order @param {BarLane[]} lanes @returns {Waiting | null} */
export function calledLift(order, lanes) {
  const bar = atTheBar(lanes);
  const said = lanes.flatMap(({ marks }) => marks).find(({ id, kind }) => id === bar?.mark && AT_THE_BAR.has(kind));
  return order.find(({ declared, lastAt }) => declared === said?.body.declared && (lastAt === null || lastAt < said.at)) ?? null;
}

/**
 * How the attempt's clock of whoever is at the bar runs, in the window that is lifted at a moment; null while it does not.
 * @param {BarLane[]} lanes @param {number | null} ms @returns {(import("../lifting/attempt_clock.js").Runs & {lot: number, task: any, bound: number}) | null} bound: how far it may be off by the clocks of those who started it, in ms
 */
export function barClock(lanes, ms) {
  const at = atTheBar(lanes);
  const lane = lanes.find(({ lot }) => lot === at?.lot);
  const window = lane ? barWindow(lane.format, ms) : null;
  const task = lane && window !== null ? taskOf(lane.format, window) : null;
  if (!lane || window === null || !task) return null;
  const found = lane.tally.windows[window];
  const runs = attemptClock(found);
  return runs && { ...runs, lot: lane.lot, task, bound: startBound(found) };
}

/** @param {Mark[]} marks */
function saying(marks) {
  const struck = new Set(marks.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  const standing = marks.filter(({ id }) => !struck.has(id));
  const told = standing.filter(({ kind }) => AT_THE_BAR.has(kind));
  const of = new Set(told.map(({ body }) => body.declared ?? null));
  return [...told, ...standing.filter(({ kind, body }) => kind === "lift" && !of.has(body.declared ?? null))];
}

/** The lift of a window whose lanes share a bar, or null. @param {any} format @param {number} window */
function taskOf(format, window) {
  const task = format.tasks[format.windows[window].task ?? ""];
  return task?.kind === "lift" && (task.order ?? "lanes") !== "lanes" ? task : null;
}

/** The lift that a lane waits for: what is declared and has not been judged. @param {BarLane} lane @param {any} found @param {any} task @param {number | null} ms @returns {Waiting | null} */
function waitingOf({ lot, who, marks }, found, task, ms) {
  const mark = marks.find(({ id, kind }) => kind === "declare" && id === (found.waiting || found.declaration));
  const lifts = /** @type {import("../lifts.js").Lift[]} */ (found.lifts);
  const judged = !found.waiting && lifts.some((lift) => lift.declared === mark?.id && !lift.again);
  const attempts = new Set(lifts.filter(({ again }) => !again).map((lift) => lift.declared ?? lift.mark)).size;
  const lastAt = lifts.length ? Math.max(...lifts.map(({ at }) => at)) : null;
  if (!mark || judged) {
    const { coming } = found;
    const byRule = coming?.auto && ms !== null && overdue(coming, ms, 0);
    return byRule ? { lot, who, load: coming.auto, attempts, lastAt, atTheEnd: false, declared: "", automatic: true, least: null } : null;
  }
  const atTheEnd = task.again_when === "round_end" && Boolean(lifts.at(-1)?.again);
  const { load, member, by, record } = mark.body;
  const least = leastThatCounts(task, lifts.filter((lift) => lift.member === null || member == null || lift.member === member), load, record === true);
  return { lot, who, load, attempts, lastAt, atTheEnd, declared: mark.id, automatic: by === "rule", least };
}
