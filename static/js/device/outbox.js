// @ts-check
/** The marks this browser made and those it must show: memory for the screens, disk for the next life. */

import { spokenBody } from "../rules/texts.js";
import { Copies } from "./copies.js";
import { Held } from "./held.js";
import { newEpoch, uuid7 } from "./ids.js";
import { Shelf, bare } from "./shelf.js";
import { Store } from "./store.js";
import { Tabs } from "./tabs.js";
import { Watched } from "./watched.js";

/**
 * What a screen knows of a mark before the outbox numbers it.
 * @typedef {object} Draft
 * @property {string} sheet
 * @property {string} kind
 * @property {number} at
 * @property {number} [err]
 * @property {number | null} [win]
 * @property {Record<string, any>} [body]
 */

/** @typedef {import("./held.js").HeldWord} HeldWord */
/** @typedef {import("./shelf.js").Mark} Mark */
/** @typedef {import("./shelf.js").Entry} Entry */
/** @typedef {import("./shelf.js").Kept} Kept */
/** @typedef {import("./shelf.js").MarkState} MarkState */

/**
 * The marks of this browser: those it made (numbered by device, epoch, seq), and those of others that it must show.
 *
 * Memory is what screens read; the disk is for the next life of the page. Each page is an epoch of its own: two tabs, or a page
 * and its reload, never number two marks alike, and numbering needs no waiting.
 */
export class Outbox extends Watched {
  #shelf = new Shelf();
  #held = new Held(this.#shelf);
  #seq = 0;
  /** Those that are being made together. @type {{entries: Entry[], kept: Promise<boolean>} | null} */
  #together = null;
  /** @type {Tabs} */
  #tabs;

  /** This browser's id, given by the desk at pairing; empty before it is known. */
  device = "";
  /** The number of this page's life. */
  epoch = 0;

