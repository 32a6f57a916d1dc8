// @ts-check
/** The bars of a lift window, and a judged try. Twin of app/rules/count/lifting/bars.py. */
import { byOrder } from "../order.js";

/** @typedef {import("../../device/outbox.js").Mark} Mark */

/**
 * One judged try: its mark, the declaration it was made under, its attempt (the id of its declaration, also of one that was taken
 * back since, else its own), the mark of the bar leaving its rack, whose it was, the time that the attempt had when the bar left, and
 * whether the bar had been racked before. apart: it is made again under the same declaration; `loaded` was told of its own bar.
 * @typedef {{mark: Mark, under: Mark | null, attempt: string, begun: Mark | null, member: number | null, time: AttemptTime, racked: boolean, apart?: boolean, loaded?: Mark | null}} Try
 */

/** @typedef {{sinceMs: number | null, seconds: number | null, follows: boolean, offMs: number, told: Said[]}} AttemptTime since when it runs, on the heat clock, null where it does not; null seconds for no limit; follows: the lifter follows themselves, or may; how far its start may be off; the moments of which the latest began it */

/** @type {AttemptTime} */
export const NO_TIME = { sinceMs: null, seconds: null, follows: false, offMs: 0, told: [] };

/** @typedef {{at: number, off_ms: number, life: string, own: number}} Said a moment as a clock told it: on the heat clock; how far that clock may have been off; in which life of which device's clock, empty where that is not known; the moment by that life alone */

/** A moment of a clock of which no more is known than how far it may be off. @param {number} at @param {number} [off_ms] @returns {Said} */
export const readAt = (at, off_ms = 0) => ({ at, off_ms, life: "", own: 0 });

/** When a mark was made. @param {Mark} mark @returns {Said} */
export function said({ at, err, device, epoch, body }) {
  if (body.life == null) return readAt(at, err);
  const life = `${device}/${epoch}/${body.life}/${body.hand ? "hand" : "desk"}/${body.held ?? 0}`;
  return { at, off_ms: err, life, own: at - (body.moved ?? 0) };
}

/** A mark at another moment than its tablet's clock gave it: which life of that clock it was made in tells of it no more. @template {{body: Record<string, any>}} M @param {M} mark @param {number} at @returns {M} */
export function atAnother(mark, at) {
  const { life: _, ...body } = mark.body;
  return { ...mark, at, body: mark.body.life == null ? mark.body : body };
}

/** The latest of some moments. @param {Said[]} moments @returns {Said} */
export function latest(...moments) {
  const at = Math.max(...moments.map((one) => one.at));
  return readAt(at, Math.max(...moments.map((one) => one.at + one.off_ms)) - at);
}

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
export class Bar {
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

  /** @param {Said} free */
  constructor(free) {
    this.free = free;
  }

  /** The declaration that stands. */
  get standing() {
    return this.kept.now;
  }

  /** The declaration that waits. */
  get waiting() {
    return this.kept.next;
  }

  /** The attempt is over: what waits stands, and the time of the next one begins. @param {Said} at */
  over(at) {
    this.out = null;
    this.free = at;
    this.tried = false;
    this.kept.over();
    this.made.over();
  }
}

/** The bar whose declaration was made last, of those that have one. @param {Bar[]} bars @param {(bar: Bar) => Mark | null} declared */
export function newestBy(bars, declared) {
  const mark = (/** @type {Bar} */ bar) => /** @type {Mark} */ (declared(bar));
  return bars.filter((bar) => mark(bar) !== null).sort((a, b) => byOrder(mark(b), mark(a)))[0] ?? null;
}

/** @param {Mark[]} marks @returns {Map<string, Mark>} by id */
export function declarations(marks) {
  return new Map(marks.filter((mark) => mark.kind === "declare").map((mark) => [mark.id, mark]));
}

/** Whether two members are known to be two. @param {number | null} one @param {number | null} two */
export function another(one, two) {
  return one !== null && two !== null && one !== two;
}

/** The last try of a lifter. @param {Try[]} tries @param {number | null} lifter @returns {Try | null} */
export const lastOf = (tries, lifter) => tries.filter((one) => !another(one.member, lifter)).at(-1) ?? null;

/** Whether the time of an attempt runs from the call of the lifter and the bar's being ready. @param {any} task */
export function byCall(task) {
  return task.attempt_from === "called" || shared(task);
}

/** Whether lanes share the bar of a lift. @param {any} task */
export const shared = (task) => (task.order ?? "lanes") !== "lanes";
