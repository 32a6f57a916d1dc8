// @ts-check
import { JUDGED, PLACED } from "../../../rules/kinds.js";
import { retimed } from "../../../rules/sheet_clock.js";
import { withBar } from "../../../rules/sheets.js";
import { fold } from "../../../rules/tally.js";
import { holdsOf, runNumber, sheetClock, sheetKey } from "../lane/heats.js";

/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {import("../../../parts/film.js").Moment} Moment */

/** The sheet of whoever judges one lane from a film, and the sheets beside it. */
export class VideoSheet {
  /** @type {any} */
  #tally = null;

  /** @param {import("../../../device/outbox.js").Outbox} outbox @param {import("../../../device/packet.js").Packet} packet */
  constructor(outbox, packet) {
    this.outbox = outbox;
    this.packet = packet;
    for (const part of [outbox, packet]) part.watch(() => (this.#tally = null));
  }

  /** @returns {import("../lane/heats.js").Heat} */
  get heat() {
    return this.packet.value.heats[0];
  }

  get event() {
    return this.packet.value.events[this.heat.event];
  }

  /** @returns {import("../lane/words.js").Format} */
  get format() {
    return this.event.format;
  }

  get entry() {
    return this.heat.assignment.entry;
  }

  get holds() {
    return holdsOf(this.heat);
  }

  get key() {
    return sheetKey(this.heat, "video");
  }

  /** The lane and the run, as a film of it is remembered by. */
  get film() {
    return `${this.heat.assignment.id}/${runNumber(this.heat)}`;
  }

  /** The marks of this sheet, with what the lane says of the bar. @returns {Mark[]} */
  marks() {
    return withBar(this.outbox.marks(this.key), this.outbox.marks(sheetKey(this.heat, "lane")));
  }

  /** The sheet added up. */
  get tally() {
    this.#tally ??= fold(this.format, this.marks(), { holds: this.holds, shift_ms: 0 });
    return this.#tally;
  }

  /** Marks that stand, at their true times, in order. @param {string} kind of the sheet @returns {Mark[]} */
  standing(kind) {
    const key = `${this.film}/${kind}`;
    const marks = kind === "video" ? this.marks() : this.outbox.marks(key);
    const struck = new Set(marks.filter((mark) => mark.kind === "strike").map((mark) => mark.body.mark));
    const clock = kind === "lane" ? sheetClock(this.heat) : { holds: this.holds, shift_ms: 0 };
    const { placed } = retimed(new Map(marks.map((mark) => [mark.id, mark])), clock);
    const stand = [...placed.values()].filter((mark) => mark.kind !== "strike" && !struck.has(mark.id));
    return stand.sort((a, b) => a.at - b.at || a.seq - b.seq);
  }

  /** What was judged on a sheet, for its track. @param {string} kind @returns {Mark[]} */
  judged(kind) {
    return this.standing(kind).filter((mark) => JUDGED.has(mark.kind));
  }

  /** Whether the desk has sent what others marked: it does once this sheet is signed. @returns {boolean} */
  get beside() {
    return this.packet.value.beside;
  }

  /** The other sheets of this lane that hold marks, the judge's first. @returns {[string, string][]} kind and words */
  others() {
    if (!this.beside) return [];
    const words = /** @type {[string, string][]} */ (Object.entries(this.packet.value.sheets));
    return words.filter(([kind]) => kind !== "video" && (kind === "lane" || this.outbox.marks(`${this.film}/${kind}`).length));
  }

  /**
   * Makes a mark of a moment of the heat.
   * @param {string} kind @param {Record<string, any>} body @param {number | null} win @param {Moment} moment @param {number} err ms
   */
  mark(kind, body, win, moment, err) {
    // In a hold the clock stands; how far into it the film was says whether it can count.
    const held = Math.round(moment.held_ms + moment.into_ms);
    const says = held ? { ...body, held } : body;
    const { mark } = this.outbox.add({ sheet: this.key, kind, at: moment.ms, err, win, body: says });
    this.#tally = null;
    return mark;
  }

  /** The last mark of this page's person that can be taken back, or null. @returns {Mark | null} */
  last() {
    const mine = this.standing("video").filter((mark) => PLACED.has(mark.kind) && mark.sheet === this.key);
    return mine.sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1) ?? null;
  }

  /** Strikes a mark out. @param {Mark} mark */
  strike(mark) {
    this.mark("strike", { mark: mark.id }, mark.win, { ms: mark.at, held_ms: mark.body.held ?? 0, into_ms: 0 }, 0);
  }

  /** The bar's declaration at a moment of a window, or null. @param {number} win @param {number} ms @returns {Mark | null} */
  barAt(win, ms) {
    const { start, seconds } = this.format.windows[win];
    const near = (/** @type {Mark} */ mark) => (mark.win === null ? mark.at >= start * 1000 - 60_000 && mark.at < (start + seconds) * 1000 : mark.win === win);
    let bar = null;
    let out = false; // of its rack: what is declared meanwhile is for the next try
    for (const mark of this.standing("video").filter((one) => near(one) && one.at <= ms)) {
      if (mark.kind === "declare" && !out) bar = mark;
      if (mark.kind === "begun") out = true;
      if (mark.kind === "racked") out = false;
    }
    return bar;
  }

  /** Where GO is on the film, ms, as it was last written down on this sheet; null if nobody did. */
  goNoted() {
    const notes = this.outbox.marks(this.key).filter((mark) => mark.kind === "note" && mark.body.go !== undefined);
    return notes.sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1)?.body.go ?? null;
  }

  /** The newest note that begins so, or null. @param {string} words @returns {Mark | null} */
  noted(words) {
    const notes = this.outbox.marks(this.key).filter((mark) => mark.kind === "note" && mark.body.text.startsWith(words));
    return notes.sort((a, b) => (a.id < b.id ? -1 : 1)).at(-1) ?? null;
  }
}
