// @ts-check
import { svg } from "./dom.js";

/**
 * Counting as hands do it: four strokes and a bar across, fifty to a row (twenty-five where the space is narrow).
 * One path per gate, so a count of 250 is fifty paths, and a new stroke redraws its own gate only.
 */

const ROW = { height: 34, gap: 8 }; // one row of gates and the space below it, in drawing units
const GATE = { least: 27, most: 54 }; // how wide a gate and the space after it may become to fill the place
const LEAST_ROWS = { wide: 5, narrow: 10 }; // room for 250 before anything is drawn smaller
const WIDE = { across: 10, rows: LEAST_ROWS.wide };
const NARROW = { across: 5, rows: LEAST_ROWS.narrow };

/** The same small irregularity each time, so that a redrawn stroke does not jump. @param {number} n @param {number} salt @returns {number} -1 to 1 */
function sway(n, salt) {
  const mixed = Math.sin(n * 127.1 + salt * 311.7) * 43758.5453;
  return (mixed - Math.floor(mixed)) * 2 - 1;
}

/** Stroke `n` (0 is the first) of a gate that starts at x, y. @param {number} n @param {number} x @param {number} y @param {number} apart */
function strokePath(n, x, y, apart) {
  const inGate = n % 5;
  if (inGate === 4) {
    const rise = sway(n, 1) * 1.5;
    const [left, middle, right] = [x - apart * 0.5, x + apart * 1.6, x + apart * 3.7];
    return `M${round(left)} ${round(y + 23 + rise)}Q${round(middle)} ${round(y + 16 + rise)} ${round(right)} ${round(y + 7.5 + rise)}`;
  }
  const top = x + 1 + inGate * apart + sway(n, 2) * 0.7;
  const foot = top + sway(n, 3) * 1.1 - 0.6;
  const bend = (top + foot) / 2 + sway(n, 4) * 0.8;
  return `M${round(top)} ${round(y + 1 + sway(n, 5))}Q${round(bend)} ${round(y + 15)} ${round(foot)} ${round(y + 29 + sway(n, 6))}`;
}

/** @param {number} n */
const round = (n) => n.toFixed(1);

export class Strokes {
  #count = 0;
  #layout = WIDE;
  #rows = WIDE.rows;
  #gate = 30;
  #aspect = 1.5;
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
    const room = rows === this.#rows;
    if (!room) {
      this.#rows = rows;
      this.#frame();
    }
    if (one && room) this.#drawGate(Math.floor((count - 1) / 5));
    else this.#drawAll();
    this.#drawFresh();
  }

  /** @param {{width: number, height: number}} space */
  #fit({ width, height }) {
    if (!width || !height || width / height === this.#aspect) return;
    this.#aspect = width / height;
    this.#layout = width > height ? WIDE : NARROW;
    this.#rows = Math.max(this.#layout.rows, Math.ceil(this.#count / (this.#layout.across * 5)));
    this.#frame();
    this.#drawAll();
    this.#drawFresh();
  }

  #frame() {
    const height = this.#rows * (ROW.height + ROW.gap) - ROW.gap;
    const gates = this.#layout.across + (this.#layout === WIDE ? 1 / 3 : 0);
    this.#gate = Math.min(GATE.most, Math.max(GATE.least, (height * this.#aspect) / gates));
    this.node.setAttribute("viewBox", `-4 -1 ${round(gates * this.#gate)} ${height}`);
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

  /** The stroke just made is brighter. It is not drawn before one's eyes: each such frame would be taken from the next touch. */
  #drawFresh() {
    this.fresh.setAttribute("d", this.#count > 0 ? this.#stroke(this.#count - 1) : "");
  }

  /** @param {number} n */
  #stroke(n) {
    const gate = Math.floor(n / 5);
    const across = gate % this.#layout.across;
    const aisle = across >= this.#layout.across / 2 && this.#layout === WIDE ? 1 / 3 : 0;
    const y = Math.floor(gate / this.#layout.across) * (ROW.height + ROW.gap);
    return strokePath(n, (across + aisle) * this.#gate, y, this.#gate / 5);
  }
}
