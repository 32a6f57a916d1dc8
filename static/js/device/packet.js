// @ts-check
import { against, later, withNewest } from "../rules/told.js";
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

/** @typedef {import("./store.js").Store} Store */
/** @typedef {import("../rules/holding.js").Hold} Hold */
/** @typedef {import("../rules/told.js").Told} Told */
/** @typedef {{heat: string, number: number, go_server_ms: number, state: string, holds?: Hold[], bound_ms?: number | null, told?: Told}} RunWord */

const ANSWER_MS = 5000; // a black-holed network answers never
const MOST_ANSWER_MS = 40_000; // a slow one late, with a whole platform's marks: after each answer that did not come the next may take twice as long
const LEAST_WAIT_MS = 500;
const MOST_WAIT_MS = 5000;
const NO_DESK = say("The desk can't be reached, and this tablet has no start list yet. Trying again.");
const NOT_PAIRED = say("This tablet isn't paired, or no longer. Pair it at the desk.");

/**
 * All that a tablet needs without the network: its events' formats, its lane's heats and entries. Kept for the next reload.
 *
 * `value` is as the server sends it (see GET /lane/packet); a run told over the socket is put into it at once. Each word carries when
 * it was so, and none replaces a newer one, whichever way either came: an answer that was late, the line, the disk at a reload.
 */
export class Packet extends Watched {
  #waitMs = 0;
  #asking = false;
  #askAgain = false;
  #patienceMs = ANSWER_MS;
  #askedMs = 0;
  #giveUp = new AbortController();
  /** When the newest word came, by performance.now. */
  #heardMs = -Infinity;
  /** Heats that were held or let go on by hand, and when: a word that was asked for before that doesn't undo it. @type {Map<string, number>} */
  #byHand = new Map();
  /** The order of the newest word, whatever it was of. @type {Told | undefined} */
  #newest;
  /** @type {number | undefined} */
  #timer;

  /** @type {any | null} */
  value = null;
  /** Whether `value` came from the desk in this life of the page. */
  fresh = false;
  /** Whether the desk was asked in this life of the page. */
  asked = false;
  /** False after the desk said that it doesn't know this tablet. */
  paired = true;
  /** A sentence when there is no packet to be had, else empty. */
  sentence = "";
  /** Called when the desk is asked; what it returns comes along with the answer. @type {(() => any) | null} */
  onask = null;
  /** Told about each packet that comes from the desk itself. @type {((value: any, asked: any) => void) | null} */
  onfresh = null;

  /** @param {Store} store @param {string} url */
  constructor(store, url) {
    super();
    this.store = store;
    this.url = url;
    addEventListener("online", () => this.refresh());
  }

  /** The packet of the last time, if any. */
  async load() {
    const kept = await this.store.get(this.url).catch(() => null);
    if (!kept || this.fresh) return;
    this.value = kept;
    this.#newest = kept.told;
    this.changed();
  }

