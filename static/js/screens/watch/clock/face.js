// @ts-check
/** What the hall clock says at a moment of a heat. Values in, words out. */
import { attemptTime } from "../../../parts/lifting/attempt_clock.js";
import { HURRY_MS, bigNumber } from "../../../parts/big_number.js";
import { timeLeft } from "../../../parts/timing.js";
import { lengthMs } from "../../../rules/clock.js";
import { shownAt } from "../../../rules/heat_clock.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../parts/ribbon.js").Window & {says: string, up: boolean}} Window */
/** @typedef {{members: number, windows: Window[]}} Format */
/** @typedef {{event: string, number: number, state: string, go_ms: number, boot: string, bound_ms: number | null, holds: string, clock: string, lineup: import("../sound/spoken.js").Lane[], lifts: import("../sound/spoken.js").Lift[], attempt: Attempt | null}} Heat */
/** @typedef {import("../../../rules/lifting/attempt_clock.js").Runs & {who: string, hurry: number, floor: boolean, bound: number}} Attempt as app/watch/bar_clocks.py tells it */

/**
 * @typedef {object} Face
 * @property {"idle" | "before" | "work" | "rest" | "held" | "over"} tone
 * @property {string} label above the clock: what the number is
 * @property {string} minutes
 * @property {string} tenths
 * @property {string} now whose turn it is, and what
 * @property {string} next
 * @property {boolean} hurry the last ten seconds
 */

const COUNT_MS = 60_000; // a countdown reads as seconds alone
const BELL_STAYS_MS = 30_000; // for how long after the last bell its clock is shown

/**
 * @param {Format} format
 * @param {import("../../../rules/holding.js").HeatTime} time
 * @returns {Face}
 */
export function faceAt(format, time) {
  const { state, left_ms, on_ms, moment } = shownAt(format, "set", time);
  const next = nextWords(format, moment);
  if (state === "over") return { tone: "over", label: say("The last bell"), minutes: "0:00", tenths: "", now: say("Time"), next: "", hurry: false };
  if (state === "set") {
    return { tone: "before", label: say("GO in"), ...countdown(left_ms), now: nextWords(format, moment, true), next: "", hurry: left_ms <= HURRY_MS };
  }
  const window = moment.main === null ? null : format.windows[moment.main];
  const now = window?.says ?? say("Change over");
  const { cap, ...big } = window ? bigNumber(window, time.ms) : { ...timeLeft(left_ms), cap: "", hurry: left_ms <= HURRY_MS };
  if (state !== "running") return heldFace(big, now, on_ms, timeLeft(left_ms));
  return { tone: window?.task ? "work" : "rest", label: cap && say("clock.cap", { cap }), ...big, now, next };
}

/**
 * At a shared bar the number is the attempt's, and the window's time stands below it; null while no attempt's clock runs. That of a bar
 * that stayed where it is goes as a last bell does.
 * @param {Format} format @param {Attempt | null} attempt @param {import("../../../rules/holding.js").HeatTime} time @returns {Face | null}
 */
export function attemptFace(format, attempt, time) {
  const { state, left_ms, moment } = shownAt(format, "set", time);
  if (attempt === null || state !== "running" || moment.main === null || time.ms < attempt.since) return null;
  const left = attempt.over - time.ms;
  if (left <= -BELL_STAYS_MS) return null;
  const waits = attempt.floor ? say("until the bar must leave the floor") : say("until the bar must leave the rack");
  const now = left > 0 ? waits : say("The time for this attempt is over");
  const { minutes, tenths } = timeLeft(left_ms);
  const next = `${format.windows[moment.main].says} · ${say("{minutes}{tenths} left", { minutes, tenths })}`;
  return { tone: "work", label: attempt.who, minutes: attemptTime(left), tenths: "", now, next, hurry: left <= attempt.hurry };
}

/** Whose attempt a clock tells of, where the name has no place of its own. @param {Face} face of an attempt */
export const whoseAttempt = ({ label, now }) => say("{who}: {says}", { who: label, says: now });

/**
 * @param {{minutes: string, tenths: string}} stands @param {string} now @param {number | null} onMs
 * @param {{minutes: string, tenths: string}} left @returns {Face}
 */
function heldFace(stands, now, onMs, left) {
  if (onMs === null) return { tone: "held", label: say("heat.held"), ...stands, now, next: say("The clock is stopped."), hurry: false };
  return { tone: "held", label: say("Resumes in"), ...countdown(onMs), now, next: say("{minutes}{tenths} left", { minutes: left.minutes, tenths: left.tenths }), hurry: onMs <= HURRY_MS };
}

/** @param {number} ms */
function countdown(ms) {
  return ms < COUNT_MS ? { minutes: String(Math.ceil(ms / 1000)), tenths: "" } : { minutes: timeLeft(ms).minutes, tenths: "" };
}

/** The windows that come, up to the next one with work: "then rest 2:00, then B: Squats". @param {Format} format @param {import("../../../rules/clock.js").Moment} moment @param {boolean} [first] nothing has begun yet */
export function nextWords(format, moment, first = false) {
  if (moment.next === null) return say("then the last bell");
  const next = format.windows[moment.next];
  if (next.task != null) return first ? say("First, {says}", { says: next.says }) : say("then {says}", { says: next.says });
  const work = format.windows.filter((window) => window.task != null && window.start >= next.start).sort((a, b) => a.start - b.start)[0];
  const time = timeLeft(next.seconds * 1000).minutes;
  const rest = first ? say("First rest {time}", { time }) : say("then rest {time}", { time });
  return work ? `${rest}, ${work.says}` : rest;
}

/** Whether a heat's clock is still to be seen: it counts, or its last bell has just gone. @param {Format} format @param {Heat} heat @param {number} ms */
export function isShown(format, heat, ms) {
  return heat.state === "set" && ms < lengthMs(format) + BELL_STAYS_MS;
}
