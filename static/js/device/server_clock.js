// @ts-check
/** The server's timeline as a page without a line of its own knows it. */

import { Offset, isUnsure } from "../rules/clock.js";
import { GAP_READ_MS, wallGap } from "./bridge.js";

const FIRST_EVERY_MS = 125;
const LEAST_JUMP_MS = 250; // the wall clock so far ahead of ours at once: this computer may have slept, and ours stood still
// As a tablet's line does it, so that all clocks of a hall show the same second.
const CLOSELY = { first: 32, thenEveryMs: 5000 };

/** The server's timeline as a page without a line of its own knows it, from four time stamps over plain requests. */
export class ServerClock {
  #offset = new Offset();
  #pings = 0;
  #timer = 0;
  #turn = 0; // each time it begins to ask anew
  #gap = wallGap();

  /** Which boot of the server's machine its time belongs to; empty before it is known. */
  boot = "";

  /**
   * @param {string} url answers {boot, t2, t3}
   * @param {{first: number, thenEveryMs: number}} [how] quick pings at first, and how often after them; hundreds of phones ask less
   */
  constructor(url, how = CLOSELY) {
    this.url = url;
    this.how = how;
  }

  start() {
    this.#ping();
    // A computer that slept may have stopped its clock.
    document.addEventListener("visibilitychange", () => document.hidden || this.#again());
    addEventListener("pageshow", (event) => event.persisted && this.#again());
  }

  /** Milliseconds on the server's timeline, null before the first answer or after the server's computer was restarted. @param {string} [boot] */
  nowMs(boot = this.boot) {
    this.#look();
    const now = performance.now();
    const estimate = boot === this.boot ? this.#offset.estimate(now) : null;
    return estimate && now + estimate.offset;
  }

  /**
   * Whether a clock that is shown by it may be wrong: this computer slept, and the server has not answered since; or what the clock rests on is not known well.
   * @param {number | null} [go] how far the heat's GO may be off, in ms; null: nobody knows @param {number} [start] the same of an attempt's start
   */
  unsure(go = 0, start = 0) {
    const own = this.#offset.estimate(performance.now())?.bound ?? 0;
    return isUnsure(go === null ? null : own + go) || isUnsure(start);
  }

  /** Whether the wall clock has gone ahead of ours since the last look. A page in full view has rather been set than slept; nobody knows. */
  #look() {
    const gap = wallGap();
    const ahead = gap - this.#gap;
    this.#gap = gap;
    if (ahead <= LEAST_JUMP_MS) return;
    this.#offset.slept(ahead + GAP_READ_MS, document.hidden);
    this.#again();
  }

  #again() {
    this.#turn += 1;
    this.#pings = 0;
    clearTimeout(this.#timer);
    this.#ping();
  }

  async #ping() {
    this.#pings += 1;
    const wait = this.#pings < this.how.first ? FIRST_EVERY_MS : this.how.thenEveryMs;
    const pings = this.#pings;
    await this.#exchange();
    if (pings === this.#pings) this.#timer = setTimeout(() => this.#ping(), wait);
  }

  async #exchange() {
    try {
      const turn = this.#turn;
      const t1 = performance.now();
      const answer = await fetch(this.url, { cache: "no-store" });
      const t4 = performance.now();
      if (!answer.ok) return;
      const { boot, t2, t3 } = await answer.json();
      if (boot !== this.boot) {
        if (turn !== this.#turn && this.boot) return; // asked before what is known was heard: it may be of a line of time that is over
        this.boot = boot;
        this.#offset = new Offset();
      }
      this.#offset.add(t1, t2, t3, t4);
    } catch {
      // No network: the offset that is known goes on.
    }
  }
}
