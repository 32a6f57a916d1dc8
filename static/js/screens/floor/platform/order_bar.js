// @ts-check
import { button, el, fill, setData, setText } from "../../../parts/dom.js";
import { loadWords } from "./state.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./state.js").Platform} Platform */

const SHOWN = 4; // names that a tablet held upright has room for

/** Above a platform's screen: who is at the bar, and who is called next. A touch on a name turns the screen to them. */
export class OrderBar {
  #drawn = "";

  /** @param {Platform} platform */
  constructor(platform) {
    this.platform = platform;
    this.at = el("p", { class: "order-at", role: "at-the-bar", "aria-live": "polite" });
    this.next = el("div", { class: "order-next", role: "called-next" });
    this.node = el("nav", { class: "order-bar", "aria-label": say("Order of lifting") }, this.at, this.next);
  }

  render() {
    const { platform } = this;
    const at = platform.atTheBar;
    const here = platform.heat?.assignment.lane;
    const turned = at !== null && at.lot !== here;
    setText(this.at, at ? say("At the bar: {name}", { name: at.heat.assignment.entry.name }) : say("Nobody is called yet"));
    setData(this.at, "turned", turned);
    const next = platform.uncalled().filter((one) => !platform.decidedHere(one));
    const shown = turned ? [{ lot: at.lot, who: "", words: say("Back to the bar") }] : [];
    for (const one of next.slice(0, SHOWN)) shown.push({ lot: one.lot, who: one.who, words: `, ${loadWords(one)}` });
    const stamp = JSON.stringify([shown, here]);
    if (stamp === this.#drawn) return;
    this.#drawn = stamp;
    fill(this.next, ...shown.map((one) => this.#turnTo(one, one.lot === here)));
  }

  /** A name keeps its own direction, and leaves the load its. @param {{lot: number, who: string, words: string}} one @param {boolean} here */
  #turnTo({ lot, who, words }, here) {
    const made = button("", () => this.platform.pick(lot), { class: "press quiet", role: "turn-to", "data-lot": String(lot), "aria-pressed": String(here) });
    fill(made, el("bdi", {}, who), words);
    return made;
  }
}
