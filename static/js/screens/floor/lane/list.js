// @ts-check
/** A work list, one item at a time, and one deliberate finish. */

import { sayLoad } from "../../../parts/loads.js";
import { say } from "../../../words/say.js";
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { onLand } from "../../../parts/press.js";
import { timeText } from "../../../parts/timing.js";
import { missedBefore } from "../../../rules/tally.js";
import { namedIn, sharers } from "../../../rules/turns.js";
import { goesOn } from "../../../rules/windows/lists.js";
import { keyedMember, reactionWords, tilesOf } from "./count.js";
import { MemberTargets } from "./members/tiles.js";
import { outWords } from "./out.js";
import { NoRep, TakeBack } from "./side.js";
import { Target } from "./target.js";
import { andAll, memberName, pointsText, standardsText } from "./words.js";

const FINISH_REST_MS = 400; // a finger still tapping the last repetitions must not finish by accident

/**
 * Where a work list stands after so many taps.
 * @param {{items: {movement: string, reps: number, worth: number}[], rounds: number | null}} task
 * @param {number} taps
 * @returns {{round: number, item: number, done: number, complete: boolean}} done: taps of the item under way
 */
export function listPosition(task, taps) {
  const inRound = task.items.reduce((sum, item) => sum + item.reps, 0);
  if (task.rounds !== null && taps >= inRound * task.rounds) {
    return { round: task.rounds, item: task.items.length - 1, done: task.items[task.items.length - 1].reps, complete: true };
  }
  let done = taps % inRound;
  let item = 0;
  while (done >= task.items[item].reps) {
    done -= task.items[item].reps;
    item += 1;
  }
  return { round: Math.floor(taps / inRound) + 1, item, done, complete: false };
}

/** A work list: the item under way with its count down to zero, moving on by itself; then one deliberate finish. */
export class ListView {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;
  /** Those who share the line under way. @type {number[]} */
  #members = [];
  #goesOn = false; // the line under way: for as many as possible, so that what is done is counted and not what is left
  /** The one whose line it is. @type {number | null} */
  #named = null;

  /** @param {import("./state.js").Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.items = el("ol", { class: "work-list" });
    this.round = el("p", { class: "work-round soft" });
    this.tie = el("p", { class: "work-tie soft", role: "tie-point" });
    this.target = new Target(() => this.press());
    this.members = new MemberTargets((member) => this.press(member));
    this.finish = /** @type {HTMLButtonElement} */ (el("button", { type: "button", class: "act finish", role: "finish", hidden: true }, say("Finish")));
    this.done = el("p", { class: "finished", role: "finished", hidden: true });
    onLand(this.finish, () => this.#finish());
    this.noRep = new NoRep(lane);
    this.takeBack = new TakeBack(lane);
    const side = el("div", { class: "side" }, this.noRep.node, this.takeBack.node, this.noRep.faults);
    const list = el("div", { class: "work-side" }, this.round, this.items, this.tie);
    this.node = el("div", { class: "counting listing" }, list, this.target.node, this.members.node, this.finish, this.done, side);
  }

