// @ts-check
import { decimalText, loadText } from "../rules/units.js";
import { exact } from "../rules/fractions.js";
import { sideText } from "./onbar.js";
import { el, svg } from "./dom.js";
import { decimal, say } from "../words/say.js";

/**
 * One side of a bar drawn to scale, a millimetre a unit: the sleeve with its plates, number and unit on each. A plate too thin for
 * them has them below, at the end of a line. Colour is a help to those who know it, never all that is said.
 */

/** @typedef {import("../rules/plates.js").Kit} Kit */
/** @typedef {import("../rules/plates.js").Side} Side */

const SHAFT = 70; // of the bar inside the sleeve, in mm: enough to see that it goes on
const WIDE_ENOUGH = 38; // mm of thickness that hold a number
const LABEL = 62; // mm that a number below takes
const LOWEST = 225; // the largest disc of the standards is 450 mm across

/**
 * The drawing. `fresh`: how many plates from the inside on are there already; those beyond are drawn as new.
 * @param {Kit} kit @param {Side} side @param {{fresh?: number}} [options]
 */
export function drawBar(kit, side, { fresh = side.length } = {}) {
  const plates = placed(kit, side);
  const thick = plates.at(-1)?.end ?? 0;
  const length = Math.max(kit.sleeve_mm, thick) + 15;
  const reach = Math.max(LOWEST, ...plates.map(({ kind }) => kind.across_mm / 2));
  const thin = plates.filter(({ kind }) => kind.thick_mm < WIDE_ENOUGH);
  const below = thin.length ? 112 : 8;
  const right = Math.max(length, SHAFT + thin.length * LABEL);
  const box = `${-SHAFT} ${-reach - 6} ${right + SHAFT} ${2 * reach + 6 + below}`;
  const spoken = side.length ? say("One side, from inside: {side}", { side: sideText(kit, side) }) : say("The empty bar");
  return svg(
    "svg",
    { class: "bar-drawing", viewBox: box, preserveAspectRatio: "xMinYMid meet", role: "bar", "aria-label": spoken },
    svg("rect", { class: "bar-shaft", x: -SHAFT, y: -14, width: SHAFT, height: 28 }),
    svg("rect", { class: "bar-stop", x: -12, y: -38, width: 12, height: 76 }),
    svg("rect", { class: "bar-sleeve", x: 0, y: -25, width: length, height: 50 }),
    ...plates.map((plate, index) => drawPlate(plate, index >= fresh)),
    ...drawLabels(thin, reach, right),
  );
}

/** @typedef {{kind: import("../rules/plates.js").Kind, start: number, end: number, middle: number}} Placed */

/** @param {Kit} kit @param {Side} side @returns {Placed[]} */
function placed(kit, side) {
  let end = 0;
  return side.map((number) => {
    const kind = kit.kinds[number];
    const start = end;
    end += kind.thick_mm;
    return { kind, start, end, middle: (start + end) / 2 };
  });
}

/** @param {Placed} plate @param {boolean} fresh */
function drawPlate({ kind, start, middle }, fresh) {
  const half = kind.across_mm / 2;
  const group = svg(
    "g",
    { class: "bar-plate-group", "data-colour": kind.colour ?? "", "data-fresh": fresh, "data-weight": loadText(kind.weight) },
    svg("rect", { class: "bar-plate", x: start + 1, y: -half, width: Math.max(4, kind.thick_mm - 2), height: 2 * half, rx: 5 }),
  );
  if (kind.thick_mm >= WIDE_ENOUGH) group.append(number(kind, middle, 6, kind.thick_mm > 50 ? 36 : 28));
  return group;
}

/** A plate's number, its unit under it. @param {import("../rules/plates.js").Kind} kind @param {number} x @param {number} y @param {number} size */
function number({ weight }, x, y, size) {
  const [amount, unit] = [decimal(decimalText(exact(weight.amount), 3)), weight.unit];
  const small = amount.length > 2 ? size * 0.72 : size;
  return svg(
    "g",
    { class: "bar-number" },
    svg("text", { x, y, "font-size": small, "text-anchor": "middle" }, amount),
    svg("text", { x, y: y + size * 0.72, "font-size": size * 0.62, "text-anchor": "middle" }, unit),
  );
}

/** The numbers of thin plates, spread so that none covers another, each at the end of a line. @param {Placed[]} thin @param {number} reach @param {number} right */
function drawLabels(thin, reach, right) {
  const places = spread(thin.map(({ middle }) => middle), right - LABEL / 2);
  const top = reach + 34;
  return thin.map(({ kind, middle }, index) =>
    svg(
      "g",
      { class: "bar-label" },
      svg("path", { d: `M${middle} ${kind.across_mm / 2} V${reach + 6} L${places[index]} ${top - 4}` }),
      number(kind, places[index], top + 34, 40),
    ),
  );
}

/** Places at least a label apart, as near to where they belong as order and edge allow. @param {number[]} wanted @param {number} most */
function spread(wanted, most) {
  const places = [];
  for (const want of wanted) places.push(Math.max(want, (places.at(-1) ?? -Infinity) + LABEL));
  let edge = most;
  for (let index = places.length - 1; index >= 0; index -= 1) {
    places[index] = Math.min(places[index], edge);
    edge = places[index] - LABEL;
  }
  return places;
}

/** A plate as a sign among words: a bar of its colour and size, number, unit. @param {import("../rules/plates.js").Kind} kind @param {number} [count] */
export function plateSign(kind, count = 1) {
  const words = decimal(loadText(kind.weight));
  return el(
    "span",
    { class: "plate-sign", "data-colour": kind.colour ?? "" },
    svg("svg", { class: "plate-edge", viewBox: "0 0 10 46", "aria-hidden": "true" }, svg("rect", { class: "bar-plate", x: 1, y: 23 - size(kind), width: 8, height: 2 * size(kind), rx: 2 })),
    count > 1 ? `${count} × ${words}` : words,
  );
}

/** @param {import("../rules/plates.js").Kind} kind */
const size = (kind) => Math.min(22, Math.max(6, (kind.across_mm / 450) * 22));
