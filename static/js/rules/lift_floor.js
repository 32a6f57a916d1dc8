// @ts-check
/** The bars of a lift window, mark by mark. Twin of app/rules/count/lift_floor.py, where the rules are said in words. */
import { waits } from "./authority.js";
import { startMs } from "./clock.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * One judged try: its mark, the declaration it was made under, its attempt (the id of its declaration, also of one that was taken
 * back since, else its own), the mark of the bar leaving its rack, whose it was, since when the bar had been free for this attempt (ms
 * on the heat clock), and whether the bar had been racked before.
 * @typedef {{mark: Mark, under: Mark | null, attempt: string, begun: Mark | null, member: number | null, freeMs: number, racked: boolean}} Try
 */
/**
 * One bar: the declaration that stands; while the bar is out, the mark that says so and the declaration it is out under; the
 * declaration that waits; the last one lifted; whether it was tried since it was last free; since when it has been free.
 * @typedef {object} Bar
 * @property {number} freeMs
 * @property {Mark | null} standing
 * @property {Mark | null} out
 * @property {Mark | null} under
 * @property {Mark | null} waiting
 * @property {Mark | null} lifted
 * @property {boolean} tried
 */

/** The window as its marks leave it: the tries in order, what was said to be on the bar by declaration, and what is odd. */
export class Floor {
  /** @type {Try[]} */
  tries = [];
  /** @type {Map<string, Mark>} */
  loaded = new Map();
  /** @type {[string, string][]} mark and why */
  odd = [];
  /** @type {Map<number | null, Bar>} */
  #bars = new Map();
  /** @type {Map<string, number>} */
  #place;
  /** @type {Map<string, Mark>} */
  #declared;
  /** Declarations whose bar was racked. @type {Set<string>} */
  racked = new Set();
  /** What the judge's hand had done under a declaration. @type {Map<string, import("./rows.js").Moment>} */
  #locks = new Map();

  /** @param {any} task @param {any} window @param {Mark[]} marks in order */
  constructor(task, window, marks) {
    this.task = task;
    this.window = window;
    this.#declared = new Map(marks.filter((mark) => mark.kind === "declare").map((mark) => [mark.id, mark]));
    this.#place = new Map(marks.map((mark, index) => [mark.id, index]));
    for (const mark of marks) {
      if (mark.kind === "declare") this.#declare(mark);
      else if (mark.kind === "begun") this.#begun(mark);
      else if (mark.kind === "loaded") this.#loaded(mark);
      else if (mark.kind === "lift") this.#lift(mark);
      else if (mark.kind === "racked") this.#rack(mark);
    }
  }

  /** The bar of a member: their own where each has one, else the one bar. @param {number | null} member @returns {Bar} */
  bar(member) {
    const key = this.task.bars === "each" ? member : null;
    const known = this.#bars.get(key);
    if (known) return known;
    const bar = { freeMs: startMs(this.window), standing: null, out: null, under: null, waiting: null, lifted: null, tried: false };
    this.#bars.set(key, bar);
    return bar;
  }

  /** The bar whose declaration was made last; the one bar where there is only one. @returns {Bar} */
  newest() {
    const standing = [...this.#bars.values()].filter((bar) => bar.standing !== null);
    const place = (/** @type {Bar} */ bar) => this.#at(/** @type {Mark} */ (bar.standing));
    return standing.sort((a, b) => place(b) - place(a))[0] ?? this.bar(null);
  }

  /** Whose a mark is. @param {Mark} mark @param {Mark | null} [under] @returns {number | null} */
  member(mark, under = null) {
    const { who } = this.window;
    const only = Array.isArray(who) && who.length === 1 ? who[0] : null;
    return mark.body.member || under?.body.member || only;
  }

  /** @param {Mark} mark */
  #at(mark) {
    return /** @type {number} */ (this.#place.get(mark.id));
  }

  /** The declaration that a mark names. @param {Mark} mark @returns {Mark | null} */
  #named(mark) {
    return this.#declared.get(mark.body.declared ?? "") ?? null;
  }

