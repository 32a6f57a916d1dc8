// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { sayLoad } from "../../../parts/loads.js";
import { lifted } from "../../../parts/under_finger.js";
import { say } from "../../../words/say.js";
import { before } from "./lifter.js";

/** @typedef {import("./lifter.js").Lifter} Lifter */
/** @typedef {import("./lifter.js").Seen} Seen */

/** A coach's lifters: whoever must declare next stands on top, the others in the order of lifting. A touch turns to one. */
export class LifterList {
  /** @type {Map<string, Row>} */
  #rows = new Map();
  #order = "";

  /** @param {(entry: string) => void} open */
  constructor(open) {
    this.open = open;
    this.node = el("ol", { class: "coach-rows", role: "lifters" });
  }

  /** @param {Lifter[]} lifters @param {string} open the entry that is turned to @returns {string} who stands on top */
  render(lifters, open) {
    const seen = lifters.map((lifter) => ({ lifter, seen: lifter.see() })).sort((a, b) => before(a.seen.order, b.seen.order));
    for (const one of seen) this.#row(one.lifter).show(one.seen, one === seen[0], open === one.lifter.who.id);
    this.#arrange(seen.map(({ lifter }) => lifter.who.id));
    return seen[0]?.lifter.who.id ?? "";
  }

  /** @param {Lifter} lifter */
  #row({ who }) {
    const known = this.#rows.get(who.id);
    if (known) return known;
    const made = new Row(who.name, () => this.open(who.id));
    this.#rows.set(who.id, made);
    return made;
  }

  /** A row does not move from under the finger that is about to press it. @param {string[]} order */
  async #arrange(order) {
    const wanted = order.join();
    if (wanted === this.#order) return;
    this.#order = wanted;
    await lifted();
    if (wanted !== this.#order) return;
    fill(this.node, ...order.map((entry) => this.#rows.get(entry)?.node));
    for (const gone of [...this.#rows.keys()].filter((entry) => !order.includes(entry))) this.#rows.delete(gone);
  }
}

class Row {
  /** @param {string} name @param {() => void} open */
  constructor(name, open) {
    this.load = el("b", { class: "coach-load", role: "lifter-load" });
    this.turn = el("span", { class: "coach-turn", role: "lifter-turn" });
    this.state = el("span", { class: "call-state", role: "lifter-state" });
    this.more = el("span", { class: "coach-more", role: "lifter-more" });
    this.must = el("span", { class: "coach-must" }, say("Declare now"));
    this.key = button("", open, { class: "press quiet coach-row", role: "lifter" });
    fill(this.key, el("bdi", { class: "coach-name" }, name), this.load, this.turn, this.must, this.state, this.more);
    this.node = el("li", {}, this.key);
  }

  /** @param {Seen} seen @param {boolean} top @param {boolean} open */
  show({ turn, called, load, state, kept, more, silent }, top, open) {
    setText(this.load, load ? sayLoad(load) : "–");
    setText(this.turn, turn);
    setData(this.turn, "called", called);
    setText(this.state, state);
    setData(this.state, "kept", kept);
    setText(this.more, more);
    this.must.hidden = !silent || !top;
    setData(this.key, "silent", silent);
    this.key.setAttribute("aria-pressed", String(open));
  }
}
