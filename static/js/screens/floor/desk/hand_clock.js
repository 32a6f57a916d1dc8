// @ts-check
import { HURRY_MS, bigNumber } from "../../../parts/big_number.js";
import { fill, setData, setText } from "../../../parts/dom.js";
import { Ribbon } from "../../../parts/ribbon.js";
import { stillFor, timeLeft } from "../../../parts/timing.js";
import { shownAt } from "../../../rules/heat_clock.js";
import { heatTime } from "../../../rules/holding.js";
import { say } from "../../../words/say.js";

const LETTERS = "ABCDEFGHIJKL";

/** @typedef {{start: number, seconds: number, task: string | null, who: "all" | "any" | number[], holding?: number[], says: string, up: boolean}} Window */

/** The clock and the ribbon of the heat at hand. */
export class HandClock {
  /** @type {{members: number, windows: Window[]}} */
  format = { members: 1, windows: [] };
  running = false;
  key = "";
  still = Infinity; // ms for which what was painted stays as it is, unless the desk is told something new
  #boot = "";
  /** @type {number | null} */
  #go = null;
  /** @type {import("../../../rules/holding.js").Hold[]} */
  #holds = [];
  #clockText = "";
  #phase = "";
  /** @type {Ribbon | null} */
  #ribbon = null;

  /** @param {import("../../../device/server_clock.js").ServerClock} server */
  constructor(server) {
    this.server = server;
  }

  /** Reads what the fragment says. @param {HTMLElement | null} hand */
  read(hand) {
    const said = hand?.dataset ?? {};
    this.#boot = said.boot ?? "";
    this.#go = said.go ? Number(said.go) : null;
    this.#holds = JSON.parse(said.holds || "[]");
    this.running = this.#go !== null;
    this.key = `${said.heat}/${said.run}/${said.go}`;
    const text = said.clock ?? "";
    if (text && text !== this.#clockText) {
      this.#clockText = text;
      this.format = JSON.parse(text);
      this.#draw();
    }
  }

  /** The heat's moment, null without a GO. */
  heatTime() {
    const now = this.server.nowMs(this.#boot);
    return now === null || this.#go === null ? null : heatTime(now - this.#go, this.#holds);
  }

  /** Paints this frame; true when the heat has just passed GO or its last bell, or gone on from a hold. */
  show() {
    const clock = document.getElementById("desk-clock");
    const words = document.getElementById("desk-window");
    this.still = Infinity;
    if (!clock || !words || !this.format.windows.length) return false;
    const now = this.heatTime();
    this.#ribbon?.show(now?.ms ?? -1);
    if (now === null) return this.#still(clock, words);
    const { state, left_ms, on_ms, moment } = shownAt(this.format, "set", now);
    const window = state === "set" || moment.main === null ? null : this.format.windows[moment.main];
    const big = window ? bigNumber(window, now.ms) : timeLeft(left_ms);
    const count = state === "set" && left_ms <= 5000;
    const held = state === "held" || state === "going-on";
    if (on_ms !== null) this.still = stillFor(on_ms);
    else if (!held && state !== "over") this.still = stillFor(left_ms);
    setText(clock, state === "over" ? "0:00" : count ? String(Math.ceil(left_ms / 1000)) : big.minutes + big.tenths);
    setData(clock, "hurry", state !== "over" && !held && left_ms <= HURRY_MS);
    setData(clock, "held", held);
    setText(words, held ? heldWords(on_ms) : this.#words(state, moment, window?.up ? "gone" : "left"));
    return this.#passed(held ? "held" : state);
  }

  /** @param {HTMLElement} clock @param {HTMLElement} words */
  #still(clock, words) {
    setText(clock, "");
    setText(words, "");
    setData(clock, "hurry", false);
    setData(clock, "held", false);
    this.#phase = "";
    return false;
  }

  /**
   * @param {import("../../../rules/heat_clock.js").HeatState} state @param {import("../../../rules/clock.js").Moment} moment
   * @param {string} what the clock above shows of the window: what is left of it, or what has gone
   */
  #words(state, moment, what) {
    const { windows } = this.format;
    const next = moment.next === null ? null : windows[moment.next].says;
    if (state === "set") return next ? `to GO, then ${next}` : "to GO";
    if (state === "over") return say("heat.over");
    const now = moment.main === null ? "Nothing" : windows[moment.main].says;
    return `${what} · ${now}, then ${next ?? "the last bell"}`;
  }

  /** @param {string} phase */
  #passed(phase) {
    const passed = this.#phase !== "" && phase !== this.#phase;
    this.#phase = phase;
    return passed;
  }

  #draw() {
    const names = Array.from({ length: this.format.members }, (_, i) => (this.format.members > 1 ? LETTERS[i] : ""));
    this.#ribbon = new Ribbon(this.format, names);
    const place = document.getElementById("desk-ribbon");
    if (place) fill(place, this.#ribbon.node);
  }
}

/** @param {number | null} left ms until the heat goes on */
function heldWords(left) {
  return left === null ? "Held: the clock is stopped" : `Resumes in ${Math.ceil(left / 1000)}`;
}
