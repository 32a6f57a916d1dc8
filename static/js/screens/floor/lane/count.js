// @ts-check
/** A window of repetitions. */

import { missedBefore } from "../../../rules/tally.js";
import { sharers } from "../../../rules/turns.js";
import { el } from "../../../parts/dom.js";
import { MemberTargets } from "./members/tiles.js";
import { outWords } from "./out.js";
import { NoRep, TakeBack } from "./side.js";
import { Target } from "./target.js";
import { memberName, standardsText } from "./words.js";
import { say } from "../../../words/say.js";

const LATE_WORDS = say("The bell has gone. Tap only what was finished before it.");
const HELD_WORDS = say("The heat is held. Tap only what was finished before.");

/** What is said in the moment that is left for the judge's own reaction, else empty. @param {import("./heats.js").Scene} scene */
export function reactionWords({ late, held }) {
  return held ? HELD_WORDS : late ? LATE_WORDS : "";
}

/** The tiles of the members who share a window. @param {import("./state.js").Lane} lane @param {number[]} members @param {import("../../../rules/tally.js").WindowTally} found */
export function tilesOf(lane, members, found) {
  const share = (/** @type {number} */ member) => found.shares.find((one) => one.member === member) ?? { count: 0, norep: 0 };
  return members.map((member) => ({ member, name: memberName(lane.entry, member), short: lane.trackNames[member - 1], count: share(member).count, norep: share(member).norep }));
}

/** The member whom a key names: A, B. @param {KeyboardEvent} event @param {number[]} members */
export function keyedMember({ key, repeat }, members) {
  const member = key.length === 1 && !repeat ? key.toUpperCase().charCodeAt(0) - 64 : 0;
  return members.includes(member) ? member : null;
}

/** A window of repetitions: the target, or one for each member who may do them; "No rep", "Take back last". */
export class CountView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;
  /** Those who share the work. @type {number[]} */
  #members = [];

  /** @param {import("./state.js").Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.target = new Target(() => this.press());
    this.members = new MemberTargets((member) => this.press(member));
    this.noRep = new NoRep(lane);
    this.takeBack = new TakeBack(lane);
    const side = el("div", { class: "side" }, this.noRep.node, this.takeBack.node, this.noRep.faults);
    this.node = el("div", { class: "counting" }, this.target.node, this.members.node, side);
  }

  /** Counts one: of whoever is at work, where members share it and none is named. @param {number | null} [member] */
  press(member = this.#atWork()) {
    if (!this.#scene) return;
    this.noRep.close();
    this.lane.mark("rep", member ? { member } : {}, this.#scene.win);
    this.target.step(1);
    if (member) this.members.step(member);
    navigator.vibrate?.(12);
  }

  /** @param {KeyboardEvent} event @returns {boolean} */
  typed(event) {
    const member = keyedMember(event, this.#members);
    if (member !== null) this.press(member);
    return member !== null;
  }

  #atWork() {
    return this.#members.length && this.#scene?.win != null ? this.lane.turns.at(this.#scene.win) : null;
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const win = /** @type {number} */ (scene.win);
    const { format, tally } = this.lane;
    const found = tally.windows[win];
    const movement = format.movements[format.tasks[/** @type {string} */ (format.windows[win].task)].movement];
    const missed = missedBefore(format, tally.windows, win);
    const invites = missed === null && (found.target === null || found.count < found.target);
    this.#members = sharers(format, format.windows[win]);
    this.target.node.hidden = this.#members.length > 0;
    this.members.node.hidden = !this.#members.length;
    if (this.#members.length) {
      const words = reactionWords(scene) || say("together. {means}", { means: wordsFor(found, missed, say("Tap whoever did it")) });
      this.members.show(tilesOf(this.lane, this.#members, found), this.#atWork(), { left: found.count, unit: "", words, standards: standardsText(movement), invites });
    } else {
      this.target.invite(invites);
      this.target.show(found.count, found.count, reactionWords(scene) || wordsFor(found, missed), standardsText(movement));
    }
    this.noRep.show(movement, win, found.norep, null, { members: this.#members, now: this.#atWork() });
    this.takeBack.show(scene);
  }
}

/** What a tap means now. @param {{count: number, target: number | null}} found @param {import("../../../rules/tally.js").WindowTally | null} missed @param {string} [invites] */
function wordsFor({ count, target }, missed, invites = say("tap.rep")) {
  if (missed) return outWords(missed);
  if (target === null) return invites;
  return count >= target
    ? say("Target of {target} reached: no more taps. One more is kept; by this count it scores nothing.", { target })
    : say("{invites}. {left} more to the target of {target}", { invites, left: target - count, target });
}
