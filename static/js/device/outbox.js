// @ts-check
import { newEpoch, uuid7 } from "./ids.js";
import { Store } from "./store.js";
import { Watched } from "./watched.js";

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
 */

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

/** here: on this tablet only. safe: the desk holds it. refused: the desk said no, with a sentence. @typedef {"here" | "safe" | "refused"} MarkState */

/** @typedef {{id: string, mark: Mark, state: MarkState, sentence: string}} Kept what lies on the disk */
/** @typedef {Kept & {onDisk: boolean, settled: boolean, since: number, own: boolean}} Entry */

const CHANNEL = "lane-ledger-outbox";
const DISK_WAIT_MS = 2000; // a mark is sent once it is on the disk, or after this long if the disk stalls
const OTHER_TAB_MS = 3000; // another open tab sends its own marks; after this long we send them for it
const DISK_RETRY_MS = 5000;

const NO_DISK = "This tablet can't keep marks on its own disk. They are safe in this page while it stays open: don't close or reload it.";
const LOST = "This browser had lost its marks and starts afresh. What the desk holds is back; tell the desk, anything not yet sent is missing.";

/**
 * The marks of this browser: those it made (numbered by device, epoch, seq), and those of others that it must show.
 *
 * Memory is what screens read; the disk is for the next life of the page. Each page is an epoch of its own: two tabs, or a page
 * and its reload, never number two marks alike, and numbering needs no waiting.
 */
export class Outbox extends Watched {
  /** @type {Map<string, Entry>} */
  #entries = new Map();
  /** @type {Map<string, Mark[]>} */
  #sheets = new Map();
  /** What the server has once said it holds, by epoch. @type {Map<number, number>} */
  #heldOnce = new Map();
  #seq = 0;
  /** @type {number | undefined} */
  #retry;
  #channel = new BroadcastChannel(CHANNEL);

  /** This browser's id, given by the desk at pairing; empty before it is known. */
  device = "";
  /** The number of this page's life. */
  epoch = 0;
  /** A sentence when the disk can't be used, else empty. */
  trouble = "";
  /** A sentence when the browser has wiped its store since last time, else empty. Clear it when the judge has read it. */
  loss = "";
  /** How many of this device's marks are where. */
  counts = { here: 0, safe: 0, refused: 0 };

  /** @param {Store} store */
  constructor(store) {
    super();
    this.store = store;
    store.onlost = () => this.#diskLost();
    this.#channel.onmessage = (event) => this.#heard(event.data);
  }

  /** Loads what the disk has and begins this page's epoch. */
  async open() {
    try {
      await this.store.witness();
      this.loss = this.store.wiped ? LOST : "";
      this.device = this.device || ((await this.store.get("device")) ?? "");
      this.epoch = await this.store.change("epoch", (last) => newEpoch(last ?? 0));
      for (const kept of await this.store.allMarks()) this.#remember(kept, true);
    } catch (wrong) {
      this.#diskFailed(wrong);
    }
    this.epoch ||= newEpoch(0);
    this.changed();
  }

