// @ts-check
import { sayLoad } from "../../../parts/loads.js";
import { judgedTally } from "../../../rules/lights.js";
import { seatOf } from "../../../rules/authority.js";
import { byOrder } from "../../../rules/order.js";
import { startBound } from "../../../rules/lifting/attempt_clock.js";
import { barFloor } from "../../../rules/lifting/bar_floor.js";
import { atTheBar, barClock, barWindow, calledLift, calledNext } from "../../../rules/platform/lift_order.js";
import { notTakenBack } from "../../../rules/platform/taken_back.js";
import { waitsFor } from "../../../rules/platform/to_decide.js";
import { sheetClock, sheetKey } from "../lane/heats.js";
import { Lane } from "../lane/state.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../lane/heats.js").Heat} Heat a heat as it stands on one lane */
/** @typedef {import("../../../rules/platform/lift_order.js").Waiting} Waiting */
/** @typedef {import("../../../rules/platform/lift_order.js").BarLane} BarLane */
/** @typedef {{lot: number, heat: Heat, tally: any, marks: Mark[]}} OnLane */

/**
 * The state of a device at a platform: a lane's, that turns to the lane of whoever is called. Who that is, is folded here from the
 * marks of all lanes, so it goes on without the desk; a person can turn to somebody else until the next mark at the bar.
 */
export class Platform extends Lane {
  /** Says whether something is asked of the person here that has not been answered. The screen sets it. */
  asks = () => false;

  /** Whom a person has turned to, and the newest mark at the bar by then. @type {{assignment: string, after: string} | null} */
  #picked = null;
  /** What is known of each lane, by its sheets' marks. @type {Map<string, {stamp: string, found: OnLane}>} */
  #known = new Map();
  /** @type {Heat[] | null} */
  #heats = null;
  /** @type {{lanes: OnLane[], bar: {lot: number, mark: string} | null} | null} */
  #now = null;

