// @ts-check
/** The clock of the heat on the floor, as a wall reads it. */
import { HURRY_MS, bigNumber } from "../../../parts/big_number.js";
import { NO_TIME, timeLeft } from "../../../parts/timing.js";
import { lengthMs } from "../../../rules/clock.js";
import { shownAt } from "../../../rules/heat_clock.js";
import { heatTime } from "../../../rules/holding.js";
import { attemptFace, nextWords, whoseAttempt } from "../clock/face.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./facts.js").Floor} Floor */
/** @typedef {import("./facts.js").Window} Window */

/**
 * What the clock says now.
 * @typedef {object} Reading
 * @property {import("../../../rules/heat_clock.js").HeatState | ""} state empty without a heat, and while the server's time isn't known
 * @property {number} ms on the heat clock; 0 where nobody knows
 * @property {number | null} since_ms since the last bell
 * @property {number | null} window the one at work or at rest
 * @property {boolean} lifting
 * @property {string} minutes
 * @property {string} tenths
 * @property {boolean} hurry
 * @property {string} label what the number is
 * @property {string} now
 * @property {string} next
 * @property {boolean} unsure it may be wrong
 */

/** @type {Reading} */
const NONE = { state: "", ms: 0, since_ms: null, window: null, lifting: false, minutes: "", tenths: "", hurry: false, label: "", now: "", next: "", unsure: false };

export class Clock {
  #drawn = "";
  /** @type {{members: number, windows: Window[]}} */
  #format = { members: 1, windows: [] };
  #closed = { heat: "", at: 0 };
  #first = true;

  /** @param {import("../../../device/server_clock.js").ServerClock} server */
  constructor(server) {
    this.server = server;
  }

  /** @param {Floor | null} floor @param {import("../clock/face.js").Attempt | null} attempt of whoever is at a shared bar @returns {Reading} */
  read(floor, attempt) {
    const now = floor && this.server.nowMs(floor.boot);
    if (!floor || now === null) return NONE;
    if (floor.clock !== this.#drawn) this.#format = JSON.parse((this.#drawn = floor.clock));
    const time = heatTime(now - floor.go_ms, JSON.parse(floor.holds));
    const shown = shownAt(this.#format, floor.state, time);
    const window = shown.moment.main;
    const lift = floor.state === "set" ? attemptFace(this.#format, attempt, time) : null;
    const face = lift ? { ...lift, label: "", now: whoseAttempt(lift) } : this.#face(shown, time.ms);
    const since_ms = this.#since(floor, shown.state, time.ms);
    this.#first = false;
    const lifting = window !== null && floor.lifting.includes(window);
    const unsure = this.server.unsure(floor.bound_ms, lift ? attempt?.bound : 0);
    return { state: shown.state, ms: time.ms, since_ms, window, lifting, ...face, next: unsure ? say("clock.unsure") : face.next, unsure };
  }

  /** When a heat was closed early nobody has told: from when this screen saw it. @param {Floor} floor @param {string} state @param {number} ms */
  #since(floor, state, ms) {
    if (state !== "over") return null;
    if (floor.state === "set") return ms - lengthMs(this.#format);
    const run = `${floor.heat}/${floor.go_ms}`;
    if (this.#closed.heat !== run) this.#closed = { heat: run, at: this.#first ? -Infinity : performance.now() };
    return performance.now() - this.#closed.at;
  }

  /** @param {import("../../../rules/heat_clock.js").Shown} shown @param {number} ms */
  #face({ state, left_ms, on_ms, moment }, ms) {
    const plain = { tenths: "", hurry: false, label: "", now: "", next: nextWords(this.#format, moment) };
    if (state === "stopped") return { ...plain, minutes: NO_TIME, label: say("heat.stopped"), next: "" };
    if (state === "over") return { ...plain, minutes: NO_TIME, now: say("Heat over"), next: "" };
    if (state === "set") return { ...plain, ...seconds(left_ms), label: say("GO in"), next: nextWords(this.#format, moment, true), hurry: left_ms <= HURRY_MS };
    if (state === "going-on") return { ...plain, ...seconds(on_ms ?? 0), label: say("Resumes in"), now: this.#says(moment.main) };
    const window = moment.main === null ? null : this.#format.windows[moment.main];
    const big = window ? bigNumber(window, ms) : { ...timeLeft(left_ms), cap: "", hurry: left_ms <= HURRY_MS };
    const label = state === "held" ? say("heat.held") : big.cap && say("clock.cap", { cap: big.cap });
    return { ...plain, minutes: big.minutes, tenths: big.tenths, hurry: big.hurry && state === "running", label, now: this.#says(moment.main) };
  }

  /** @param {number | null} window */
  #says(window) {
    return window === null ? say("Change over") : this.#format.windows[window].says;
  }
}

/** @param {number} ms */
function seconds(ms) {
  return ms < 60_000 ? { minutes: String(Math.ceil(ms / 1000)) } : { minutes: timeLeft(ms).minutes };
}
