// @ts-check
import { catalogue } from "./en.js";

/**
 * What people read, in their language: the twin of app/rules/values/words.py. A sentence in English with named holes is its own key;
 * rows of the catalogue have names. The page's script comes with both in its language. Values in, words out.
 */

/** @typedef {{mod?: number, n: number[], but?: Rule}} Rule numbers, or what is left of them after `mod`, but not those of `but` */
/** @typedef {Rule & {form: string}} Form */
/** @typedef {{language: string, point: string, plural: Form[], words: Record<string, string | Record<string, string>>}} Catalogue */

const HOLE = /\{(\w+)\}/g;

/** @param {Rule} rule @param {number} n @returns {boolean} */
function fits(rule, n) {
  return rule.n.includes(rule.mod ? n % rule.mod : n) && !(rule.but && fits(rule.but, n));
}

/** Which form of a word a number takes in this language: "one", "few", "other". @param {Form[]} forms @param {number} n */
function formOf(forms, n) {
  return forms.find((form) => fits(form, n))?.form ?? "other";
}

/**
 * A word or sentence of a catalogue with its holes filled; the hole `n` also chooses its form.
 * @param {Catalogue} from
 * @param {string} key
 * @param {Record<string, string | number>} [holes]
 */
export function sayFrom({ plural, words }, key, holes = {}) {
  const word = words[key] ?? key;
  const text = typeof word === "string" ? word : (word[formOf(plural, Number(holes.n))] ?? word.other);
  return text.replace(HOLE, (_, hole) => String(holes[hole]));
}

/** What goes into a sentence that is shown: a name that runs from right to left turns nothing beside it (isolates of UAX #9). @param {string | number} hole */
const apart = (hole) => (/[\u0590-\u065f\u066a-\u06ef\u06fa-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/.test(String(hole)) ? `\u2068${hole}\u2069` : hole);

/**
 * A sentence or a word with its holes filled: say("marks", {n: 3}) is "3 marks", say("Heat {number}", {number: 2}) "Heat 2".
 * @param {string} key
 * @param {Record<string, string | number>} [holes]
 */
export function say(key, holes) {
  return sayFrom(/** @type {Catalogue} */ (catalogue), key, holes && Object.fromEntries(Object.entries(holes).map(([name, hole]) => [name, apart(hole)])));
}

/** What stands before the decimals in this language. */
export const POINT = catalogue.point;

/** How times of day are written: as the browser has it, but in the language of the page where that is another than English. */
export const LOCALES = catalogue.language === "en" ? [] : [catalogue.language];

/** A name inside a sentence: in English it begins small, unless it is written in capitals; other languages leave it. @param {string} name */
export const inside = (name) => (catalogue.language === "en" && /^.\p{Ll}/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name);

/** A text that somebody wrote, in this language where it is one of ours; else as it stands. @param {string} text */
export function known(text) {
  const word = /** @type {Catalogue} */ (catalogue).words[text];
  return typeof word === "string" ? word : text;
}

/** A text made of numbers alone (a load, a time, a measure) with this language's decimal sign. @param {string} text */
export function decimal(text) {
  return POINT === "." ? text : text.replace(/(^|[^\d.])(\d+)\.(?=\d+(?![\d.]))/g, `$1$2${POINT}`);
}
