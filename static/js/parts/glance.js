// @ts-check
import { sideWords, ways } from "../rules/plates.js";
import { compareLoads } from "../rules/units.js";
import { drawBar } from "./bar.js";
import { el, fill, setData, setText } from "./dom.js";
import { aboutBar, laneKit, nearWords, onBar } from "./onbar.js";

/** @typedef {import("./onbar.js").Mark} Mark */

/** How the declared bar looks, at a glance: as the loaders loaded it, else as it can be loaded. Hidden where the lane has no plates. */
export class BarGlance {
  #stamp = "";

  constructor() {
    this.drawing = el("div", { class: "glance-drawing" });
    this.words = el("p", { class: "glance-words" });
    this.node = el("div", { class: "glance", role: "bar-glance", hidden: true }, this.drawing, this.words);
  }

  /** @param {any} packet @param {any} task @param {Mark | null} declared @param {Mark[]} marks that stand, in order */
  show(packet, task, declared, marks) {
    const kit = declared && laneKit(packet, task);
    this.node.hidden = !kit;
    if (!kit) return;
    const { load } = declared.body;
    const now = onBar(kit, aboutBar(marks, task, declared.body.member ?? null));
    const loaded = now.mark?.body.declared === declared.id && now.known;
    const side = loaded ? now.side : (ways(kit, load, 1)[0] ?? null);
    const stamp = `${declared.id}/${now.mark?.id}/${packet.version}`;
    if (stamp === this.#stamp) return;
    this.#stamp = stamp;
    const wrong = !side || (loaded && compareLoads(/** @type {Mark} */ (now.mark).body.load, load) !== 0);
    setData(this.node, "tone", wrong ? "look" : null);
    setText(this.words, side ? `${loaded ? "Loaded: " : ""}${sideWords(kit, side)} a side` : nearWords(kit, load));
    fill(this.drawing, side ? drawBar(kit, side) : null);
  }
}
