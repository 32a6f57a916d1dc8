// @ts-check
/** One lane, one tablet at a time. Twin of app/rules/count/one_tablet.py, where the rule is said in words. */

import { JUDGED } from "./kinds.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * The marks of one window that a second tablet made while the first was at work; they do not count.
 * @param {Mark[]} marks standing ones, in order @param {number} quietMs of the format
 * @returns {Set<string>} their ids
 */
export function doubled(marks, quietMs) {
  /** @type {Map<string, Mark[]>} */
  const byDevice = new Map();
  for (const mark of marks) {
    if (!JUDGED.has(mark.kind)) continue;
    const own = byDevice.get(mark.device);
    if (own) own.push(mark);
    else byDevice.set(mark.device, [mark]);
  }
  /** @type {Set<string>} */
  const extra = new Set();
  if (byDevice.size < 2) return extra;
  const sheets = new Set(marks.map((mark) => mark.sheet));
  if (sheets.size > 1) {
    return new Set([...sheets].flatMap((sheet) => [...doubled(marks.filter((mark) => mark.sheet === sheet), quietMs)]));
  }
  /** @type {number[]} */
  let held = [];
  for (const own of byDevice.values()) {
    const clean = !held.length || own[0].at >= held[held.length - 1];
    const over = clean ? [] : own.filter((mark) => near(held, mark.at, quietMs));
    for (const mark of over) extra.add(mark.id);
    held = [...held, ...own.filter((mark) => !extra.has(mark.id)).map((mark) => mark.at)].sort((a, b) => a - b);
  }
  return extra;
}

/** Whether a time in `held`, which is sorted, lies within `quietMs` of `at`. @param {number[]} held @param {number} at @param {number} quietMs */
function near(held, at, quietMs) {
  let [low, high] = [0, held.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (held[middle] < at - quietMs) low = middle + 1;
    else high = middle;
  }
  return low < held.length && held[low] <= at + quietMs;
}
