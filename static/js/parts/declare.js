// @ts-check
import { button, el, setData, setText } from "./dom.js";
import { compareLoads } from "../rules/units.js";
import { Keypad } from "./keypad.js";
import { doubtAbout, load, otherText, sayLoad, stepIn, stepped } from "./loads.js";

/** @typedef {import("./loads.js").Load} Load */

/**
 * What a declaration starts from.
 * @typedef {object} Lifting
 * @property {any} task the lift task
 * @property {"kg" | "lb"} unit
 * @property {Load | null} last load judged last, if any
 * @property {Load | null} from load to start from
 * @property {Load | null} stands load that is declared already, if any
 * @property {number | null} attemptsLeft null: as many as time allows
 * @property {string} [verb] what the load is chosen for, where that is no declaration
 */

/** Choosing the next load: up and down by the least step, or typed. Says the load in both units before it is declared. */
export class Declare {
  /** @type {Lifting | null} */
  #lifting = null;
  /** @type {Load | null} */
  #chosen = null;
  #unit = /** @type {"kg" | "lb"} */ ("kg");
  #doubt = "";
  #sure = false;

  /**
   * @param {(load: Load) => void} act
   */
  constructor(act) {
    this.act = act;
    this.keypad = new Keypad(() => this.#typed());
    this.amount = el("output", { class: "declare-amount", role: "declare-load", "aria-live": "polite" });
    this.other = el("p", { class: "declare-other soft" });
    this.down = button("", () => this.#step(-1), { class: "key step", role: "load-down" });
    this.up = button("", () => this.#step(1), { class: "key step", role: "load-up" });
    this.unit = button("", () => this.#turnUnit(), { class: "plain declare-unit" });
    this.type = button("", () => this.#turnTyping(), { class: "plain declare-type" });
    this.says = el("p", { class: "declare-says", "aria-live": "polite" });
    this.go = button("", () => this.#declare(), { class: "act declare-go", role: "declare" });
    this.node = el(
      "div",
      { class: "declare" },
      el("div", { class: "declare-load" }, this.down, el("div", { class: "declare-read" }, this.amount, this.other, el("div", { class: "declare-how" }, this.unit, this.type)), this.up),
      this.says,
      this.keypad.node,
      this.go,
    );
  }

  /** Starts a new choice. @param {Lifting} lifting */
  begin(lifting) {
    this.#lifting = lifting;
    this.#unit = lifting.unit;
    this.#chosen = lifting.from;
    this.keypad.text = "";
    this.#turnTyping(false);
    this.#show();
  }

  /** On a phone the digits take the place of the steps. @param {boolean} [typing] */
  #turnTyping(typing = !this.node.hasAttribute("data-typing")) {
    setData(this.node, "typing", typing);
    setText(this.type, typing ? "Use the steps" : "Type it");
  }

  #typed() {
    this.#chosen = load(this.keypad.text, this.#unit);
    this.#show();
  }

  /** @param {1 | -1} way */
  #step(way) {
    const lifting = /** @type {Lifting} */ (this.#lifting);
    this.keypad.text = "";
    this.#chosen = stepped(this.#chosen ?? lifting.task.bar, lifting.task.step, way, lifting.task.bar, this.#unit);
    this.#show();
  }

  #turnUnit() {
    this.#unit = this.#unit === "kg" ? "lb" : "kg";
    this.keypad.text = "";
    this.#chosen = null;
    this.#show();
  }

  #declare() {
    if (!this.#chosen) return;
    if (this.#doubt && !this.#sure) {
      this.#sure = true;
      this.#label();
      return;
    }
    this.act(this.#chosen);
  }

  #show() {
    const lifting = /** @type {Lifting} */ (this.#lifting);
    this.#sure = false;
    this.#doubt = this.#chosen ? doubtAbout(this.#chosen, lifting.task, lifting.last) : "";
    setText(this.amount, this.#chosen ? sayLoad(this.#chosen) : this.keypad.text ? `${this.keypad.text} ${this.#unit}` : `– ${this.#unit}`);
    setText(this.other, this.#chosen ? otherText(this.#chosen) : "Step up, or type a load");
    setText(this.unit, `${lifting.verb ? "In" : "Declare in"} ${this.#unit === "kg" ? "lb" : "kg"}`);
    const step = sayLoad(stepIn(lifting.task.step, this.#unit));
    for (const [key, sign] of /** @type {const} */ ([[this.down, "−"], [this.up, "+"]])) setText(key, `${sign} ${step}`);
    this.#label();
  }

  #label() {
    const left = this.#lifting?.attemptsLeft;
    setText(this.says, this.#doubt || (left === null || left === undefined ? "" : left === 1 ? "This is the last attempt." : `${left} attempts left.`));
    setData(this.says, "tone", this.#doubt ? "look" : null);
    const load = this.#chosen ? ` ${sayLoad(this.#chosen)}` : "";
    const stands = this.#lifting?.stands ?? null;
    const words = this.#lifting?.verb ?? (stands ? "Change to" : "Declare");
    setText(this.go, this.#sure ? `Yes, ${words.toLowerCase()}${load}` : `${words}${load}`);
    this.go.disabled = !this.#chosen || (stands !== null && compareLoads(stands, this.#chosen) === 0);
  }
}
