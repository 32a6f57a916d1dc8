// @ts-check
/** Times as the form writes them: m:ss, or h:mm:ss from an hour on. */

const MINUTES = /^(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)$/;

/** @param {string} text @returns {number | null} seconds, or null if it can't be read */
export function secondsOf(text) {
  const found = MINUTES.exec(text.trim());
  return found ? Number(found[1] ?? 0) * 3600 + Number(found[2]) * 60 + Number(found[3]) : null;
}

/** @param {number} seconds whole */
export function minutesText(seconds) {
  const rest = String(seconds % 60).padStart(2, "0");
  const minutes = Math.floor(seconds / 60);
  return minutes < 60 ? `${minutes}:${rest}` : `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}:${rest}`;
}
