// @ts-check
/** The bars of a lift window, mark by mark. Twin of app/rules/count/lift_floor.py, where the rules are said in words. */
import { waits } from "./authority.js";
import { startMs } from "./clock.js";
import { Bar, NO_TIME, another, byCall, declarations, lastOf, latest, newestBy, readAt, said, shared } from "./lifting/bars.js";
import { Twices, decidedBefore, oddTwice } from "./lifting/decided_twice.js";
import { beforeItLeft } from "./lifting/in_time.js";
import { Tried } from "./lifting/judged.js";
import { Turns, byRule, doubtful, isChange, refused } from "./lifting/next_attempt.js";
import { byOrder } from "./order.js";
import { ROWS } from "./rows.js";
import { plainLoad } from "./units.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./lifting/bars.js").Try} Try */
/** @typedef {import("./lifting/bars.js").AttemptTime} AttemptTime */
/** @typedef {import("./lifting/next_attempt.js").NextAttempt} NextAttempt */
/** @typedef {import("./units.js").Load} Load */

/** The window as its marks leave it: the tries in order, what was said to be on the bar by declaration, and what is odd. */
export class Floor extends Tried {
  /** @type {[string, string][]} mark and why */
  odd = [];
  /** @type {Map<number | null, Bar>} */
  #bars = new Map();
  /** @type {Map<string, Mark>} */
  #declared = new Map();
  /** Declarations that were taken back. @type {Map<string, Mark>} */
  #gone = new Map();
  /** What the judge's hand had done under a declaration. @type {Map<string, import("./rows.js").Moment>} */
  #locks = new Map();
  /** The newest call of a lifter by declaration. @type {Map<string, Mark>} */
  #calls = new Map();
  /** Each lifter's attempts. @type {Map<number | null, Turns>} */
  #turns = new Map();
  /** Declarations that the event's rules do not let stand. @type {Set<string>} */
  #refused = new Set();

  /** Marks that a ruling lets count: a declaration among them stands, whatever the rules say. @type {Set<string>} */
  #admitted = new Set();
  /** Which tries are decided twice, as a walk before this one has found. */
  known = new Twices();
  twices = new Twices();

  /**
   * Takes the marks of the window in order.
   * @param {Mark[]} marks
   * @param {Mark[]} takenBack the declarations of the window that were struck out, and what struck them
   * @param {Set<string>} admitted marks that a ruling lets count
   */
  walk(marks, takenBack, admitted) {
    this.#admitted = admitted;
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
    const bar = new Bar(readAt(startMs(this.window)));
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
    const told = [call, under && this.loaded.get(under.id)].flatMap((mark) => (mark ? [said(mark)] : []));
    if (byCall(task) && !told.length) return NO_TIME;
    const moments = byCall(task) ? [bar.free, ...told] : [bar.free];
    const { at: sinceMs, off_ms: offMs } = latest(...moments);
    const follows = this.#follows(bar, under, call);
    const longer = Math.max(task.attempt_seconds, follows ? (task.follow_seconds ?? 0) : 0);
    return { sinceMs, seconds: longer + this.#extra(under, call), follows, offMs, told: moments };
  }

  /** The seconds beside the usual ones of an attempt that is made again because the bar was loaded wrong. @param {Mark | null} under @param {Mark | null} call */
  #extra(under, call) {
    const { task } = this;
    const last = under && lastOf(this.tries, this.member(under));
    if (task.again_seconds == null || !last || !this.void(last)) return 0;
    return Math.max(0, task.again_seconds - (call?.body.between ?? 0) * (task.again_less_seconds ?? 0));
  }

  /** The members who declared or lifted. @returns {number[]} */
  get members() {
    return [...this.#turns.keys()].flatMap((member) => member ?? []).sort((a, b) => a - b);
  }

  /** A lifter's attempts. @param {number | null} member */
  #turnsOf(member) {
    const known = this.#turns.get(member) ?? new Turns();
    this.#turns.set(member, known);
    return known;
  }

  /** What a lifter's next declaration at a bar is for. @param {Bar} bar @param {number | null} member @returns {NextAttempt} */
  coming(bar, member) {
    const { now, then, before } = (this.#turns.get(member) ?? new Turns()).told((one) => this.void(one));
    if (bar.out !== null) return then;
    const auto = before && byRule(this, before.one, now.number);
    const { sinceMs, seconds, follows, told } = now.load === null ? NO_TIME : this.timeOf(bar, bar.standing);
    const over = before && auto ? before.at : null;
    return { ...now, auto, due_ms: over && over.at + this.task.declare_seconds * 1000, over, since_ms: sinceMs, seconds, told, follows };
  }

  /** Why the event's rules do not let a declaration stand; else it is counted among those of its attempt. @param {Mark} mark @param {Bar} bar */
  #notStanding(mark, bar) {
    const member = this.member(mark);
    const coming = this.coming(bar, member);
    const load = plainLoad(mark.body.load);
    const at = said(mark);
    const admitted = this.#admitted.has(mark.id);
    const why = admitted ? null : refused(this.task, startMs(this.window), coming, load, at, this.lateMs);
    const doubt = why === null && !admitted && doubtful(this.task, startMs(this.window), coming, load, at, this.lateMs);
    if (doubt) this.#flag(mark, doubt);
    const change = isChange(this.task, coming, at, this.lateMs);
    if (why === null) this.#turnsOf(member).declared(coming, load, mark.body.by === "rule", change, bar.out !== null);
    return why;
  }

