// @ts-check
/** What this browser remembers of the one who judges from films: nothing that a result rests on. */

/** @param {string} key @returns {any} null when nothing is remembered */
export function recall(key) {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}

/** @param {string} key @param {any} value */
export function remember(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // asked again next time
  }
}
