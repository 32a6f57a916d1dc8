// @ts-check
/** The heat on the floor: its clock on the server's time, whose turn it is, and each lane's count of this window. */

import { ServerClock } from "../../../device/server_clock.js";
import { shownAt } from "../../../rules/heat_clock.js";
import { heatTime } from "../../../rules/holding.js";
import { fitAll } from "../../../parts/fit.js";
import { setData, setText } from "../../../parts/dom.js";
import { Ribbon } from "../../../parts/ribbon.js";
import { HURRY_MS, bigNumber } from "../../../parts/big_number.js";
import { NO_TIME, timeLeft } from "../../../parts/timing.js";
import { attemptFace, whoseAttempt } from "../clock/face.js";
import { say } from "../../../words/say.js";

const ASKING = { first: 8, thenEveryMs: 20_000 };
const STEP_MS = 100;
const WALL = "(min-width: 64rem)";
const MOST_LARGE = 3; // characters that fit in the largest type

/** @typedef {import("../../../parts/ribbon.js").Window & { says: string, up: boolean }} Window */
/** @typedef {import("../../../rules/holding.js").Hold} Hold */
/** @typedef {{ go: number, boot: string, bound: number | null, holds: Hold[], state: string, members: number, windows: Window[], attempt: import("../clock/face.js").Attempt | null }} Heat */

export class Floor {
  #server = new ServerClock("/board/time", ASKING);
  /** @type {Heat | null} */
  #heat = null;
  #written = "";
  /** @type {number | null} */
  #main = null;
  /** @type {Ribbon | null} */
  #ribbon = null;

