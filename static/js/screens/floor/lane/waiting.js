// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { markMore } from "../../../parts/more.js";
import { ByHand } from "./by_hand.js";
import { EquipmentCheck } from "./gear.js";
import { WallLines, markingsOf } from "./wall.js";
import { laneText, opening, taskText, whoText } from "./words.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Lane} Lane */

/** Before GO: is it my lane, my entry, my event; the sound: ticked to help the eye, kept nowhere. The equipment is signed for. */
export class BeforeView {
  #key = "";

  /** @param {Lane} lane @param {import("./sheet/to_sign.js").SheetsToSign} toSign */
  constructor(lane, toSign) {
    this.lane = lane;
    this.toSign = toSign;
    this.sheet = el("div", { class: "before-sheet" });
    this.gear = new EquipmentCheck(lane, () => this.render());
    this.state = el("p", { class: "before-state", role: "ready", "aria-live": "polite" });
    this.byHand = new ByHand({
      words: say("The desk can't be reached. If the heat starts anyway, start this clock on the whistle; the sheet will say so."),
      arm: say("Start by hand"),
      tap: say("Tap on the whistle"),
      act: () => this.lane.hand.start(),
      onarm: () => this.byHand && this.#showState(),
    });
    this.awake = el("p", { class: "soft before-awake", role: "awake", hidden: true });
    this.wall = new WallLines(lane, () => this.#showState());
    this.pages = el("div", { class: "before" }, this.sheet, this.gear.node, this.byHand.node, this.awake);
    const foot = el("div", { class: "before-foot" }, this.state, el("p", { class: "before-more" }, say("More checks below ▼")));
    this.node = el("div", { class: "before-frame" }, this.pages, foot);
    markMore(this.pages);
  }

  render() {
    if (this.#key !== this.lane.sheet) {
      this.#key = this.lane.sheet;
      this.byHand.turn(false);
      this.#draw();
    } else if (this.#marked) this.wall.draw();
    this.gear.render();
    this.toSign.render();
    this.byHand.node.hidden = this.lane.tablet.link.online;
    setText(this.awake, this.lane.tablet.wake.sentence);
    this.awake.hidden = !this.lane.tablet.wake.sentence || this.byHand.armed;
    this.#showState();
  }

  /** Whether this tablet's judge has wall lines to look at. */
  get #marked() {
    return this.lane.counter === "lane" && markingsOf(this.lane) !== null;
  }

  #draw() {
    if (this.#marked) this.wall.draw();
    const { entry, event, format, heat } = this.lane;
    const found = /** @type {import("./heats.js").Heat} */ (heat);
    const members = entry.members.map((member, i) =>
      el("li", {}, format.members > 1 ? el("b", {}, `${String.fromCharCode(65 + i)} `) : null, member.name, member.club ? el("span", { class: "soft" }, ` · ${member.club}`) : null),
    );
    const stopped = found.run?.state === "stopped" ? el("p", { class: "notice", "data-tone": "look" }, say("The desk stopped this heat. It starts again with a new GO.")) : null;
    fill(
      this.sheet,
      stopped,
      this.#check("lane", el("h2", {}, opening(laneText(found.assignment.lane, this.lane.seatName))), el("p", {}, found.planned ? say("Heat {number}, {name}, planned {planned}", { number: found.number, name: event.name, planned: found.planned }) : say("Heat {number}, {name}", { number: found.number, name: event.name })), el("p", {}, el("a", { class: "button", href: briefPath(event.id), role: "brief" }, say("Read the brief: what counts here"))), this.toSign.node),
      this.#check("entry", el("h2", {}, entry.name), el("ul", { class: "before-members" }, ...members)),
      this.#marked ? this.#check("wall", el("h2", {}, this.lane.format.members > 1 ? say("The wall lines") : say("The wall line")), this.wall.node) : null,
      this.#check("gear", el("h2", {}, say("The floor is ready")), el("ul", { class: "before-cautions" }, ...cautions(format).map((line) => el("li", {}, line)))),
      this.#check("sound", el("h2", {}, say("I hear the beeps")), button(say("Sound check"), () => this.lane.sound.play("bell"), { class: "quiet", role: "sound-check" })),
    );
  }

  /** @param {string} name @param {...Node} words */
  #check(name, ...words) {
    const box = el("input", { type: "checkbox", role: `check-${name}`, onchange: () => this.#showState() });
    const label = el("label", { class: "check-box" }, box, el("span", { class: "visually-hidden" }, say("Checked: {what}", { what: words[0].textContent })));
    return el("div", { class: "check" }, label, el("div", { class: "check-words" }, ...words));
  }

  #showState() {
    this.state.hidden = this.byHand.armed;
    const open = [...this.sheet.querySelectorAll("input")].filter((box) => !box.checked).length + (this.gear.done ? 0 : 1);
    setText(this.state, open ? say("to_check", { n: open }) : say("Ready. Waiting for GO from the desk."));
    setData(this.state, "ready", open === 0);
  }
}

/** An event's brief; an event that is done in a variant is named with it. @param {string} event */
function briefPath(event) {
  return `/brief/${event.replace("~", "/")}`;
}

/** What to look at before any work of an event. @param {import("./words.js").Format} format @returns {string[]} */
function cautions(format) {
  const lines = Object.values(format.movements).flatMap((movement) => movement.cautions ?? []);
  const unique = [...new Set(lines)];
  return unique.length ? unique : [say("Clear floor, nothing lying about, water within reach.")];
}

/** What is said where a clock that may be wrong is started anew. */
export const ANEW = {
  words: say("This clock may be wrong, and the desk can't be reached. Start it on the whistle, with GO; the sheet will say so."),
  arm: say("Start by hand"),
  tap: say("Tap on the whistle"),
};

/** The seconds before GO. */
export class SetView {
  /** @param {Lane} lane */
  constructor(lane) {
    this.lane = lane;
    this.number = el("p", { class: "countdown", role: "countdown", "aria-live": "off" });
    this.unit = el("p", { class: "countdown-unit" });
    this.first = el("p", { class: "countdown-first" });
    this.byHand = new ByHand({ ...ANEW, act: () => lane.hand.start() });
    this.node = el("div", { class: "setting" }, this.number, this.unit, this.first, this.byHand.node);
  }

  render() {
    const { format, entry } = this.lane;
    const first = format.windows.find((window) => window.task != null);
    this.byHand.node.hidden = !this.lane.hand.mayStart;
    setText(this.first, first ? say("First: {who}, {task}", { who: whoText(format, first, entry), task: taskText(format, first) }) : "");
  }

  /** @param {number} ms on the heat clock, below zero */
  frame(ms) {
    const seconds = Math.ceil(-ms / 1000);
    setText(this.number, String(Math.max(1, seconds)));
    setText(this.unit, say("go.in_seconds", { n: Math.max(1, seconds) }));
    setData(this.number, "near", seconds <= 3);
  }
}
