// @ts-check
/** The bars of a lift window, mark by mark. Twin of app/rules/count/lift_floor.py, where the rules are said in words. */
import { waits } from "./authority.js";
import { startMs } from "./clock.js";
import { byOrder } from "./order.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * One judged try: its mark, the declaration it was made under, its attempt (the id of its declaration, also of one that was taken
 * back since, else its own), the mark of the bar leaving its rack, whose it was, the time that the attempt had when the bar left, and
 * whether the bar had been racked before.
 * @typedef {{mark: Mark, under: Mark | null, attempt: string, begun: Mark | null, member: number | null, time: AttemptTime, racked: boolean}} Try
 */

/** @typedef {{sinceMs: number | null, seconds: number | null}} AttemptTime since when it runs, on the heat clock, null where it does not; null seconds for no limit */

const NO_TIME = { sinceMs: null, seconds: null };

/** Which declaration stands at a bar, and which one waits for it. */
class Stands {
  /** @type {Mark | null} */
  now = null;
  /** @type {Mark | null} */
  next = null;

  /** A new one stands, or waits while the bar is out. @param {Mark} mark @param {boolean} out */
  declare(mark, out) {
    [this.now, this.next] = out ? [this.now, mark] : [mark, null];
  }

  /** The bar left under one that had been replaced, unseen; whether that was so. @param {Mark} named */
  unseen(named) {
    if (this.now === null || byOrder(named, this.now) >= 0) return false;
    [this.now, this.next] = [named, this.now];
    return true;
  }

  /** The bar of that declaration is racked; whether it was the one that stood. @param {string | null} named */
  rack(named) {
    if (this.now === null || this.now.id !== named) return false;
    this.now = null;
    return true;
  }

  /** What waits stands. */
  over() {
    if (this.next !== null) [this.now, this.next] = [this.next, null];
  }
}

/**
 * One bar: what stands of the declarations that were not taken back (`kept`) and what stood at the time (`made`); while the bar is out,
 * the mark that says so, the declaration it is out under and the time that the attempt had; the last one lifted; whether it was tried since it was last free; since
 * when it has been free.
 */
class Bar {
  kept = new Stands();
  made = new Stands();
  /** @type {Mark | null} */
  out = null;
  /** @type {Mark | null} */
  under = null;
  /** @type {AttemptTime} */
  time = NO_TIME;
  /** @type {Mark | null} */
  lifted = null;
  tried = false;

  /** @param {number} freeMs */
  constructor(freeMs) {
    this.freeMs = freeMs;
  }

  /** The declaration that stands. */
  get standing() {
    return this.kept.now;
  }

  /** The declaration that waits. */
  get waiting() {
    return this.kept.next;
  }

