// @ts-check
/**
 * Which scene a wall screen shows: told here, once, from what is known at that moment. Values in, a value out. The table that it is
 * held to is in tests/watch/test_wall_scenes.py.
 */

const RESULT_MS = 60_000; // for how long after its last bell a heat's result is shown
const OF_THE_HEAT_MS = 12_000; // at first as the heat itself ended, then as it settles into the standings
const TURN_MS = 12_000;

/** @typedef {"empty" | "lineup" | "race" | "lift" | "result" | "standing" | "next" | "podium"} Name */
/** @typedef {{name: Name, key: string, page: number}} Scene key: of what of its kind; empty for the heat on the floor. page: from 0 */
/** @typedef {{key: string, pages: number}} Turn something to show for a while each of its pages */

/**
 * What is known.
 * @typedef {object} Known
 * @property {string} purpose what the screen is for: all, lanes, next, standings, podium
 * @property {string} said the scene that the desk has chosen; empty for none
 * @property {import("../../../rules/heat_clock.js").HeatState | ""} heat how the heat on the floor stands; empty without one
 * @property {number | null} since_ms since its last bell; null while it is not over, and where nobody knows
 * @property {boolean} lifting whether a bar is lifted in its window now
 * @property {number} waiting heats that are still to come
 * @property {Turn[]} panels the standings that take turns
 * @property {Turn[]} fresh the standings that the heat on the floor is in
 * @property {Turn[]} heats the heats to come that can be shown
 * @property {Turn[]} podiums
 * @property {number} clock_ms any clock that goes on: by it turns are taken
 */

/** @param {Known} known @returns {Scene} */
export function sceneOf(known) {
  const wanted = known.purpose === "all" ? chosen(known) ?? byItself(known) : ofPurpose(known);
  return wanted ?? turned("standing", known.panels, known.clock_ms) ?? turned("next", known.heats, known.clock_ms) ?? { name: "empty", key: "", page: 0 };
}

/** The scene that the desk has chosen, as long as there is something to show of it. @param {Known} known @returns {Scene | null} */
function chosen(known) {
  switch (known.said) {
    case "lineup":
      return known.heat === "set" || known.heat === "stopped" || !known.heats.length ? onFloor(known, "lineup") : turned("next", known.heats.slice(0, 1), 0);
    case "race":
      return onFloor(known, known.lifting ? "lift" : "race");
    case "result":
      return onFloor(known, "result");
    case "standing":
      return turned("standing", known.panels, known.clock_ms);
    case "next":
      return turned("next", known.heats, known.clock_ms);
    case "podium":
      return turned("podium", known.podiums, known.clock_ms);
    default:
      return null;
  }
}

/** @param {Known} known @returns {Scene | null} */
function ofPurpose(known) {
  if (known.purpose === "next") return turned("next", known.heats, known.clock_ms);
  if (known.purpose === "podium") return turned("podium", known.podiums, known.clock_ms);
  if (known.purpose === "lanes") return ofTheHeat(known, false) ?? turned("next", known.heats.slice(0, 1), 0);
  return null;
}

/** What the day asks for. @param {Known} known @returns {Scene | null} */
function byItself(known) {
  const heat = ofTheHeat(known, true);
  if (heat) return heat;
  if (!known.waiting && known.podiums.length) return turned("podium", known.podiums, known.clock_ms);
  const turns = [...known.panels.map((turn) => ({ ...turn, name: "standing" })), ...known.heats.slice(0, 1).map((turn) => ({ ...turn, name: "next" }))];
  return anyTurned(/** @type {(Turn & {name: Name})[]} */ (turns), known.clock_ms);
}

/** The scene of the heat on the floor, while there is one. @param {Known} known @param {boolean} settles whether its result goes into the standings @returns {Scene | null} */
function ofTheHeat(known, settles) {
  if (known.heat === "set" || known.heat === "stopped") return onFloor(known, "lineup");
  if (known.heat === "running" || known.heat === "held" || known.heat === "going-on") return onFloor(known, known.lifting ? "lift" : "race");
  if (known.heat !== "over" || known.since_ms === null || known.since_ms >= RESULT_MS) return null;
  if (!settles || known.since_ms < OF_THE_HEAT_MS) return onFloor(known, "result");
  return turned("result", known.fresh, known.since_ms - OF_THE_HEAT_MS) ?? onFloor(known, "result");
}

/** @param {Known} known @param {Name} name @returns {Scene | null} */
function onFloor(known, name) {
  return known.heat ? { name, key: "", page: 0 } : null;
}

/** @param {Name} name @param {Turn[]} turns @param {number} ms */
function turned(name, turns, ms) {
  return anyTurned(turns.map((turn) => ({ ...turn, name })), ms);
}

/** Each of its pages in turn. @param {(Turn & {name: Name})[]} turns @param {number} ms @returns {Scene | null} */
function anyTurned(turns, ms) {
  const pages = turns.flatMap(({ name, key, pages }) => Array.from({ length: Math.max(1, pages) }, (_, page) => ({ name, key, page })));
  return pages.length ? pages[Math.floor(Math.max(0, ms) / TURN_MS) % pages.length] : null;
}
