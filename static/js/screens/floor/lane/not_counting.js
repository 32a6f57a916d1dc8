// @ts-check
import { button, el, setText } from "../../../parts/dom.js";
import { onLand } from "../../../parts/press.js";
import { say } from "../../../words/say.js";
import { countedElsewhere } from "./warnings.js";

/** @typedef {import("./state.js").Lane} Lane */

const SAYS = [
  say("Stop: this tablet does not count"),
  say("Another tablet counts this lane, and its count is used. See who else is judging here: one of you should stop."),
  say("Not sure which? Call the desk with the button, or raise your arm."),
];
const CALL = say("Call the desk");
const WORK = new Set(["count", "list", "lift", "measure"]);

/**
 * Lies over a window's work while another tablet counts the lane in place of this one: what to do, and a way to the desk. No touch is
 * lost by it: where repetitions are counted, one still marks a repetition, for the other tablet may be the one that has to stop.
 */
export class NotCounting {
  /** Windows whose judge goes on here all the same. @type {Set<string>} */
  #goesOn = new Set();
  #window = "";
  /** Where the desk was called from here. */
  #called = "";

  /** @param {Lane} lane @param {() => void} press marks a repetition, where repetitions are counted */
  constructor(lane, press) {
    this.lane = lane;
    this.kept = el("span", { class: "not-counting-kept", role: "kept-here" });
    const words = SAYS.map((line, n) => el(n ? "span" : "b", {}, line));
    this.tap = el("button", { type: "button", class: "press not-counting-tap", role: "not-counting-tap" }, ...words, this.kept);
    this.call = button(CALL, () => this.#call(), { class: "press", role: "call-desk" });
    this.go = button(say("I am the judge: continue here"), () => this.#goOn(), { class: "press", role: "count-on" });
    this.node = el("section", { class: "not-counting", role: "not-counting", "aria-live": "assertive", hidden: true }, this.tap, this.call, this.go);
    onLand(this.tap, press);
  }

  /** @param {import("./heats.js").Scene} scene */
  render(scene) {
    this.#window = `${this.lane.sheet}/${scene.win}`;
    this.node.hidden = !WORK.has(scene.view) || this.#goesOn.has(this.#window) || !countedElsewhere(this.lane, scene.win);
    if (this.node.hidden) return;
    const counts = scene.view === "count" || scene.view === "list";
    this.tap.toggleAttribute("disabled", !counts);
    setText(this.kept, counts ? say("other.kept", { n: this.#taps(scene.win) }) : "");
    setText(this.call, this.#called === this.#window ? say("Called: stay here") : CALL);
  }

  /** @param {number | null} win */
  #taps(win) {
    return this.lane.standing().filter(({ kind, device, win: of }) => kind === "rep" && of === win && device === this.lane.packet.device.id).length;
  }

  #call() {
    if (this.#called === this.#window) return;
    this.#called = this.#window;
    this.lane.mark("note", { text: "Head judge called. Two tablets count this lane." });
  }

  #goOn() {
    this.#goesOn.add(this.#window);
    this.lane.tablet.outbox.changed();
  }
}