  /** @param {Store} store */
  constructor(store) {
    super();
    this.store = store;
    this.#tabs = new Tabs(`${store.name}-outbox`, (made, kept) => this.#heard(made, kept));
    this.copies = new Copies(store, this.#shelf);
    this.copies.watch(() => this.changed());
  }

  /** Loads what the disk has and begins this page's epoch. */
  async open() {
    const { device, epoch } = await this.copies.open();
    this.device ||= device;
    this.epoch = epoch;
    this.changed();
  }

  /** A sentence when the disk can't be used, else empty. */
  get trouble() {
    return this.copies.trouble;
  }

  /** A sentence when the browser has lost marks since last time, else empty. */
  get loss() {
    return this.copies.loss;
  }

  /** How many of the marks made in this browser are where. @returns {Record<MarkState, number>} */
  get counts() {
    return this.#shelf.counts;
  }

  /**
   * Says which device this browser is, as the packet tells it. One that was another before begins a new life of its page: under a new
   * name the numbers of the old one would never be without a gap.
   * @param {string} device
   */
  belongTo(device) {
    if (device === this.device) return;
    if (this.device && this.#seq) this.beginAnew([this.epoch]);
    this.device = device;
    this.store.set("device", device).catch((wrong) => this.copies.diskFailed(wrong));
    this.changed();
  }

  /** The number of the next mark, taken. */
  nextSeq() {
    this.#seq += 1;
    return this.#seq;
  }

  /**
   * Makes a mark. It is in memory when this returns and its strict write is under way; never await `kept` before painting.
   * @param {Draft} draft
   * @returns {{mark: Mark, kept: Promise<boolean>}} kept: true once the mark is on the disk, false if it could not be
   */
  add(draft) {
    if (!this.device) throw new Error("A tablet that isn't paired makes no marks.");
    const mark = Object.freeze({
      id: uuid7(),
      sheet: draft.sheet,
      device: this.device,
      epoch: this.epoch,
      seq: this.nextSeq(),
      kind: draft.kind,
      at: Math.round(draft.at),
      err: Math.max(0, Math.ceil(draft.err ?? 0)),
      win: draft.win ?? null,
      body: spokenBody(draft.body ?? {}),
    });
    const entry = /** @type {Entry} */ (this.#shelf.put(here(mark, true), { onDisk: false, settled: false, own: true }));
    if (this.#together) this.#together.entries.push(entry);
    const kept = this.#together?.kept ?? this.copies.keep([entry]);
    this.#tabs.tell([entry]);
    this.changed();
    return { mark, kept };
  }

  /**
   * Makes marks of which none may be known without the others: a mark that is struck out and made anew would be missing where the
   * network, or the page, ends between the two. They are written down at once, and sent at once.
   * @param {() => void} make
   */
  together(make) {
    /** @type {Entry[]} */
    const entries = [];
    let done = (/** @type {Promise<boolean>} */ _kept) => {};
    this.#together = { entries, kept: new Promise((resolve) => (done = resolve)) };
    try {
      make();
    } finally {
      this.#together = null;
      for (const entry of entries) entry.peers = entries;
      done(this.copies.keep(entries));
    }
  }

  /**
   * Marks that the desk holds: of other devices on our sheets, or our own from before. They are kept for a reload without network.
   * @param {Mark[]} marks
   */
  learn(marks) {
    for (const mark of marks) {
      this.#shelf.put(here(mark, mark.device === this.device), { onDisk: false, settled: true, own: false });
    }
    this.received(marks);
    this.acknowledge(marks);
  }

  /** What the desk knew when marks came that are here: they count by it, here as everywhere. @param {Mark[]} marks with its receipts */
  received(marks) {
    const told = this.#shelf.received(marks);
    const safe = told.filter(({ state }) => state === "safe");
    if (safe.length) this.#moved(safe);
    else if (told.length) this.changed();
  }

  /**
   * The marks of one sheet, as known here, in the order they became known.
   * @param {string} sheet
   * @returns {Mark[]}
   */
  marks(sheet) {
    return this.#shelf.sheet(sheet);
  }

  /** A mark by its id, or null if it isn't known here. @param {string} id @returns {Mark | null} */
  mark(id) {
    return this.#shelf.get(id)?.mark ?? null;
  }

  /**
   * Where a mark is, or null if it isn't known.
   * @param {string} id
   * @returns {MarkState | null}
   */
  stateOf(id) {
    return this.#shelf.get(id)?.state ?? null;
  }

  /** Marks that the desk doesn't hold yet (refused ones are not among them). @returns {Mark[]} */
  pending() {
    return this.#shelf.inState("here", this.epoch).map((entry) => entry.mark);
  }

  /** Marks the desk refused, with its sentences. @returns {{mark: Mark, sentence: string}[]} */
  refused() {
    return this.#shelf.inState("refused", this.epoch).map(({ mark, sentence }) => ({ mark, sentence }));
  }

  /** How many of the refused marks were made when this browser was paired as which other device. @returns {Record<string, number>} */
  refusedBefore() {
    return this.counts.refused ? this.#shelf.refusedBut(this.device) : {};
  }

  /** Why marks were refused, the reason of most first. @returns {{sentence: string, n: number}[]} */
  reasons() {
    const found = new Map();
    for (const { sentence } of this.counts.refused ? this.refused() : []) found.set(sentence, (found.get(sentence) ?? 0) + 1);
    return [...found].map(([sentence, n]) => ({ sentence, n })).sort((a, b) => b.n - a.n);
  }

  /**
   * What should be sent now, in order: ours once they are on the disk, those of another tab when it seems to be gone. What the desk
   * held before and has lost goes by itself.
   * @param {number} most @param {(marks: Mark[]) => Mark[]} [fitting] the first of them that go at once
   * @returns {{marks: Mark[], again: boolean}} again: the desk held these before
   */
  due(most, fitting) {
    return this.#shelf.due(most, this.epoch, fitting);
  }

  /**
   * The server's word on what it holds through, see `Held.heard`.
   * @param {HeldWord} word
   * @param {boolean} [fresh] said at a new connection: anything beyond is offered again, even behind a gap
   */
  held(word, fresh = false) {
    if (word.device === this.device) this.#stayAbove(word.held);
    const { of, moved } = this.#held.heard(word, fresh);
    if (word.device === this.device) this.copies.heard(of);
    if (moved.length) this.#moved(moved);
  }

  /**
   * The desk told all the marks that it has for this tablet: what it has lost is sent again, see `Held.compare`.
   * @param {Mark[]} marks @param {Set<string>} before ids of what was safe when the desk was asked @param {(mark: Mark) => boolean} ours
   */
  compare(marks, before, ours) {
    const lacking = this.#held.compare(marks, before, ours, this.epoch);
    if (lacking.length) this.#moved(lacking);
  }

  /** The ids of what is safe at this moment, for `compare`. */
  safeNow() {
    return new Set(this.#shelf.inState("safe", this.epoch).map(({ id }) => id));
  }

  /** Everything this browser knows, as a file that the desk can take. @param {string} tablet its name */
  file(tablet) {
    const marks = this.#shelf.all().map(({ mark }) => bare(mark));
    return { file: "lane-ledger-marks", version: 1, tablet, counts: this.counts, marks };
  }

  /**
   * The server has committed these marks.
   * @param {Mark[]} marks
   */
  acknowledge(marks) {
    const entries = this.#shelf.of(marks).filter((entry) => entry.state !== "safe");
    for (const entry of entries) this.#shelf.move(entry, "safe");
    if (entries.length) this.#moved(entries);
  }

  /**
   * The server refused these marks. They are kept and shown, and not sent again by themselves.
   * @param {{mark: Mark, sentence: string}[]} refusals
   */
  refuse(refusals) {
    for (const { mark, sentence } of refusals) {
      const entry = this.#shelf.get(mark.id);
      if (entry && entry.state !== "safe") this.#shelf.move(entry, "refused", sentence);
    }
    this.#moved(this.#shelf.of(refusals.map(({ mark }) => mark)));
  }

  /** Offers refused marks once more: what was wrong may have been put right. Until the desk says so they are what they were. */
  offerAgain() {
    for (const entry of this.#shelf.inState("refused", this.epoch)) entry.offer = true;
    this.changed();
  }

  /**
   * Lets go of a sheet whose result is signed. Nothing happens while one of its marks is not safe.
   * @param {string} sheet
   * @returns {boolean} whether it was let go
   */
  forget(sheet) {
    const entries = this.#shelf.of(this.marks(sheet));
    if (entries.some((entry) => entry.state !== "safe")) return false;
    this.store.deleteMarks(this.#shelf.drop(sheet)).catch((wrong) => this.copies.diskFailed(wrong));
    this.changed();
    return true;
  }

  /**
   * The desk holds other marks under numbers of this page's life: from here on it has another life, so that what comes next is the only
   * one under its number.
   * @param {number[]} epochs the lives of which that is so
   */
  beginAnew(epochs) {
    if (!epochs.includes(this.epoch)) return;
    this.epoch = newEpoch(Math.max(this.epoch, ...epochs));
    this.#seq = 0;
    this.store.change("epoch", (last) => Math.max(last ?? 0, this.epoch)).catch((wrong) => this.copies.diskFailed(wrong));
    this.changed();
  }

  /** A store that was wiped has forgotten its epochs; the server has not. @param {Record<string, number>} epochs */
  #stayAbove(epochs) {
    const greatest = Math.max(0, ...Object.keys(epochs).map(Number));
    if (this.#seq === 0 && greatest >= this.epoch) this.epoch = newEpoch(greatest);
  }

  /** Writes down where marks are now and tells the other tabs. @param {Entry[]} entries */
  #moved(entries) {
    this.copies.write(entries);
    this.#tabs.tell(entries);
    this.changed();
  }

  /** What another tab said; it keeps on the disk what it made. @param {Mark[]} made @param {Kept[]} kept */
  #heard(made, kept) {
    const elsewhere = { onDisk: true, settled: true, own: false };
    for (const mark of made) this.#shelf.put(here(mark, true), elsewhere);
    for (const one of kept) {
      const known = this.#shelf.get(one.id);
      if (known) this.#shelf.move(known, one.state, one.sentence);
      else this.#shelf.put(one, elsewhere);
    }
    this.#shelf.received(kept.map(({ mark }) => mark));
    this.changed();
  }
}

/** @param {Mark} mark @param {boolean} made @returns {Kept} */
function here(mark, made) {
  return { id: mark.id, mark, state: "here", sentence: "", made };
}

/**
 * Opens the outbox of this browser. Never rejects: without a disk it says so in `trouble` and works from memory.
 * @param {Store} [store]
 * @returns {Promise<Outbox>}
 */
export async function openOutbox(store = new Store()) {
  const outbox = new Outbox(store);
  await outbox.open();
  return outbox;
}
