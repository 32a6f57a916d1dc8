// @ts-check
/** The kinds of mark: what belongs to which work, and what each is called. Of the same rows as app/rules/records/kinds.py. */
import { decimal, say } from "../words/say.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./rows.js").KindRow} KindRow */

const HOLE = /\{(\w+)\}/g;

/** @param {(row: KindRow) => boolean} test @returns {Set<string>} */
const those = (test) => new Set(Object.entries(ROWS.kinds).flatMap(([kind, row]) => (test(row) ? [kind] : [])));

/** What makes a sheet more than empty. */
export const PLACED = those(({ work }) => work.length > 0);
/** A window may be prepared for and cleared up after: these need not fall inside it. */
export const UNTIMED = those(({ work, timed }) => work.length > 0 && !timed);
/** The lane's word on the bar. */
export const OF_THE_BAR = those(({ of_the_bar }) => of_the_bar);
/** What is judged; the rest of what is placed is the lane's word on the bar. */
export const JUDGED = those(({ work, of_the_bar }) => work.length > 0 && !of_the_bar);

/** What belongs to lifts alone: only these say in which life of a clock they were made. */
export const OF_LIFTS = those(({ work }) => work.join() === "lift");

/** The kinds that belong to windows of a kind of task. @param {string} task */
export const fitting = (task) => those(({ work }) => work.includes(task));

/** A mark in the words of its kind. @param {Mark} mark @param {"told" | "listed"} which */
export function kindWords(mark, which) {
  const { load, good } = mark.body;
  const holes = { ...mark.body, load: load && decimal(`${load.amount} ${load.unit}`), verdict: good ? say("good") : say("no") };
  return (ROWS.kinds[mark.kind]?.[which] ?? mark.kind).replace(HOLE, (_, hole) => String(holes[hole]));
}
