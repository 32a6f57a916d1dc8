// @ts-check
import { button, el, setData, setText } from "../../../../parts/dom.js";
import { timeText } from "../../../../parts/timing.js";
import { byCall } from "../../../../rules/lift_floor.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../../../../device/outbox.js").Mark} Mark */

/** How long the bar may still stay in its rack, where an attempt has a time of its own. */
export class AttemptClock {
  #warned = "";

  constructor() {
    this.node = el("p", { class: "attempt-clock", role: "attempt-clock", hidden: true });
  }

  /**
   * @param {any} task @param {any} found the window's tally @param {boolean} runs whether the bar is waited for
   * @param {number} ms on the heat clock @param {boolean} floor whether it begins on the floor
   */
  frame(task, found, runs, ms, floor) {
    this.node.hidden = found.attempt_seconds === null || !runs || ms < found.since_ms;
    if (this.node.hidden) return;
    const left = found.since_ms + found.attempt_seconds * 1000 - ms;
    const hurry = left <= (task.warn_seconds ?? 0) * 1000;
    const time = timeText(left);
    const until = floor ? say("{time} until the bar must leave the floor", { time }) : say("{time} until the bar must leave the rack", { time });
    setText(this.node, left > 0 ? until : say("The time for this attempt is over"));
    setData(this.node, "tone", hurry || left <= 0 ? "look" : null);
    if (!hurry || this.#warned === String(found.since_ms)) return;
    this.#warned = String(found.since_ms);
    navigator.vibrate?.([60, 80, 60]);
  }
}

/**
 * The call of the lifter, where the time of an attempt runs from it: before the bar leaves. Who follows themselves may have longer, and
 * is called so.
 */
export class CallLifter {
  #longer = false;

  /** @param {(more: {follows?: boolean}) => void} call */
  constructor(call) {
    this.plain = button(say("Lifter called"), () => call(this.#longer ? { follows: false } : {}), { class: "press leaves", role: "call-lifter" });
    this.follows = button(say("Own attempt follows"), () => call({ follows: true }), { class: "press leaves", role: "call-follows" });
    this.plain.dataset.next = "";
  }

  /** The keys that there are to touch. */
  get keys() {
    return this.#longer ? [this.plain, this.follows] : [this.plain];
  }

  /**
   * Whether somebody is to be called now.
   * @param {any} task @param {any} found the window's tally @param {Mark | null} waits the declaration whose lifter may be called
   * @param {Mark[]} marks that stand on the sheet
   */
  asks(task, found, waits, marks) {
    this.#longer = task.follow_seconds != null && found.lifts.length > 0;
    if (waits === null || task.attempt_seconds == null || !byCall(task)) return false;
    return !marks.some(({ kind, body }) => kind === "called" && body.declared === waits.id);
  }
}
