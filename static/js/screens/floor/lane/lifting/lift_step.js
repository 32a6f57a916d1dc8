// @ts-check

/** @typedef {"choose" | "declared" | "out" | "fault" | "waits" | "good" | "missed"} Step */

/**
 * How far a lift has come. "choose": its load is declared, or put right; "fault": a missed one is asked for its fault; "waits": the
 * lane's judge has decided, and the other two may not have.
 * @param {any} task @param {any} found the window's tally @param {any[]} tries under the declaration that stands
 * @param {{choosing: boolean, asks: boolean}} screen
 * @returns {Step}
 */
export function stepOf(task, found, tries, { choosing, asks }) {
  if (choosing) return "choose";
  if (asks) return "fault";
  if (found.begun !== null || undecided(task, tries)) return "out";
  const last = tries.at(-1);
  if (!last) return "declared";
  if (task.judges === 3) return "waits";
  return last.good ? "good" : "missed";
}

/**
 * The try that the other two have decided before the lane's judge, whose word is still wanted while the bar is not racked; or null.
 * @param {any} task @param {any[]} tries under the declaration that stands @returns {any}
 */
export function undecided(task, tries) {
  const last = tries.at(-1);
  return task.judges === 3 && last && last.lights[0] === null && !last.racked && !last.again ? last : null;
}
