// @ts-check
/** Which heat is at hand on this lane, and which moment of it shows what. Pure: values in, values out. */
import { PLACED } from "../../../rules/kinds.js";

/** @typedef {import("./words.js").Format} Format */
/** @typedef {import("./words.js").Entry} Entry */
/** @typedef {{id: string, lane: number, judge: string, judged?: boolean, entry: Entry, shifts?: Record<string, number>, counting?: import("../../../rules/numbers.js").Counting, admitted?: string[], ruled?: import("../../../rules/lifting/ruled_lifts.js").RuledLift[], out?: boolean, untold?: string[]}} Assignment judged: whether the judge has stood at a lane in another heat today; shifts: by run, in ms; counting: of numbers that were used twice, which mark counts; admitted: marks that a ruling lets count; ruled: rulings on the lifts of its newest run; out: its entry is ruled out of the event, or it is stopped for a medical reason; untold: the kinds of mark that this device is not told of, for it is another lifter's */
/** @typedef {string} Counter which of a lane's counters: its judge ("lane"), or one beside; the kind of sheet that it writes */
/** @typedef {import("../../../rules/holding.js").Hold} Hold */
/** @typedef {{number: number, go_server_ms: number, state: "set" | "stopped" | "closed", holds?: Hold[], bound_ms?: number | null}} Run bound_ms: see goBound */
/** @typedef {{id: string, number: number, event: string, planned: string, run: Run | null, assignment: Assignment, told?: import("../../../rules/told.js").Told}} Heat told: when that was so of its run */

// The tap for what was finished before a bell comes after it. Where the next window follows at once, its own first
// repetition can't have been finished so early, yet longer than this the tap could belong to either.
const NEXT_TO_EACH_OTHER_MS = 500;
// A lift that may be begun before the bell is decided when it is down.
const LIFT_UNDER_WAY_MS = 15_000;
export const NOBODY_KNOWS_MS = 86_400_000;

/** The number of the run that a mark made now belongs to: the one the desk started, or the next. @param {Heat} heat */
export function runNumber(heat) {
  if (!heat.run) return 1;
  return heat.run.state === "stopped" ? heat.run.number + 1 : heat.run.number;
}

/** The name of a run for the clock: `heat/number`. @param {Heat} heat @param {number} [run] */
export const runKey = (heat, run = runNumber(heat)) => `${heat.id}/${run}`;

/** The sheet of one counter of a lane. @param {Heat} heat @param {Counter | "video"} counter @param {number} [run] */
export const sheetKey = (heat, counter, run = runNumber(heat)) => `${heat.assignment.id}/${run}/${counter}`;

/** GO on the server's line of time, if the desk has given one that stands. @param {Heat} heat */
export function goOf(heat) {
  return heat.run && heat.run.state !== "stopped" ? heat.run.go_server_ms : null;
}

/** The same where it is on one line of time with a clock: what the desk said before its computer was changed or started anew is not. @param {Heat} heat @param {string} boot the clock's */
export function goOn(heat, boot) {
  return heat.told && boot && heat.told.boot !== boot ? null : goOf(heat);
}

/** How far the desk's GO itself may be off, in ms: by less than a day, where nobody knows. @param {Heat} heat */
export function goBound(heat) {
  const bound = heat.run?.bound_ms;
  return bound === null ? NOBODY_KNOWS_MS : (bound ?? 0);
}

/** When the clock of a heat's run stood. A packet kept from an older desk does not say. @param {Heat} heat @returns {Hold[]} */
export function holdsOf(heat) {
  return (heat.run?.state !== "stopped" && heat.run?.holds) || [];
}

/** The clock of the sheet at hand, as its marks are read by. @param {Heat} heat @returns {import("../../../rules/sheet_clock.js").SheetClock} */
export function sheetClock(heat) {
  return { holds: holdsOf(heat), shift_ms: heat.assignment.shifts?.[runNumber(heat)] ?? 0, given: goOf(heat) !== null, counting: heat.assignment.counting, admitted: heat.assignment.admitted, ruled: heat.assignment.ruled };
}

/** @typedef {(heat: Heat) => {ms: number} | null} Clock a heat's clock */
/** @typedef {(heat: Heat) => number} Length how long a heat takes, in ms */

/**
 * The heat to show: one with its clock going; else a sheet that the judge has opened again; else the one that was over last, until it
 * is left behind; else the first without a GO. An older sheet never comes up by itself: it waits in a list.
 * @param {Heat[]} heats in the order they are run
 * @param {Clock} reading
 * @param {Length} length
 * @param {{has(run: string): boolean}} left keys of runs that the judge has left behind
 * @param {string} [opened] key of the run whose sheet the judge has opened
 * @returns {Heat | null}
 */
export function heatAtHand(heats, reading, length, left, opened = "") {
  const going = heats.filter((heat) => !left.has(runKey(heat)) && isGoing(heat, reading, length)).at(-1);
  if (going) return going;
  const over = overHeats(heats, reading, length);
  const newest = over.at(-1);
  const again = over.find((heat) => runKey(heat) === opened);
  return again ?? (newest && !left.has(runKey(newest)) ? newest : comingHeat(heats, reading));
}

/** Whether a heat has a clock, or had one. @param {Heat} heat @param {Clock} reading */
const begun = (heat, reading) => reading(heat) !== null || heat.run?.state === "closed" || goOf(heat) !== null;

/** The first heat without a GO. @param {Heat[]} heats @param {Clock} reading @returns {Heat | null} */
export function comingHeat(heats, reading) {
  return heats.find((heat) => !begun(heat, reading)) ?? null;
}

