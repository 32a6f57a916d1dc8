// @ts-check
/** A window of repetitions. */

import { missedBefore } from "../../../rules/tally.js";
import { el } from "../../../parts/dom.js";
import { NoRep, TakeBack } from "./side.js";
import { Target } from "./target.js";
import { standardsText } from "./words.js";

const LATE_WORDS = "The bell has gone. Tap only what was finished before it.";
const HELD_WORDS = "The heat is held. Tap only what was finished before.";

/** What is said in the moment that is left for the judge's own reaction, else empty. @param {import("./heats.js").Scene} scene */
export function reactionWords({ late, held }) {
  return held ? HELD_WORDS : late ? LATE_WORDS : "";
}

/** A window of repetitions: the target, "No rep", "Take back last". */
export class CountView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;

  /** @param {import("./state.js").Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.target = new Target(() => this.press());
    this.noRep = new NoRep(lane);
    this.takeBack = new TakeBack(lane);
    const side = el("div", { class: "side" }, this.noRep.node, this.takeBack.node, this.noRep.faults);
    this.node = el("div", { class: "counting" }, this.target.node, side);
  }

  /** Counts one. */
  press() {
    if (!this.#scene) return;
    this.noRep.close();
    this.lane.mark("rep", {}, this.#scene.win);
    this.target.step(1);
    navigator.vibrate?.(12);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const win = /** @type {number} */ (scene.win);
    const { format, tally } = this.lane;
    const found = tally.windows[win];
    const movement = format.movements[format.tasks[/** @type {string} */ (format.windows[win].task)].movement];
    const missed = missedBefore(format, tally.windows, win);
    this.target.invite(missed === null && (found.target === null || found.count < found.target));
    this.target.show(found.count, found.count, reactionWords(scene) || wordsFor(found, missed), standardsText(movement));
    this.noRep.show(movement, win, found.norep);
    this.takeBack.show(scene);
  }
}

/** What a tap means now. @param {{count: number, target: number | null}} found @param {{count: number, target: number | null} | null} missed */
function wordsFor({ count, target }, missed) {
  if (missed) return `Out by this count: ${missed.count} of ${missed.target} before. A tap is kept; it scores nothing.`;
  if (target === null) return "Tap for each good rep";
  return count >= target
    ? `Target of ${target} reached: no more taps. One more is kept; by this count it scores nothing.`
    : `${target - count} to go of ${target}`;
}
