// @ts-check
/** Wall lines, exactly, in millimetres; twin of app/rules/records/markings.py and of the tape in app/rules/values/lengths.py. */

import { compare, exact, fraction, over, plus, times } from "./fractions.js";
import { MM_IN, decimalText, roundTo } from "./units.js";
import { decimal, say } from "../words/say.js";

/** @typedef {import("./fractions.js").Fraction} Fraction */
/** @typedef {"in" | "cm"} TapeUnit */

/** A typed number on a tape, in millimetres. @param {string} value @param {TapeUnit} unit @returns {Fraction} */
export function tapeMm(value, unit) {
  return times(exact(value), MM_IN[unit]);
}

/** Millimetres as a number on a tape, with at most four decimals: what a mark says. @param {Fraction} mm @param {TapeUnit} unit */
export function tapeNumber(mm, unit) {
  return decimalText(over(mm, MM_IN[unit]));
}

/** The wall line under the wrists. @param {Fraction} reach @param {Fraction} drop both in millimetres @returns {Fraction} */
export function wallLine(reach, drop) {
  return plus(reach, fraction(-drop.n, drop.d));
}

/** Whether two measurements differ by more than the tolerance. @param {Fraction} one @param {Fraction} other @param {Fraction} tolerance */
export function differ(one, other, tolerance) {
  const apart = plus(one, fraction(-other.n, other.d));
  return compare(apart.n < 0n ? fraction(-apart.n, apart.d) : apart, tolerance) > 0;
}

/** A length in inches to the nearest eighth: `72 3/4`. @param {Fraction} mm */
function eighths(mm) {
  const all = roundTo(over(times(mm, fraction(8n)), MM_IN.in), fraction(1n), "nearest").n;
  const rest = fraction(all % 8n, 8n);
  const part = rest.n ? `${rest.n}/${rest.d}` : "";
  const whole = all / 8n;
  return whole && part ? `${whole} ${part}` : part || String(whole);
}

/** A length as it is read off a tape, and in brackets in the other unit. @param {Fraction} mm @param {TapeUnit} unit */
export function tapeText(mm, unit) {
  const cm = decimal(`${decimalText(over(mm, MM_IN.cm), 1)} cm`);
  return unit === "in" ? say("{eighths} in ({cm})", { eighths: eighths(mm), cm }) : say("{cm} ({inches} in)", { cm, inches: decimal(decimalText(over(mm, MM_IN.in), 1)) });
}
