// @ts-check
import catalogue from "./en.js";

/**
 * The words that are said in more than one place: the twin of app/rules/values/words.py, and of the same catalogue.
 * Values in, words out.
 */

/** @typedef {{mod?: number, n: number[], but?: Rule}} Rule numbers, or what is left of them after `mod`, but not those of `but` */
/** @typedef {Rule & {form: string}} Form */
/** @typedef {{language: string, plural: Form[], words: Record<string, string | Record<string, string>>}} Catalogue */

const HOLE = /\{(\w+)\}/g;

/** @param {Rule} rule @param {number} n @returns {boolean} */
function fits(rule, n) {
  return rule.n.includes(rule.mod ? n % rule.mod : n) && !(rule.but && fits(rule.but, n));
}

/** Which form of a word a number takes in this language: "one", "few", "other". @param {Form[]} forms @param {number} n */
export function formOf(forms, n) {
  return forms.find((form) => fits(form, n))?.form ?? "other";
}

/**
 * A word or sentence of a catalogue with its holes filled; the hole `n` also chooses its form.
 * @param {Catalogue} from
 * @param {string} key
 * @param {Record<string, string | number>} [holes]
 */
export function sayFrom({ plural, words }, key, holes = {}) {
  const word = words[key];
  const text = typeof word === "string" ? word : (word[formOf(plural, Number(holes.n))] ?? word.other);
  return text.replace(HOLE, (_, hole) => String(holes[hole]));
}

/**
 * A word or sentence of the catalogue with its holes filled: say("marks", {n: 3}) is "3 marks".
 * @param {keyof typeof catalogue.words} key
 * @param {Record<string, string | number>} [holes]
 */
export function say(key, holes) {
  return sayFrom(catalogue, key, holes);
}
