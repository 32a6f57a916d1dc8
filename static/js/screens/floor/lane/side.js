// @ts-check
/** Beside the target: take back last, and No rep with its faults. */

import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { markMore } from "../../../parts/more.js";
import { onTapOrHold } from "../../../parts/press.js";
import { markName, memberName } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {import("./words.js").Movement} Movement */

/** "Take back last", with the name of what it takes back. No question asked: the mark stays on the sheet, struck out. */
export class TakeBack {
  /** @type {import("./heats.js").Scene | null} */
  #scene = null;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.what = el("span", { class: "press-what" });
    this.node = button("", () => this.act(), { class: "press take-back", role: "take-back" });
    this.node.append(el("span", { class: "press-words" }, say("Take back last")), this.what);
  }

  /** @param {import("./heats.js").Scene} scene on the screen */
  show(scene) {
    this.#scene = scene;
    const { format, tally } = this.lane;
    const last = this.lane.last(scene);
    const here = scene.view === "rest" || scene.view === "held" ? null : scene.win;
    this.node.disabled = last === null;
    const whose = last?.body.member && format.members > 1 ? `, ${this.lane.trackNames[last.body.member - 1]}` : "";
    setText(this.what, last ? `${markName(format, last, tally, here)}${whose}` : say("nothing to take back"));
  }

  /** Takes back what is last now: each of several quick taps its own. */
  act() {
    const last = this.#scene && this.lane.last(this.#scene);
    if (!last) return;
    this.lane.strike(last);
    this.lane.takenBack.add(last);
  }
}

const ANSWER_MS = 260;
const ANSWER_PULSES = [45, 55, 45]; // a repetition is one short one

/** @typedef {{members: number[], now: number | null}} Whose those of whom any may do the work, and who is at it */

/**
 * "No rep": a tap names the most likely fault, a hold or a swipe lays out all of them. Where members share the work it is refused to
 * whoever is at work, whom its pane names; before anybody is, it asks.
 */
export class NoRep {
  /** @type {Movement | null} */
  #movement = null;
  /** Its key, where the work has several. @type {string | null} */
  #key = null;
  #win = 0;
  /** @type {Whose} */
  #whose = { members: [], now: null };
  /** Whose the one is that the faults are asked of. @type {number | null} */
  #asked = null;
  #heldAt = 0;
  #shown = 0;
  #timer = 0;

  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.likely = el("span", { class: "press-what" });
    this.count = el("span", { class: "no-rep-count", role: "no-rep-count" });
    this.hint = el("span", { class: "press-hint" }, say("Keep pressing: other faults"));
    this.node = el("button", { type: "button", class: "press no-rep", role: "no-rep" });
    this.mine = el("b", { class: "press-whose", role: "no-rep-whose" });
    this.node.append(el("span", { class: "press-words" }, say("No rep")), this.mine, this.count, this.likely, this.hint);
    this.faults = el("div", { class: "faults", role: "faults", hidden: true });
    markMore(this.faults);
    onTapOrHold(this.node, { tap: () => this.act(), more: () => this.#choose() });
  }

  /** @param {Movement} movement @param {number} win @param {number} norep @param {string | null} key of the movement, where the work has several @param {Whose} whose */
  show(movement, win, norep, key, whose) {
    if (movement !== this.#movement) this.close();
    this.#whose = whose;
    setData(this.node, "shared", whose.now !== null);
    setText(this.mine, whose.now === null ? "" : memberName(this.lane.entry, whose.now));
    this.#movement = movement;
    this.#key = key;
    this.#win = win;
    const [likely] = movement.faults ?? [];
    setText(this.likely, likely ? say("Tap: {fault}", { fault: likely.name }) : "");
    this.hint.hidden = (movement.faults?.length ?? 0) < 2;
    this.#shown = norep;
    setText(this.count, norep || "");
  }

  /** Marks the most likely fault, of whoever is at work. */
  act() {
    this.#asked = this.#whose.now;
    const mark = () => this.#mark(this.#movement?.faults?.[0]?.id);
    if (this.#unknown) this.#askWhose(mark);
    else mark();
  }

  get #unknown() {
    return this.#whose.members.length > 0 && this.#asked === null;
  }

  close() {
    this.faults.hidden = true;
  }

  /** @param {string | undefined} fault @param {number} [at] */
  #mark(fault, at) {
    const whose = this.#asked === null ? {} : { member: this.#asked };
    this.lane.mark("norep", { ...(fault ? { fault } : {}), ...(this.#key ? { movement: this.#key } : {}), ...whose }, this.#win, at);
    this.close();
    this.#answer();
  }

  /** What a repetition does not do: its own number grows, the pane lights up, two pulses, a low tone. */
  #answer() {
    this.#shown += 1;
    setText(this.count, this.#shown);
    setData(this.node, "answers", true);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => setData(this.node, "answers", null), ANSWER_MS);
    navigator.vibrate?.(ANSWER_PULSES);
    this.lane.sound.answer("norep");
  }

  #choose() {
    this.#asked = this.#whose.now;
    this.#heldAt = this.lane.reading()?.ms ?? 0;
    if (this.#unknown) this.#askWhose(() => this.#askWhy());
    else this.#askWhy();
  }

  #askWhy() {
    const faults = this.#movement?.faults ?? [];
    if (!faults.length && !this.#whose.members.length) return this.#mark(undefined);
    const title = this.#asked === null ? say("No rep, because:") : say("No rep of {member}, because:", { member: memberName(this.lane.entry, this.#asked) });
    const other = this.#whose.members.length ? button(say("Somebody else's"), () => this.#askWhose(() => this.#askWhy()), { class: "press quiet", role: "no-rep-other" }) : null;
    this.#ask(title, [...(faults.length ? faults.map((fault) => this.#fault(fault)) : [this.#plain()]), other]);
  }

  /** Where a movement has no fault to name. */
  #plain() {
    return button(say("No rep"), () => this.#mark(undefined, this.#heldAt), { class: "press fault" });
  }

  /** @param {() => void} then */
  #askWhose(then) {
    const choice = (/** @type {number} */ member) => {
      const chosen = () => {
        this.#asked = member;
        then();
      };
      return button(memberName(this.lane.entry, member), chosen, { class: "press fault", role: `no-rep-${member}` });
    };
    this.#ask(say("No rep: whose?"), this.#whose.members.map(choice));
  }

  /** @param {string} title @param {(HTMLElement | null)[]} answers */
  #ask(title, answers) {
    fill(this.faults, el("p", { class: "faults-title" }, title), ...answers, button(say("Close without marking"), () => this.close(), { class: "press quiet", role: "faults-none" }));
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
