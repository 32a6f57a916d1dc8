// @ts-check
/** The wall lines of the lane: measured again before GO, shown in a rest. */

import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { Keypad } from "../../../parts/keypad.js";
import { compare, exact } from "../../../rules/fractions.js";
import { differ, tapeMm, tapeNumber, tapeText, wallLine } from "../../../rules/markings.js";
import { letter, memberName } from "./words.js";
import { decimal, say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */
/** @typedef {{unit: "in" | "cm", drop_mm: string | null, tolerance_mm: string | null, tasks: string[], lines: ({mm: string, text: string} | null)[]}} Markings lines: by member, A first. Without a drop there is no line. */

const LEAST_MM = exact("500"); // no wall line and no reach is lower: a digit is missing
const MOST_MM = exact("3000");

/** The wall lines of the lane at hand, if its event has any. @param {Lane} lane @returns {Markings | null} */
export function markingsOf(lane) {
  return /** @type {any} */ (lane.heat)?.assignment.markings ?? null;
}

/** Why a member has no line yet, in words. @param {Markings} markings */
function noLine(markings) {
  return say(markings.drop_mm === null ? "wall.not_said" : "wall.not_measured");
}

/** The wall lines of the members who work in a window at the wall, in words. @param {Lane} lane @param {import("./words.js").Window} window @returns {string[]} */
export function linesFor(lane, window) {
  const markings = markingsOf(lane);
  if (!markings || !window.task || !markings.tasks.includes(window.task)) return [];
  const all = lane.entry.members.map((_, i) => i + 1);
  const members = Array.isArray(window.who) ? window.who : all;
  return members.map((member) => {
    const line = markings.lines[member - 1];
    const text = line ? line.text : noLine(markings);
    return lane.format.members > 1 ? say("Wall line of {member}: {text}", { member: memberName(lane.entry, member), text }) : say("Wall line: {text}", { text });
  });
}

/** Before GO: each member's wall line, and what the judge's own tape says. */
export class WallLines {
  #stamp = "";
  /** The member whose line is being typed, or 0. */
  #typing = 0;

  /** @param {Lane} lane @param {() => void} onmark called when something was measured */
  constructor(lane, onmark) {
    this.lane = lane;
    this.onmark = onmark;
    this.rows = el("ul", { class: "wall-lines" });
    this.value = el("output", { class: "wall-value", role: "wall-value" });
    this.says = el("p", { class: "wall-says", "aria-live": "polite" });
    this.keypad = new Keypad(() => this.#showTyped());
    this.go = button(say("Enter it"), () => this.#record(), { class: "act", role: "wall-record" });
    const keys = el("div", { class: "wall-keys" }, this.go, button(say("Leave it"), () => this.#type(0), { class: "quiet" }));
    this.pad = el("div", { class: "wall-pad", hidden: true }, this.value, this.says, keys, this.keypad.node);
    this.steps = el("ol", {});
    this.how = el("details", { class: "wall-how", role: "wall-how" }, el("summary", {}, say("How it is measured")), this.steps);
    this.node = el("div", {}, this.rows, this.pad, this.how);
  }

  /** Draws the rows anew where something changed: a button that is being pressed stays the same button. */
  draw() {
    const markings = /** @type {Markings} */ (markingsOf(this.lane));
    const marks = this.lane.standing().filter((mark) => mark.kind === "remeasure");
    const stamp = JSON.stringify([this.lane.key, this.#typing, markings, marks.map((mark) => mark.id)]);
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    fill(this.rows, ...this.lane.entry.members.slice(0, markings.lines.length).map((_, i) => this.#row(markings, i + 1)));
    const steps = this.lane.event.measuring ?? [];
    fill(this.steps, ...steps.map((step) => el("li", {}, decimal(step.text))));
    this.how.hidden = !steps.length || this.#typing !== 0;
    this.pad.hidden = this.#typing === 0;
    this.rows.hidden = !this.pad.hidden; // the keys stand where the rows stood, so that nothing has to be scrolled for them
  }

  /** @param {Markings} markings @param {number} member */
  #row(markings, member) {
    const line = markings.lines[member - 1];
    const again = this.#again(member);
    const name = this.lane.format.members > 1 ? `${letter(member)} ${memberName(this.lane.entry, member)}` : memberName(this.lane.entry, member);
    const words = el("span", { class: "wall-name" }, name, " ", el("b", { role: `wall-line-${member}` }, line ? line.text : noLine(markings)));
    const state = el("span", { class: "state", "data-state": again.state, role: `wall-state-${member}` }, again.words);
    const agree = line && !again.mark ? button(say("Correct"), () => this.#mark(member, "line", line.mm), { role: `wall-right-${member}` }) : null;
    const other = again.mark ? button(say("Take back"), () => this.#strike(member), { class: "quiet", role: `wall-back-${member}` }) : null;
    const type = button(line ? say("Measured differently") : say("Measure the wrists"), () => this.#type(member), { class: "quiet", role: `wall-type-${member}` });
    return el("li", { class: "wall-row" }, words, again.words ? state : null, el("span", { class: "wall-buttons" }, agree, type, other));
  }

  /** What was measured again of a member, in words. @param {number} member */
  #again(member) {
    const markings = /** @type {Markings} */ (markingsOf(this.lane));
    const mark = this.lane.standing().filter((one) => one.kind === "remeasure" && (one.body.member ?? 1) === member).at(-1) ?? null;
    if (!mark) return { mark, state: "none", words: "" };
    const mm = tapeMm(mark.body.value, mark.body.unit);
    if (markings.drop_mm === null || markings.tolerance_mm === null) return { mark, state: "kept", words: say("By your tape: {tape}", { tape: tapeText(mm, markings.unit) }) };
    const line = mark.body.what === "reach" ? wallLine(mm, exact(markings.drop_mm)) : mm;
    const taped = markings.lines[member - 1];
    const text = `${tapeText(line, markings.unit)}`;
    if (!taped) return { mark, state: "kept", words: say("By your tape: line at {text}", { text }) };
    const apart = differ(line, exact(taped.mm), exact(markings.tolerance_mm));
    return apart ? { mark, state: "look", words: say("Your tape: {text}. Call the head judge.", { text }) } : { mark, state: "safe", words: say("Measured again: correct") };
  }

  /** @param {number} member */
  #type(member) {
    this.#typing = member;
    this.keypad.set("");
    this.draw();
    if (member) this.#bringUp();
  }

  /** Scrolls the list of checks alone: scrollIntoView would move the whole screen, which has no way back. */
  #bringUp() {
    const list = this.node.closest(".before");
    if (list) list.scrollTop += this.pad.getBoundingClientRect().top - list.getBoundingClientRect().top - 8;
  }

  #showTyped() {
    const markings = markingsOf(this.lane);
    if (!markings || !this.#typing) return;
    const { text } = this.keypad;
    const taped = markings.lines[this.#typing - 1];
    const mm = text ? tapeMm(text.replace(/\.$/, ""), markings.unit) : null;
    const odd = mm && (compare(mm, LEAST_MM) < 0 || compare(mm, MOST_MM) > 0);
    setText(this.value, `${text || "–"} ${markings.unit}`);
    const asked = taped ? say("the height of the line above the floor") : say("the height of the wrists, standing, arms straight up");
    const who = memberName(this.lane.entry, this.#typing);
    const wrong = markings.unit === "in" ? say("{who}: {asked}, in inches.", { who, asked }) : say("{who}: {asked}, in centimetres.", { who, asked });
    setText(this.says, odd ? wrong : say("{who}: {asked}.", { who, asked }));
    setData(this.says, "tone", odd ? "look" : null);
    this.go.disabled = !mm || Boolean(odd);
  }

  #record() {
    const markings = /** @type {Markings} */ (markingsOf(this.lane));
    const member = this.#typing;
    const value = this.keypad.text.replace(/\.$/, "");
    this.#typing = 0;
    this.#add(member, markings.lines[member - 1] ? "line" : "reach", value, markings.unit);
  }

  /** @param {number} member @param {string} what @param {string} mm */
  #mark(member, what, mm) {
    const { unit } = /** @type {Markings} */ (markingsOf(this.lane));
    this.#add(member, what, tapeNumber(exact(mm), unit), unit);
  }

  /** @param {number} member @param {string} what @param {string} value @param {string} unit */
  #add(member, what, value, unit) {
    this.lane.mark("remeasure", { what, value, unit, member });
    this.draw();
    this.onmark();
  }

  /** @param {number} member */
  #strike(member) {
    const { mark } = this.#again(member);
    if (mark) this.lane.strike(mark);
    this.draw();
    this.onmark();
  }
}