  /** Fetches the packet, and tries again until the desk answers. */
  async refresh() {
    clearTimeout(this.#timer);
    if (this.#asking) {
      this.#askAgain = true; // what changed may have changed after the answer under way was made
      if (performance.now() - this.#askedMs > ANSWER_MS) this.#giveUp.abort(); // there is news of the desk: what hung till now may hang for ever
      return;
    }
    this.#asking = this.asked = true;
    const wait = await this.#ask();
    this.#asking = false;
    if (this.#askAgain) {
      this.#askAgain = false;
      this.refresh();
    } else if (wait) {
      this.#waitMs = Math.min(MOST_WAIT_MS, Math.max(LEAST_WAIT_MS, this.#waitMs * 2));
      this.#timer = setTimeout(() => this.refresh(), this.#waitMs * (0.5 + Math.random() / 2));
    } else {
      this.#waitMs = 0;
    }
  }

  /** @returns {Promise<boolean>} whether to try again */
  async #ask() {
    const giveUp = (this.#giveUp = new AbortController());
    const askedMs = (this.#askedMs = performance.now());
    const timer = setTimeout(() => {
      this.#patienceMs = Math.min(MOST_ANSWER_MS, this.#patienceMs * 2);
      giveUp.abort();
    }, this.#patienceMs);
    const asked = this.onask?.();
    try {
      const how = { credentials: /** @type {const} */ ("same-origin"), redirect: /** @type {const} */ ("error") };
      const response = await fetch(this.url, { ...how, cache: "no-store", signal: giveUp.signal });
      const answer = await response.json();
      this.#patienceMs = ANSWER_MS;
      if (response.status === 401 || response.status === 403) return this.#stranger(answer);
      if (!response.ok || !answer.heats) return this.#without(answer.sentence ?? "");
      return this.#take(answer, asked, askedMs);
    } catch {
      return this.#without("");
    } finally {
      clearTimeout(timer);
    }
  }

  /** @param {string} sentence why the desk has none for us, if it said so @returns {boolean} */
  #without(sentence) {
    this.sentence = this.value ? "" : sentence || NO_DESK;
    this.changed();
    return true;
  }

  /** @param {any} answer @returns {boolean} */
  #stranger(answer) {
    this.paired = false;
    this.sentence = answer?.sentence || NOT_PAIRED;
    this.changed();
    return false;
  }

  /** @param {any} answer @param {any} asked @param {number} askedMs @returns {boolean} whether to ask again */
  #take(answer, asked, askedMs) {
    const word = this.#heard(answer.told, askedMs);
    if (word === "unclear") return true;
    if (word === "older" && later(answer.told, this.value?.told) < 0) return false;
    this.value = withNewest(answer, this.value, ({ id }) => askedMs < (this.#byHand.get(id) ?? -Infinity));
    this.fresh = true;
    this.paired = true;
    this.sentence = "";
    this.onfresh?.(answer, asked);
    this.#keep();
    this.changed();
  }

  /**
   * What a word is against the newest one. That one it may become.
   * @param {Told | undefined} told @param {number} askedMs
   */
  #heard(told, askedMs) {
    const word = against(told, this.#newest, askedMs, this.#heardMs);
    if (word === "newer" && told) [this.#newest, this.#heardMs] = [told, performance.now()];
    return word;
  }

  /**
   * Puts a run told over the line into the packet.
   * @param {RunWord} run @param {number} openedMs when that line was opened
   */
  applyRun({ heat, number, go_server_ms, state, holds = [], bound_ms, told }, openedMs) {
    if (this.#heard(told, openedMs) === "unclear") return void this.refresh();
    const [found, ...others] = this.#heats(heat);
    if (!found || later(told, found.told) < 0 || openedMs < (this.#byHand.get(heat) ?? -Infinity)) return;
    const run = { number, go_server_ms, state, holds, ...(bound_ms === undefined ? {} : { bound_ms }) };
    for (const one of [found, ...others]) [one.run, one.told] = [run, told];
    this.#keep();
    this.changed();
  }

  /** Whether the lane's lifter can declare by now. @param {{caller: "here" | "away" | "none", told?: Told}} word */
  applyCaller({ caller, told }) {
    if (!this.value || later(told, this.value.callerTold) < 0) return;
    this.value.caller = caller;
    this.value.callerTold = told;
    this.changed();
  }

  /** What the bars that lanes share were called with. @param {{bars: Record<string, any>, told?: Told}} word by heat */
  applyBars({ bars, told }) {
    if (!this.value || later(told, this.value.barsTold) < 0) return;
    this.value.bars = { ...this.value.bars, ...bars };
    this.value.barsTold = told;
    this.changed();
  }

  /** How soon a coach's lifters are called. @param {{turns: Record<string, any>, told?: Told}} word by assignment */
  applyTurns({ turns, told }) {
    if (!this.value || later(told, this.value.turnsTold) < 0) return;
    this.value.turns = turns;
    this.value.turnsTold = told;
    this.changed();
  }

  /**
   * Holds a heat, or lets it go on, for this tablet alone, because the desk can't be reached. Its next word takes the place of this.
   * @param {string} heat
   * @param {Hold[]} holds
   */
  holdByHand(heat, holds) {
    for (const found of this.#heats(heat)) found.run = { ...found.run, holds };
    this.#byHand.set(heat, performance.now());
    this.#keep();
    this.changed();
  }

  /** A heat as it stands on each lane of this tablet: a platform has several. @param {string} id @returns {any[]} */
  #heats(id) {
    return (this.value?.heats ?? []).filter((/** @type {any} */ one) => one.id === id);
  }

  #keep() {
    // Marks are the outbox's to keep. Another tab of this browser may have heard later words than this one.
    const ours = { ...this.value, marks: [] };
    const newest = (/** @type {any} */ kept) => (later(kept?.told, ours.told) > 0 ? withNewest(kept, ours) : withNewest(ours, kept));
    this.store.change(this.url, newest, false).catch(() => {}); // the outbox tells of a disk that fails
  }
}
