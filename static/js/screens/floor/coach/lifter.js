// @ts-check
import { changesWords, ruleWords, timeWords } from "../platform/standing.js";
import { timeLeft } from "../../../parts/timing.js";
import { say } from "../../../words/say.js";
import { DeclaringLane } from "../call/declaring_lane.js";
import { liftsAhead, standOf } from "../call/turn.js";
import { stateWords } from "../call/words.js";
import { openersUntil } from "../lane/lifting/openers.js";

/** @typedef {import("../../../device/tablet.js").Tablet} Tablet */
/** @typedef {import("../../../rules/units.js").Load} Load */

/**
 * What a coach sees of a lifter.
 * @typedef {object} Seen
 * @property {string} turn how soon it is theirs
 * @property {boolean} called they are called now
 * @property {Load | null} load what is declared, or stands by the rule
 * @property {string} state what is said of it
 * @property {"here" | "safe" | "refused" | null} kept where the declaration is
 * @property {string} more time left, changes left, attempts left
 * @property {boolean} silent somebody must declare
 * @property {number[]} order who comes before whom, number by number
 */

const LAST = Number.MAX_SAFE_INTEGER;

/** One of a coach's lifters: the state of a lane that follows them, to whichever lanes and heats they stand in. */
export class Lifter extends DeclaringLane {
  /** Whether the desk is told that this one is shown. */
  shown = false;
  #whole = null;
  #lane = 0;
  /** @type {any} */
  #own = null;

  /** @param {Tablet} tablet @param {import("../../../parts/sound.js").Sound} sound @param {{id: string, name: string}} who */
  constructor(tablet, sound, who) {
    super(tablet, sound);
    this.who = who;
  }

  /** The packet, with their own heats alone: the rest of it is as the desk says now. */
  get packet() {
    const whole = super.packet;
    const lane = this.heat?.assignment.lane ?? 0;
    if (this.#whole !== whole || this.#lane !== lane) {
      const own = { heats: whole.heats.filter(({ assignment }) => assignment.entry.id === this.who.id), device: { ...whole.device, lane }, plates: whole.kits?.[lane] ?? null };
      this.#own = Object.assign(Object.create(whole), own);
      [this.#whole, this.#lane] = [/** @type {any} */ (whole), lane];
    }
    return this.#own;
  }

  tellShown() {
    if (this.shown) super.tellShown();
  }

  /** ms on the heat clock, past all windows once the desk has closed the heat; null before a GO is known. */
  get ms() {
    return this.closed ? Infinity : ((this.heat && this.reading()?.ms) ?? null);
  }

  /** @returns {Seen} */
  see() {
    const { ms } = this;
    const { turns, floor } = liftsAhead(this, ms);
    const told = this.heat ? this.packet.turns?.[this.heat.assignment.id] : null;
    if (!this.heat || floor === null) return this.#seen({ turn: this.heat ? say("No more lifts in this heat.") : say("No heat yet"), order: [1] });
    if (this.heat.assignment.out) return this.#seen({ turn: capital(say("lifts no more")), order: [1] });
    const on = [...turns.keys()].filter((member) => turns.get(member) === floor);
    const declared = this.marks().find(({ id }) => id === this.tally.windows[floor].declaration)?.body.member;
    const stand = standOf(this, floor, on.includes(declared) ? declared : on[0]);
    const { task, found, standing, waiting, ruled, left, silent } = stand;
    const said = waiting ?? standing;
    const kept = said && !ruled ? this.tablet.outbox.stateOf(said.id) : null;
    const locked = Boolean(found.begun) && !waiting;
    const state = ruled ? "" : stateWords({ by: silent ? null : (said?.body.by ?? null), kept, locked, lifted: found.lifts.length > 0, none: left === 0, ahead: false });
    const more = [ruleWords(found.coming, ms ?? 0), timeWords(task, found.coming, ms ?? 0), changesWords(task, found.coming, openersUntil(this, floor)), left === null || left === 0 ? "" : say("attempts_left", { n: left })];
    const due = silent ? (found.coming?.due_ms ?? LAST) : LAST;
    // Whose heat is on the floor come first, and of those whoever must declare; then the heats to come, in their order.
    const order = [left === 0 ? 1 : 0, ms === null ? this.#place : -1, silent ? 0 : 1, due, told?.before ?? LAST, this.#place, this.heat.assignment.lane];
    return this.#seen({ turn: this.#turnWords(floor, told), called: Boolean(told?.called), load: ruled ?? (silent ? null : (said?.body.load ?? null)), state: capital(state), kept: silent ? null : kept, more: more.filter(Boolean).join(" "), silent, order });
  }

  /** @param {Partial<Seen> & {turn: string, order: number[]}} seen @returns {Seen} */
  #seen(seen) {
    return { called: false, load: null, state: "", kept: null, more: "", silent: false, ...seen };
  }

  /** Which of the day's heats it is. */
  get #place() {
    const at = super.packet.heats.findIndex(({ id }) => id === this.heat?.id);
    return at < 0 ? LAST : at;
  }

  /** How soon their lift comes. @param {number} win @param {{before: number, called: boolean} | null | undefined} told by the desk, of a bar that lanes share */
  #turnWords(win, told) {
    const { ms, heat } = this;
    const where = say("Heat {number} · {name}", { number: /** @type {any} */ (heat).number, name: this.event.name });
    if (told?.called) return say("called");
    const start = this.format.windows[win].start * 1000;
    if (told) return ms === null ? `${say("lifts_before", { n: told.before })} · ${where}` : say("lifts_before", { n: told.before });
    if (ms !== null && ms >= 0 && ms < start) {
      const { minutes, tenths } = timeLeft(start - ms);
      return say("The lift begins in {minutes}{tenths}", { minutes, tenths });
    }
    return where;
  }
}

/** @param {string} words */
const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** Who comes first of two. @param {number[]} one @param {number[]} other */
export function before(one, other) {
  const at = one.findIndex((number, place) => number !== (other[place] ?? 0));
  return at < 0 ? 0 : one[at] - (other[at] ?? 0);
}
