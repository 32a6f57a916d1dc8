// @ts-check
/** The lane's state in one place. */

import { lengthMs } from "../../../rules/clock.js";
import { heatState } from "../../../rules/heat_clock.js";
import { heatTime } from "../../../rules/holding.js";
import { PLACED } from "../../../rules/kinds.js";
import { startBound } from "../../../rules/lifting/attempt_clock.js";
import { judgedByThree, judgedTally } from "../../../rules/lights.js";
import { ROWS } from "../../../rules/rows.js";
import { withBar } from "../../../rules/sheets.js";
import { fold } from "../../../rules/tally.js";
import { comingHeat, goBound, goOn, heatAtHand, heldScene, holdsOf, overHeats, runKey, sceneAt, sheetClock, sheetKey, waitsForSignature, windowsAtHand } from "./heats.js";
import { HandClock, clockSaid } from "./hand_clock.js";
import { startMatters } from "./lifting/openers.js";
import { LeftRuns } from "./left_runs.js";
import { TakenBack } from "./taken_back.js";
import { Turns } from "./members/turns.js";
import { COUNTERS, trackNames } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../device/tablet.js").Tablet} Tablet */
/**
 * All that a lane needs to work offline, as the desk sends it.
 * @typedef {object} Packet
 * @property {{id: string, role: "lane" | "lifter" | "coach" | "platform" | "marshal" | "loaders", lane: number, name: string, sheet?: import("./heats.js").Counter}} device
 * @property {{id: string, name: string, unit: "kg" | "lb", demo: boolean}} competition
 * @property {Record<string, {id: string, name: string, format: import("./words.js").Format, checks?: string[], measuring?: {text: string}[], units?: Record<string, string>}>} events units: of its scores; a packet kept from an older desk does not say
 * @property {import("./heats.js").Heat[]} heats
 * @property {{lanes: number[]}} [platform] of a device at a platform: the lanes that share its bar
 * @property {"here" | "away" | "none"} [caller] whether the lifter can declare from a phone
 * @property {import("../../../rules/told.js").Told} [told]
 * @property {Record<string, number>} [starts] by heat, for when it is planned, in ms on the server's line of time
 * @property {any} [plates] what the lane can put on its bar
 * @property {{id: string, name: string}[]} [lifters] of a coach: for whom the device stands
 * @property {Record<string, any>} [kits] the same by lane, for a coach, whose lifters stand on several
 * @property {Record<string, {before: number, called: boolean}>} [turns] of a coach's lifters at a bar that lanes share, by assignment: how many lifts come before theirs
 * @property {Record<string, {run: number, floors: Record<string, import("../../../rules/units.js").Load>}>} [bars] by heat, what a bar that lanes share was called with in each window
 */
/** @typedef {import("./heats.js").Heat} Heat */
/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../../../device/timesync.js").Reading & import("../../../rules/holding.js").HeatTime} Reading on the heat clock */

/** The lane's state, in one place: which heat, its clock, its sheet, the tally. Screens read it and make marks through it. */
export class Lane {
  /** @type {Heat | null} */
  heat = null;
  /** Bound on the clock's error when it was last read. */
  #bound = 0;
  #left = new LeftRuns();
  /** Key of a run whose sheet the judge has opened again. */
  #opened = "";
  /** @type {any} */
  #tally = null;
  /** @type {any} */
  #judged = null;
  #stale = true;
  /** The sheet that was turned to last. */
  #shown = "";
  /** @type {Mark[] | null} */
  #standing = null;

  /** Called with each mark made here. @type {(mark: Mark) => void} */
  onmark = () => {};

