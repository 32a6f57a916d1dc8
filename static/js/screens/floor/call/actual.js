// @ts-check
import { drawBar, plateSign } from "../../../parts/bar.js";
import { button, el, fill, setText } from "../../../parts/dom.js";
import { totalOf, totalText } from "../../../rules/plates.js";
import { decimal, say } from "../../../words/say.js";

/** @typedef {import("../../../rules/plates.js").Kit} Kit */

/** Telling what is really on the bar, plate by plate: for a bar that was loaded otherwise than this screen thinks. */
export class Actual {
  /** @type {number[]} */
  #side = [];
  /** @type {Kit | null} */
  #kit = null;
  open = false;

  /** @param {(side: number[]) => void} done @param {() => void} leave */
  constructor(done, leave) {
    this.total = el("output", { class: "actual-total", role: "actual-total" });
    this.drawing = el("div", { class: "load-drawing" });
    this.kinds = el("div", { class: "actual-kinds", role: "kinds" });
    this.off = button(say("Take the outermost off"), () => this.#set(this.#side.slice(0, -1)), { class: "press quiet", role: "actual-off" });
    this.empty = button(say("Nothing is on it"), () => this.#set([]), { class: "press quiet", role: "actual-empty" });
    this.is = button(say("This is on the bar"), () => done(this.#side), { class: "press load-done", role: "actual-is" });
    const leaving = button(say("Go back"), leave, { class: "press quiet", role: "actual-leave" });
    const acts = el("div", { class: "load-acts" }, this.is, this.off, this.empty, leaving);
    const title = el("p", { class: "load-says" }, say("What is really on one side? Add plates from inside out."));
    this.node = el("div", { class: "actual", hidden: true }, title, this.total, this.drawing, this.kinds, acts);
  }

  /** @param {Kit} kit @param {number[]} side what it is thought to be */
  begin(kit, side) {
    this.open = true;
    this.node.hidden = false;
    this.#side = [...side];
    this.#kit = null;
    this.show(kit);
  }

  close() {
    this.open = false;
    this.node.hidden = true;
  }

  /** @param {Kit} kit */
  show(kit) {
    if (this.#kit === kit) return;
    this.#kit = kit;
    const choices = kit.kinds.map((kind, number) => button("", () => this.#set([...this.#side, number]), { class: "press actual-kind", "data-kind": String(number) }));
    choices.forEach((choice, number) => choice.append("+ ", plateSign(kit.kinds[number])));
    fill(this.kinds, ...choices);
    this.#draw(kit);
  }

  /** @param {number[]} side */
  #set(side) {
    this.#side = side;
    if (this.#kit) this.#draw(this.#kit);
  }

  /** @param {Kit} kit */
  #draw(kit) {
    const total = totalOf(kit, this.#side);
    setText(this.total, decimal(`${totalText(total, kit.bar.unit)} (${totalText(total, kit.bar.unit === "kg" ? "lb" : "kg")})`));
    fill(this.drawing, drawBar(kit, this.#side));
    this.off.disabled = this.empty.disabled = this.#side.length === 0;
    for (const choice of this.kinds.querySelectorAll("button")) {
      const number = Number(choice.dataset.kind);
      choice.disabled = this.#side.filter((kind) => kind === number).length >= kit.kinds[number].pairs;
    }
  }
}
