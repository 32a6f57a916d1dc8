// @ts-check
/** Line-ups and standings: lists that fill the wall, a page of a long one at a time. */
import { el, fill, setData, setText } from "../../../parts/dom.js";
import { moved } from "./facts.js";
import { clubSigns, pictureOf } from "./looks.js";
import { fitNumbers, laneNumber, Names } from "./names.js";
import { fitted, setFitted } from "../../../parts/fit.js";
import { say } from "../../../words/say.js";

export const PAGE = 12; // lines of a standing that a wall shows at once
const MOVE_MS = 180;

/** @typedef {{lane: number, entry: string, division: string, members: string[], club: string, colours: string[], picture: string}} OnLane */
/** @typedef {import("./facts.js").Row} Row */
/** @typedef {import("./facts.js").Panel} Panel */

/** Who stands on which lane: one line each. */
export class LineUp {
  #shown = "";

  constructor() {
    this.node = el("ol", { class: "wall-rows wall-lineup" });
  }

  /** @param {OnLane[]} lanes @returns {boolean} */
  show(lanes) {
    const stamp = JSON.stringify(lanes);
    if (stamp === this.#shown) return false;
    this.#shown = stamp;
    this.node.style.setProperty("--rows", String(Math.max(1, lanes.length)));
    fitNumbers(this.node, lanes);
    const several = new Set(lanes.map(({ division }) => division)).size > 1;
    fill(this.node, ...lanes.map((lane) => lineOf(lane, several)));
    return true;
  }
}

/** @param {OnLane} lane @param {boolean} several divisions on the floor */
function lineOf({ lane, entry, division, members, club, colours, picture }, several) {
  const about = [members.join(", "), [club, several ? division : ""].filter(Boolean).join(" · ")].filter(Boolean);
  const of = el("span", { class: "wall-abouts" }, ...about.map((words) => fitted("wall-of", words)));
  return el("li", { class: "wall-row" }, laneNumber(lane).node, fitted("wall-who", entry), of, el("span", { class: "wall-clubs" }, ...clubSigns(colours), ...pictureOf(picture)));
}

/** A page of a standing. After a heat it says who has just come in, and who has moved through them. */
export class Standing {
  /** @type {Map<string, {node: HTMLElement, place: HTMLElement, moved: HTMLElement, who: HTMLElement, note: HTMLElement, score: HTMLElement, unit: HTMLElement}>} */
  #lines = new Map();

  constructor() {
    this.names = new Names(["wall-place", "wall-moved", "wall-who", "wall-of", "wall-total"]);
    this.node = el("ol", { class: "wall-rows wall-named wall-standing" }, this.names.node);
  }

  /** @param {Row[]} rows of the page @param {Row[]} all @param {Set<string>} fresh of a heat that has just ended @param {string} score what is ranked @returns {boolean} */
  show(rows, all, fresh, score) {
    this.names.show({ "wall-place": say("Place"), "wall-who": say("Entry"), "wall-total": score });
    const before = new Map([...this.#lines].map(([id, { node }]) => [id, node.offsetTop]));
    const kept = new Map(rows.map((row) => [row.id, this.#lines.get(row.id) ?? standingLine()]));
    const order = [this.names.node, ...[...kept.values()].map(({ node }) => node)];
    const turned = order.length !== this.node.children.length || order.some((node, i) => this.node.children[i] !== node);
    if (turned) this.node.replaceChildren(...order);
    this.#lines = kept;
    this.node.style.setProperty("--rows", String(Math.max(6, rows.length)));
    const changes = fresh.size ? moved(all, fresh) : new Map();
    let changed = turned;
    for (const row of rows) {
      const parts = /** @type {any} */ (kept.get(row.id));
      changed = showRow(parts, row, changes.get(row.id) ?? 0, fresh.has(row.id)) || changed;
    }
    if (turned) slide(kept, before);
    return changed;
  }
}

function standingLine() {
  const [place, moved, score, unit] = ["wall-place", "wall-moved", "wall-score", "wall-unit"].map((name) => el("span", { class: name }));
  const [who, note] = [fitted("wall-who"), fitted("wall-of")];
  const node = el("li", { class: "wall-row" }, place, moved, who, note, el("span", { class: "wall-total" }, score, unit));
  return { node, place, moved, who, note, score, unit };
}

/** @param {any} parts @param {Row} row @param {number} change @param {boolean} fresh @returns {boolean} */
function showRow(parts, row, change, fresh) {
  setText(parts.place, row.place || "–");
  setText(parts.moved, fresh ? "●" : change > 0 ? `▲${change}` : change < 0 ? `▼${-change}` : "");
  setText(parts.score, row.score);
  setText(parts.unit, row.score ? ` ${row.unit}` : row.note);
  setData(parts.node, "fresh", fresh);
  const renamed = setFitted(parts.who, row.entry);
  return setFitted(parts.note, [row.members.join(" · "), row.variant, row.score ? row.note : ""].filter(Boolean).join(" · ")) || renamed;
}

/** Lines move to their new places. @param {Map<string, {node: HTMLElement}>} lines @param {Map<string, number>} before */
function slide(lines, before) {
  if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
  for (const [id, { node }] of lines) {
    const from = before.get(id);
    if (from !== undefined && from !== node.offsetTop) node.animate([{ transform: `translateY(${from - node.offsetTop}px)` }, { transform: "none" }], { duration: MOVE_MS, easing: "ease-out" });
  }
}

/** First, second, third: names that are read from the far wall. */
export class PodiumSteps {
  #shown = "";

  constructor() {
    this.node = el("ol", { class: "wall-podium" });
  }

  /** @param {import("./facts.js").Podium} podium @returns {boolean} */
  show(podium) {
    const stamp = JSON.stringify(podium);
    if (stamp === this.#shown) return false;
    this.#shown = stamp;
    this.node.style.setProperty("--rows", String(Math.max(3, podium.lines.length)));
    fill(this.node, ...podium.lines.map(stepOf));
    return true;
  }
}

/** @param {import("./facts.js").Podium["lines"][number]} line */
function stepOf({ step, place, entry, members, score, colours, picture }) {
  const who = fitted("wall-step-who", entry);
  setData(who, "above", true); // the members' line keeps its height
  const words = el("div", { class: "wall-step-words" }, who, fitted("wall-step-of", members));
  return el("li", { class: "wall-step", "data-step": step }, el("span", { class: "wall-step-place" }, place), words, el("span", { class: "wall-step-score" }, ...clubSigns(colours), ...pictureOf(picture), score));
}
