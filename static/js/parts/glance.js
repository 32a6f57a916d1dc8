// @ts-check
import { ways } from "../rules/plates.js";
import { compareLoads } from "../rules/units.js";
import { drawBar } from "./bar.js";
import { el, fill, setData, setText } from "./dom.js";
import { sayLoad } from "./loads.js";
import { aboutBar, laneKit, nearShort, nearWords, onBar, sideText } from "./onbar.js";
import { say } from "../words/say.js";

/** @typedef {import("./onbar.js").Mark} Mark */

/** How the declared bar looks, at a glance: as the loaders loaded it, else as it can be loaded. Hidden where the lane has no plates. */
export class BarGlance {
  #stamp = "";
  /** What is wrong with the bar, in one short line; empty where nothing is known to be. */
  warning = "";

  constructor() {
    this.drawing = el("div", { class: "glance-drawing" });
    this.words = el("p", { class: "glance-words" });
    this.short = el("p", { class: "glance-short" });
    this.node = el("div", { class: "glance", role: "bar-glance", hidden: true }, this.drawing, this.words, this.short);
  }

  /** @param {any} packet @param {any} task @param {Mark | null} declared @param {Mark[]} marks that stand, in order */
  show(packet, task, declared, marks) {
    const kit = declared && laneKit(packet, task);
    this.node.hidden = !kit;
    if (!kit) this.warning = "";
    if (!kit) return;
    const { load } = declared.body;
    const now = onBar(kit, aboutBar(marks, task, declared.body.member ?? null));
    const loaded = now.mark?.body.declared === declared.id && now.known;
    const side = loaded ? now.side : (ways(kit, load, 1)[0] ?? null);
    const stamp = `${declared.id}/${now.mark?.id}/${packet.version}`;
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    const other = loaded ? /** @type {Mark} */ (now.mark).body.load : load;
    this.warning = !side ? nearShort(kit, load) : compareLoads(other, load) === 0 ? "" : say("Loaded {load}, not {other}", { load: sayLoad(other), other: sayLoad(load) });
    setData(this.node, "tone", this.warning ? "look" : null);
    setText(this.short, this.warning);
    setText(this.words, side ? loaded ? say("Loaded: {side} a side", { side: sideText(kit, side) }) : say("{side} a side", { side: sideText(kit, side) }) : nearWords(kit, load));
    fill(this.drawing, side ? drawBar(kit, side) : null);
  }
}
