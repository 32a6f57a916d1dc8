// @ts-check
/**
 * The heat clock: which window a moment falls in, and the offset between two clocks from their time stamps.
 * Twin of app/rules/clock.py; both pass tests/vectors/clock.json.
 */

/**
 * @typedef {object} Moment
 * @property {"before" | "window" | "gap" | "over"} phase
 * @property {number[]} windows indexes of the windows open now
 * @property {number | null} main the first of them that is work, else the first
 * @property {number} left_ms until the bell of main; until GO; until the next window; 0 when over
 * @property {number | null} next index of the next window to open
 */

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

/**
 * Offset and round-trip delay of one exchange (RFC 5905, section 8).
 * @param {number} t1 @param {number} t2 @param {number} t3 @param {number} t4
 * @returns {[number, number]}
 */
export function rfc5905Offset(t1, t2, t3, t4) {
  return [(t2 - t1 + (t3 - t4)) / 2, t4 - t1 - (t3 - t2)];
}

/** Crystals of phones and laptops stay within this of one another; common practice, no source. */
const DRIFT_PPM = 100;
const MOST_EXCHANGES = 64;

/**
 * Estimates server clock minus client clock from exchanges of four time stamps, in ms.
 *
 * Each exchange proves that the offset lies between t3-t4 and t2-t1; with age the interval widens by the drift. The estimate is the
 * middle of the intersection of all intervals, its bound half the width. An empty intersection (a clock was stepped) forgets the past.
 */
export class Offset {
  /** @type {{at: number, low: number, high: number}[]} */
  #exchanges = [];

  /** @param {number} [driftPpm] */
  constructor(driftPpm = DRIFT_PPM) {
    this.driftPpm = driftPpm;
  }

  /**
   * Takes one exchange: sent and received by the client at t1 and t4; received and answered by the server at t2 and t3.
   * @param {number} t1 @param {number} t2 @param {number} t3 @param {number} t4
   */
  add(t1, t2, t3, t4) {
    this.#exchanges.push({ at: t4, low: t3 - t4, high: t2 - t1 });
    this.#exchanges = this.#exchanges.slice(-MOST_EXCHANGES);
    const [low, high] = this.#interval(t4);
    if (low > high) this.#exchanges = this.#exchanges.slice(-1);
  }

  /**
   * @param {number} now the client's time
   * @returns {{offset: number, bound: number} | null} null before the first exchange
   */
  estimate(now) {
    if (!this.#exchanges.length) return null;
    const [low, high] = this.#interval(now);
    return { offset: (low + high) / 2, bound: Math.max(0, (high - low) / 2) };
  }

  /** @param {number} now @returns {[number, number]} */
  #interval(now) {
    const grow = this.driftPpm / 1_000_000;
    const aged = (/** @type {number} */ at) => grow * Math.max(0, now - at);
    return [
      Math.max(...this.#exchanges.map((e) => e.low - aged(e.at))),
      Math.min(...this.#exchanges.map((e) => e.high + aged(e.at))),
    ];
  }
}