  /** @param {HTMLElement} main */
  constructor(main) {
    this.main = main;
    this.refresh();
    this.#server.start();
    setInterval(() => this.#show(), STEP_MS);
    document.addEventListener("visibilitychange", () => this.#show());
    addEventListener("resize", () => this.#fit());
    document.fonts.ready.then(() => this.#fit());
  }

  /** Reads the heat that the page now holds. */
  refresh() {
    const head = document.getElementById("floor-head");
    const written = head ? JSON.stringify(head.dataset) : "";
    if (head && written !== this.#written) {
      this.#heat = heatOf(head);
      this.#ribbon = new Ribbon(this.#heat, this.#heat.members > 1 ? [..."ABCDEFGHIJKL"] : [""]);
      document.getElementById("floor-ribbon")?.replaceChildren(this.#ribbon.node);
    }
    if (!head) this.#heat = null;
    this.#written = written;
    this.#show();
    this.#fit();
  }

  /** On a wide screen every lane has its share of the height, and names keep to their line. */
  #fit() {
    const list = /** @type {HTMLElement | null} */ (this.main.querySelector(".lanes"));
    if (!list) return;
    list.style.setProperty("--rows", String(list.children.length));
    if (matchMedia(WALL).matches) fitAll(list);
    else for (const words of list.querySelectorAll(".fit-words")) words.removeAttribute("style");
  }

  #show() {
    const heat = this.#heat;
    const now = heat && this.#server.nowMs(heat.boot);
    if (!heat || now === null) return;
    const time = heatTime(now - heat.go, heat.holds);
    const shown = shownAt(heat, heat.state, time);
    if (shown.ms !== null) this.#ribbon?.show(shown.ms);
    const attempt = heat.state === "set" ? attemptFace(heat, heat.attempt, time) : null;
    const { clock, words, next, hurry } = attempt ? { ...attempt, clock: attempt.minutes, words: whoseAttempt(attempt) } : wordsOf(heat, shown);
    const unsure = shown.ms !== null && this.#server.unsure(heat.bound, attempt ? heat.attempt?.bound : 0);
    const big = document.getElementById("floor-clock");
    if (big) setData(big, "hurry", hurry);
    setData(this.main, "over", shown.state === "over"); // no news comes with the last bell
    const below = document.getElementById("floor-next");
    if (below) setData(below, "unsure", unsure);
    this.#say(clock, words, unsure ? say("clock.unsure") : next, shown.state === "set" ? null : shown.moment.main, shown.state === "held" || shown.state === "going-on");
  }

  /**
   * @param {string} clock @param {string} now @param {string} next
   * @param {number | null} main the window at work
   * @param {boolean} held
   */
  #say(clock, now, next, main, held) {
    const big = document.getElementById("floor-clock");
    if (big) setData(big, "held", held);
    for (const [id, text] of [["floor-clock", clock], ["floor-now", now], ["floor-next", next]]) {
      const slot = document.getElementById(id);
      if (slot) setText(slot, text);
    }
    const window = this.#heat && main !== null ? this.#heat.windows[main] : null;
    const head = this.main.querySelector('[data-role="now-name"]');
    if (head) setText(head, window?.task ? window.says : "");
    const single = this.#heat?.windows.filter(({ task }) => task).length === 1 && this.main.querySelector(".lane-lifts") !== null;
    for (const list of this.main.querySelectorAll(".lane-names, .lanes")) setData(list, "single", single);
    for (const lane of this.main.querySelectorAll(".lane")) showLane(/** @type {HTMLElement} */ (lane), window, main);
    if (main !== this.#main) this.#fit();
    this.#main = main;
  }
}

/** @param {HTMLElement} lane @param {Window | null} window @param {number | null} main */
function showLane(lane, window, main) {
  const counts = JSON.parse(lane.dataset.counts ?? "[]");
  const slot = lane.querySelector(".lane-now");
  if (slot) {
    const text = window?.task && main !== null ? counts[main] : window ? say("rest") : "";
    setText(slot, text);
    setData(slot, "rest", window !== null && !window.task);
    setData(slot, "long", text.length > MOST_LARGE); // a load with its unit
  }
  let lifting = false;
  for (const lifts of /** @type {NodeListOf<HTMLElement>} */ (lane.querySelectorAll(".lane-lifts"))) {
    lifts.hidden = Number(lifts.dataset.window) !== main;
    lifting ||= !lifts.hidden;
  }
  setData(lane, "lifting", lifting);
  const who = window?.task ? window.who : [];
  for (const member of lane.querySelectorAll(".member")) {
    const number = Number(/** @type {HTMLElement} */ (member).dataset.member);
    setData(member, "now", who === "all" || (Array.isArray(who) && who.includes(number)));
  }
}

/**
 * What the board says of a heat. Its clock shows what every clock of the hall shows.
 * @param {Heat} heat @param {import("../../../rules/heat_clock.js").Shown} shown
 * @returns {{clock: string, words: string, next: string, hurry: boolean}}
 */
function wordsOf(heat, { state, ms, left_ms, on_ms, moment }) {
  const ended = { clock: NO_TIME, next: "", hurry: false };
  if (state === "stopped") return { ...ended, words: say("heat.stopped") };
  if (state === "over") return { ...ended, words: say("Heat over") };
  const hurry = left_ms <= HURRY_MS;
  if (state === "set") return { clock: timeLeft(left_ms).minutes, words: say("to GO"), next: nextWords(heat, moment.next, true), hurry };
  const window = moment.main === null ? null : heat.windows[moment.main];
  const big = window ? bigNumber(window, ms ?? 0) : { ...timeLeft(left_ms), cap: "", hurry };
  const clock = big.minutes + big.tenths;
  if (state === "held") return { clock, words: say("heat.held"), next: "", hurry: false };
  if (state === "going-on") return { clock, words: say("Resumes in {seconds}", { seconds: Math.ceil((on_ms ?? 0) / 1000) }), next: "", hurry: false };
  const cap = big.cap && say("clock.cap", { cap: big.cap });
  return { clock, words: window ? named(heat, window) : say("Change over"), next: [cap, nextWords(heat, moment.next)].filter(Boolean).join(", "), hurry: big.hurry };
}

/** A window in words: `B: Skips`. @param {Heat} heat @param {Window} window */
function named(heat, window) {
  if (!window.task || heat.members === 1) return window.says;
  const who = Array.isArray(window.who) ? window.who.map((n) => "ABCDEFGHIJKL"[n - 1]).join(" + ") : "";
  return who && window.who.length < heat.members ? `${who}: ${window.says}` : window.says;
}

/** @param {Heat} heat @param {number | null} next */
function nextWords(heat, next, first = false) {
  if (next === null) return "";
  const says = named(heat, heat.windows[next]);
  return first ? say("first {says}", { says }) : say("then {says}", { says });
}

/** @param {HTMLElement} head @returns {Heat} */
function heatOf(head) {
  const { goServerMs, boot, bound, holds, state, members, windows, attempt } = head.dataset;
  return {
    go: Number(goServerMs),
    boot: boot ?? "",
    bound: bound ? Number(bound) : null,
    holds: JSON.parse(holds ?? "[]"),
    state: state ?? "",
    members: Number(members),
    windows: JSON.parse(windows ?? "[]"),
    attempt: attempt ? JSON.parse(attempt) : null,
  };
}
