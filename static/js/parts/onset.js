// @ts-check
/** Where a sound begins most suddenly: for finding the start signal on a film. Pure: samples in, moments out. */

const HOP_MS = 10;
const AFTER_HOPS = 5; // 50 ms of the sound itself
const BEFORE_HOPS = 20; // against the 200 ms before it
const APART_MS = 500; // one sound is one onset

/**
 * The moments at which the loudness rises most, the strongest first.
 * @param {Float32Array} samples one channel @param {number} rate samples a second @param {number} [most]
 * @returns {number[]} ms from the beginning
 */
export function onsets(samples, rate, most = 5) {
  const hop = Math.max(1, Math.round((rate * HOP_MS) / 1000));
  const loud = loudness(samples, hop);
  const rises = loud.map((_, i) => ({ i, rise: mean(loud, i, i + AFTER_HOPS) - mean(loud, i - BEFORE_HOPS, i) }));
  /** @type {number[]} */
  const found = [];
  for (const { i, rise } of rises.sort((a, b) => b.rise - a.rise)) {
    const at = (i * hop * 1000) / rate;
    if (rise <= 0 || found.length >= most) break;
    if (found.every((other) => Math.abs(other - at) >= APART_MS)) found.push(Math.round(at));
  }
  return found;
}

/** The root of the mean square of each hop. @param {Float32Array} samples @param {number} hop @returns {number[]} */
function loudness(samples, hop) {
  const made = [];
  for (let start = 0; start + hop <= samples.length; start += hop) {
    let sum = 0;
    for (let i = start; i < start + hop; i += 1) sum += samples[i] * samples[i];
    made.push(Math.sqrt(sum / hop));
  }
  return made;
}

/** @param {number[]} values @param {number} from @param {number} to @returns {number} 0 where there is nothing */
function mean(values, from, to) {
  const first = Math.max(0, from);
  const last = Math.min(values.length, to);
  let sum = 0;
  for (let i = first; i < last; i += 1) sum += values[i];
  return last > first ? sum / (last - first) : 0;
}
