// @ts-check
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { otherText, sayLoad } from "../../../parts/loads.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../device/tablet.js").Tablet} Tablet */
/** @typedef {{assignment: string, win: number, member: number | null}} Turn whose next lift is asked about */
/** @typedef {{name: string, place: number, level: boolean, load: {amount: string, unit: "kg" | "lb"} | null}} Ahead */
/** @typedef {{before: number, called: boolean}} Queue how many lifts come before theirs at a bar that lanes share, and whether they are called */
/** @typedef {{key: string, at: number, turn?: Queue | null, chase: {score: string, place: number | null, shared: boolean, ahead: Ahead[], more: number} | null}} Told at: by the wall, ms */

const KEPT = "call-ahead"; // in the tablet's own drawer
const EVERY_MS = 5000;
const ANSWER_MS = 5000;
const OLD_MS = 20_000;
const FRESH_MS = EVERY_MS + ANSWER_MS + 2000; // for so long an order of lifting is said; then it may have moved

/** What would pass each entry ahead, asked of the desk again and again; kept for when it can't be reached, with its age. */
export class AheadPanel {
  /** @type {Told | null} */
  #told = null;
  /** @type {Turn | null} */
  #turn = null;
  #asking = false;
  #shown = "";

  /** @param {Tablet} tablet @param {(load: any) => void} choose @param {() => void} changed */
  constructor(tablet, choose, changed) {
    this.tablet = tablet;
    this.choose = choose;
    this.changed = changed;
    this.title = el("h2", { class: "ahead-title" });
    this.list = el("ol", { class: "ahead-list" });
    this.age = el("p", { class: "ahead-age soft", role: "ahead-age" });
    this.node = el("section", { class: "call-ahead", role: "ahead", "aria-label": say("What would pass"), hidden: true }, this.title, this.list, this.age);
    tablet.packet.store.get(KEPT).then((/** @type {any} */ kept) => this.#keepIfOlder(kept)).catch(() => {});
    setInterval(() => this.#ask(), EVERY_MS);
  }

  /** @param {Turn | null} turn */
  follow(turn) {
    const before = this.#key;
    this.#turn = turn;
    if (this.#key !== before) this.#ask();
    this.#show();
  }

  /** How many lifts come before theirs, as the desk said it a moment ago; empty where that is not known. */
  get soonWords() {
    const told = this.#told?.key === this.#key && Date.now() - this.#told.at <= FRESH_MS ? this.#told.turn : null;
    if (!told) return "";
    return told.called ? say("You are called") : say("lifts_before.yours", { n: told.before });
  }

  get #key() {
    return this.#turn ? `${this.#turn.assignment}/${this.#turn.win}/${this.#turn.member ?? ""}` : "";
  }

  /** @param {Told | null} kept from the last life of the page */
  #keepIfOlder(kept) {
    this.#told ??= kept;
    this.changed();
  }

  /** Asks now, for something has changed. */
  soon() {
    this.#ask();
  }

  async #ask() {
    const key = this.#key;
    if (!this.#turn || this.#asking || document.hidden || !this.tablet.link.online) return this.changed();
    this.#asking = true;
    const giveUp = new AbortController();
    const timer = setTimeout(() => giveUp.abort(), ANSWER_MS);
    try {
      const answer = await fetch(this.#address(this.#turn), { credentials: "same-origin", cache: "no-store", signal: giveUp.signal });
      if (answer.ok) this.#take({ key, at: Date.now(), ...pickTold(await answer.json()) });
    } catch {
      // The last answer stays, and says how old it is.
    } finally {
      clearTimeout(timer);
      this.#asking = false;
      this.changed();
    }
  }

  /** @param {Turn} turn */
  #address({ assignment, win, member }) {
    const asked = new URLSearchParams({ assignment, window: String(win) });
    if (member !== null) asked.set("member", String(member));
    const lane = new URLSearchParams(location.search).get("lane");
    if (lane) asked.set("lane", lane);
    return `/lane/ahead?${asked}`;
  }

  /** @param {Told} told */
  #take(told) {
    this.#told = told;
    this.tablet.packet.store.set(KEPT, told).catch(() => {});
  }

  #show() {
    const told = this.#told?.key === this.#key ? this.#told : null;
    const chase = told?.chase ?? null;
    this.node.hidden = !chase;
    if (!told || !chase) return;
    const stamp = JSON.stringify(chase);
    if (stamp !== this.#shown) {
      this.#shown = stamp;
      setText(this.title, titleOf(chase));
      fill(this.list, ...chase.ahead.map((one) => el("li", {}, this.#line(one))));
    }
    const old = Date.now() - told.at;
    setText(this.age, old > OLD_MS ? say("As the standings were {age} ago. The desk can't be reached.", { age: ageText(old) }) : chase.more ? say("and {more} more between them", { more: chase.more }) : "");
    setData(this.age, "tone", old > OLD_MS ? "look" : null);
  }

  /** @param {Ahead} one */
  #line(one) {
    const words = el("span", { class: "ahead-who" }, el("b", {}, one.level ? say("level") : String(one.place)), ` ${one.name}`);
    const { load } = one;
    if (!load) return el("span", { class: "ahead-line" }, words, el("span", { class: "soft" }, say("out of reach of one lift")));
    const need = el("span", { class: "ahead-load" }, el("b", {}, sayLoad(load)), el("span", { class: "soft" }, ` ${otherText(load)}`));
    return el("button", { type: "button", class: "ahead-line plain", role: "ahead-load", onclick: () => this.choose(load) }, words, need);
  }
}

/** What is kept of an answer. @param {{chase: Told["chase"], turn: Queue | null}} answer */
const pickTold = ({ chase, turn }) => ({ chase, turn });

/** @param {NonNullable<Told["chase"]>} chase */
function titleOf({ ahead, place, shared }) {
  if (!ahead.length) return place === 1 ? say("You lead") : say("Nobody is ahead yet");
  if (place === null) return say("To go ahead");
  return shared ? say("To go ahead (your place: {place}, shared)", { place }) : say("To go ahead (your place: {place})", { place });
}

/** @param {number} ms */
export function ageText(ms) {
  const minutes = Math.floor(ms / 60_000);
  return minutes ? say("{minutes} min", { minutes }) : say("{seconds} s", { seconds: Math.floor(ms / 1000) });
}