  /** @param {import("../../../device/tablet.js").Tablet} tablet @param {import("../../../parts/sound.js").Sound} sound */
  constructor(tablet, sound) {
    super(tablet, sound);
    tablet.packet.watch(() => (this.#heats = this.#now = null));
    tablet.outbox.watch(() => (this.#now = null));
  }

  /** The heat at hand, on the lane of whoever was turned to, is at the bar, or comes next. */
  choose() {
    const heat = super.choose();
    if (!heat || heat.id !== this.#heats?.[0]?.id) this.#now = this.#heats = null;
    if (!heat) return null;
    this.#heats ??= this.packet.heats.filter(({ id }) => id === heat.id);
    if (this.#heats.length === 1) return heat;
    const { bar } = this.#folded(this.#heats);
    const { assignment = "", after = "" } = this.#picked ?? {};
    const picked = this.#picked && after === (bar?.mark ?? "") ? this.#heats.find((one) => one.assignment.id === assignment) : null;
    return picked ?? this.#held() ?? this.#on(this.#lotAtHand(bar)) ?? this.#heats[0];
  }

  /** Whom this seat is about: referees look at the bar; whoever calls and loads, at the lift that is to come. @param {{lot: number} | null} bar */
  #lotAtHand(bar) {
    const next = this.waiting()[0]?.lot;
    if (this.packet.device.role === "platform") return bar?.lot ?? next;
    return this.called?.lot ?? next ?? bar?.lot;
  }

  /** The lane that is not left yet, though somebody else may have been called: its lift is still to be judged here. */
  #held() {
    if (this.asks()) return this.#heats?.find(({ assignment }) => assignment.id === this.heat?.assignment.id);
    const out = this.lanes.flatMap(({ lot, marks }) => marks.filter(({ kind }) => kind === "begun").map((mark) => ({ lot, mark })));
    const last = out.sort((a, b) => byOrder(a.mark, b.mark)).at(-1);
    return last && this.#waitsForUs(last) ? this.#on(last.lot) : undefined;
  }

  /** Whether a try is open, and this referee has not decided it. @param {{lot: number, mark: Mark}} begun the bar that left last */
  #waitsForUs({ lot, mark }) {
    if (this.packet.device.role !== "platform") return false;
    const { tally, marks } = /** @type {OnLane} */ (this.lanes.find((lane) => lane.lot === lot));
    return waitsFor(mark, tally, marks, this.counter);
  }

  /** Which seat of the platform this tablet has. */
  get seatName() {
    return seatOf(this.packet.device)?.name ?? "";
  }

  /** All lanes of the heat at hand, in order. @returns {OnLane[]} */
  get lanes() {
    return this.#heats ? this.#folded(this.#heats).lanes : [];
  }

  /** The lane of whoever is at the bar, or null. @returns {OnLane | null} */
  get atTheBar() {
    const { lanes, bar } = this.#heats ? this.#folded(this.#heats) : { lanes: [], bar: null };
    return lanes.find(({ lot }) => lot === bar?.lot) ?? null;
  }

  /** Shows how the attempt's clock of whoever is at the bar runs. @param {import("../../../parts/lifting/attempt_clock.js").AttemptClock} clock */
  showClock(clock) {
    const runs = barClock(this.lanes.map((lane) => this.#barLane(lane)), this.#ms());
    clock.frame(runs?.task, runs, this.#ms());
  }

  /** How far the clock of whoever is at the bar may be off, by the clocks of those who started it. */
  get attemptBound() {
    return Math.max(0, ...(this.atTheBar?.tally.windows.map(startBound) ?? []));
  }

  /** Those who wait now, in the order in which they are called. @returns {Waiting[]} */
  waiting() {
    return calledNext(this.lanes.map((lane) => this.#barLane(lane)), this.#ms());
  }

  /** Whoever of them was called and has not lifted since, or null. @returns {Waiting | null} */
  get called() {
    return calledLift(this.waiting(), this.lanes.map((lane) => this.#barLane(lane)));
  }

  /** Those of them who are still to be called. @returns {Waiting[]} */
  uncalled() {
    const { called } = this;
    return this.waiting().filter(({ lot }) => lot !== called?.lot);
  }

  /** The window whose lifters are called now, or null. */
  get window() {
    return this.lanes.length ? barWindow(this.packet.events[this.lanes[0].heat.event].format, this.#ms()) : null;
  }

  /** The marks that tell of the bar: it is one for all lanes. */
  barMarks() {
    return this.lanes.flatMap((lane) => notTakenBack(lane).filter(({ kind }) => kind === "loaded")).sort(byOrder);
  }

  /** Whether whoever is on a lane lifted last at this bar. @param {number} lot */
  liftedLast(lot) {
    const lifts = this.lanes.flatMap((lane) => notTakenBack(lane).filter(({ kind }) => kind === "lift").map((mark) => ({ lot: lane.lot, mark })));
    return lifts.sort((a, b) => byOrder(a.mark, b.mark)).at(-1)?.lot === lot;
  }

  /** How many lifts of others came after the newest of a lane. @param {number} lot @param {number} win */
  liftsSince(lot, win) {
    const after = this.lanes.find((lane) => lane.lot === lot)?.tally.windows[win].lifts.at(-1)?.at ?? Infinity;
    return this.lanes.flatMap((lane) => (lane.lot === lot ? [] : lane.tally.windows[win].lifts)).filter(({ at }) => at > after).length;
  }

  /** What the bar was called with in a window, where it does not go below that. @param {number} win */
  barFloor(win) {
    return barFloor(this.lanes.flatMap(({ marks }) => marks), win);
  }

  /** ms on the heat clock of the heat at hand, 0 before GO. */
  get ms() {
    return this.#ms() ?? 0;
  }

  /** The one bar of a platform is looked at once: the check stands on the sheet of every lifter of the flight. @param {{items: string[], name: string}} body */
  checked(body) {
    for (const { heat } of this.lanes) this.markOn(heat, "check", body, null);
  }

  /** @param {Mark} check */
  checkAgain({ body }) {
    const same = (/** @type {Mark} */ mark) => mark.kind === "check" && JSON.stringify(mark.body.items) === JSON.stringify(body.items) && mark.body.name === body.name;
    for (const lane of this.lanes) {
      for (const mark of notTakenBack(lane).filter(same)) this.markOn(lane.heat, "strike", { mark: mark.id }, mark.win);
    }
  }

  /** Who signed a lane's sheet of this seat; empty before that. @param {OnLane} lane */
  signedBy(lane) {
    const own = notTakenBack(lane).filter(({ kind, sheet, body }) => kind === "sign" && body.who === "judge" && sheet.endsWith(`/${this.counter}`));
    return own.at(-1)?.body.name ?? "";
  }

  /** Whether this seat has decided the lift under a declaration: without the network nobody says here that it is over. @param {Waiting} one */
  decidedHere({ lot, declared }) {
    const lane = this.lanes.find((one) => one.lot === lot);
    return lane ? notTakenBack(lane).some(({ kind, sheet, body }) => kind === "lift" && body.declared === declared && sheet.endsWith(`/${this.counter}`)) : false;
  }

  /** Turns to a lane, until the next mark at the bar. @param {number} lot */
  pick(lot) {
    const heat = this.#on(lot);
    if (!heat || !this.#heats) return;
    this.#picked = { assignment: heat.assignment.id, after: this.#folded(this.#heats).bar?.mark ?? "" };
    this.tablet.outbox.changed(); // whoever draws the lane looks again
  }

  /** @param {number | undefined} lot */
  #on(lot) {
    return this.#heats?.find(({ assignment }) => assignment.lane === lot);
  }

  /** ms on the heat clock; null before a GO is known. */
  #ms() {
    return this.heat ? (this.reading()?.ms ?? null) : null;
  }

  /** @param {OnLane} lane @returns {BarLane} */
  #barLane({ lot, heat, tally, marks }) {
    return { lot, who: heat.assignment.entry.name, format: this.packet.events[heat.event].format, tally, marks, admitted: heat.assignment.admitted, out: heat.assignment.out };
  }

  /** @param {Heat[]} heats */
  #folded(heats) {
    if (this.#now) return this.#now;
    const lanes = heats.map((heat) => this.#lane(heat));
    this.#now = { lanes, bar: atTheBar(lanes.map((lane) => this.#barLane(lane))) };
    return this.#now;
  }

  /** A lane added up by what the referees together decided; again only when it has more marks, or more is known of them. @param {Heat} heat @returns {OnLane} */
  #lane(heat) {
    const of = (/** @type {string} */ counter) => this.tablet.outbox.marks(sheetKey(heat, counter));
    const sheets = { lane: of("lane"), second: of("second"), third: of("third") };
    const clock = sheetClock(heat);
    const many = Object.values(sheets).map((marks) => [marks.length, marks.filter(({ receipt }) => receipt).length]);
    const stamp = JSON.stringify([sheetKey(heat, "lane"), many, clock]);
    const known = this.#known.get(heat.assignment.id);
    if (known?.stamp === stamp) return { ...known.found, heat };
    const tally = judgedTally(this.packet.events[heat.event].format, sheets, clock);
    const found = { lot: heat.assignment.lane, heat, tally, marks: Object.values(sheets).flat() };
    this.#known.set(heat.assignment.id, { stamp, found });
    return found;
  }
}

/** The load of whoever waits, and whether nobody declared it. @param {Waiting} one */
export const loadWords = ({ load, automatic }) => (automatic ? say("{load} by the rule", { load: sayLoad(load) }) : sayLoad(load));
