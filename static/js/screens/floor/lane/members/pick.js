// @ts-check
import { el, fill } from "../../../../parts/dom.js";
import { markMore } from "../../../../parts/more.js";
import { onLand } from "../../../../parts/press.js";
import { sayLoad } from "../../../../parts/loads.js";
import { attemptsUsed, bestLift } from "../../../../rules/lifts.js";
import { say } from "../../../../words/say.js";
import { memberName } from "../words.js";
import { MANY, tileName } from "./tiles.js";

/** @typedef {import("../../../../rules/lifts.js").Lift} Lift */

/** What a lifter has done in a window so far: attempts used and left, the best lift. @param {Lift[]} mine @param {any} task */
export function soFar(mine, task) {
  const used = attemptsUsed(mine);
  const best = bestLift(mine, task.times_reps);
  const attempts = task.attempts === null ? say("attempts", { n: used }) : say("attempts used: {used} of {attempts}", { used, attempts: task.attempts });
  return best ? say("{attempts}, best {load}", { attempts, load: sayLoad(best.load) }) : attempts;
}

/** Whose turn it is, of those who may: one touch each, with what each has done. */
export class Pick {
  #stamp = "";

  /** @param {string} asks @param {(member: number) => void} act */
  constructor(asks, act) {
    this.act = act;
    this.grid = el("div", { class: "members-grid" });
    markMore(this.grid);
    this.node = el("div", { class: "members picking", role: "picking", hidden: true }, el("p", { class: "members-head" }, el("b", {}, asks)), this.grid);
  }

  /** @param {import("../state.js").Lane} lane @param {number[]} members @param {(member: number) => string} words what each has done */
  show({ entry, trackNames }, members, words) {
    const told = members.map((member) => ({ member, name: memberName(entry, member), short: trackNames[member - 1], words: words(member) }));
    const stamp = JSON.stringify(told);
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    this.node.toggleAttribute("data-many", members.length > MANY);
    fill(this.grid, ...told.map((one) => this.#tile(one)));
  }

  /** @param {{member: number, name: string, short: string, words: string}} one */
  #tile({ member, name, short, words }) {
    const node = el("button", { type: "button", class: "press member", role: `picks-${member}` }, tileName(name, short), el("span", { class: "press-what" }, words));
    onLand(node, () => this.act(member));
    return node;
  }
}
