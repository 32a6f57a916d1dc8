// @ts-check
/** Beside the target: take back last, and No rep with its faults. */

import { button, el, fill, setText } from "../../../parts/dom.js";
import { onTapOrHold } from "../../../parts/press.js";
import { markName } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("./words.js").Movement} Movement */

/** "Take back last", with the name of what it takes back. No question asked: the mark stays on the sheet, struck out. */
export class TakeBack {
  /** @type {any} */
  #mark = null;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.what = el("span", { class: "press-what" });
    this.node = button("", () => this.act(), { class: "press take-back", role: "take-back" });
    this.node.append(el("span", { class: "press-words" }, "Take back last"), this.what);
  }

  /** @param {number | null} win the window on the screen */
  show(win) {
    this.#mark = this.lane.last();
    this.node.disabled = this.#mark === null;
    setText(this.what, this.#mark ? markName(this.lane.format, this.#mark, this.lane.tally, win) : "nothing marked yet");
  }

  act() {
    if (this.#mark) this.lane.strike(this.#mark);
    this.#mark = null;
  }
}

/** "No rep": a tap names the most likely fault, a hold or a swipe lays out all of them. */
export class NoRep {
  /** @type {Movement | null} */
  #movement = null;
  /** Its key, where the work has several. @type {string | null} */
  #key = null;
  #win = 0;
  #heldAt = 0;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.likely = el("span", { class: "press-what" });
    this.count = el("span", { class: "press-count" });
    this.hint = el("span", { class: "press-hint" }, "Hold for another fault");
    this.node = el("button", { type: "button", class: "press no-rep", role: "no-rep" });
    this.node.append(el("span", { class: "press-words" }, "No rep"), this.likely, this.hint, this.count);
    this.faults = el("div", { class: "faults", role: "faults", hidden: true });
    onTapOrHold(this.node, { tap: () => this.act(), more: () => this.#choose() });
  }

  /** @param {Movement} movement @param {number} win @param {number} norep @param {string | null} [key] of the movement, where the work has several */
  show(movement, win, norep, key = null) {
    if (movement !== this.#movement) this.close();
    this.#movement = movement;
    this.#key = key;
    this.#win = win;
    const [likely] = movement.faults ?? [];
    setText(this.likely, likely?.name ?? "");
    this.hint.hidden = (movement.faults?.length ?? 0) < 2;
    setText(this.count, norep ? say("no_reps", { n: norep }) : "");
  }

  /** Marks the most likely fault. */
  act() {
    this.#mark(this.#movement?.faults?.[0]?.id);
  }

  close() {
    this.faults.hidden = true;
  }

  /** @param {string | undefined} fault @param {number} [at] */
  #mark(fault, at) {
    this.lane.mark("norep", { ...(fault ? { fault } : {}), ...(this.#key ? { movement: this.#key } : {}) }, this.#win, at);
    this.close();
  }

  #choose() {
    const faults = this.#movement?.faults ?? [];
    if (!faults.length) return this.#mark(undefined);
    this.#heldAt = this.lane.reading()?.ms ?? 0;
    fill(
      this.faults,
      el("p", { class: "faults-title" }, "No rep, because:"),
      ...faults.map((fault) => this.#fault(fault)),
      button("Back, it was good", () => this.close(), { class: "press quiet" }),
    );
    this.faults.hidden = false;
  }

  /** @param {{id: string, name: string, say?: string | null}} fault */
  #fault(fault) {
    const choice = button("", () => this.#mark(fault.id, this.#heldAt), { class: "press fault", "data-fault": fault.id });
    choice.append(el("span", { class: "press-words" }, fault.name));
    if (fault.say) choice.append(el("span", { class: "press-what" }, `“${fault.say}”`));
    return choice;
  }
}