  /** @param {Tablet} tablet @param {import("../../../parts/sound.js").Sound} sound */
  constructor(tablet, sound) {
    this.tablet = tablet;
    this.sound = sound;
    this.turns = new Turns(this);
    this.takenBack = new TakenBack(this);
    this.hand = new HandClock(this);
    for (const part of [tablet.outbox, tablet.packet]) part.watch(() => (this.#stale = true));
  }

  /** @returns {Packet} */
  get packet() {
    return this.tablet.packet.value;
  }

  get event() {
    return this.packet.events[/** @type {Heat} */ (this.heat).event];
  }

  get format() {
    return this.event.format;
  }

  get entry() {
    return /** @type {Heat} */ (this.heat).assignment.entry;
  }

  get sheet() {
    return sheetKey(/** @type {Heat} */ (this.heat), this.counter);
  }

  /**
   * What the bar that this lane shares was called with in a window, where it does not go below that and the desk says so now: another
   * lane's call is heard from there alone, and may have been taken back since.
   * @param {number} win @returns {import("../../../rules/units.js").Load | null}
   */
  barFloor(win) {
    const told = this.tablet.link.online && this.heat ? this.packet.bars?.[this.heat.id] : null;
    return told && told.run === this.heat?.run?.number ? (told.floors[win] ?? null) : null;
  }

  /** What the judge should know of the lifter's own screen: whether a declaration can come from there. */
  get callerWords() {
    return this.packet.caller === "away" ? say("The lifter's phone is out of reach: ask, and declare here.") : "";
  }

  /** Which of the lane's counters this tablet is. A packet kept from an older desk does not say, and is the judge's. */
  get counter() {
    return this.packet.device.sheet ?? "lane";
  }

  /** Which seat this tablet has; empty where that is plain: a lane's judge. */
  get seatName() {
    return this.counter === "lane" ? "" : COUNTERS[this.counter];
  }

  /** Whether this tablet judges everything: the lane's judge does, and a shadow judge; another counter counts repetitions. */
  get wholeSheet() {
    return ROWS.sheets[this.counter].does !== "joined";
  }

  get trackNames() {
    return trackNames(this.entry, this.format.members);
  }

  /** A member's short name, where there are several. @type {(member: number | null) => string} */
  whose = (member) => (member === null ? "" : (this.trackNames[member - 1] ?? ""));

  /** Which heat and which run of it is on the screen. */
  get key() {
    return this.heat ? runKey(this.heat) : "";
  }

  /** Turns to the heat at hand. @returns {boolean} whether that is another sheet than before */
  turn() {
    const [before, heat] = [this.#shown, this.heat?.id];
    this.heat = this.choose();
    this.#shown = this.heat ? this.sheet : "";
    if (this.key !== this.#opened) this.#opened = "";
    this.#stale ||= before !== this.#shown;
    this.tellShown();
    if (heat !== this.heat?.id && (startMatters(this) || this.heat?.assignment.untold)) this.tablet.packet.refresh();
    return before !== this.#shown;
  }

  /** Tells the desk which heat is shown. */
  tellShown() {
    this.tablet.show(this.heat?.id ?? "", this.key);
  }

  /** The heat to show now, and which lane of it. @returns {Heat | null} */
  choose() {
    return heatAtHand(this.packet.heats, this.#clock, this.#length, this.#left, this.#opened);
  }

  #clock = (/** @type {Heat} */ heat) => this.#reading(heat);
  #length = (/** @type {Heat} */ heat) => lengthMs(this.packet.events[heat.event].format);

  /** The heat that comes next, or null. @returns {Heat | null} */
  get coming() {
    return comingHeat(this.packet.heats, this.#clock);
  }

  /** The heats, but for the one at hand, whose sheet of this counter has work on it and no signature of its judge. @returns {Heat[]} */
  get toSign() {
    const { outbox } = this.tablet;
    const waits = (/** @type {Heat} */ heat) => heat.assignment.id !== this.heat?.assignment.id && waitsForSignature(outbox.marks(sheetKey(heat, this.counter)));
    return overHeats(this.packet.heats, this.#clock, this.#length).filter(waits);
  }

  /** Opens the sheet of a heat that is over, until it is left or a heat begins. @param {Heat} heat */
  open(heat) {
    this.#opened = runKey(heat);
    this.turn();
  }

  /** The heat's clock: ms since GO without what it was held, with what it rests on, or null. @returns {Reading | null} */
  reading() {
    const reading = this.heat && this.#reading(this.heat);
    if (reading) this.#bound = reading.bound;
    return reading;
  }

  /** @param {Heat} heat @returns {Reading | null} */
  #reading(heat) {
    const { timesync } = this.tablet;
    const plain = timesync.reading(goOn(heat, timesync.boot), runKey(heat), goBound(heat));
    return plain && { ...plain, ...heatTime(plain.ms, holdsOf(heat)) };
  }

  /** Whether the desk has closed this heat before its last bell: its clock means nothing any more. */
  get closed() {
    return this.heat?.run?.state === "closed";
  }

  /**
   * What the heat at hand shows at a moment of its clock, and for how many ms that can stand if time alone changes it.
   * @param {Reading} reading @param {boolean} lifting see sceneAt
   */
  scene(reading, lifting) {
    const scene = sceneAt(this.format, this.closed ? Infinity : reading.ms, lifting);
    if (!reading.standing || scene.view === "after") return { scene, until: scene.late ? 0 : scene.until - reading.ms };
    return heldScene(this.format, scene, reading.into_ms, lifting);
  }

  /** How far the clock of the attempt at hand may be off by the clocks of those who started it, in ms. */
  get attemptBound() {
    return this.heat ? Math.max(0, ...this.judged.windows.map(startBound)) : 0;
  }

  /** By how much the head judge moved this sheet's clock, if it was started by hand. */
  get shiftMs() {
    return sheetClock(/** @type {Heat} */ (this.heat)).shift_ms;
  }

  /** The sheet added up. */
  get tally() {
    this.#fold();
    return this.#tally;
  }

  /** The lane's sheet by what three judges together decided, where they do; else this one's own. */
  get judged() {
    this.#fold();
    return this.#judged;
  }

  #fold() {
    if (!this.#stale) return;
    const heat = /** @type {Heat} */ (this.heat);
    const clock = sheetClock(heat);
    const three = judgedByThree(this.format) && ROWS.sheets[this.counter].does !== "compared";
    const of = (/** @type {import("./heats.js").Counter} */ counter) => this.tablet.outbox.marks(sheetKey(heat, counter));
    if (three) this.#judged = judgedTally(this.format, { lane: of("lane"), second: of("second"), third: of("third") }, clock);
    this.#tally = three && this.counter === "lane" ? this.#judged : fold(this.format, this.marks(), clock);
    if (!three) this.#judged = this.#tally;
    this.#standing = null;
    this.#stale = false;
  }

  /** The marks of this sheet. To those beside the lane's judge the bar is what the lane's own sheet says it is. @returns {Mark[]} */
  marks() {
    const { outbox } = this.tablet;
    const own = outbox.marks(this.sheet);
    return this.counter !== "lane" ? withBar(own, outbox.marks(sheetKey(/** @type {Heat} */ (this.heat), "lane"))) : own;
  }

  /** Marks that stand: neither struck nor strike-outs, in order of time. @returns {readonly Mark[]} */
  standing() {
    const { struck } = this.tally; // adds up anew what has changed
    this.#standing ??= standingOf(this.marks(), new Set(struck));
    return this.#standing;
  }

  /** The marks that tell of the bar. @returns {readonly Mark[]} */
  barMarks() {
    return this.standing();
  }

  /**
   * Makes a mark, now.
   * @param {string} kind
   * @param {Record<string, any>} body
   * @param {number | null} win
   * @param {number} [at] ms on the heat clock, where the moment was another than now
   * @returns {Mark}
   */
  mark(kind, body = {}, win = null, at = undefined) {
    return this.markOn(/** @type {Heat} */ (this.heat), kind, body, win, at);
  }

  /**
   * The same on a sheet of the heat at hand as it stands on another lane.
   * @param {Heat} heat @param {string} kind @param {Record<string, any>} body @param {number | null} win @param {number} [at]
   */
  markOn(heat, kind, body, win, at = undefined) {
    const now = this.reading();
    const says = at === undefined ? { ...body, ...clockSaid(now, kind) } : body;
    const sheet = sheetKey(heat, this.counter);
    const { mark } = this.tablet.outbox.add({ sheet, kind, at: at ?? now?.ms ?? 0, err: this.#bound, win, body: says });
    this.#stale = true;
    this.onmark(mark);
    return mark;
  }

  /** The equipment was looked at. @param {{items: string[], name: string}} body */
  checked(body) {
    this.mark("check", body);
  }

  /** It is looked at again. @param {Mark} check */
  checkAgain(check) {
    this.strike(check);
  }

  /** Strikes a mark out. @param {Mark} mark */
  strike(mark) {
    this.mark("strike", { mark: mark.id }, mark.win);
  }

  /**
   * The last mark of this tablet that can be taken back in a scene, or null: one of its window, in a rest of the window just before or
   * of the one prepared. What lies further back is another member's or another work's, and is corrected on the sheet.
   * @param {import("./heats.js").Scene} scene
   * @returns {Mark | null}
   */
  last(scene) {
    const within = windowsAtHand(this.format, scene, this.reading()?.ms ?? 0);
    const mine = this.standing().filter((mark) => PLACED.has(mark.kind) && mark.device === this.packet.device.id && within.includes(mark.win));
    return mine.sort((a, b) => a.epoch - b.epoch || a.seq - b.seq).at(-1) ?? null;
  }

  /** The stop that stands, or null. @returns {Mark | null} */
  stopped() {
    return this.standing().filter((mark) => mark.kind === "stop").at(-1) ?? null;
  }

  /** Whether nothing is going on here, so that the page may be replaced by a newer one. */
  get idle() {
    const reading = this.reading();
    return !this.heat || this.closed || reading === null || reading.ms > lengthMs(this.format) + this.format.late_ms;
  }

  /** Whether this lane's heat is under way: its clock runs, and nobody holds it. */
  get works() {
    const reading = this.heat && this.reading();
    return Boolean(reading && heatState(this.heat?.run?.state ?? "set", lengthMs(this.format), reading) === "running");
  }

  /** Leaves the sheet at hand for the next heat. */
  leave() {
    this.#left.add(this.key);
    this.#opened = "";
    this.turn();
  }
}

/** @param {Mark[]} marks @param {Set<string>} struck */
function standingOf(marks, struck) {
  const stand = marks.filter((mark) => mark.kind !== "strike" && !struck.has(mark.id));
  return stand.sort((a, b) => a.at - b.at || a.epoch - b.epoch || a.seq - b.seq);
}
