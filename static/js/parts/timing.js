// @ts-check
/** When to draw, and times as a lane reads them. */
import { clockText, hoursText } from "../words/clock_times.js";
import { decimal, POINT } from "../words/say.js";

const TENTHS_BELOW_MS = 10_000; // tenths matter only at the end, and distract before it

const LONGEST_WAIT_MS = 250;
const ONE_FRAME_MS = 17;

/** @typedef {{soon: () => void, within: (ms: number) => void}} Frames */

/**
 * Runs `step` in a frame as often as the screen needs it: `step` says how many ms the screen can stand still (0: not at all).
 * A screen that changes once a second leaves the tablet free for the next touch. `soon` asks for a step in the very next frame,
 * `within` for one so many ms from now at the latest: what comes meanwhile is drawn with it.
 * While the page is hidden frames stand still, so a slow timer runs it.
 * @param {() => number} step
 * @returns {Frames}
 */
export function frames(step) {
  let asked = false;
  let timer = 0;
  let due = Infinity;
  const soon = () => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(run);
  };
  const within = (/** @type {number} */ ms) => {
    const at = performance.now() + ms;
    if (asked || at >= due) return;
    due = at;
    clearTimeout(timer);
    timer = setTimeout(soon, ms);
  };
  const run = () => {
    asked = false;
    due = Infinity;
    clearTimeout(timer);
    const wait = Math.min(step(), LONGEST_WAIT_MS);
    if (wait < ONE_FRAME_MS) soon();
    else within(wait - ONE_FRAME_MS / 2);
  };
  setInterval(() => document.hidden && step(), LONGEST_WAIT_MS);
  document.addEventListener("visibilitychange", soon);
  soon();
  return { soon, within };
}

/**
 * How long a clock that shows `left` can stand still: until its next second, in the last ten until its next tenth.
 * @param {number} left ms
 */
export function stillFor(left) {
  return left % (left <= TENTHS_BELOW_MS ? 100 : 1000);
}

/**
 * Time left: whole seconds rounded up (a window of two minutes begins with 2:00), tenths in the last ten seconds.
 * @param {number} ms
 * @returns {{minutes: string, tenths: string}} such as {minutes: "0:07", tenths: ".3"}
 */
export function timeLeft(ms) {
  const left = Math.max(0, ms);
  if (left >= TENTHS_BELOW_MS) return { minutes: hoursText(Math.ceil(left / 1000)), tenths: "" };
  const tenths = Math.ceil(left / 100);
  return { minutes: hoursText(Math.floor(tenths / 10)), tenths: `${POINT}${tenths % 10}` };
}

/** What a clock says of a heat that was ended early: when that was stands on no clock. */
export const NO_TIME = "–:––";

/** A time since GO or a length, m:ss. @param {number} ms */
export function timeText(ms) {
  return (ms < 0 ? "−" : "") + clockText(Math.abs(ms), 0, hoursText);
}

/** A finish time with its tenths, m:ss.t. @param {number} ms */
export function finishText(ms) {
  return decimal(clockText(ms, 1, hoursText));
}

/** A time of day so much earlier, both of a wall clock: 14:25 of 14:30. @param {string} time hh:mm @param {number} seconds what is no whole minute makes it a minute earlier */
export function earlier(time, seconds) {
  const [hours, minutes] = time.split(":").map(Number);
  const left = (((hours * 60 + minutes - Math.ceil(seconds / 60)) % 1440) + 1440) % 1440;
  return `${String(Math.floor(left / 60)).padStart(2, "0")}:${String(left % 60).padStart(2, "0")}`;
}
