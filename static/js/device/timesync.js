// @ts-check
/** GO on this page's monotonic clock, with its error bound; goes on without the network. */

import { DRIFT_PPM, Offset } from "../rules/clock.js";
import { GAP_READ_MS, MOST_BOUND_MS, leaveWord, read, takeBack, takeOver, wallGap, write } from "./bridge.js";
import { Watched } from "./watched.js";

const CLOCK = "lane-ledger-clock";
const MOST_ANCHORS = 24;
const KEEP_MS = 1000; // how often the clock is written down, so that a reload goes on from it
const LEAST_JUMP_MS = 5; // the wall clock so far ahead of ours at once: we may have stood still. Both are read to a millisecond, or so
const JUMP_GRAINS = 3; // where browsers read them more coarsely
const SLEEP_MS = 100; // a jump after which the desk's clock is asked at once
const COARSEST_MS = 100; // what a browser that hides its clock rounds to
const GRAIN_LOOKS = 200_000; // some ten milliseconds of looking, once
const FINEST_MS = 1.01; // a clock that is read more coarsely does not tell how far apart two moments of it are
const HAND_BOUND_MS = 2000; // from the whistle to a finger on the screen, at the slowest

/**
 * The instant of one GO on this page's monotonic clock.
 * @typedef {{local: number, boot: string, bound: number, at: number, hand: boolean, late: number | null, pongs?: number}} Anchor at: when it was so, on that clock; pongs: how many there were then
 */

/**
 * A heat clock's reading.
 * @typedef {object} Reading
 * @property {number} ms milliseconds since GO, negative before it; a heat that is held has stood for a part of them
 * @property {number} bound on its error, in ms
 * @property {"synced" | "kept" | "hand"} clock by the desk's clock; gone on from an earlier reading of it; started by hand
 * @property {{number: number, moved: number} | null} life which life of this page's own clock it was read in, from 1 on, and by how many ms GO was put earlier since that life began; null where that clock is too coarse to tell
 */

/**
 * Turns the server's monotonic clock into this page's, and goes on without the network.
 *
 * Everything is read from performance.now, so a step of the wall clock moves nothing. The wall clock serves one purpose: it alone goes
 * on while no page is there or a tablet sleeps, so the relation between the two is looked at whenever the time is read. What rests on
 * it says so in its bound.
 */
export class Timesync extends Watched {
  #grain = clockGrain();
  #offset = new Offset(undefined, this.#grain);
  #pongs = 0;
  /** The estimate that a page before this one left. @type {{offset: number, bound: number, at: number} | null} */
  #before = null;
  /** @type {Map<string, Anchor>} */
  #anchors = new Map();
  #doubtMs = 0;
  #gap = wallGap();
  #jump = Math.max(LEAST_JUMP_MS, JUMP_GRAINS * this.#grain);
  #wasHidden = document.hidden;
  /** The life of this page's own clock: another begins where it may have stood still. */
  #life = 1;
  /** Where each GO was put first in this life. @type {Map<string, number>} */
  #firstPut = new Map();

  /** Told when this tablet may have slept: the sooner the desk's clock is asked, the better. @type {() => void} */
  ondoubt = () => {};

  /** Which boot of the server's machine its time belongs to; empty before it is known. */
  boot = "";

