// @ts-check
import { isUnsure } from "../../../rules/clock.js";
import { OF_LIFTS } from "../../../rules/kinds.js";
import { goOf, holdsOf } from "./heats.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("./heats.js").Heat} Heat */

/** A lane's clock in a person's hand: started, held and let go on by the whistle where the desk can't say it. */
export class HandClock {
  /** @type {Lane} */
  #lane;

  /** @param {Lane} lane */
  constructor(lane) {
    this.#lane = lane;
  }

  /** Starts the clock on the whistle, and says so on the sheet. */
  start() {
    const known = this.#lane.reading() !== null;
    this.#lane.tablet.startByHand(this.#lane.key);
    const why = known ? "this tablet's clock could not be trusted" : "this tablet had not heard the desk's GO";
    this.#lane.mark("note", { text: `Clock started by hand on the whistle: ${why}.`, hand: true }, null, 0);
  }

  /** How far this clock may be off, where that is much; 0 where it is as good as known, or a person has started it. */
  get unsureMs() {
    const reading = this.#lane.reading();
    return reading === null || reading.clock === "hand" || this.#lane.closed || !isUnsure(reading.bound) ? 0 : reading.bound;
  }

  /** The same of all that this screen's clocks rest on: an attempt's own is started by others, whose clocks may be off. */
  get shownUnsureMs() {
    const bound = this.#lane.closed ? 0 : this.#lane.attemptBound;
    return Math.max(this.unsureMs, isUnsure(bound) ? bound : 0);
  }

  /** Whether a person may start this clock anew on the whistle: where it may be wrong, and the desk can't put it right. */
  get mayStart() {
    return this.unsureMs > 0 && !this.#lane.tablet.link.online;
  }

  /** Whether a person may hold this clock or let it go on: only while the desk can't, and where its GO is known. */
  get mayHold() {
    return Boolean(this.#lane.heat?.run && goOf(this.#lane.heat) !== null && !this.#lane.closed && !this.#lane.tablet.link.online);
  }

  /** Holds this lane's clock on the head judge's word. The desk's own word takes its place when it comes. */
  hold() {
    const now = this.#lane.reading();
    if (!now || now.standing || now.ms < 0) return;
    this.#hold([...holdsOf(/** @type {Heat} */ (this.#lane.heat)), { at_ms: Math.round(now.ms), for_ms: null }]);
    this.#lane.mark("note", { text: "Clock held by hand: the desk could not be reached." });
  }

  /** Lets a held clock go on, on the whistle. */
  goOn() {
    const now = this.#lane.reading();
    if (!now?.standing) return;
    const before = holdsOf(/** @type {Heat} */ (this.#lane.heat)).slice(0, -1);
    this.#hold([...before, { at_ms: now.ms, for_ms: Math.round(now.into_ms) }]);
    this.#lane.mark("note", { text: "Resumed by hand on the whistle: this tablet had no word from the desk." });
  }

  /** @param {import("./heats.js").Hold[]} holds */
  #hold(holds) {
    this.#lane.tablet.packet.holdByHand(/** @type {Heat} */ (this.#lane.heat).id, holds);
  }

  /** Writes down once how far a start by hand was from the desk's GO, when that becomes known. */
  settle() {
    const late = this.#lane.tablet.timesync.handLate(this.#lane.key);
    if (late === null || this.#lane.marks().some((mark) => mark.kind === "note" && mark.body.text.startsWith("Hand start: "))) return;
    const words = `${(Math.abs(late) / 1000).toFixed(2)} s ${late < 0 ? "before" : "after"} the desk's GO. The desk's clock is followed now.`;
    this.#lane.mark("note", { text: `Hand start: ${words}`, late: Math.round(late) });
  }
}

/** What a mark says of the clock it was made by, where that is worth saying: of a lift also in which life of it. @param {import("./state.js").Reading | null} now @param {string} kind */
export function clockSaid(now, kind) {
  const life = now?.life && OF_LIFTS.has(kind) ? { life: now.life.number, moved: Math.round(now.life.moved) } : {};
  return { ...(now?.held_ms ? { held: Math.round(now.held_ms) } : {}), ...(now?.clock === "hand" ? { hand: true } : {}), ...life };
}
