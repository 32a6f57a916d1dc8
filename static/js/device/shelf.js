// @ts-check
/** Marks as they lie in the memory of a page, and as the wire carries them. */

/**
 * A mark as the wire carries it.
 * @typedef {object} Mark
 * @property {string} id 32 hex digits
 * @property {string} sheet assignment/run/kind
 * @property {string} device
 * @property {number} epoch which life of which page made it
 * @property {number} seq 1, 2, 3 … within the epoch
 * @property {string} kind
 * @property {number} at ms on the heat clock
 * @property {number} err bound on the error of `at`, in ms
 * @property {number | null} win
 * @property {Record<string, any>} body
 * @property {Receipt} [receipt] once the desk has told it
 */

/**
 * What the desk knew of a mark when it came; see app/rules/records/receipts.py. It is the desk's word and never sent back.
 * @typedef {{number: number, seat: string, clock?: number, wall?: true, again?: true}} Receipt
 */

/**
 * here: on this tablet only. safe: the desk holds it. refused: the desk said no, with a sentence.
 * @typedef {"here" | "safe" | "refused"} MarkState
 */

/**
 * What lies on the disk. made: by this browser, maybe when it was paired as another device; else told by the desk.
 * @typedef {{id: string, mark: Mark, state: MarkState, sentence: string, made: boolean}} Kept
 */

/**
 * A mark in memory. onDisk: it will be found after a reload. settled: its write has ended, well or not. own: this page sends it
 * without waiting for the tab that made it. since: when this page came to know it, by performance.now. again: the desk held it and
 * has lost it. offer: the desk refused it and is asked once more. peers: those that were made with it and are sent with it.
 * @typedef {Kept & {onDisk: boolean, settled: boolean, own: boolean, since: number, again: boolean, offer: boolean, peers: Entry[]}} Entry
 */

const DISK_WAIT_MS = 2000; // a mark is sent once it is on the disk, or after this long if the disk stalls
const OTHER_TAB_MS = 3000; // another open tab sends its own marks; after this long we send them for it

/** The marks of a browser in memory: by id, by sheet, and counted by where they are. */
export class Shelf {
  /** @type {Map<string, Entry>} */
  #entries = new Map();
  /** @type {Map<string, Entry[]>} */
  #sheets = new Map();

  /** How many of the marks made here are where. @type {Record<MarkState, number>} */
  counts = { here: 0, safe: 0, refused: 0 };

  /**
   * Puts a mark on the shelf, unless it is there.
   * @param {Kept} kept
   * @param {{onDisk: boolean, settled: boolean, own: boolean}} how
   * @returns {Entry | null} null if it was there
   */
  put({ id, mark, state, sentence, made }, { onDisk, settled, own }) {
    if (this.#entries.has(id)) return null;
    /** @type {Entry} */
    const entry = { id, mark, state, sentence, made, onDisk, settled, own, since: performance.now(), again: false, offer: false, peers: [] };
    this.#entries.set(id, entry);
    const sheet = this.#sheets.get(mark.sheet);
    if (sheet) sheet.push(entry);
    else this.#sheets.set(mark.sheet, [entry]);
    if (made) this.counts[state] += 1;
    return entry;
  }

  /**
   * @param {Entry} entry
   * @param {MarkState} state
   * @param {string} [sentence]
   */
  move(entry, state, sentence = "") {
    if (entry.made) {
      this.counts[entry.state] -= 1;
      this.counts[state] += 1;
    }
    entry.state = state;
    entry.offer = false;
    entry.sentence = sentence;
  }

  /** @param {string} id */
  get(id) {
    return this.#entries.get(id);
  }

  /** @returns {Entry[]} */
  all() {
    return [...this.#entries.values()];
  }

  /** @param {Mark[]} marks @returns {Entry[]} those of them that are here */
  of(marks) {
    return marks.flatMap((mark) => this.#entries.get(mark.id) ?? []);
  }

  /** @param {string} sheet @returns {Mark[]} in the order they became known */
  sheet(sheet) {
    return (this.#sheets.get(sheet) ?? []).map(({ mark }) => mark);
  }

  /** How many marks the desk refused of devices other than one, by device. @param {string} device */
  refusedBut(device) {
    /** @type {Record<string, number>} */
    const found = {};
    const others = this.all().filter(({ state, mark }) => state === "refused" && mark.device !== device);
    for (const { mark } of others) found[mark.device] = (found[mark.device] ?? 0) + 1;
    return found;
  }

  /** What the desk says that it knew when marks came. @param {Mark[]} marks @returns {Entry[]} those of which that is news */
  received(marks) {
    const told = marks.flatMap(({ id, receipt }) => {
      const entry = receipt && this.#entries.get(id);
      return entry && JSON.stringify(entry.mark.receipt) !== JSON.stringify(receipt) ? [{ entry, receipt }] : [];
    });
    for (const { entry, receipt } of told) entry.mark = Object.freeze({ ...entry.mark, receipt });
    return told.map(({ entry }) => entry);
  }

  /**
   * @param {MarkState} state
   * @param {number} first this epoch's come first: the judge is looking at them
   * @returns {Entry[]} in the order made
   */
  inState(state, first) {
    const rank = (/** @type {Entry} */ entry) => (entry.mark.epoch === first ? 0 : 1);
    const found = this.all().filter((entry) => entry.state === state);
    return found.sort((a, b) => rank(a) - rank(b) || a.mark.epoch - b.mark.epoch || a.mark.seq - b.mark.seq);
  }

  /**
   * What should be sent now, see `Outbox.due`.
   * @param {number} most @param {number} first this epoch's come first @param {(marks: Mark[]) => Mark[]} [fitting]
   * @returns {{marks: Mark[], again: boolean}}
   */
  due(most, first, fitting = (marks) => marks) {
    const now = performance.now();
    const settled = (/** @type {Entry} */ entry) =>
      entry.own ? entry.settled || now - entry.since > DISK_WAIT_MS : now - entry.since > OTHER_TAB_MS;
    const ready = (/** @type {Entry} */ entry) => settled(entry) && entry.peers.every(settled);
    const offered = this.counts.refused ? this.inState("refused", first).filter((entry) => entry.offer) : [];
    const waiting = [...this.inState("here", first).filter(ready), ...offered];
    const again = waiting[0]?.again ?? false;
    const alike = waiting.filter((entry) => entry.again === again).slice(0, most);
    return { marks: this.#unparted(fitting(alike.map((entry) => entry.mark))), again };
  }

  /** The first of these marks, without those at the end whose peers are not among them; all where nothing else is left. @param {Mark[]} marks */
  #unparted(marks) {
    const ids = new Set(marks.map(({ id }) => id));
    const parted = (/** @type {Mark} */ { id }) => this.get(id)?.peers.some((peer) => peer.state === "here" && !ids.has(peer.id));
    let whole = marks.length;
    while (whole && parted(marks[whole - 1])) whole -= 1;
    return whole ? marks.slice(0, whole) : marks;
  }

  /** @param {string} sheet @returns {string[]} the ids of the marks taken off the shelf */
  drop(sheet) {
    const entries = this.of(this.sheet(sheet));
    for (const entry of entries) {
      if (entry.made) this.counts[entry.state] -= 1;
      this.#entries.delete(entry.id);
    }
    this.#sheets.delete(sheet);
    return entries.map((entry) => entry.id);
  }
}

/** A mark as it was made, without what the desk says of it. @param {Mark} mark @returns {Mark} */
export function bare({ receipt, ...made }) {
  return made;
}
