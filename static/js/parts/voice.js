// @ts-check
import { choose, chosen } from "./choices.js";
import { passed, roomAt, takes } from "./callouts.js";

/**
 * The browser's own voice, where it has one that needs no network, in the language of the page. What is due is looked for often and
 * said at once. Nothing late is said: a call of the clock within LATE_MS of its moment or not at all, and nothing for a while after the
 * page was away, since its clock may have stood meanwhile.
 */

const LATE_MS = 400;
const LOOK_EVERY_MS = 50;
const AWAY_MS = 1000; // so long without a look: hidden, asleep
const FINDS_ITSELF_MS = 3000; // by then the server was asked for the time anew

/** What can be said, each on or off. @type {import("./callouts.js").What[]} */
export const WHATS = ["count", "ten", "time", "held", "lanes", "lifters"];

/** @typedef {import("./callouts.js").What} What */
/** @typedef {import("./callouts.js").HeatTime} HeatTime */

export class Voice {
  /** @type {import("./callouts.js").Callout[]} */
  #callouts = [];
  /** @type {() => HeatTime | null} */
  #clock = () => null;
  /** @type {HeatTime | null} */
  #last = null;
  #looked = { at: performance.now(), wall: Date.now() };
  #restsUntil = -Infinity;
  onchange = () => {}; // the voices are known, or the browser let nothing be heard
  blocked = false; // the browser speaks only once the page was touched

  /** @param {(now: HeatTime) => void} onlook called at each look, for what is not the clock's alone @param {string} choice the name by which this browser keeps what was chosen */
  constructor(onlook = () => {}, choice = "voice") {
    this.onlook = onlook;
    this.choice = choice;
    this.speech = globalThis.speechSynthesis;
    this.on = chosen(choice, "off") === "on";
    this.whats = new Set(WHATS.filter((what) => chosen(`${choice}-${what}`, "on") === "on"));
    this.speech?.addEventListener?.("voiceschanged", () => this.onchange());
    setInterval(() => this.look(), LOOK_EVERY_MS);
  }

  /** The voice that speaks; undefined where the browser has none of its own in this language. */
  get voice() {
    const own = (this.speech?.getVoices() ?? []).filter((voice) => voice.localService && voice.lang.replace("_", "-").split("-")[0] === document.documentElement.lang);
    return own.find((voice) => voice.default) ?? own[0];
  }

  /** Whether the page was away just now, so that it can't tell what is new. */
  get away() {
    return performance.now() - this.#looked.at > AWAY_MS || performance.now() < this.#restsUntil;
  }

  /** @param {boolean} on */
  turn(on) {
    this.on = on;
    choose(this.choice, on ? "on" : "off");
    if (!on) this.speech?.cancel();
  }

  /** @param {What} what @param {boolean} on */
  turnWhat(what, on) {
    if (on) this.whats.add(what);
    else this.whats.delete(what);
    choose(`${this.choice}-${what}`, on ? "on" : "off");
  }

  /** Follows a heat. @param {import("./callouts.js").Callout[]} callouts @param {() => HeatTime | null} clock null while there is none */
  follow(callouts, clock) {
    if (this.on) this.speech?.cancel();
    this.#callouts = callouts;
    this.#clock = clock;
    this.#last = null;
    this.look();
  }

  /** Looks whether something is due. */
  look() {
    const now = { at: performance.now(), wall: Date.now() };
    if (Math.max(now.at - this.#looked.at, now.wall - this.#looked.wall) > AWAY_MS) this.#restsUntil = now.at + FINDS_ITSELF_MS;
    this.#looked = now;
    const clock = this.#clock();
    const call = passed(this.#callouts, this.#last, clock);
    this.#last = clock;
    if (now.at < this.#restsUntil) return;
    if (call && call.late <= LATE_MS) this.call(call.what, call.text);
    if (clock) this.onlook(clock);
  }

  /** Says what can't wait: whatever is being said breaks off. @param {What} what @param {string} text */
  call(what, text) {
    if (!this.on || !this.whats.has(what)) return;
    if (this.speech?.speaking || this.speech?.pending) this.speech.cancel();
    this.#say(text, LATE_MS);
  }

  /**
   * Says names, one after another, if all of them can be said before the clock's next call.
   * @param {"lanes" | "lifters"} what @param {string[]} texts @param {HeatTime} now @param {number} [late] ms
   */
  names(what, texts, now, late = Infinity) {
    if (this.on && this.whats.has(what) && takes(texts) < roomAt(this.#callouts, now)) for (const text of texts) this.#say(text, late);
  }

  /** Says something now, to hear whether it is heard. @param {string} text */
  hear(text) {
    this.speech?.cancel();
    this.#say(text, Infinity);
  }

  /** @param {string} text @param {number} late ms within which it begins, or is not said */
  #say(text, late) {
    const { voice } = this;
    if (!voice) return;
    const asked = performance.now();
    const said = new SpeechSynthesisUtterance(text);
    said.voice = voice;
    said.lang = voice.lang;
    said.onstart = () => {
      this.#block(false);
      if (performance.now() - asked > late) this.speech.cancel();
    };
    said.onerror = ({ error }) => error === "not-allowed" && this.#block(true);
    this.speech.speak(said);
  }

  /** @param {boolean} blocked */
  #block(blocked) {
    if (blocked === this.blocked) return;
    this.blocked = blocked;
    this.onchange();
  }
}