  /** The attempt of a try is over, and the lifter's next one comes. @param {Try | undefined} one @param {import("./lifting/bars.js").Said} at */
  #over(one, at) {
    if (one) this.#turnsOf(one.member).steps.push({ one, at });
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
    const out = bar.out !== null;
    if (this.#gone.has(mark.id)) return bar.made.declare(mark, out);
    const why = this.#notStanding(mark, bar);
    if (why !== null) {
      this.#refused.add(mark.id);
      return this.#flag(mark, why);
    }
    bar.made.declare(mark, out);
    bar.kept.declare(mark, out);
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
    const about = this.#said(mark);
    const bar = this.bar(this.member(mark, about));
    if (bar.out !== null) {
      if (another(this.member(bar.out, bar.under), this.member(mark, about))) return this.#flag(mark, "two-on-bar");
      return this.leftOnce(bar.out, mark);
    }
    if (about && this.#refused.has(about.id)) {
      bar.made.now = bar.kept.now = about;
    } else if (about && !this.racked.has(about.id)) {
      bar.made.unseen(about);
      if (!this.#gone.has(about.id) && bar.kept.unseen(about)) this.#flag(mark, "begun-unseen");
    }
    bar.out = mark;
    bar.under = about ?? bar.made.now;
    this.#barAnew(bar.under);
    const last = bar.under && !this.task.tries_until_racked ? lastOf(this.tries, this.member(bar.under)) : null;
    if (last && last.under === bar.under && !last.apart && beforeItLeft(last, mark)) this.#flag(last.mark, "decided-early");
    bar.time = this.timeOf(bar, bar.under);
    for (const one of [bar.under, about ? null : bar.standing]) this.#lock(mark, one?.id);
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
    if (mark.body.by === "loader") this.#barAnew(about);
    const lock = about && this.#locks.get(about.id);
    if (about === null) this.#flag(mark, "loads-nothing");
    else if (lock && mark.receipt && waits(mark, lock)) this.#flag(mark, lock);
    else {
      this.loaded.set(about.id, mark);
      this.#standsAgain(about);
    }
  }

  /** From the judge's mark on what was on the bar of a declaration is the judge's alone. @param {Mark} mark @param {string | null} [declared] */
  #lock(mark, declared) {
    const { locks } = ROWS.kinds[mark.kind];
    if (declared != null && locks) this.#locks.set(declared, locks);
  }

  /** A lifter's last try, where it is made again under that declaration, whoever else has lifted since. @param {Mark | null | undefined} under @returns {Try | null} */
  #again(under) {
    const last = under && lastOf(this.tries, this.member(under));
    return last && last.under === under && !last.apart && this.void(last) ? last : null;
  }

  /** The bar is loaded anew, or leaves again, under a declaration: what was told of the bar of a try that is made again stays with it. @param {Mark | null} under */
  #barAnew(under) {
    const last = this.#again(under);
    if (!last || !under) return;
    this.#instead(last, { ...last, apart: true, loaded: this.loaded.get(under.id) ?? null });
    this.loaded.delete(under.id);
    this.#locks.delete(under.id);
    this.racked.delete(under.id);
  }

  /** The declaration of a try that is made again stands, though its bar was racked before that was known. @param {Mark} under */
  #standsAgain(under) {
    const bar = this.bar(this.member(under));
    if (shared(this.task) && this.#again(under) && bar.standing === null) bar.made.now = bar.kept.now = under;
  }

  /** @param {Try} one @param {Try} made */
  #instead(one, made) {
    this.tries = this.tries.map((had) => (had === one ? made : had));
    for (const turns of this.#turns.values()) turns.steps = turns.steps.map((had) => ("one" in had && had.one === one ? { ...had, one: made } : had));
  }

  /** @param {Mark} mark */
  #lift(mark) {
    const known = this.known.further.get(mark.id);
    if (known !== undefined) return void this.odd.push(...oddTwice(known));
    const twice = decidedBefore(this, mark, this.#admitted);
    if (twice) {
      this.odd.push(...oddTwice(twice.flagged));
      this.twices.note(twice, mark);
      return this.#instead(twice.first, { ...twice.first, mark: twice.stands });
    }
    const about = this.#meant(mark);
    const under = this.#named(mark) ?? (mark.body.declared == null ? about.standing : null);
    this.#lock(mark, under?.id);
    const member = this.member(mark, this.#said(mark) ?? (mark.body.declared == null ? about.made.now : null));
    const bar = this.bar(member);
    const other = bar.out !== null && another(this.member(bar.out, bar.under), member);
    const attempt = mark.body.declared ?? about.made.now?.id ?? mark.id;
    const stands = this.known.stands.get(mark.id) ?? mark;
    this.tries.push({ mark: stands, under, attempt, begun: other ? null : bar.out, member, time: other || !bar.out ? NO_TIME : bar.time, racked: this.racked.has(attempt) });
    if (other) {
      this.#flag(mark, "two-on-bar");
      return;
    }
    bar.out = null;
    bar.lifted = under ?? bar.lifted;
    bar.tried = true;
    if (!stands.body.good && this.task.tries_until_racked) return;
    this.#over(this.tries.at(-1), said(mark));
    bar.over(said(mark));
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
    const again = shared(this.task) && this.#again(this.#declared.get(named ?? "")) !== null;
    if (!again) bar.kept.rack(named);
    if (bar.tried && bar.out === null) this.#over(this.tries.filter((one) => this.bar(one.member) === bar).at(-1), said(mark));
    if ((!again && bar.made.rack(named)) || (bar.tried && bar.out === null)) bar.over(said(mark));
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
