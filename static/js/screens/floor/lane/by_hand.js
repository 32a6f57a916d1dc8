// @ts-check
import { button, el, setData, setText } from "../../../parts/dom.js";
import { onLand } from "../../../parts/press.js";
import { say } from "../../../words/say.js";

/** A clock started, or let go on, on the whistle. Two steps: no stray touch starts a heat, and the second one acts as the finger lands. */
export class ByHand {
  /** @param {{words: string, arm: string, tap: string, act: () => void, onarm?: () => void}} says */
  constructor({ words, arm, tap, act, onarm = () => {} }) {
    this.arms = arm;
    this.onarm = onarm;
    this.arm = button("", () => this.turn(!this.armed), { role: "hand-arm" });
    this.hand = el("button", { type: "button", class: "press hand-start", role: "hand-start", hidden: true }, tap);
    this.words = el("p", { class: "soft" }, words);
    this.node = el("div", { class: "before-hand", hidden: true }, this.words, this.hand, this.arm);
    onLand(this.hand, act);
    this.turn(false);
  }

  get armed() {
    return this.node.hasAttribute("data-armed");
  }

  /** @param {boolean} armed */
  turn(armed) {
    setData(this.node, "armed", armed);
    this.hand.hidden = !armed;
    this.words.hidden = armed;
    setText(this.arm, armed ? say("Not now") : this.arms);
    this.onarm();
  }
}
