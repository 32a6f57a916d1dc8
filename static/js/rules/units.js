// @ts-check
/**
 * Exact loads. A load is kept as it was declared: a decimal amount and its unit, compared through 1 lb = 0.45359237 kg exactly.
 * Twin of app/rules/values/units.py; both pass tests/vectors/units.json.
 */
import { say } from "../words/say.js";
import { compare, exact, floor, fraction, isMultiple, over, times } from "./fractions.js";

/** @typedef {import("./fractions.js").Fraction} Fraction */
/** @typedef {"kg" | "lb"} LoadUnit */
/** @typedef {{amount: string, unit: LoadUnit}} Load */
/** @typedef {"none" | "down" | "nearest"} Rounding */

/** @type {Record<LoadUnit, Fraction>} */
export const KG_IN = { kg: exact("1"), lb: exact("0.45359237") };
/** @type {Record<"mm" | "cm" | "m" | "km" | "in" | "ft" | "yd" | "mi", Fraction>} */
export const MM_IN = { mm: exact("1"), cm: exact("10"), m: exact("1000"), km: exact("1000000"), in: exact("25.4"), ft: exact("304.8"), yd: exact("914.4"), mi: exact("1609344") };
export const MOST_LOAD_KG = exact("2000");
const MOST_DECIMALS = 4;
const MOST_TYPED = 40;
const AMOUNT = /^\d{1,7}(\.\d{1,4})?$/;

/** Thrown when a typed load can't be understood; its message is the sentence to show. */
export class BadMeasure extends Error {}

/** A load alone, out of a mark that says more. @param {Load} load @returns {Load} */
export function plainLoad({ amount, unit }) {
  return { amount, unit };
}

/**
 * A load, or BadMeasure.
 * @param {string} amount
 * @param {string} unit
 * @returns {Load}
 */
export function load(amount, unit) {
  if (unit !== "kg" && unit !== "lb") throw new BadMeasure(say("load.unit", { said: shown(unit) }));
  if (!AMOUNT.test(amount)) {
    throw new BadMeasure(say("load.plain", { most: MOST_DECIMALS, said: shown(amount) }));
  }
  const made = Object.freeze({ amount, unit });
  if (compare(inKg(made), MOST_LOAD_KG) > 0) {
    throw new BadMeasure(say("load.most", { load: `${amount} ${unit}`, most: String(MOST_LOAD_KG.n) }));
  }
  return made;
}

/** The load in kilograms, exact. @param {Load} load @returns {Fraction} */
export function inKg({ amount, unit }) {
  return times(exact(amount), KG_IN[unit]);
}

/** The load in a unit, exact. @param {Load} load @param {LoadUnit} unit @returns {Fraction} */
export function inUnit(load, unit) {
  return over(inKg(load), KG_IN[unit]);
}

/** Which weighs more; 0 when they weigh the same, whatever unit they were declared in. @param {Load} a @param {Load} b */
export function compareLoads(a, b) {
  return compare(inKg(a), inKg(b));
}

/** Whether a load is a whole number of steps. @param {Load} load @param {Load} step */
export function onStep(load, step) {
  return isMultiple(inKg(load), inKg(step));
}

/** The load as people write it: `225 lb`. @param {Load} load */
export function loadText({ amount, unit }) {
  return `${plainDecimal(amount)} ${unit}`;
}

/** The load in its own unit and, rounded to a tenth, in the other: `225 lb (102.1 kg)`. @param {Load} load */
export function bothUnits(load) {
  const other = load.unit === "kg" ? "lb" : "kg";
  return `${loadText(load)} (${decimalText(inUnit(load, other), 1)} ${other})`;
}

/** `225.50` becomes `225.5` and `0225` becomes `225`. @param {string} amount */
export function plainDecimal(amount) {
  const [whole, part = ""] = amount.split(".", 2);
  const kept = part.replace(/0+$/, "");
  const front = whole.replace(/^0+/, "") || "0";
  return kept ? `${front}.${kept}` : front;
}

/**
 * `value` brought to a multiple of `step`: unchanged, down towards minus infinity, or to the nearest (halves away from zero).
 * @param {Fraction} value @param {Fraction} step @param {Rounding} how
 * @returns {Fraction}
 */
export function roundTo(value, step, how) {
  if (how === "none") return value;
  const steps = over(value, step);
  if (how === "down") return times(fraction(floor(steps)), step);
  const size = steps.n < 0n ? -steps.n : steps.n;
  const nearest = floor(fraction(size * 2n + steps.d, steps.d * 2n));
  return times(fraction(steps.n < 0n ? -nearest : nearest), step);
}

