// @ts-check
/** One lane, one tablet at a time. Twin of app/rules/count/one_tablet.py, where the rule is said in words. */

import { JUDGED } from "./kinds.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {Map<string, number[]>} Places of each tablet, the places of its marks in the order of all */

/**
 * The marks of one window that a second tablet made while another was at work; they do not count.
 * @param {Mark[]} marks standing ones, in order @param {number} quietMs of the format
 * @returns {Set<string>} their ids
 */
export function doubled(marks, quietMs) {
  const sheets = new Set(marks.map((mark) => mark.sheet));
  if (sheets.size > 1) {
    return new Set([...sheets].flatMap((sheet) => [...doubled(marks.filter((mark) => mark.sheet === sheet), quietMs)]));
  }
  const judged = marks.filter((mark) => JUDGED.has(mark.kind));
  /** @type {Places} */
  const places = new Map();
  for (const { device } of judged) places.set(device, []);
  for (const [place, { device }] of judged.entries()) places.get(device)?.push(place);
  if (places.size < 2) return new Set();
  const kept = most(judged, places, quietMs);
  return new Set(judged.flatMap(({ id }, place) => (kept.has(place) ? [] : [id])));
}

/** The most marks of which no two are doubled: from the last backwards, how many can still follow each. @param {Mark[]} marks @param {Places} places @param {number} quietMs @returns {Set<number>} their places */
function most(marks, places, quietMs) {
  /** @type {number[]} */
  const after = [];
  /** @type {number[]} */
  const many = [...marks.map(() => 0), 0]; // behind the last mark follows none
  const better = (/** @type {number} */ a, /** @type {number} */ b) => (many[b] > many[a] || (many[b] === many[a] && b < a) ? b : a);
  for (let place = marks.length - 1; place >= 0; place -= 1) {
    after[place] = [...places.values()].map((theirs) => next(marks, places, place, theirs, quietMs)).reduce(better);
    many[place] = 1 + many[after[place]];
  }
  const kept = new Set();
  for (let place = marks.map((_, one) => one).reduce(better); place < marks.length; place = after[place]) kept.add(place);
  return kept;
}

/** The first mark of a tablet (`theirs`) that may count after another mark, by its place; behind the last if there is none. @param {Mark[]} marks @param {Places} places @param {number} place @param {number[]} theirs @param {number} quietMs */
function next(marks, places, place, theirs, quietMs) {
  const own = /** @type {number[]} */ (places.get(marks[place].device));
  const at = (/** @type {number | undefined} */ one) => marks[one ?? 0].at;
  const mixed = own !== theirs && at(own.at(-1)) > at(theirs[0]) && at(theirs.at(-1)) > at(own[0]);
  const found = theirs.find((one) => one > place && (!mixed || at(one) > at(place) + quietMs));
  return found ?? marks.length;
}
