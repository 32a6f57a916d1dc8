// @ts-check
/**
 * What a heat's clock shows, for every screen. How a heat stands is the twin of `heat_state` in app/rules/records/moves.py; both pass
 * tests/vectors/clock.json.
 */
import { lengthMs, momentAt } from "./clock.js";

/** @typedef {import("./holding.js").HeatTime} HeatTime */
/** @typedef {"set" | "running" | "held" | "going-on" | "over" | "stopped"} HeatState */

/**
 * What a clock shows of a heat.
 * @typedef {object} Shown
 * @property {HeatState} state
 * @property {number | null} ms since GO, and no further than the last bell; null where nobody knows it: closed early, stopped
 * @property {number} left_ms to count down: to GO, to the bell of the window or the next window (of what is held it stands); 0 when over
 * @property {number | null} on_ms until a held heat goes on; null while nobody has said when, and when it is not held
 * @property {import("./clock.js").Moment} moment
 */

/**
 * How a heat stands.
 * @param {string} run what the desk made of its run: set, stopped, closed @param {number} length of its event, in ms
 * @param {HeatTime} time @returns {HeatState}
 */
export function heatState(run, length, time) {
  if (run === "stopped") return "stopped";
  if (run === "closed" || time.ms >= length) return "over";
  if (time.standing) return time.left_ms === null ? "held" : "going-on";
  return time.ms < 0 ? "set" : "running";
}

/**
 * What a clock shows of a heat. One that was closed early is over, and when it was closed is on no clock: none of them runs on.
 * @param {{windows: {start: number, seconds: number, task?: string | null}[]}} format
 * @param {string} run what the desk made of its run @param {HeatTime} time @returns {Shown}
 */
export function shownAt(format, run, time) {
  const length = lengthMs(format);
  const state = heatState(run, length, time);
  const ended = state === "over" || state === "stopped";
  const moment = momentAt(format, ended ? length : time.ms);
  const ms = run === "set" ? Math.min(time.ms, length) : null;
  return { state, ms, left_ms: moment.left_ms, on_ms: state === "going-on" ? time.left_ms : null, moment };
}