  /** Counts one: of the member whose line it is, or of whoever is at work where members share it. @param {number | null} [member] */
  press(member = this.#named ?? this.#atWork()) {
    if (!this.#scene || (this.target.node.hidden && this.members.node.hidden)) return;
    this.noRep.close();
    this.lane.mark("rep", member ? { member } : {}, this.#scene.win);
    this.target.step(this.#goesOn ? 1 : -1);
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

  #finish() {
    if (this.finish.disabled || !this.#scene) return;
    this.lane.mark("finish", {}, this.#scene.win);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#scene = scene;
    const win = /** @type {number} */ (scene.win);
    const { format, tally } = this.lane;
    const key = /** @type {string} */ (format.windows[win].task);
    const task = format.tasks[key];
    const found = tally.windows[win];
    const at = listPosition(task, found.count);
    const item = task.items[at.item];
    const movement = format.movements[item.movement];
    this.#goesOn = goesOn(format, key, item);
    const number = this.#goesOn ? at.done : item.reps - at.done;
    const unit = this.#goesOn ? say("so far") : say("to go");
    this.#showItems(key, at);
    setText(this.tie, pointsText(format, tally, win));
    this.#members = sharers(format, format.windows[win], item);
    this.#named = namedIn(format, format.windows[win], item);
    const missed = missedBefore(format, tally.windows, win);
    const means = tapMeans(item);
    const asked = this.#goesOn ? say("{means}, as many as possible", { means }) : say("{means}. {done} of {reps} done", { means, done: at.done, reps: item.reps });
    const words = missed ? outWords(missed) : asked;
    if (this.#members.length) {
      this.members.show(tilesOf(this.lane, this.#members, found), this.#atWork(), { left: number, unit, words: reactionWords(scene) || `${words}. ${itemText(this.lane, item)}`, standards: standardsText(movement), invites: true });
    } else this.target.show(number, at.done, reactionWords(scene) || words, standardsText(movement), unit);
    this.noRep.show(movement, win, found.norep, item.movement, { members: this.#members, now: this.#named ?? this.#atWork() });
    this.takeBack.show(scene);
    this.#showEnd(at.complete, found.finish_ms);
  }

  /** The button can be seen not to take a touch yet. */
  #restFinish() {
    this.finish.disabled = true;
    setTimeout(() => (this.finish.disabled = false), FINISH_REST_MS);
  }

  /** @param {boolean} complete @param {number | null} finishMs */
  #showEnd(complete, finishMs) {
    const finished = finishMs !== null && this.lane.standing().some((mark) => mark.kind === "finish" && mark.win === this.#scene?.win);
    if (complete && this.finish.hidden && !finished) this.#restFinish();
    setData(this.node, "shared", !complete && this.#members.length > 0);
    this.target.node.hidden = complete || this.#members.length > 0;
    this.members.node.hidden = complete || !this.#members.length;
    this.finish.hidden = !complete || finished;
    this.done.hidden = !finished;
    if (finished) setText(this.done, say("finished.opening", { time: timeText(finishMs) }));
  }

  /** @param {string} key @param {ReturnType<typeof listPosition>} at */
  #showItems(key, at) {
    const task = this.lane.format.tasks[key];
    const rounds = task.rounds === null ? say("Round {round}, until the bell", { round: at.round }) : task.rounds > 1 ? say("Round {round} of {rounds}", { round: at.round, rounds: task.rounds }) : "";
    setText(this.round, rounds);
    fill(
      this.items,
      ...task.items.map((/** @type {any} */ item, /** @type {number} */ i) => {
        const state = at.complete || i < at.item ? "past" : i === at.item ? "now" : null;
        return itemLine(this.lane, key, item, { "data-state": state, "aria-current": state === "now" ? "step" : null });
      }),
    );
  }
}

/** What a tap on a line means: one repetition, or so many at once. @param {{reps: number, worth: number}} item */
function tapMeans({ reps, worth }) {
  if (worth === 0) return reps > 1 ? say("Tap for each good rep; they do not count") : say("One tap when it is done; it does not count");
  if (worth === 1) return say("tap.rep");
  return reps > 1 ? say("One tap for every {worth} that are done", { worth }) : say("One tap when all {worth} are done", { worth });
}

/** A line of the list: how many, what, and what a tap of it is worth. @param {import("./state.js").Lane} lane @param {string} key of the task @param {any} item @param {Record<string, string | null>} [state] */
export function itemLine(lane, key, item, state = {}) {
  const means = item.worth > 1 ? say("list.worth", { n: item.worth }) : item.worth ? "" : say("does not count");
  const worth = means && ` (${means})`;
  if (goesOn(lane.format, key, item)) return el("li", state, say("{movement}, as many as possible", { movement: itemText(lane, item) }), worth);
  return el("li", state, el("b", {}, item.reps), ` ${itemText(lane, item)}${worth}`);
}

/** An item without its number: who does it, the movement, the note (`400 m`), the load. @param {import("./state.js").Lane} lane @param {any} item */
function itemText(lane, item) {
  const who = Array.isArray(item.who) ? `${andAll(item.who.map((/** @type {number} */ n) => memberName(lane.entry, n)))}: ` : "";
  const note = item.note ? `, ${item.note}` : "";
  const load = item.load ? `, ${sayLoad(item.load)}` : "";
  return `${who}${item.words ?? lane.format.movements[item.movement].name}${note}${load}`;
}
