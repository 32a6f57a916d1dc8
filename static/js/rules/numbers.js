// @ts-check
/**
 * One number of a tablet's life has one mark, and one id says one thing: of two marks that share either, the one counts that was decided
 * on, else neither. Twin of app/rules/records/numbers.py, among the marks that a tablet has.
 */
import { byText } from "./order.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {Record<string, string>} Counting by number, the id of the mark that counts; empty while none does */

/** @param {Mark[]} marks @param {Counting} [counting] what the desk knows of numbers that were used twice @returns {Mark[]} */
export function oneOfEachNumber(marks, counting = {}) {
  /** @type {Map<string, Mark>} */
  const first = new Map();
  const doubled = new Set();
  for (const mark of marks) {
    for (const key of [mark.id, numberOf(mark)]) {
      const known = first.get(key);
      if (!known) first.set(key, mark);
      else if (known !== mark && said(known) !== said(mark)) for (const one of [known, mark]) doubled.add(numberOf(one));
    }
  }
  const counts = (/** @type {Mark} */ mark) => counting[numberOf(mark)] ?? (doubled.has(numberOf(mark)) ? "" : mark.id);
  return marks.filter((mark) => counts(mark) === mark.id);
}

/** Which number of which life of which tablet a mark has. @param {Mark} mark */
function numberOf({ device, epoch, seq }) {
  return `${device}/${epoch}/${seq}`;
}

/** All that a mark says, but for what is private and decides nothing. @param {Mark} mark */
function said({ id, sheet, device, epoch, seq, kind, at, err, win, body }) {
  const open = Object.entries(body).filter(([name]) => !ROWS.kinds[kind]?.private.includes(name));
  return JSON.stringify([id, sheet, device, epoch, seq, kind, at, err, win ?? null, open.sort((a, b) => byText(a[0], b[0]))]);
}