  constructor() {
    super();
    this.#restore();
    setInterval(() => this.keep(), KEEP_MS);
    addEventListener("pagehide", () => this.#leave());
    addEventListener("pageshow", ({ persisted }) => persisted && takeBack());
    document.addEventListener("visibilitychange", () => this.keep());
  }

  /** True once this page has the server's clock by its own pings. */
  get synced() {
    return this.#pongs > 0;
  }

  /** Bound on the error of the server's clock as seen here, in ms; null while it isn't known at all. @returns {number | null} */
  get bound() {
    const estimate = this.#estimate(performance.now());
    return estimate && Math.min(MOST_BOUND_MS, estimate.bound);
  }

  /**
   * The server said hello: a new boot of its machine is a new line of time.
   * @param {string} boot
   */
  hello(boot) {
    if (this.boot && boot !== this.boot) {
      this.#offset = new Offset(undefined, this.#grain);
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
   * @param {number} [goBound] how far that GO itself may be off, in ms: the desk had to find it anew
   * @returns {Reading | null}
   */
  reading(goServerMs, key = String(goServerMs), goBound = 0) {
    this.#look();
    const now = performance.now();
    const anchor = this.#anchors.get(key);
    const movedOn = anchor && !anchor.hand && this.boot && anchor.boot && anchor.boot !== this.boot;
    const estimate = movedOn ? null : this.#estimate(now);
    const byHand = anchor?.hand && anchor.pongs === this.#pongs; // a person knew better than what is known here without the desk
    if (goServerMs !== null && estimate && !byHand) {
      const bound = Math.min(MOST_BOUND_MS, estimate.bound + goBound);
      this.#anchor(key, goServerMs - estimate.offset, bound, anchor);
      return { ms: now + estimate.offset - goServerMs, bound, clock: this.synced ? "synced" : "kept", life: this.#lifeOf(key, goServerMs - estimate.offset) };
    }
    if (!anchor) return null;
    return { ms: now - anchor.local, bound: boundOf(anchor, now), clock: anchor.hand ? "hand" : "kept", life: this.#lifeOf(key, anchor.local) };
  }

  /** The life of our own clock, and by how much GO is put earlier on it than at first. @param {string} key @param {number} local where GO is put now */
  #lifeOf(key, local) {
    if (this.#grain > FINEST_MS) return null;
    const first = this.#firstPut.get(key) ?? local;
    this.#firstPut.set(key, first);
    return { number: this.#life, moved: first - local };
  }

  /**
   * When a run's GO was on the server's present line of time, by the clock that was kept here from an earlier one. So a desk whose
   * computer was changed or started anew learns it from those who were there. Null where nothing was kept, or not by the desk's clock.
   * @param {string} key
   * @returns {{go_of: string, go_ms: number, go_bound_ms: number} | null}
   */
  witness(key) {
    const now = performance.now();
    const anchor = this.#anchors.get(key);
    const estimate = this.#estimate(now);
    if (!anchor || anchor.hand || !anchor.boot || anchor.boot === this.boot || !this.synced || !estimate) return null;
    return { go_of: key, go_ms: Math.round(anchor.local + estimate.offset), go_bound_ms: Math.ceil(boundOf(anchor, now) + estimate.bound) };
  }

  /**
   * Starts a heat's clock on the whistle, because the desk's GO can't be known here. It holds until the desk's time is known.
   * @param {string} key
   */
  startByHand(key) {
    this.#anchors.set(key, { local: performance.now(), boot: "", bound: HAND_BOUND_MS, at: performance.now(), hand: true, late: null, pongs: this.#pongs });
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
    this.#anchors.set(key, { local, boot: this.boot, bound, at: performance.now(), hand: false, late });
  }

  /** @param {number} now @returns {{offset: number, bound: number} | null} */
  #estimate(now) {
    const fresh = this.#offset.estimate(now);
    if (fresh) return { offset: fresh.offset, bound: fresh.bound + this.#grain };
    return this.#before && { offset: this.#before.offset, bound: boundOf(this.#before, now) + this.#doubtMs };
  }

  /** Writes the clock down for the next page, and notices a sleep. */
  keep() {
    this.#look();
    write(localStorage, CLOCK, this.#left());
  }

  /** The page goes: the next one in this tab may be told more exactly, for the browser knows when this one was left. */
  #leave() {
    this.keep();
    leaveWord(this.#left(), this.#gap);
  }

  /** @returns {import("./bridge.js").Left} */
  #left() {
    const gap = this.#gap;
    const estimate = this.#estimate(performance.now());
    const clock = estimate && { boot: this.boot, delta: estimate.offset - gap, bound: estimate.bound };
    const anchors = [...this.#anchors].slice(-MOST_ANCHORS).map(([key, a]) => [key, { ...a, local: a.local + gap, at: a.at + gap }]);
    return { clock, anchors: /** @type {[string, Anchor][]} */ (anchors), wrote: Date.now() };
  }

  /** Whether the wall clock has gone ahead of ours since the last look: then ours may have stood still. */
  #look() {
    const gap = wallGap();
    const ahead = gap - this.#gap;
    const wasHidden = this.#wasHidden;
    this.#gap = gap;
    this.#wasHidden = document.hidden;
    if (ahead > this.#jump) this.#slept(ahead + Math.max(GAP_READ_MS, this.#grain), wasHidden);
  }

  /**
   * Our clock may have stood still while the tablet slept; or somebody set the wall clock. Nobody can tell the two apart without the
   * network: a page that was hidden has most likely slept, one in full view has not. The bound says that it may be the other.
   * @param {number} ms @param {boolean} believed
   */
  #slept(ms, believed) {
    this.#offset.slept(ms, believed);
    this.#doubtMs += ms;
    this.#life += 1;
    this.#firstPut.clear();
    if (believed && this.#before) this.#before.offset += ms;
    for (const anchor of this.#anchors.values()) {
      anchor.bound += ms;
      if (believed) anchor.local -= ms;
    }
    if (ms > SLEEP_MS) this.ondoubt();
    this.changed();
  }

  #restore() {
    const gap = this.#gap;
    const found = takeOver(read(localStorage, CLOCK), gap);
    if (!found) return;
    const { left, moved, bound } = found;
    const toOurs = (/** @type {number} */ wall) => wall + moved - gap;
    if (left.clock) {
      this.#before = { offset: left.clock.delta + gap - moved, bound: left.clock.bound + bound, at: performance.now() };
      this.boot = left.clock.boot;
    }
    for (const [key, anchor] of left.anchors ?? []) {
      this.#anchors.set(key, { ...anchor, local: toOurs(anchor.local), at: toOurs(anchor.at), bound: anchor.bound + bound, pongs: 0 });
    }
  }
}

/** How far an anchor may be off by now: two crystals drift apart. @param {{bound: number, at: number}} anchor @param {number} now */
function boundOf({ bound, at }, now) {
  return Math.min(MOST_BOUND_MS, bound + (DRIFT_PPM / 1_000_000) * Math.max(0, now - at));
}

/** How coarsely this page's clock is read: browsers round it down, most to a tenth, some to a whole millisecond and more. */
function clockGrain() {
  let grain = COARSEST_MS;
  let last = performance.now();
  for (let looks = 0, steps = 0; looks < GRAIN_LOOKS && steps < 3; looks += 1) {
    const now = performance.now();
    if (now === last) continue;
    grain = Math.min(grain, now - last);
    last = now;
    steps += 1;
  }
  return grain;
}
