// @ts-check
import { svg } from "./dom.js";

/**
 * Counting as hands do it: four strokes and a bar across, fifty to a row (twenty-five where the space is narrow).
 * One path per gate, so a count of 250 is fifty paths, and a new stroke redraws its own gate only.
 */

const CELL = { width: 30, height: 34 }; // one gate and the space after it, in drawing units
const ROW_GAP = 8;
const LEAST_ROWS = { wide: 5, narrow: 10 }; // room for 250 before anything is drawn smaller
const WIDE = { across: 10, rows: LEAST_ROWS.wide };
const NARROW = { across: 5, rows: LEAST_ROWS.narrow };

/** The same small irregularity each time, so that a redrawn stroke does not jump. @param {number} n @param {number} salt @returns {number} -1 to 1 */
function sway(n, salt) {
  const mixed = Math.sin(n * 127.1 + salt * 311.7) * 43758.5453;
  return (mixed - Math.floor(mixed)) * 2 - 1;
}

/** Stroke `n` (0 is the first) of a gate that starts at x, y. @param {number} n @param {number} x @param {number} y */
function strokePath(n, x, y) {
  const inGate = n % 5;
  if (inGate === 4) {
    const rise = sway(n, 1) * 1.5;
    return `M${(x - 2.5).toFixed(1)} ${(y + 23 + rise).toFixed(1)}Q${x + 10} ${(y + 16 + rise).toFixed(1)} ${(x + 22.5).toFixed(1)} ${(y + 7.5 + rise).toFixed(1)}`;
  }
  const top = x + 1 + inGate * 6 + sway(n, 2) * 0.7;
  const foot = top + sway(n, 3) * 1.1 - 0.6;
  const bend = (top + foot) / 2 + sway(n, 4) * 0.8;
  return `M${top.toFixed(1)} ${(y + 1 + sway(n, 5)).toFixed(1)}Q${bend.toFixed(1)} ${y + 15} ${foot.toFixed(1)} ${(y + 29 + sway(n, 6)).toFixed(1)}`;
}

export class Strokes {
  #count = 0;
  #layout = WIDE;
  #rows = WIDE.rows;
  /** @type {SVGPathElement[]} */
  #gates = [];

  constructor() {
    this.fresh = svg("path", { class: "fresh" });
    this.node = svg("svg", { class: "strokes", "aria-hidden": "true", preserveAspectRatio: "xMidYMid meet" }, this.fresh);
    this.#frame();
    new ResizeObserver(([entry]) => this.#fit(entry.contentRect)).observe(this.node);
  }

  /** Shows a count. @param {number} count */
  show(count) {
    if (count === this.#count) return;
    const rows = Math.max(this.#layout.rows, Math.ceil(count / (this.#layout.across * 5)));
    const one = count === this.#count + 1;
    this.#count = count;
    if (rows !== this.#rows) {
      this.#rows = rows;
      this.#frame();
    }
    if (one) this.#drawGate(Math.floor((count - 1) / 5));
    else this.#drawAll();
    this.#drawFresh(one);
  }

  /** @param {{width: number, height: number}} space */
  #fit({ width, height }) {
    const layout = width > height ? WIDE : NARROW;
    if (layout === this.#layout) return;
    this.#layout = layout;
    this.#rows = Math.max(layout.rows, Math.ceil(this.#count / (layout.across * 5)));
    this.#frame();
    this.#drawAll();
    this.#drawFresh(false);
  }

  #frame() {
    const width = this.#layout.across * CELL.width + CELL.width / 3;
    this.node.setAttribute("viewBox", `-4 -2 ${width} ${this.#rows * (CELL.height + ROW_GAP) - ROW_GAP + 2}`);
  }

  #drawAll() {
    const gates = Math.ceil(this.#count / 5);
    while (this.#gates.length > gates) this.#gates.pop()?.remove();
    for (let gate = 0; gate < gates; gate += 1) this.#drawGate(gate);
  }

  /** @param {number} gate */
  #drawGate(gate) {
    let path = this.#gates[gate];
    if (!path) {
      path = svg("path");
      this.#gates[gate] = path;
      this.node.insertBefore(path, this.fresh);
    }
    const last = Math.min(this.#count, gate * 5 + 5);
    let d = "";
    for (let n = gate * 5; n < last; n += 1) d += this.#stroke(n);
    path.setAttribute("d", d);
  }

  /** The stroke just made, brighter. @param {boolean} drawn whether it is drawn before one's eyes */
  #drawFresh(drawn) {
    const fresh = svg("path", { class: "fresh", pathLength: 1, "data-drawn": drawn });
    if (this.#count > 0) fresh.setAttribute("d", this.#stroke(this.#count - 1));
    this.fresh.replaceWith(fresh);
    this.fresh = fresh;
  }

  /** @param {number} n */
  #stroke(n) {
    const gate = Math.floor(n / 5);
    const across = gate % this.#layout.across;
    const aisle = across >= this.#layout.across / 2 && this.#layout === WIDE ? CELL.width / 3 : 0;
    return strokePath(n, across * CELL.width + aisle, Math.floor(gate / this.#layout.across) * (CELL.height + ROW_GAP));
  }
}
