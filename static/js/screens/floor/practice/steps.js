// @ts-check
/** What a practice heat asks for next: each key once. Values in, words out. */

import { byCall } from "../../../rules/lifting/bars.js";
import { listPosition } from "../lane/list.js";
import { say } from "../../../words/say.js";

/** @typedef {import("../../../device/outbox.js").Mark} Mark */
/** @typedef {{kind: string, rack?: boolean, attempt_seconds?: number | null, items?: any[], rounds?: number | null}} Task */

/** The keys in the order in which each kind of work asks for them. @type {Record<string, string[]>} */
const ASKS = {
  count: ["rep", "norep", "back"],
  list: ["rep", "norep", "back", "through", "finish"],
  lift: ["declare", "called", "begun", "lift", "racked"],
  measure: ["measure"],
};

/** @type {Record<string, string>} */
const SAYS = {
  rep: say("Tap the large pane: that is one good rep."),
  "rep.shared": say("Tap the name of whoever did it: that is one good rep of theirs."),
  norep: say("Now tap “No rep”: that one was not good. It counts for nothing and takes nothing off."),
  back: say("That was a slip? “Take back last” takes it back. Try it."),
  through: say("Tap through the rest of this short list."),
  finish: say("The list is done: tap “Finish”."),
  declare: say("Read the load back to the lifter, then declare it."),
  "declare.shared": say("Tap who lifts. Read the load back to them, then declare it."),
  called: say("The lifter is called to the bar: tap “Lifter called”."),
  begun: say("The lifter begins: tap “Bar leaves the rack”."),
  "begun.floor": say("The lifter begins: tap “Bar leaves the floor”."),
  lift: say("Judge it: “Good lift” or “No lift”."),
  racked: say("The bar is back: tap “Bar racked”."),
  "racked.floor": say("The bar is down: tap “Bar down”."),
  measure: say("Type a number as you read it, then tap “Enter”."),
};

/** Which steps are done, by what stands on the sheet. @type {Record<string, (found: {kinds: Set<string>, made: Set<string>, task: Task, tally: any}) => boolean>} */
const DONE = {
  back: ({ made }) => made.has("strike"),
  rep: ({ made }) => made.has("rep"),
  norep: ({ made }) => made.has("norep"),
  through: ({ task, tally }) => listPosition(/** @type {any} */ (task), tally.count).complete,
  called: ({ kinds, task }) => !task.attempt_seconds || !byCall(task) || ["called", "begun", "lift"].some((kind) => kinds.has(kind)),
  begun: ({ kinds }) => kinds.has("begun") || kinds.has("lift"),
};

/**
 * The step that comes next in a window, null when each was done once.
 * @param {Task} task @param {Mark[]} marks of the window, struck ones too @param {string[]} struck ids @param {any} tally of the window
 */
export function nextStep(task, marks, struck, tally) {
  const kinds = new Set(marks.filter(({ id }) => !struck.includes(id)).map(({ kind }) => kind));
  const found = { kinds, made: new Set(marks.map(({ kind }) => kind)), task, tally };
  return ASKS[task.kind].find((step) => !(DONE[step]?.(found) ?? kinds.has(step))) ?? null;
}

/** A step in words. @param {string} step @param {Task} task @param {boolean} shared whether any of several may do the work */
export function stepWords(step, task, shared) {
  return (shared && SAYS[`${step}.shared`]) || (task.rack === false && SAYS[`${step}.floor`]) || SAYS[step];
}
