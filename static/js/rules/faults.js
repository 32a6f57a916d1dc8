// @ts-check
import { inside, say } from "../words/say.js";
/** A fault by its movement and its key: two movements may use one key for different faults. Twin of app/rules/workout/faults.py. */

/**
 * A fault in words; of a task with several movements with its own: `Not stood up (Back squat)`. Where nothing tells the movement and
 * the key means several faults, all are said.
 * @param {any} format
 * @param {number | null} win the window it was marked for
 * @param {string | null | undefined} key
 * @param {string | null} [movement] the one that the mark names, if it does
 * @returns {string}
 */
export function faultName(format, win, key, movement = null) {
  if (!key) return say("no fault named");
  const there = movementsOf(format, win);
  const known = movement !== null && there.includes(movement);
  const faults = (known ? [movement] : there).flatMap((one) => format.movements[one].faults ?? []);
  const names = [...new Set(faults.filter((fault) => fault.id === key).map((fault) => fault.name))];
  const told = names.map((name, i) => (i ? inside(name) : name)).reduce((first, second) => (first ? say("or", { first, second }) : second), "") || key;
  return known && there.length > 1 ? `${told} (${format.movements[movement].name})` : told;
}

/** The movements of a window's task, each once; of no window of work, all of the format. @param {any} format @param {number | null} win @returns {string[]} */
export function movementsOf(format, win) {
  const task = format.tasks[format.windows[win ?? -1]?.task];
  if (!task) return Object.keys(format.movements);
  return task.kind === "list" ? [...new Set(task.items.map((/** @type {any} */ item) => item.movement))].map(String) : [task.movement];
}