/** The heats that have been run, the one that began last at the end. @param {Heat[]} heats @param {Clock} reading @param {Length} length @returns {Heat[]} */
export function overHeats(heats, reading, length) {
  const since = (/** @type {Heat} */ heat) => reading(heat)?.ms ?? Number.MAX_SAFE_INTEGER;
  return heats.filter((heat) => begun(heat, reading) && !isGoing(heat, reading, length)).sort((a, b) => since(b) - since(a));
}

/** @param {Heat} heat @param {Clock} reading @param {Length} length */
function isGoing(heat, reading, length) {
  const clock = heat.run?.state === "closed" ? null : reading(heat);
  return clock !== null && clock.ms < length(heat);
}

/** Whether a sheet holds work that its judge has not signed. @param {import("../../../device/outbox.js").Mark[]} marks of the sheet */
export function waitsForSignature(marks) {
  const struck = new Set(marks.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  const stand = marks.filter(({ id, kind }) => kind !== "strike" && !struck.has(id));
  return stand.some(({ kind }) => PLACED.has(kind)) && !stand.some(({ kind, body }) => kind === "sign" && body.who === "judge");
}

/**
 * What the lane screen shows at a moment of the heat clock.
 * @typedef {object} Scene
 * @property {"set" | "count" | "list" | "lift" | "measure" | "rest" | "held" | "after"} view
 * @property {number | null} win window that marks are made for
 * @property {boolean} late its bell has gone
 * @property {number} until ms on the heat clock that the clock on the screen runs to
 * @property {boolean} [held] the heat is held: its clock stands
 */

/** @param {Format} format @param {number} ms @param {boolean} lifting whether a declared bar is still to be judged @returns {Scene} */
export function sceneAt(format, ms, lifting) {
  if (ms < 0) return { view: "set", win: null, late: false, until: 0 };
  const working = format.windows.findIndex((w) => w.task != null && w.start * 1000 <= ms && ms < end(w));
  const closed = lastClosed(format, ms);
  if (closed !== null && ms < end(format.windows[closed]) + grace(format, closed, working, lifting)) {
    return { view: kindOf(format, closed), win: closed, late: true, until: end(format.windows[closed]) };
  }
  if (working !== -1) return { view: kindOf(format, working), win: working, late: false, until: end(format.windows[working]) };
  const coming = nextWork(format, ms);
  if (coming !== null) return { view: "rest", win: coming, late: false, until: format.windows[coming].start * 1000 };
  const last = Math.max(...format.windows.map(end));
  if (ms < last) return { view: "rest", win: null, late: false, until: last };
  return { view: "after", win: null, late: false, until: last };
}

/**
 * What a lane shows of a heat that is held. The judge's screen stays for a moment, for what was finished before the clock stood; a lift
 * that was begun may be decided in the hold where that is the rule.
 * @param {Format} format @param {Scene} scene of the moment at which the clock stands @param {number} into how long it has stood, in ms
 * @param {boolean} lifting @returns {{scene: Scene, until: number}} until: how many ms that is so, if time alone changes it
 */
export function heldScene(format, scene, into, lifting) {
  const task = scene.win === null || scene.view === "rest" ? null : format.tasks[/** @type {string} */ (format.windows[scene.win].task)];
  const begun = task?.kind === "lift" && task.counts_when === "begun" && lifting;
  const stays = task === null ? 0 : begun ? Math.max(format.late_ms, LIFT_UNDER_WAY_MS) : format.late_ms;
  if (into < stays) return { scene: { ...scene, held: true }, until: stays - into };
  return { scene: { ...scene, view: "held", held: true, late: false }, until: Infinity };
}

/** The next window with work that opens after a moment. @param {Format} format @param {number} ms @returns {number | null} */
function nextWork(format, ms) {
  const coming = format.windows.map((w, i) => ({ w, i })).filter(({ w }) => w.task != null && w.start * 1000 > ms);
  return coming.sort((a, b) => a.w.start - b.w.start)[0]?.i ?? null;
}

/**
 * The windows whose marks can be taken back in a scene: its own; where nobody works, the one just before, and the one that comes, for
 * which a load may be declared already.
 * @param {Format} format @param {Scene} scene @param {number} ms on the heat clock @returns {(number | null)[]}
 */
export function windowsAtHand(format, { view, win }, ms) {
  const resting = win === null || format.windows[win].start * 1000 > ms;
  return view === "after" || !resting ? [win] : [lastClosed(format, ms), win];
}

/** @param {{start: number, seconds: number}} window */
const end = (window) => (window.start + window.seconds) * 1000;

/** @param {Format} format @param {number} win @returns {Scene["view"]} */
const kindOf = (format, win) => format.tasks[/** @type {string} */ (format.windows[win].task)].kind;

/** @param {Format} format @param {number} ms @returns {number | null} */
function lastClosed(format, ms) {
  const closed = format.windows.map((w, i) => ({ w, i })).filter(({ w }) => w.task != null && end(w) <= ms);
  return closed.sort((a, b) => end(b.w) - end(a.w))[0]?.i ?? null;
}

/** @param {Format} format @param {number} closed @param {number} working @param {boolean} lifting */
function grace(format, closed, working, lifting) {
  if (working !== -1) return Math.min(format.late_ms, NEXT_TO_EACH_OTHER_MS);
  const task = format.tasks[/** @type {string} */ (format.windows[closed].task)];
  if (task.kind === "lift" && task.counts_when === "begun" && lifting) return Math.max(format.late_ms, LIFT_UNDER_WAY_MS);
  return format.late_ms;
}
