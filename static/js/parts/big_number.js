// @ts-check
/** The number that is large on every clock of a heat: hall clock, board, wall and tablet show the same one. Values in, words out. */
import { hoursText } from "../words/clock_times.js";
import { timeLeft } from "./timing.js";
import { POINT } from "../words/say.js";

export const HURRY_MS = 10_000; // the last ten seconds

/** @typedef {{minutes: string, tenths: string, cap: string, hurry: boolean}} Big cap: where it counts up, when it ends at the latest */

/**
 * A window's number: what is left of it, or where its score is a time, what has passed.
 * @param {{start: number, seconds: number, up?: boolean}} window
 * @param {number} ms on the heat clock, within the window
 * @returns {Big}
 */
export function bigNumber(window, ms) {
  const left = Math.max(0, (window.start + window.seconds) * 1000 - ms);
  const hurry = left <= HURRY_MS;
  if (!window.up) return { ...timeLeft(left), cap: "", hurry };
  const passed = Math.max(0, Math.floor(Math.min(ms - window.start * 1000, window.seconds * 1000)));
  const tenths = hurry ? `${POINT}${Math.floor((passed % 1000) / 100)}` : "";
  return { minutes: hoursText(Math.floor(passed / 1000)), tenths, cap: hoursText(window.seconds), hurry };
}
