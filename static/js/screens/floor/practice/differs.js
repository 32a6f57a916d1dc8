// @ts-check
import { say } from "../../../words/say.js";
/** The one thing that an event asks of its judge and another does not. Values in, words out. */

/** @typedef {import("../lane/words.js").Format} Format */
/** @typedef {{task: any, format: Format, any: boolean}} Work */

/** @param {Work} work */
function ofCount({ task, format, any }) {
  if (task.target !== null && (task.miss_puts_out || format.miss_puts_out)) return `${asked(task)} ${say("Whoever misses that is out: later windows score nothing.")}`;
  if (task.target !== null) return `${asked(task)} ${say("More than that scores nothing.")}`;
  return any ? say("Any of them may do it: for each good rep tap the name of whoever did it.") : say("One tap for each good rep. A no-rep takes nothing off.");
}

/** @param {any} task */
function asked({ target, grows }) {
  return grows ? say("Good reps asked for: {target} in the first window, {grows} more in each later one.", { target, grows }) : say("Good reps asked for in each window: {target}.", { target });
}

/** @param {Work} work */
function ofList({ task, format }) {
  const large = task.items.find((/** @type {any} */ item) => item.worth > 1);
  if (format.miss_puts_out && task.rounds !== null) return say("Whoever does not finish the list is out: later windows score nothing.");
  const idle = task.items.find((/** @type {any} */ item) => item.worth === 0);
  if (idle) return say("{name} does not count. Tap it all the same: the list moves on by that.", { name: format.movements[idle.movement].name });
  if (large) return say("{name}: one tap when it is done, and that tap scores {worth}.", { name: format.movements[large.movement].name, worth: large.worth });
  return task.rounds === null ? say("The list starts again until the bell: there is no Finish.") : say("The list moves on by itself. When it is done, you tap “Finish”: that is the time.");
}

/** @param {Work} work */
function ofLift({ task, any }) {
  if (task.judges === 3) return say("Three judges decide each lift: yours is one of three lights.");
  if (task.times_reps) return say("Count the repetitions of the set, then judge it.");
  if (any) return say("Any of them may lift: tap who it is, then the load.");
  if (task.counts_when === "begun") return say("A lift that begins before the bell counts.");
  if (task.rack === false) return say("The bar begins on the floor: tap as it leaves it.");
  return say("The load is declared first. Once the bar is out it can't be changed.");
}

/** @type {Record<string, string>} */
const KEEPS = { last: say("If there are several numbers, the last one counts."), best: say("If there are several numbers, the best counts."), least: say("If there are several numbers, the lowest counts."), sum: say("Several numbers are added up.") };

/** @type {Record<string, (work: Work) => string>} */
const WORDS = { count: ofCount, list: ofList, lift: ofLift, measure: ({ task }) => KEEPS[task.keep] };

/** What differs in a window of an event. @param {Format} format @param {number} win one with work */
export function differs(format, win) {
  const { task: key, who } = format.windows[win];
  const task = format.tasks[/** @type {string} */ (key)];
  return WORDS[task.kind]({ task, format, any: who === "any" && format.members > 1 });
}
