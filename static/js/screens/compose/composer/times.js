// @ts-check
/** Times as somebody types them into the form: m:ss, or h:mm:ss from an hour on. */

const MINUTES = /^(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)$/;

/** @param {string} text @returns {number | null} seconds, or null if it can't be read */
export function secondsOf(text) {
  const found = MINUTES.exec(text.trim());
  return found ? Number(found[1] ?? 0) * 3600 + Number(found[2]) * 60 + Number(found[3]) : null;
}
