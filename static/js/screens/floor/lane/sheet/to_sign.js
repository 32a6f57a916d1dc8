// @ts-check
import { button, el, fill, setText } from "../../../../parts/dom.js";
import { say } from "../../../../words/say.js";

/** @typedef {import("../state.js").Lane} Lane */

/** Sheets of heats that are over and that nobody has signed: how many, and on a touch a way to each. Never in the way of a heat. */
export class SheetsToSign {
  #open = false;
  #stamp = "";

  /** @param {Lane} lane @param {(heat: import("../heats.js").Heat) => void} onopen */
  constructor(lane, onopen) {
    this.lane = lane;
    this.onopen = onopen;
    this.turn = button("", () => this.#turn(), { role: "to-sign", class: "quiet" });
    this.list = el("ul", { class: "to-sign-list" });
    this.node = el("div", { class: "to-sign", hidden: true }, this.turn, this.list);
  }

  render() {
    const heats = this.lane.toSign;
    const stamp = `${this.#open}/${heats.map(({ id }) => id)}`;
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    this.node.hidden = heats.length === 0;
    this.list.hidden = !this.#open;
    setText(this.turn, say("Sheets to sign: {all}", { all: heats.length }));
    this.turn.setAttribute("aria-expanded", String(this.#open));
    fill(this.list, ...heats.map((heat) => el("li", {}, this.#way(heat))));
  }

  #turn() {
    this.#open = !this.#open;
    this.render();
  }

  /** @param {import("../heats.js").Heat} heat */
  #way(heat) {
    const { name } = this.lane.packet.events[heat.event];
    const open = () => {
      this.#open = false;
      this.onopen(heat);
    };
    return button(say("Heat {number}, {name}: {entry}", { number: heat.number, name, entry: heat.assignment.entry.name }), open, { role: "open-sheet" });
  }
}