  /** The attempt is over: what waits stands, and the time of the next one begins. @param {number} at */
  over(at) {
    this.out = null;
    this.freeMs = at;
    this.tried = false;
    this.kept.over();
    this.made.over();
  }
}

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
  /** @type {Map<string, Mark>} */
  #declared;
  /** Declarations that were taken back. @type {Map<string, Mark>} */
  #gone;
  /** Declarations whose bar was racked. @type {Set<string>} */
  racked = new Set();
  /** What the judge's hand had done under a declaration. @type {Map<string, import("./rows.js").Moment>} */
  #locks = new Map();
  /** The newest call of a lifter by declaration. @type {Map<string, Mark>} */
  #calls = new Map();

  /**
   * @param {any} task @param {any} window @param {Mark[]} marks in order
   * @param {Mark[]} [takenBack] the declarations of the window that were struck out, and what struck them
   */
  constructor(task, window, marks, takenBack = []) {
    this.task = task;
    this.window = window;
    this.#declared = declarations(marks);
    this.#gone = declarations(takenBack);
    for (const mark of [...marks, ...takenBack].sort(byOrder)) {
      if (mark.kind === "declare") this.#declare(mark);
      else if (mark.kind === "called") this.#called(mark);
      else if (mark.kind === "begun") this.#begun(mark);
      else if (mark.kind === "loaded") this.#loaded(mark);
      else if (mark.kind === "lift") this.#lift(mark);
      else if (mark.kind === "racked") this.#rack(mark);
      else if (mark.kind === "strike") this.#takeBack(mark);
    }
  }

  /** The bar of a member: their own where each has one, else the one bar. @param {number | null} member @returns {Bar} */
  bar(member) {
    const key = this.task.bars === "each" ? member : null;
    const known = this.#bars.get(key);
    if (known) return known;
    const bar = new Bar(startMs(this.window));
    this.#bars.set(key, bar);
    return bar;
  }

  /** The bar whose declaration was made last; the one bar where there is only one. @returns {Bar} */
  newest() {
    return newestBy([...this.#bars.values()], ({ standing }) => standing) ?? this.bar(null);
  }

  /** Whose a mark is. @param {Mark} mark @param {Mark | null} [under] @returns {number | null} */
  member(mark, under = null) {
    const { who } = this.window;
    const only = Array.isArray(who) && who.length === 1 ? who[0] : null;
    return mark.body.member || under?.body.member || only;
  }

  /** The declaration that a mark names. @param {Mark} mark @returns {Mark | null} */
  #named(mark) {
    return this.#declared.get(mark.body.declared ?? "") ?? null;
  }

  /** The same, be it taken back: whose bar a mark is about. @param {Mark} mark @returns {Mark | null} */
  #said(mark) {
    return this.#named(mark) ?? this.#gone.get(mark.body.declared ?? "") ?? null;
  }

  /** The bar of the member that a mark names, else the one whose declaration, as they stood then, was made last. @param {Mark} mark @returns {Bar} */
  #meant(mark) {
    if (mark.body.member != null) return this.bar(mark.body.member);
    return newestBy([...this.#bars.values()], ({ made }) => made.now) ?? this.bar(null);
  }

  /** The time of the attempt at a bar under a declaration, as the marks so far tell it. @param {Bar} bar @param {Mark | null} under @returns {AttemptTime} */
  timeOf(bar, under) {
    const { task } = this;
    if (task.attempt_seconds == null) return NO_TIME;
    const call = (under && this.#calls.get(under.id)) ?? null;
    const said = [call, under && this.loaded.get(under.id)].flatMap((mark) => (mark ? [mark.at] : []));
    if (byCall(task) && !said.length) return NO_TIME;
    const sinceMs = byCall(task) ? Math.max(bar.freeMs, ...said) : bar.freeMs;
    const longer = this.#follows(bar, under, call) ? (task.follow_seconds ?? 0) : 0;
    return { sinceMs, seconds: Math.max(task.attempt_seconds, longer) };
  }

  /** Whether a lifter follows themselves, or may. @param {Bar} bar @param {Mark | null} under @param {Mark | null} call */
  #follows(bar, under, call) {
    if (call && call.body.follows != null) return call.body.follows;
    const before = this.tries.filter((one) => this.bar(one.member) === bar).at(-1);
    return before !== undefined && !another(before.member, under ? this.member(under) : null);
  }

  /** @param {Mark} mark @param {string} why */
  #flag(mark, why) {
    this.odd.push([mark.id, why]);
  }

  /** @param {Mark} mark */
  #declare(mark) {
    const bar = this.bar(this.member(mark));
    bar.made.declare(mark, bar.out !== null);
    if (this.#gone.has(mark.id)) return;
    bar.kept.declare(mark, bar.out !== null);
    if (bar.out !== null && !another(this.member(mark), this.member(bar.out, bar.under))) this.#flag(mark, "declared-late");
  }

  /** From here on stands again what would have stood without the declaration. @param {Mark} mark */
  #takeBack({ body }) {
    for (const { made, kept } of this.#bars.values()) {
      if (made.now?.id === body.mark) made.now = kept.now;
      if (made.next?.id === body.mark) made.next = kept.next;
    }
  }

  /** @param {Mark} mark */
  #begun(mark) {
    const said = this.#said(mark);
    const bar = this.bar(this.member(mark, said));
    if (bar.out !== null) {
      if (another(this.member(bar.out, bar.under), this.member(mark, said))) this.#flag(mark, "two-on-bar");
      return; // else pressed twice
    }
    if (said && !this.racked.has(said.id)) {
      bar.made.unseen(said);
      if (!this.#gone.has(said.id) && bar.kept.unseen(said)) this.#flag(mark, "begun-unseen");
    }
    bar.out = mark;
    bar.under = said ?? bar.made.now;
    bar.time = this.timeOf(bar, bar.under);
    for (const one of [bar.under, said ? null : bar.standing]) this.#lock(mark, one?.id);
  }

  /** @param {Mark} mark */
  #called(mark) {
    const about = this.#named(mark) ?? (mark.body.declared == null ? this.#meant(mark).standing : null);
    if (about) this.#calls.set(about.id, mark);
  }

  /** @param {Mark} mark */
  #loaded(mark) {
    const bar = this.#meant(mark);
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
    const about = this.#meant(mark);
    const under = this.#named(mark) ?? (mark.body.declared == null ? about.standing : null);
    this.#lock(mark, under?.id);
    const member = this.member(mark, this.#said(mark) ?? (mark.body.declared == null ? about.made.now : null));
    const bar = this.bar(member);
    const other = bar.out !== null && another(this.member(bar.out, bar.under), member);
    const attempt = mark.body.declared ?? about.made.now?.id ?? mark.id;
    const racked = this.racked.has(attempt);
    this.tries.push({ mark, under, attempt, begun: other ? null : bar.out, member, time: other || !bar.out ? NO_TIME : bar.time, racked });
    if (other) {
      this.#flag(mark, "two-on-bar");
      return;
    }
    bar.out = null;
    bar.lifted = under ?? bar.lifted;
    bar.tried = true;
    if (mark.body.good || !this.task.tries_until_racked) bar.over(mark.at);
  }

  /**
   * The bar is racked. That ends the attempt that was tried on it, even where its declaration does not stand any more.
   * @param {Mark} mark
   */
  #rack(mark) {
    const bar = this.#rackedBar(mark);
    const named = mark.body.declared ?? this.#rackedDeclaration(bar);
    if (named !== null) this.racked.add(named);
    this.#lock(mark, named);
    bar.kept.rack(named);
    if (bar.made.rack(named) || (bar.tried && bar.out === null)) bar.over(mark.at);
  }

  /**
   * What is racked by a mark that names nothing: what the bar is out under or was tried under, for the next may be declared by then; else
   * what stood then. Null for a try under no declaration.
   * @param {Bar} bar @returns {string | null}
   */
  #rackedDeclaration(bar) {
    if (bar.out === null && bar.tried) {
      const attempt = this.tries.filter((one) => this.bar(one.member) === bar).at(-1)?.attempt ?? "";
      return this.#declared.has(attempt) || this.#gone.has(attempt) ? attempt : null;
    }
    return (bar.out === null ? bar.made.now : bar.under)?.id ?? null;
  }

  /** The bar of the declaration that is named, else of whoever tried under it, else the only one in use, else the newest. @param {Mark} mark @returns {Bar} */
  #rackedBar(mark) {
    const inUse = [...this.#bars.values()].filter((bar) => bar.out !== null || bar.tried);
    if (mark.body.declared == null && inUse.length === 1) return inUse[0];
    const about = this.#said(mark);
    if (about) return this.bar(this.member(about));
    const tried = this.tries.filter((one) => one.attempt === mark.body.declared);
    return tried.length ? this.bar(tried[tried.length - 1].member) : this.#meant(mark);
  }
}

/** Whether the time of an attempt runs from the call of the lifter and the bar's being ready. @param {any} task */
export function byCall(task) {
  return task.attempt_from === "called" || (task.order ?? "lanes") !== "lanes";
}

/** The bar whose declaration was made last, of those that have one. @param {Bar[]} bars @param {(bar: Bar) => Mark | null} declared */
function newestBy(bars, declared) {
  const mark = (/** @type {Bar} */ bar) => /** @type {Mark} */ (declared(bar));
  return bars.filter((bar) => mark(bar) !== null).sort((a, b) => byOrder(mark(b), mark(a)))[0] ?? null;
}

/** @param {Mark[]} marks @returns {Map<string, Mark>} by id */
function declarations(marks) {
  return new Map(marks.filter((mark) => mark.kind === "declare").map((mark) => [mark.id, mark]));
}

/** Whether two members are known to be two. @param {number | null} one @param {number | null} two */
function another(one, two) {
  return one !== null && two !== null && one !== two;
}
