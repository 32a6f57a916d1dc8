// @ts-check
/** Times as people read them, m:ss. Twin of app/rules/values/clock_times.py; both pass tests/vectors/words.json. */

/** Whole seconds as m:ss. @param {number} seconds from 0 on */
export function minutesText(seconds) {
  return `${Math.floor(seconds / 60)}:${two(seconds % 60)}`;
}

/** Whole seconds as m:ss, or h:mm:ss from an hour on. @param {number} seconds from 0 on */
export function hoursText(seconds) {
  const hours = Math.floor(seconds / 3600);
  return hours ? `${hours}:${two(Math.floor((seconds % 3600) / 60))}:${two(seconds % 60)}` : minutesText(seconds);
}

/**
 * Milliseconds as m:ss with so many decimals of the second (0 to 3), what is beyond them cut off; nothing below 0:00.
 * @param {number} ms
 * @param {number} [decimals]
 * @param {(seconds: number) => string} [whole] how its whole seconds are told
 */
export function clockText(ms, decimals = 0, whole = minutesText) {
  const least = Math.max(0, Math.floor(ms));
  const text = whole(Math.floor(least / 1000));
  return decimals ? `${text}.${String(least % 1000).padStart(3, "0").slice(0, decimals)}` : text;
}

/** @param {number} number below 100 */
const two = (number) => String(number).padStart(2, "0");
