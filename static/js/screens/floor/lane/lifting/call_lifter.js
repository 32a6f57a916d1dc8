// @ts-check
import { button } from "../../../../parts/dom.js";
import { byCall } from "../../../../rules/lifting/bars.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../../../../device/outbox.js").Mark} Mark */

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
