// @ts-check
/**
 * The heat clock: which window a moment falls in, and the offset between two clocks from their time stamps.
 * Twin of app/rules/count/clock.py; both pass tests/vectors/clock.json.
 */

/**
 * @typedef {object} Moment
 * @property {"before" | "window" | "gap" | "over"} phase
 * @property {number[]} windows indexes of the windows open now
 * @property {number | null} main the first of them that is work, else the first
 * @property {number} left_ms until the bell of main; until GO; until the next window; 0 when over
 * @property {number | null} next index of the next window to open
 */

const UNSURE_MS = 1500; // clocks that show whole seconds, and a clock that a person set by another, are as near

/** Whether a clock that may be off by so many ms says that it is unsure. @param {number | null} bound null: nobody knows */
export const isUnsure = (bound) => bound === null || bound >= UNSURE_MS;

/**
 * The moment `ms` milliseconds after GO (negative: before). A window holds its first millisecond and not its bell.
 * @param {{windows: {start: number, seconds: number, task?: string | null}[]}} format
 * @param {number} ms
 * @returns {Moment}
 */
export function momentAt(format, ms) {
  const windows = format.windows;
  const open = windows.flatMap((window, i) => (startMs(window) <= ms && ms < endMs(window) ? [i] : []));
  const next = earliest(windows, (window) => startMs(window) > ms);
  if (ms < 0) return { phase: "before", windows: [], main: null, left_ms: -ms, next: earliest(windows, () => true) };
  if (open.length) {
    const main = open.find((i) => windows[i].task != null) ?? open[0];
    return { phase: "window", windows: open, main, left_ms: endMs(windows[main]) - ms, next };
  }
  if (next !== null) return { phase: "gap", windows: [], main: null, left_ms: startMs(windows[next]) - ms, next };
  return { phase: "over", windows: [], main: null, left_ms: 0, next: null };
}

/** First millisecond of a window on the heat clock. @param {{start: number}} window */
export function startMs(window) {
  return window.start * 1000;
}

/** The bell: the first millisecond after a window. @param {{start: number, seconds: number}} window */
export function endMs(window) {
  return (window.start + window.seconds) * 1000;
}

/** From GO to the last bell, in ms. @param {{windows: {start: number, seconds: number}[]}} format */
export function lengthMs(format) {
  return Math.max(...format.windows.map(endMs));
}

/**
 * @template {{start: number}} W
 * @param {W[]} windows
 * @param {(window: W) => boolean} wanted
 * @returns {number | null} the index of the first to open of those wanted
 */
function earliest(windows, wanted) {
  let found = null;
  for (const [i, window] of windows.entries()) {
    if (wanted(window) && (found === null || window.start < windows[found].start)) found = i;
  }
  return found;
}

/** Crystals are sold as within 100 of the true second, so two of them are within this of one another; common practice, no source. */
export const DRIFT_PPM = 200;
const LATELY = 4; // exchanges: so many seconds after a clock has jumped the bound holds the truth again, on however bad a network

/**
 * Estimates server clock minus client clock from exchanges of four time stamps, all in ms.
 *
 * Each exchange proves that the offset lies between t3-t4 and t2-t1; with age that interval widens by the drift, at both ends alike. So
 * of all lower ends one is the best now and for ever, and of all upper ends one: they are all that is kept. The estimate is the middle
 * of the intersection. An empty intersection (a clock was stepped) forgets the past; on a bad network a step of some milliseconds leaves
 * it filled, and old exchanges exclude the truth. So the bound reaches to both ends of what the latest few exchanges allow by themselves.
 */
export class Offset {
  // the ends as they would have been at the client's time 0
  #low = -Infinity;
  #high = Infinity;
  /** Both ends of each of the latest exchanges, likewise. @type {[number, number][]} */
  #lately = [];
  #doubt = 0;
  #believed = 0;

  /**
   * @param {number} [driftPpm]
   * @param {number} [grainMs] how coarsely the client's clock is read: browsers round it down
   */
  constructor(driftPpm = DRIFT_PPM, grainMs = 0) {
    this.driftPpm = driftPpm;
    this.grainMs = grainMs;
  }

  /**
   * Takes one exchange: sent and received by the client at t1 and t4; received and answered by the server at t2 and t3.
   * @param {number} t1 @param {number} t2 @param {number} t3 @param {number} t4
   */
  add(t1, t2, t3, t4) {
    const grow = this.driftPpm / 1_000_000;
    const ends = [t3 - t4 - this.grainMs, t2 - t1];
    // Each end was proven at its own moment: the lower one at t4, the upper one at t1.
    const [low, high] = [Math.min(...ends) + grow * t4, Math.max(...ends) - grow * t1];
    this.#low = Math.max(this.#low, low);
    this.#high = Math.min(this.#high, high);
    this.#lately = [...this.#lately, /** @type {[number, number]} */ ([low, high])].slice(-LATELY);
    if (this.#low - grow * t4 > this.#high + grow * t4) [this.#low, this.#high, this.#lately] = [low, high, [[low, high]]];
    this.#doubt = this.#believed = 0;
  }

  /**
   * The client's clock may have stood still for up to `ms`; `believed`: that is taken to be what happened. The estimate moves only if
   * it is believed. Its bound grows either way, until the next exchange tells.
   * @param {number} ms @param {boolean} believed
   */
  slept(ms, believed) {
    this.#high += ms;
    this.#lately = this.#lately.map(([low, high]) => [low, high + ms]);
    this.#doubt += ms;
    this.#believed += believed ? ms : 0;
  }

  /**
   * @param {number} now the client's time
   * @returns {{offset: number, bound: number} | null} null before the first exchange
   */
  estimate(now) {
    if (this.#low === -Infinity) return null;
    const aged = (this.driftPpm / 1_000_000) * now;
    const [low, high] = [this.#low - aged, this.#high + aged];
    const known = high - low - this.#doubt;
    const offset = low + known / 2 + this.#believed;
    return { offset, bound: Math.max(Math.max(0, known / 2) + this.#doubt, this.#fromLately(offset, aged)) };
  }

  /** How far an estimate lies from the further end of what the latest exchanges allow. @param {number} offset @param {number} aged */
  #fromLately(offset, aged) {
    const low = Math.max(...this.#lately.map(([low]) => low)) - aged;
    const high = Math.min(...this.#lately.map(([, high]) => high)) + aged;
    return Math.max(offset - low, high - offset);
  }
}
