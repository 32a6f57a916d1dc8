// @ts-check
/** The lift that is looked at: who, the declared load, the bar plate by plate, the lights. */
import { el, fill, setData, setText, svg } from "../../../parts/dom.js";
import { fitted, setFitted } from "../../../parts/fit.js";
import { say } from "../../../words/say.js";
import { deciding } from "./facts.js";
import { clubSigns, pictureOf } from "./looks.js";

/** @typedef {import("./facts.js").Lane} Lane */
/** @typedef {import("./facts.js").Lifts} Lifts */

const REACH = 235; // half the height of the drawing, in mm: the largest disc of the standards is 450 mm across
const SHAFT = 90;

export class Platform {
  #drawn = "";

  constructor() {
    this.state = el("span");
    this.who = fitted("wall-lift-who");
    this.load = fitted("wall-lift-load");
    this.lights = el("span", { class: "wall-lights" });
    this.drawing = el("div", { class: "wall-bar-drawing" });
    this.look = el("div", { class: "wall-lift-look" });
    this.signs = el("span");
    this.node = el("section", { class: "wall-lift", "aria-label": say("The lift") }, this.look, el("div", { class: "wall-lift-words" }, el("div", { class: "wall-lift-state" }, this.signs, this.state), this.who, this.load), this.drawing, this.lights);
  }

  /** @param {{lane: Lane, lifts: Lifts, fresh: boolean} | null} looked @param {boolean} over nobody lifts any more @returns {boolean} */
  show(looked, over) {
    setData(this.node, "empty", looked === null);
    const dressed = this.#dress(looked?.lane.colours ?? [], looked?.lane.picture ?? "");
    if (!looked) return this.#say("", over ? say("No attempts left.") : say("nothing declared")) || dressed;
    const { lane, lifts, fresh } = looked;
    const { shown } = lifts;
    const tried = shown.attempts.at(-1);
    const load = fresh && tried ? tried.load : shown.declared && `${shown.declared} (${shown.other})`;
    setText(this.state, stateOf(lane.lane, lifts, fresh && tried !== undefined));
    setData(this.node, "verdict", fresh && tried ? (tried.sign === "✗" ? "no" : tried.sign === "✓" ? "good" : "open") : null);
    const ofThis = fresh || deciding(lifts); // else the lights are of the try before
    this.#light(ofThis ? shown.lights : [], fresh ? tried : undefined);
    this.#draw(fresh && shown.declared && !shown.declared.startsWith(tried?.load ?? "") ? [] : lifts.plates);
    return this.#say(shown.who ? `${shown.who}, ${lane.entry}` : lane.entry, load || say("nothing declared")) || dressed;
  }

  /** What stands beside the name. @param {string[]} colours @param {string} picture @returns {boolean} whether it is another */
  #dress(colours, picture) {
    const stamp = JSON.stringify([colours, picture]);
    if (this.look.dataset.stamp === stamp) return false;
    this.look.dataset.stamp = stamp;
    fill(this.signs, ...clubSigns(colours));
    fill(this.look, ...pictureOf(picture));
    return true;
  }

  /** @param {string} who @param {string} load */
  #say(who, load) {
    const renamed = setFitted(this.who, who);
    return setFitted(this.load, load) || renamed;
  }

  /** Each judge's own light where several decide; else the verdict as one. @param {import("./facts.js").Light[]} lights @param {import("./facts.js").Attempt} [tried] */
  #light(lights, tried) {
    const one = tried && !lights.length && tried.sign !== "…" ? [{ kind: tried.sign === "✓" ? "good" : tried.sign === "✗" ? "no" : "open", sign: tried.sign, word: tried.spoken }] : [];
    const shown = lights.length ? lights : one;
    const stamp = JSON.stringify(shown);
    if (this.lights.dataset.stamp === stamp) return;
    this.lights.dataset.stamp = stamp;
    fill(this.lights, ...shown.map(({ kind, sign, word }) => el("span", { class: "lifts-light", "data-light": kind }, el("span", { "aria-hidden": "true" }, sign), el("span", { class: "visually-hidden" }, `${word} `))));
  }

  /** Each plate slides on from the end of the sleeve, innermost first. @param {import("./facts.js").Plate[]} plates */
  #draw(plates) {
    const stamp = JSON.stringify(plates);
    if (stamp === this.#drawn) return;
    this.#drawn = stamp;
    if (!plates.length) return fill(this.drawing);
    let at = 0;
    const groups = plates.map((plate, n) => {
      const drawn = plateOf(plate, at);
      drawn.style.animationDelay = `${n * 140}ms`;
      at += plate.thick;
      return drawn;
    });
    const length = Math.max(at + 60, 260);
    return fill(this.drawing, svg("svg", { class: "bar-drawing", viewBox: `${-SHAFT} ${-REACH} ${SHAFT + length} ${2 * REACH}`, preserveAspectRatio: "xMinYMid meet", role: "bar", "aria-label": say("One side, from inside: {these}", { these: plates.map(({ weight }) => weight).join(", ") }) },
      svg("rect", { class: "bar-shaft", x: -SHAFT, y: -14, width: SHAFT, height: 28 }),
      svg("rect", { class: "bar-stop", x: -12, y: -38, width: 12, height: 76 }),
      svg("rect", { class: "bar-sleeve", x: 0, y: -25, width: length, height: 50 }),
      ...groups));
  }
}

/** How the lift stands that is looked at. @param {number} lane @param {Lifts} lifts @param {boolean} told its verdict is there */
function stateOf(lane, lifts, told) {
  if (told) return say("Lane {lane}", { lane });
  if (deciding(lifts)) return say("Lane {lane}: the judges are deciding", { lane });
  return lifts.shown.locked ? say("Lane {lane}: lifting now", { lane }) : say("Lane {lane}: declared", { lane });
}

/** @param {import("./facts.js").Plate} plate @param {number} at */
function plateOf({ weight, colour, across, thick }, at) {
  const [amount] = weight.split(" ");
  const group = svg("g", { class: "bar-plate-group wall-plate", "data-colour": colour });
  group.append(svg("rect", { class: "bar-plate", x: at + 1, y: -across / 2, width: Math.max(4, thick - 2), height: across, rx: 5 }));
  if (thick >= 20) group.append(svg("g", { class: "bar-number" }, svg("text", { x: at + thick / 2, y: 8, "font-size": Math.min(26, (thick * 1.5) / Math.max(2, amount.length)), "text-anchor": "middle" }, amount)));
  return group;
}