  /** @param {Mark} mark */
  #said(mark) {
    return mark.body.member == null ? this.newest() : this.bar(mark.body.member);
  }

  /** @param {Mark} mark @param {string} why */
  #flag(mark, why) {
    this.odd.push([mark.id, why]);
  }

  /** @param {Mark} mark */
  #declare(mark) {
    const bar = this.bar(this.member(mark));
    if (bar.out === null) {
      bar.standing = mark;
      bar.waiting = null;
      return;
    }
    bar.waiting = mark;
    if (!another(this.member(mark), this.member(bar.out, bar.under))) this.#flag(mark, "declared-late");
  }

  /** @param {Mark} mark */
  #begun(mark) {
    const named = this.#named(mark);
    const bar = this.bar(this.member(mark, named));
    if (bar.out !== null) {
      if (another(this.member(bar.out, bar.under), this.member(mark, named))) this.#flag(mark, "two-on-bar");
      return; // else pressed twice
    }
    if (named && bar.standing && this.#at(named) < this.#at(bar.standing) && !this.racked.has(named.id)) {
      this.#flag(mark, "begun-unseen");
      bar.waiting = bar.standing;
      bar.standing = named;
    }
    bar.out = mark;
    bar.under = named ?? bar.standing;
    this.#lock(mark, bar.under?.id);
  }

  /** @param {Mark} mark */
  #loaded(mark) {
    const bar = this.#said(mark);
    const about = this.#named(mark) ?? (mark.body.declared == null ? (bar.standing ?? bar.lifted) : null);
    const lock = about && this.#locks.get(about.id);
    if (about === null) this.#flag(mark, "loads-nothing");
    else if (lock && mark.receipt && waits(mark, lock)) this.#flag(mark, lock);
    else this.loaded.set(about.id, mark);
  }

  /** From the judge's mark on what was on the bar of a declaration is the judge's alone. @param {Mark} mark @param {string | null} [declared] */
  #lock(mark, declared) {
    const { locks } = ROWS.kinds[mark.kind];
    if (declared != null && locks) this.#locks.set(declared, locks);
  }

  /** @param {Mark} mark */
  #lift(mark) {
    const under = this.#named(mark) ?? (mark.body.declared == null ? this.#said(mark).standing : null);
    this.#lock(mark, under?.id);
    const member = this.member(mark, under);
    const bar = this.bar(member);
    const other = bar.out !== null && another(this.member(bar.out, bar.under), member);
    const attempt = under?.id ?? mark.body.declared ?? mark.id;
    const racked = this.racked.has(attempt);
    this.tries.push({ mark, under, attempt, begun: other ? null : bar.out, member, freeMs: bar.freeMs, racked });
    if (other) {
      this.#flag(mark, "two-on-bar");
      return;
    }
    bar.out = null;
    bar.lifted = under ?? bar.lifted;
    bar.tried = true;
    if (mark.body.good || !this.task.tries_until_racked) over(bar, mark.at);
  }

  /**
   * The bar is racked. That ends the attempt that was tried on it, even where its declaration does not stand any more.
   * @param {Mark} mark
   */
  #rack(mark) {
    const bar = this.#rackedBar(mark);
    const named = mark.body.declared ?? bar.standing?.id ?? null;
    if (named !== null) this.racked.add(named);
    this.#lock(mark, named);
    if (named !== null && bar.standing?.id === named) {
      bar.standing = null;
      over(bar, mark.at);
    } else if (bar.tried && bar.out === null) {
      over(bar, mark.at);
    }
  }

  /** The bar of the declaration that is named, else of whoever tried under it, else the newest. @param {Mark} mark @returns {Bar} */
  #rackedBar(mark) {
    const about = this.#named(mark);
    if (about) return this.bar(this.member(about));
    const tried = this.tries.filter((one) => one.attempt === mark.body.declared);
    return tried.length ? this.bar(tried[tried.length - 1].member) : this.newest();
  }
}

/** The attempt is over: what waits stands, and the time of the next one begins. @param {Bar} bar @param {number} at */
function over(bar, at) {
  bar.out = null;
  bar.freeMs = at;
  bar.tried = false;
  if (bar.waiting === null) return;
  bar.standing = bar.waiting;
  bar.waiting = null;
}

/** Whether two members are known to be two. @param {number | null} one @param {number | null} two */
function another(one, two) {
  return one !== null && two !== null && one !== two;
}
