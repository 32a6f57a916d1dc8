// @ts-check
import { newEpoch } from "./ids.js";
import { Losses } from "./losses.js";
import { Mirror } from "./mirror.js";
import { Watched } from "./watched.js";
import { say } from "../words/say.js";

/** @typedef {import("./store.js").Store} Store */
/** @typedef {import("./shelf.js").Shelf} Shelf */
/** @typedef {import("./shelf.js").Mark} Mark */
/** @typedef {import("./shelf.js").Entry} Entry */
/** @typedef {import("./shelf.js").Kept} Kept */

const DISK_RETRY_MS = 5000;
const NO_DISK = say("This tablet can't keep marks on its own disk. They last while this page stays open: don't close or reload it.");
const HALF_DISK = say("This tablet keeps its marks in its second store only. Tell the desk between heats.");

/** The copies of the shelf on this tablet: IndexedDB for everything, a second store for what the desk does not hold yet. */
export class Copies extends Watched {
  /** @type {Losses} */
  #losses;
  /** @type {number | undefined} */
  #retry;

  /** A sentence when a copy can't be kept, else empty. */
  trouble = "";
  /** Settled when the second copy has been compared with the first. @type {Promise<void>} */
  compared = Promise.resolve();

  /** @param {Store} store @param {Shelf} shelf @param {Mirror} [mirror] */
  constructor(store, shelf, mirror = new Mirror(store.name)) {
    super();
    this.#losses = new Losses(store.name, (loss) => store.set("loss", loss).catch(() => {})); // a disk that fails is told by what is written
    this.store = store;
    this.shelf = shelf;
    this.mirror = mirror;
    store.onlost = () => this.#diskLost();
  }

  /**
   * Loads what the first copy has onto the shelf and begins this page's epoch. The second copy follows by itself.
   * @returns {Promise<{device: string, epoch: number}>}
   */
  async open() {
    let [device, epoch] = ["", 0];
    try {
      await this.store.witness();
      this.#losses.recall(await this.store.get("loss"));
      device = (await this.store.get("device")) ?? "";
      epoch = await this.store.change("epoch", (last) => newEpoch(last ?? 0));
      // A mark found on the disk is due at once: the page that made it may be gone.
      for (const kept of await this.store.allMarks()) this.shelf.put(kept, { onDisk: true, settled: true, own: true });
    } catch (wrong) {
      this.diskFailed(wrong);
    }
    epoch ||= newEpoch(0);
    this.compared = this.#compare(epoch);
    return { device, epoch };
  }

  /** Brings back what the second copy has and the first has not: such marks are due at once, and written down again. @param {number} epoch */
  async #compare(epoch) {
    const { marks, names, whole } = await this.mirror.open(epoch);
    const { fresh, witnessed } = this.store;
    if (fresh && (witnessed || marks.length)) this.#losses.wiped(whole, !names.length && witnessed !== "storage");
    const waiting = this.shelf.inState("here", epoch).map(({ mark }) => mark);
    const put = (/** @type {Mark} */ mark) => this.shelf.put({ id: mark.id, mark, state: "here", sentence: "", made: true }, { onDisk: false, settled: true, own: true });
    const entries = marks.flatMap((mark) => put(mark) ?? []);
    for (const mark of [...waiting, ...entries.map((entry) => entry.mark)]) this.mirror.add(mark);
    if (entries.length) {
      this.#losses.restored(entries.length);
      await this.write(entries);
    }
    await this.#losses.kept; // a page that is left before would never speak of it again: the next one finds a store, and no loss
    this.mirror.drop(names);
    if (this.mirror.on && this.trouble) this.trouble = HALF_DISK;
    this.changed();
  }

  /** Keeps marks that were just made: all or none. @param {Entry[]} entries @returns {Promise<boolean>} whether they are on the disk now */
  async keep(entries) {
    for (const { mark } of entries) {
      this.mirror.add(mark);
      this.#losses.made(mark);
    }
    try {
      await this.store.putMarks(entries.map(plain), true);
      for (const entry of entries) entry.onDisk = true;
      this.#diskWorks();
    } catch (wrong) {
      this.diskFailed(wrong);
    }
    for (const entry of entries) entry.settled = true;
    this.changed();
    return entries.every(({ onDisk }) => onDisk);
  }

  /** Writes down where marks are now. @param {Entry[]} entries */
  async write(entries) {
    if (this.shelf.counts.here + this.shelf.counts.refused === 0) {
      this.mirror.empty();
      this.#losses.settled();
    }
    try {
      await this.store.putMarks(entries.map(plain));
      for (const entry of entries) entry.onDisk = entry.settled = true;
      this.#diskWorks();
    } catch (wrong) {
      this.diskFailed(wrong);
    }
  }

  /** A sentence when this browser has lost marks, with what became of them; empty when it has not, or it was read. */
  get loss() {
    return this.#losses.sentence;
  }

  /** The judge has read of the loss. @returns {Promise<unknown>} settled when that is kept */
  async lossWasRead() {
    this.#losses.wasRead();
    this.changed();
    return this.#losses.kept;
  }

  /** The desk holds marks of this tablet from before, and it knows of none: nothing is left that could say what is missing. */
  blank() {
    if (!this.store.fresh || this.loss) return;
    this.#losses.wiped(false, true);
    this.changed();
  }

  /** The desk said what it holds through: now it shows what is missing. @param {Map<string, Record<string, number>>} held by device and epoch */
  async heard(held) {
    await this.compared;
    this.#losses.heard(held, this.shelf.all().map(({ mark }) => mark));
    this.changed();
  }

  /** What the desk should know of this tablet's stores: what ails them, and how many marks are missing. */
  get health() {
    return { trouble: this.trouble ? "no-disk" : this.#losses.trouble, missing: this.#losses.missing };
  }

  /** @param {unknown} wrong */
  diskFailed(wrong) {
    console.warn("lane ledger: the disk failed", wrong);
    this.trouble = this.mirror.on ? HALF_DISK : NO_DISK;
    this.#retry ??= setTimeout(() => {
      this.#retry = undefined;
      this.write(this.shelf.all().filter((entry) => !entry.onDisk));
    }, DISK_RETRY_MS);
    this.changed();
  }

  #diskWorks() {
    if (this.trouble && this.shelf.all().every((entry) => entry.onDisk)) {
      this.trouble = "";
      this.changed();
    }
  }

  #diskLost() {
    for (const entry of this.shelf.all()) entry.onDisk = false;
    this.diskFailed(new Error("The browser closed the store."));
  }
}

/** @param {Entry} entry @returns {Kept} */
export function plain({ id, mark, state, sentence, made }) {
  return { id, mark, state, sentence, made };
}
