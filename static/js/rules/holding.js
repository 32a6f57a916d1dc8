// @ts-check
/**
 * A heat that is held: its clock stands for all lanes, and goes on from where it stood. Twin of app/rules/records/holding.py; both pass
 * tests/vectors/clock.json.
 */

/** @typedef {{at_ms: number, for_ms: number | null}} Hold the clock stood at at_ms for for_ms; null: until somebody lets it go on */

/**
 * A moment of a heat that may be held.
 * @typedef {object} HeatTime
 * @property {number} ms on the heat clock
 * @property {number} held_ms how long it had stood before, in holds that were over
 * @property {boolean} standing it stands now
 * @property {number} into_ms for how long it has stood already
 * @property {number | null} left_ms until it goes on; null while nobody has said when, and when it is not standing
 */

/**
 * Milliseconds since GO by a clock that never stood, at which the heat clock came to `ms`: the way back from heatTime. Where it stood
 * just there, the moment at which it began to stand.
 * @param {number} ms @param {Hold[]} holds @returns {number}
 */
export function sinceGo(ms, holds = []) {
  return ms + holds.reduce((held, hold) => held + (hold.at_ms < ms ? (hold.for_ms ?? 0) : 0), 0);
}

/**
 * The heat's moment `sinceGoMs` after GO, by a clock that never stood.
 * @param {number} sinceGoMs
 * @param {Hold[]} holds
 * @returns {HeatTime}
 */
export function heatTime(sinceGoMs, holds = []) {
  let held = 0;
  for (const { at_ms, for_ms } of holds) {
    const into = sinceGoMs - held - at_ms;
    if (into < 0) break;
    if (for_ms === null || into < for_ms) {
      return { ms: at_ms, held_ms: held, standing: true, into_ms: into, left_ms: for_ms === null ? null : for_ms - into };
    }
    held += for_ms;
  }
  return { ms: sinceGoMs - held, held_ms: held, standing: false, into_ms: 0, left_ms: null };
}