  /**
   * Says which device this browser is, as the packet tells it.
   * @param {string} device
   */
  belongTo(device) {
    if (device === this.device) return;
    this.device = device;
    this.#recount();
    this.store.set("device", device).catch((wrong) => this.#diskFailed(wrong));
    this.changed();
  }

  /** The number that the next mark would get, taken. */
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
      body: draft.body ?? {},
    });
    const entry = /** @type {Entry} */ (this.#remember({ id: mark.id, mark, state: "here", sentence: "" }, false));
    entry.own = true;
    const kept = this.#keep(entry);
    this.#channel.postMessage({ type: "mark", mark });
    this.changed();
    return { mark, kept };
  }

  /**
   * Marks that the desk holds: of other devices on our sheets, or our own from before. They are kept for a reload without network.
   * @param {Mark[]} marks
   */
  learn(marks) {
    const news = marks.filter((mark) => this.#entries.get(mark.id)?.state !== "safe");
    const entries = news.map((mark) => {
      const known = this.#entries.get(mark.id) ?? this.#remember({ id: mark.id, mark, state: "here", sentence: "" }, false);
      this.#move(/** @type {Entry} */ (known), "safe");
      return /** @type {Entry} */ (known);
    });
    if (entries.length) this.#changedState(entries);
  }

  /**
   * The marks of one sheet, as known here, in the order they became known.
   * @param {string} sheet
   * @returns {Mark[]}
   */
  marks(sheet) {
    return [...(this.#sheets.get(sheet) ?? [])];
  }

  /**
   * Where a mark is, or null if it isn't known.
   * @param {string} id
   * @returns {MarkState | null}
   */
  stateOf(id) {
    return this.#entries.get(id)?.state ?? null;
  }

  /** This device's marks that the desk doesn't hold yet (refused ones are not among them). @returns {Mark[]} */
  pending() {
    return this.#inState("here").map((entry) => entry.mark);
  }

  /** Marks the desk refused, with its sentences. @returns {{mark: Mark, sentence: string}[]} */
  refused() {
    return this.#inState("refused").map(({ mark, sentence }) => ({ mark, sentence }));
  }

  /**
   * What should be sent now, in order: ours once they are on the disk, those of another tab when it seems to be gone.
   * @param {number} most
   * @returns {Mark[]}
   */
  due(most) {
    const now = performance.now();
    const ready = (/** @type {Entry} */ entry) =>
      entry.own ? entry.settled || now - entry.since > DISK_WAIT_MS : now - entry.since > OTHER_TAB_MS;
    return this.#inState("here").filter(ready).slice(0, most).map((entry) => entry.mark);
  }

  /**
   * The server's word on what it holds through, by epoch. Marks up to there are safe. Where it holds less than it once said (it was
   * restored from a backup, or replaced), the marks it lacks are here again and will be sent again.
   * @param {Record<string, number>} epochs
   * @param {boolean} [fresh] said at a new connection: anything beyond is offered again, even behind a gap
   */
  held(epochs, fresh = false) {
    this.#stayAbove(epochs);
    const moved = [];
    for (const entry of this.#entries.values()) {
      const { device, epoch, seq } = entry.mark;
      if (device !== this.device) continue;
      const through = epochs[epoch] ?? 0;
      const fellBack = through < (this.#heldOnce.get(epoch) ?? 0);
      const before = entry.state;
      if (seq <= through) this.#move(entry, "safe");
      else if (before === "safe" && (fresh || fellBack)) this.#move(entry, "here");
      if (entry.state !== before) moved.push(entry);
    }
    this.#heldOnce = new Map(Object.entries(epochs).map(([epoch, through]) => [Number(epoch), through]));
    if (moved.length) this.#changedState(moved);
  }

  /**
   * The server has committed these marks (they were in a batch that it answered for).
   * @param {Mark[]} marks
   */
  acknowledge(marks) {
    const entries = this.#entriesOf(marks).filter((entry) => entry.state !== "safe");
    for (const entry of entries) this.#move(entry, "safe");
    if (entries.length) this.#changedState(entries);
  }

  /**
   * The server refused these marks. They are kept and shown, and not sent again by themselves.
   * @param {{mark: Mark, sentence: string}[]} refusals
   */
  refuse(refusals) {
    for (const { mark, sentence } of refusals) {
      const entry = this.#entries.get(mark.id);
      if (!entry || entry.state === "safe") continue;
      entry.sentence = sentence;
      this.#move(entry, "refused");
    }
    this.#changedState(this.#entriesOf(refusals.map(({ mark }) => mark)));
  }

  /** Offers refused marks once more, after somebody has put right what was wrong. */
  offerAgain() {
    const entries = this.#inState("refused");
    for (const entry of entries) this.#move(entry, "here");
    if (entries.length) this.#changedState(entries);
  }

  /**
   * Lets go of a sheet whose result is signed. Nothing happens while one of its marks is not safe.
   * @param {string} sheet
   * @returns {boolean} whether it was let go
   */
  forget(sheet) {
    const entries = this.#entriesOf(this.marks(sheet));
    if (entries.some((entry) => entry.state !== "safe")) return false;
    const ids = entries.map((entry) => entry.id);
    for (const id of ids) this.#entries.delete(id);
    this.#sheets.delete(sheet);
    this.#recount();
    this.store.deleteMarks(ids).catch((wrong) => this.#diskFailed(wrong));
    this.changed();
    return true;
  }

  // Memory ----------------------------------------------------------------------------------------------------------

  /** @param {Kept} kept @param {boolean} onDisk @returns {Entry | null} null if it was known already */
  #remember(kept, onDisk) {
    if (this.#entries.has(kept.id)) return null;
    const { id, mark, state, sentence } = kept;
    // A mark found on the disk is due at once: the page that made it may be gone.
    const entry = { id, mark, state, sentence, onDisk, settled: onDisk, since: performance.now(), own: onDisk };
    this.#entries.set(id, entry);
    const sheet = this.#sheets.get(mark.sheet);
    if (sheet) sheet.push(mark);
    else this.#sheets.set(mark.sheet, [mark]);
    if (mark.device === this.device) this.counts[state] += 1;
    return entry;
  }

  /** @param {Entry} entry @param {MarkState} state */
  #move(entry, state) {
    if (entry.mark.device === this.device) {
      this.counts[entry.state] -= 1;
      this.counts[state] += 1;
    }
    entry.state = state;
    if (state !== "refused") entry.sentence = "";
  }

  #recount() {
    this.counts = { here: 0, safe: 0, refused: 0 };
    for (const entry of this.#entries.values()) if (entry.mark.device === this.device) this.counts[entry.state] += 1;
  }

  /** @param {MarkState} state @returns {Entry[]} by epoch and number, this page's first */
  #inState(state) {
    const own = (/** @type {Entry} */ entry) => (entry.mark.epoch === this.epoch ? 0 : 1);
    return [...this.#entries.values()]
      .filter((entry) => entry.state === state)
      .sort((a, b) => own(a) - own(b) || a.mark.epoch - b.mark.epoch || a.mark.seq - b.mark.seq);
  }

  /** @param {Mark[]} marks @returns {Entry[]} */
  #entriesOf(marks) {
    return marks.flatMap((mark) => this.#entries.get(mark.id) ?? []);
  }

  /** A store that was wiped has forgotten its epochs; the server has not. @param {Record<string, number>} epochs */
  #stayAbove(epochs) {
    const greatest = Math.max(0, ...Object.keys(epochs).map(Number));
    if (this.#seq === 0 && greatest >= this.epoch) this.epoch = newEpoch(greatest);
  }

  // Disk and the other tabs -----------------------------------------------------------------------------------------

  /** @param {Entry} entry @returns {Promise<boolean>} */
  async #keep(entry) {
    try {
      await this.store.putMark(plain(entry));
      entry.onDisk = true;
      this.#diskWorks();
    } catch (wrong) {
      this.#diskFailed(wrong);
    }
    entry.settled = true;
    this.changed();
    return entry.onDisk;
  }

  /** @param {Entry[]} entries */
  #changedState(entries) {
    this.store.putMarks(entries.map(plain)).then(
      () => entries.forEach((entry) => (entry.onDisk = entry.settled = true)),
      (wrong) => this.#diskFailed(wrong),
    );
    this.#channel.postMessage({ type: "states", kept: entries.map(plain) });
    this.changed();
  }

  /** @param {{type: string, mark?: Mark, kept?: Kept[]}} said by another tab */
  #heard(said) {
    if (said.type === "mark" && said.mark) {
      const entry = this.#remember({ id: said.mark.id, mark: said.mark, state: "here", sentence: "" }, false);
      if (entry) entry.onDisk = entry.settled = true; // the tab that made it keeps it
    }
    for (const kept of said.kept ?? []) {
      const known = this.#entries.get(kept.id);
      if (!known) this.#remember(kept, true);
      else if (known.state !== kept.state) {
        known.sentence = kept.sentence;
        this.#move(known, kept.state);
      }
    }
    this.changed();
  }

  #diskWorks() {
    if (this.trouble && [...this.#entries.values()].every((entry) => entry.onDisk)) this.trouble = "";
  }

  /** @param {unknown} wrong */
  #diskFailed(wrong) {
    console.warn("lane ledger: the disk failed", wrong);
    this.trouble = NO_DISK;
    this.#retry ??= setTimeout(() => this.#writeAgain(), DISK_RETRY_MS);
    this.changed();
  }

  #diskLost() {
    for (const entry of this.#entries.values()) entry.onDisk = false;
    this.#diskFailed(new Error("The browser closed the store."));
  }

  async #writeAgain() {
    this.#retry = undefined;
    const missing = [...this.#entries.values()].filter((entry) => !entry.onDisk);
    try {
      await this.store.putMarks(missing.map(plain));
      for (const entry of missing) entry.onDisk = entry.settled = true;
      this.#diskWorks();
      this.changed();
    } catch (wrong) {
      this.#diskFailed(wrong);
    }
  }
}

/** @param {Entry} entry @returns {Kept} */
function plain({ id, mark, state, sentence }) {
  return { id, mark, state, sentence };
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