/**
 * A number as people read it: exact when it ends within `mostDecimals`, else rounded there (halves away from zero).
 * @param {Fraction} value
 * @param {number} [mostDecimals]
 */
export function decimalText(value, mostDecimals = 4) {
  const scale = 10n ** BigInt(mostDecimals);
  const scaled = roundTo(times(value, fraction(scale)), fraction(1n), "nearest").n;
  const digits = String(scaled < 0n ? -scaled : scaled).padStart(mostDecimals + 1, "0");
  const end = digits.length - mostDecimals;
  const part = digits.slice(end).replace(/0+$/, "");
  return (scaled < 0n ? "-" : "") + digits.slice(0, end) + (part ? `.${part}` : "");
}

// White space as the server's language counts it, so that both read the same text alike.
const SPACE = "[\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]";
const EDGES = new RegExp(`^${SPACE}+|${SPACE}+$`, "g");
const TYPED = new RegExp(`^([0-9.,'’\\u00a0 ]+?)${SPACE}*(kgs?|kilos?|kilograms?|lbs?|pounds?|#)?\\.?$`, "iu");

/**
 * A load as somebody typed it, in `unit` unless the text names one. A comma is a decimal mark when one or two digits (or four)
 * follow it; `1,250` could be either and is refused. Throws BadMeasure with the sentence to show.
 * @param {string} text
 * @param {LoadUnit} unit
 * @returns {Load}
 */
export function parseLoad(text, unit) {
  const typed = text.replace(EDGES, "");
  if (!typed) throw new BadMeasure(say("load.empty", { unit }));
  // Nobody types a longer load, and a long run of blanks would take the pattern long to refuse.
  const found = typed.length <= MOST_TYPED ? TYPED.exec(typed) : null;
  if (!found) throw notALoad(typed);
  const named = (found[2] ?? "").toLowerCase();
  const meant = named ? (named.startsWith("k") ? "kg" : "lb") : unit;
  return load(typedNumber(found[1].replace(EDGES, ""), typed), meant);
}

/** @param {string} number @param {string} typed @returns {string} */
function typedNumber(number, typed) {
  if (/^\d+,\d{3}$/.test(number)) {
    throw new BadMeasure(say("load.comma", { said: shown(typed), meant: number.replace(",", "") }));
  }
  const pointed = number.replace(/^(\d+),(\d+)$/, "$1.$2").replace(/^\.(?=\d+$)/, "0.");
  if (!/^\d+(\.\d*)?$/.test(pointed)) throw notALoad(typed);
  if (/^[0.]*$/.test(pointed)) throw new BadMeasure(say("load.zero"));
  return plainDecimal(pointed);
}

// What fingers and eyes take for a digit, and the two other slips that are worth a word of their own.
const WITH_LETTERS = /^([0-9OoIl.,]*[0-9][0-9OoIl.,]*?)[ \u00a0]*(kgs?|lbs?)?$/;
const WITH_SIGN = /^[-+\u2212\u2013] ?([0-9]{1,7}([.,][0-9]{1,2})?)$/;
const WITH_EXPONENT = /^[0-9]+(\.[0-9]+)?[eE][-+]?[0-9]+$/;

/** The sentence for a text that is no load, with what was probably meant. @param {string} typed */
function notALoad(typed) {
  const said = shown(typed);
  const lettered = typed.length <= MOST_TYPED ? WITH_LETTERS.exec(typed) : null;
  if (lettered && /[OoIl]/.test(lettered[1])) {
    const meant = lettered[1].replace(/[Oo]/g, "0").replace(/[Il]/g, "1");
    return new BadMeasure(say("load.letter", { said, meant }));
  }
  const signed = WITH_SIGN.exec(typed);
  if (signed) return new BadMeasure(say("load.sign", { said, meant: signed[1] }));
  if (WITH_EXPONENT.test(typed)) return new BadMeasure(say("load.exponent", { said }));
  return new BadMeasure(say("load.digits", { said }));
}

/**
 * What somebody typed, short and printable, to repeat it inside a sentence.
 * @param {string} typed
 * @param {number} [most]
 */
export function shown(typed, most = 40) {
  const clean = Array.from(typed, (c) => (c !== " " && /[\p{C}\p{Z}]/u.test(c) ? "\uFFFD" : c));
  return (clean.length <= most ? clean : [...clean.slice(0, most - 1), "…"]).join("");
}
