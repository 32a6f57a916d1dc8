// @ts-check
import { choose, chosen } from "./choices.js";
import { setData } from "./dom.js";

/** What can be felt and seen of the cues, for a hall where nobody hears a beep: vibration and a flash, each by choice. */

const MISSED_MS = 400; // a page that was busy or hidden for longer signals nothing late
const FLASH_MS = 240;
/** @type {Record<string, number[]>} */
const PULSES = { tick: [40], go: [300], bell: [160, 90, 260], soon: [60, 80, 60] };
/** A flash for what changes, none for each second of a countdown: never more than three in a second. */
const FLASHES = new Set(["go", "bell", "soon"]);

/** @typedef {import("./cues.js").Cue} Cue */

export class Signals {
  /** @type {Cue[]} */
  #cues = [];
  /** @type {number | null} */
  #last = null;
  #standing = false;
  #timer = 0;

  /** @param {HTMLElement} root gets data-flash while it flashes */
  constructor(root) {
    this.root = root;
    this.flash = chosen("flash", "off") === "on";
    this.vibration = chosen("vibration", "off") === "on";
  }

  /** Whether this browser can vibrate at all. */
  get canVibrate() {
    return typeof navigator.vibrate === "function";
  }

  /** @param {"flash" | "vibration"} what @param {boolean} on */
  turn(what, on) {
    this[what] = on;
    choose(what, on ? "on" : "off");
    if (on) this.#signal("bell");
  }

  /** Follows another heat. @param {Cue[]} cues */
  follow(cues) {
    this.#cues = cues;
    this.#last = null;
  }

  /** One step of the screen: signals the cues that the heat clock has passed since the step before. @param {import("./cues.js").Clock | null} clock */
  step(clock) {
    const last = this.#last;
    const wentOn = this.#standing && last !== null && clock !== null && !clock.standing && clock.ms >= last;
    this.#standing = clock?.standing ?? false;
    this.#last = clock?.ms ?? null;
    if (wentOn) return this.#signal("go");
    if (clock === null || last === null || clock.ms - last > MISSED_MS) return undefined;
    const passed = this.#cues.filter(({ at }) => last < at && at <= clock.ms).at(-1);
    return passed && this.#signal(passed.kind);
  }

  /** @param {Cue["kind"]} kind */
  #signal(kind) {
    if (this.vibration) navigator.vibrate?.(PULSES[kind]);
    if (!this.flash || !FLASHES.has(kind)) return;
    setData(this.root, "flash", kind);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => setData(this.root, "flash", null), FLASH_MS);
  }
}
