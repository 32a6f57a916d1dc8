// @ts-check
/** What the desk says that it holds, against what lies on this tablet: what is safe there, and what it has lost. */

/**
 * The server's word on what it holds through: of whose marks, by epoch; and of those that the same browser made when it was paired as
 * another device.
 * @typedef {{device: string, held: Record<string, number>, before?: Record<string, Record<string, number>>}} HeldWord
 */

/** @typedef {import("./shelf.js").Shelf} Shelf */
/** @typedef {import("./shelf.js").Entry} Entry */
/** @typedef {import("./shelf.js").Mark} Mark */

/** Moves marks on a shelf by what the desk says of them. */
export class Held {
  /** @type {Shelf} */
  #shelf;
  /** What the server has last said it holds through, by device and epoch. @type {Map<string, number>} */
  #once = new Map();

  /** @param {Shelf} shelf */
  constructor(shelf) {
    this.#shelf = shelf;
  }

  /**
   * The server's word on what it holds through. Marks up to there are safe. Where it holds less than it once said (it was restored from
   * a backup, or replaced), the marks it lacks are here again and will be sent again. Of marks of devices that it does not speak of it
   * says nothing: a browser that was paired anew hears of its new name before it knows that it has one.
   * @param {HeldWord} word
   * @param {boolean} fresh said at a new connection: anything beyond is offered again, even behind a gap
   * @returns {{of: Map<string, Record<string, number>>, moved: Entry[]}} what was said by device, and the marks that it moved
   */
  heard(word, fresh) {
    const of = new Map([[word.device, word.held], ...Object.entries(word.before ?? {})]);
    const moved = [];
    for (const entry of this.#shelf.all()) {
      const { device, epoch, seq } = entry.mark;
      const epochs = of.get(device);
      if (!epochs) continue;
      const through = epochs[epoch] ?? 0;
      const mayLack = fresh || through < (this.#once.get(`${device}/${epoch}`) ?? 0);
      const before = entry.state;
      if (seq <= through) this.#shelf.move(entry, "safe");
      else if (before === "safe" && mayLack) this.#lost(entry);
      if (entry.state !== before) moved.push(entry);
    }
    for (const [device, epochs] of of) {
      for (const [epoch, through] of Object.entries(epochs)) this.#once.set(`${device}/${epoch}`, through);
    }
    return { of, moved };
  }

  /**
   * The desk told all the marks that it has for this tablet. What lay safe with it before it was asked and isn't among them, it has
   * lost (an older backup, another laptop): such a mark is here only, and is sent again, whoever made it.
   * @param {Mark[]} marks
   * @param {Set<string>} before ids of what was safe when the desk was asked
   * @param {(mark: Mark) => boolean} ours whether the desk would have told a mark, and takes it from this tablet
   * @param {number} epoch of this page
   * @returns {Entry[]} what it lacks
   */
  compare(marks, before, ours, epoch) {
    const there = new Set(marks.map(({ id }) => id));
    const safe = this.#shelf.inState("safe", epoch);
    const lacking = safe.filter(({ id, mark }) => before.has(id) && !there.has(id) && ours(mark));
    for (const entry of lacking) {
      entry.own = true; // whoever made it may be gone for good
      this.#lost(entry);
    }
    return lacking;
  }

  /** The desk held a mark and has lost it: it is sent again, and the desk is told that it is. @param {Entry} entry */
  #lost(entry) {
    entry.again = true;
    this.#shelf.move(entry, "here");
  }
}
