// @ts-check
/** The stage of a wall: the heading and the clock above, under them whatever the scene is made of. */
import { fill, setData, setText } from "../../../parts/dom.js";
import { setFitted } from "../../../parts/fit.js";
import { SCENES } from "./scenes.js";

/** @typedef {import("./clock.js").Reading} Reading */

const WITH_CLOCK = new Set(["lineup", "race", "lift"]);
const STANDS = new Set(["held", "going-on", "stopped"]);

/** @param {string} id */
const part = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

export class Stage {
  #scene = "";

  /** @param {HTMLElement} main @param {{first: number, last: number}} block of lanes that this screen shows */
  constructor(main, block) {
    this.main = main;
    this.block = block;
    this.stage = part("wall-stage");
    [this.title, this.about, this.now, this.next, this.order] = ["wall-title", "wall-about", "wall-now", "wall-next", "wall-order"].map(part);
    [this.big, this.tenths, this.label] = ["wall-minutes", "wall-tenths", "wall-label"].map(part);
  }

  /** Draws a scene. @param {import("./scene.js").Scene} scene @param {import("./pieces.js").Pieces} pieces @param {Reading} reading @returns {boolean} whether names have to be fitted */
  show(scene, pieces, reading) {
    const stamp = `${scene.name}/${scene.key}/${scene.page}`;
    const other = stamp !== this.#scene;
    this.#scene = stamp;
    setData(this.main, "scene", scene.name);
    const clocked = WITH_CLOCK.has(scene.name) && reading.state !== "over";
    setData(this.main, "clocked", clocked);
    setData(document.body, "held", clocked && STANDS.has(reading.state));
    const { title, about, order, parts, changed } = SCENES[scene.name]({ scene, pieces, reading, block: this.block });
    if (parts.length !== this.stage.children.length || parts.some((node, i) => this.stage.children[i] !== node)) fill(this.stage, ...parts);
    const said = [setFitted(this.title, title), setFitted(this.about, about), setFitted(this.order, order ?? "")];
    return [...said, this.#clock(clocked ? reading : null, clocked ? (pieces.get("head")?.beside ?? "") : ""), changed, other].some(Boolean);
  }

  /** @param {Reading | null} reading null: no clock @param {string} beside what else is on the floor @returns {boolean} */
  #clock(reading, beside) {
    setData(this.main, "tone", reading?.state ?? null);
    setData(this.main, "rest", reading?.state === "running" && reading.window === null);
    setData(this.main, "hurry", reading?.hurry ?? false);
    setData(this.main, "unsure", reading?.unsure ?? false);
    setText(this.big, reading?.minutes ?? "");
    setText(this.tenths, reading?.tenths ?? "");
    const labelled = this.label.textContent !== (reading?.label ?? "");
    setText(this.label, reading?.label ?? "");
    const said = setFitted(this.now, reading?.now ?? "");
    return setFitted(this.next, [reading?.next, beside].filter(Boolean).join(" · ")) || said || labelled;
  }
}
