// @ts-check
import { Offset } from "../rules/clock.js";
import { Watched } from "./watched.js";

const CLOCK = "lane-ledger-clock";
const ANCHORS = "lane-ledger-anchors";
const MOST_ANCHORS = 24;
const KEEP_MS = 1000; // how often the clock is written down, so that a reload goes on from it
const SLEEP_MS = 1500; // the wall clock running so far ahead of ours within a second: the tablet may have slept
const RELOAD_BOUND_MS = 100; // what a reload may add: the wall clock's own resolution and slewing
const HAND_BOUND_MS = 2000; // from the whistle to a finger on the screen, at the slowest

/**
 * The instant of one GO on this page's monotonic clock.
 * @typedef {{local: number, boot: string, bound: number, hand: boolean, late: number | null}} Anchor
 */

/**
 * A heat clock's reading.
 * @typedef {object} Reading
 * @property {number} ms milliseconds since GO, negative before it
 * @property {number} bound on its error, in ms
 * @property {"synced" | "kept" | "hand"} clock by the desk's clock; gone on from an earlier reading of it; started by hand
 */

/**
 * Turns the server's monotonic clock into this page's, and goes on without the network.
 *
 * Everything is read from performance.now, so a step of the wall clock moves nothing. The wall clock serves one purpose: it is the
 * only one that goes on while a page reloads, so the present relation between the two is written down every second.
 */
export class Timesync extends Watched {
  #offset = new Offset();
  #pongs = 0;
  /** The estimate that a page before this one left. @type {{offset: number, bound: number} | null} */
  #before = null;
  /** @type {Map<string, Anchor>} */
  #anchors = new Map();
  #doubtMs = 0;
  #gap = wallGap();

  /** Which boot of the server's machine its time belongs to; empty before it is known. */
  boot = "";

  constructor() {
    super();
    this.#restore();
    setInterval(() => this.keep(), KEEP_MS);
    addEventListener("pagehide", () => this.keep());
    document.addEventListener("visibilitychange", () => this.keep());
  }

  /** True once this page has the server's clock by its own pings. */
  get synced() {
    return this.#pongs > 0;
  }

  /** Bound on the error of the server's clock as seen here, in ms; null while it isn't known at all. @returns {number | null} */
  get bound() {
    return this.#estimate(performance.now())?.bound ?? null;
  }

  /**
   * The server said hello: a new boot of its machine is a new line of time.
   * @param {string} boot
   */
  hello(boot) {
    if (this.boot && boot !== this.boot) {
      this.#offset = new Offset();
      this.#pongs = 0;
      this.#before = null;
    }
    this.boot = boot;
    this.changed();
  }

  /**
   * One answered ping: sent and received by our clock, received and sent by the server's.
   * @param {number} t1 @param {number} t2 @param {number} t3 @param {number} t4
   */
  pong(t1, t2, t3, t4) {
    this.#offset.add(t1, t2, t3, t4);
    this.#pongs += 1;
    this.#doubtMs = 0;
    if (this.#pongs === 1) this.changed();
  }

  /** The server's time now, in ms, or null. @returns {number | null} */
  serverMs() {
    const now = performance.now();
    const estimate = this.#estimate(now);
    return estimate && now + estimate.offset;
  }

  /**
   * Milliseconds since GO, or null if neither the clock nor an earlier reading of it is known.
   * @param {number | null} goServerMs on the server's present line of time; null: GO isn't known here
   * @param {string} [key] names the run (`heat/number`), so that its clock goes on when the server's line of time is another one
   * @returns {number | null}
   */
  heatMs(goServerMs, key = String(goServerMs)) {
    return this.reading(goServerMs, key)?.ms ?? null;
  }

  /**
   * The heat clock with what it rests on.
   * @param {number | null} goServerMs
   * @param {string} [key]
   * @returns {Reading | null}
   */
  reading(goServerMs, key = String(goServerMs)) {
    const now = performance.now();
    const anchor = this.#anchors.get(key);
    const movedOn = anchor && !anchor.hand && this.boot && anchor.boot && anchor.boot !== this.boot;
    const estimate = movedOn ? null : this.#estimate(now);
    if (goServerMs !== null && estimate) {
      this.#anchor(key, goServerMs - estimate.offset, estimate.bound, anchor);
      return { ms: now + estimate.offset - goServerMs, bound: estimate.bound, clock: this.synced ? "synced" : "kept" };
    }
    if (!anchor) return null;
    return { ms: now - anchor.local, bound: anchor.bound + this.#doubtMs, clock: anchor.hand ? "hand" : "kept" };
  }

  /**
   * Starts a heat's clock on the whistle, because the desk's GO can't be known here. It holds until the desk's time is known.
   * @param {string} key
   */
  startByHand(key) {
    this.#anchors.set(key, { local: performance.now(), boot: "", bound: HAND_BOUND_MS, hand: true, late: null });
    this.keep();
    this.changed();
  }

  /**
   * How much later than the desk's GO a clock was started by hand, in ms; null if it was not, or GO isn't known yet.
   * @param {string} key
   * @returns {number | null}
   */
  handLate(key) {
    return this.#anchors.get(key)?.late ?? null;
  }

  /** Whether a run's clock still goes by a start by hand. @param {string} key */
  byHand(key) {
    return this.#anchors.get(key)?.hand ?? false;
  }

  /** @param {string} key @param {number} local @param {number} bound @param {Anchor | undefined} old */
  #anchor(key, local, bound, old) {
    const late = old?.hand ? old.local - local : (old?.late ?? null);
    this.#anchors.set(key, { local, boot: this.boot, bound, hand: false, late });
  }

  /** @param {number} now @returns {{offset: number, bound: number} | null} */
  #estimate(now) {
    const fresh = this.#offset.estimate(now);
    if (fresh) return { offset: fresh.offset, bound: fresh.bound + this.#doubtMs };
    return this.#before && { offset: this.#before.offset, bound: this.#before.bound + this.#doubtMs };
  }

  /** Writes the clock down for the next life of the page, and notices a sleep. */
  keep() {
    const gap = wallGap();
    // Our clock may have stood still while the tablet slept; or somebody set the wall clock. Without the network nobody can
    // tell, so the reading stays and its bound says so, until the next answered ping.
    if (gap - this.#gap > SLEEP_MS) this.#doubtMs += gap - this.#gap;
    this.#gap = gap;
    const estimate = this.#estimate(performance.now());
    const clock = estimate && { boot: this.boot, delta: estimate.offset - gap, bound: estimate.bound };
    const anchors = [...this.#anchors].slice(-MOST_ANCHORS).map(([key, a]) => [key, { ...a, local: a.local + gap }]);
    write(CLOCK, clock);
    write(ANCHORS, anchors);
  }

  #restore() {
    const gap = this.#gap;
    const clock = read(CLOCK);
    if (clock && Number.isFinite(clock.delta)) {
      this.#before = { offset: clock.delta + gap, bound: clock.bound + RELOAD_BOUND_MS };
      this.boot = clock.boot;
    }
    for (const [key, anchor] of read(ANCHORS) ?? []) {
      this.#anchors.set(key, { ...anchor, local: anchor.local - gap, bound: anchor.bound + RELOAD_BOUND_MS });
    }
  }
}

/** The wall clock minus this page's. */
function wallGap() {
  return Date.now() - performance.now();
}

/** @param {string} name @returns {any} */
function read(name) {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "null");
  } catch {
    return null;
  }
}

/** @param {string} name @param {any} value */
function write(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // no storage: the clock is right as long as the page lives
  }
}
