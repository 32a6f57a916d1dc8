// @ts-check
/** The lanes of the heat on the floor, one line each: a bar as far as the lane has come, who, what is under way, how much. */
import { el, setData, setText } from "../../../parts/dom.js";
import { gaps, leaders, lengths } from "./facts.js";
import { fitNumbers, laneNumber, Names } from "./names.js";
import { fitted, setFitted } from "../../../parts/fit.js";
import { say } from "../../../words/say.js";

/** @typedef {import("./facts.js").Lane} Lane */
/** @typedef {import("./facts.js").Floor} Floor */

/** @typedef {{node: HTMLElement, bar: HTMLElement, place: HTMLElement, number: HTMLElement, who: HTMLElement, work: HTMLElement, now: HTMLElement, total: HTMLElement, gap: HTMLElement}} Line */

// Each line is laid out by itself: what is as wide as its numbers is made as wide as the longest of all lines, or as its column's name, so
// that they stand in line.
const NUMBERS = /** @type {const} */ ([["now", "wall-count"], ["total", "wall-total"], ["gap", "wall-gap"]]);
const COLUMNS = ["wall-place", "wall-number", "wall-who", "wall-work", "wall-count", "wall-total", "wall-gap"];

export class Lanes {
  /** @type {Map<string, Line>} */
  #lines = new Map();

  constructor() {
    this.names = new Names(COLUMNS);
    this.node = el("ol", { class: "wall-rows wall-named wall-lanes" }, this.names.node);
  }

  /**
   * @param {Lane[]} lanes in the order to show @param {Floor} floor @param {import("./facts.js").Group[]} groups @param {number | null} window the one at work; null for none
   * @param {{places?: Map<string, string>, lifting?: boolean}} [how] places: of each lane in this heat, once it is over; lifting: a
   *   bar is lifted in the window, so attempts and what is declared are shown
   * @returns {boolean} whether names have to be fitted anew
   */
  show(lanes, floor, groups, window, { places = new Map(), lifting = false } = {}) {
    const kept = new Map(lanes.map((lane) => [lane.id, this.#lines.get(lane.id) ?? line()]));
    const order = [this.names.node, ...[...kept.values()].map(({ node }) => node)];
    const turned = order.length !== this.node.children.length || order.some((node, i) => this.node.children[i] !== node);
    if (turned) this.node.replaceChildren(...order);
    this.#lines = kept;
    this.node.style.setProperty("--rows", String(Math.max(1, lanes.length)));
    fitNumbers(this.node, lanes);
    const [drawn, leading, apart] = [lengths(lanes), leaders(groups), gaps(groups)];
    const several = JSON.parse(floor.clock).windows.filter((/** @type {{task: string | null}} */ one) => one.task).length > 1;
    let changed = turned;
    for (const lane of lanes) {
      const parts = /** @type {Line} */ (kept.get(lane.id));
      changed = showLine(parts, saidOf(lane, window, several, lifting)) || changed;
      showBar(parts.bar, drawn.get(lane.id) ?? null);
      setData(parts.node, "leads", leading.has(lane.id));
      setText(parts.place, places.get(lane.id) ?? "");
      setText(parts.gap, apart.get(lane.id) ?? "");
    }
    const has = {
      placed: places.size > 0,
      apart: lanes.some((lane) => apart.get(lane.id)),
      several: (several || lifting) && window !== null,
      work: lanes.some((lane) => saidOf(lane, window, several, lifting).work),
    };
    for (const [name, there] of Object.entries(has)) setData(this.node, name, there);
    this.names.show(namesOf(floor, has, lifting, window));
    for (const [name, column] of NUMBERS) {
      this.node.style.setProperty(`--${name}-signs`, String(longest([...kept.values()].map((parts) => parts[name]))));
      this.node.style.setProperty(`--${name}-name`, String(this.names.signs(column)));
    }
    return changed;
  }
}

/**
 * What each column is called; nothing where there is none.
 * @param {Floor} floor @param {{placed: boolean, apart: boolean, several: boolean, work: boolean}} has @param {boolean} lifting @param {number | null} window
 */
function namesOf({ unit }, has, lifting, window) {
  return {
    "wall-place": has.placed ? say("Place") : "",
    "wall-number": say("Lane"),
    "wall-who": say("Entry"),
    "wall-work": !has.work || window === null ? "" : lifting ? say("Attempts") : say("Under way"),
    "wall-count": !has.several ? "" : lifting ? say("Declared") : say("This window"),
    "wall-total": unit ? `${say("Total")}, ${unit}` : say("Total"),
    "wall-gap": has.apart ? say("Gap") : "",
  };
}

/** @param {HTMLElement[]} texts @returns {number} how many signs the longest has */
function longest(texts) {
  return Math.max(0, ...texts.map(({ textContent }) => textContent?.length ?? 0));
}

/** @returns {Line} */
function line() {
  const bar = el("span", { class: "wall-bar", "aria-hidden": "true" });
  const [place, now, total, gap] = ["wall-place", "wall-count", "wall-total", "wall-gap"].map((name) => el("span", { class: name }));
  const lane = laneNumber();
  const [who, work] = [fitted("wall-who"), fitted("wall-work")];
  const node = el("li", { class: "wall-row" }, bar, place, lane.node, who, work, now, total, gap);
  return { node, bar, place, number: lane.number, who, work, now, total, gap };
}

/** @typedef {{lane: Lane, count: string, work: string}} Said what a line says beside who and how much in all */

/** @param {Lane} lane @param {number | null} window @param {boolean} several windows with work @param {boolean} lifting @returns {Said} */
function saidOf(lane, window, several, lifting) {
  const lifts = lifting ? lane.lifts.find(({ shown }) => shown.window === window)?.shown : undefined;
  const count = window === null ? "" : lifts ? lifts.declared : lane.counts[window] ?? "";
  const tries = lifts?.attempts.map(({ load, sign }) => `${load.split(" ")[0]}${sign}`).join("  ");
  const work = lane.stopped ? say("stopped") : tries || (window !== null && lane.work[window]) || lane.variant;
  return { lane, count: several || lifts ? count : "", work };
}

/** @param {Line} parts @param {Said} said @returns {boolean} */
function showLine(parts, { lane, count, work }) {
  setText(parts.number, lane.lane);
  setData(parts.node, "stopped", lane.stopped);
  setText(parts.now, count);
  setText(parts.total, lane.score || "–");
  const renamed = setFitted(parts.who, lane.entry);
  return setFitted(parts.work, work) || renamed;
}

/** @param {HTMLElement} bar @param {number | null} part */
function showBar(bar, part) {
  bar.hidden = part === null;
  const place = `scaleX(${(part ?? 0).toFixed(4)})`;
  if (bar.style.transform !== place) bar.style.transform = place;
}
