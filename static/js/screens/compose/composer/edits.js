// @ts-check
/** What dragging does to windows. Pure: windows in, windows out; all in whole seconds on the heat clock. */

/** @typedef {{start: number, seconds: number}} Span */

const LONGEST = 6 * 3600;

/** @param {number} seconds @param {number} step */
export const snapped = (seconds, step) => Math.round(seconds / step) * step;

/** @param {Span} span */
const end = (span) => span.start + span.seconds;

/**
 * A window moved to another start. `along`: the windows that begin after it has ended move by the same.
 * @param {Span[]} spans @param {number} index @param {number} start @param {boolean} along
 * @returns {Span[]}
 */
export function moved(spans, index, start, along) {
  const before = spans[index];
  const to = within(start, 0, LONGEST - before.seconds);
  const later = along ? to - before.start : 0;
  return spans.map((span, i) => (i === index ? { ...span, start: to } : shifted(span, end(before), later)));
}

/**
 * A window whose end moved. `along`: the windows that begin after it move by the same.
 * @param {Span[]} spans @param {number} index @param {number} to @param {boolean} along @param {number} least seconds
 * @returns {Span[]}
 */
export function stretched(spans, index, to, along, least = 1) {
  const before = spans[index];
  const seconds = within(to - before.start, least, LONGEST - before.start);
  const later = along ? seconds - before.seconds : 0;
  return spans.map((span, i) => (i === index ? { ...span, seconds } : shifted(span, end(before), later)));
}

/**
 * A window whose start moved while its end stays.
 * @param {Span[]} spans @param {number} index @param {number} to @param {number} least seconds
 * @returns {Span[]}
 */
export function begun(spans, index, to, least = 1) {
  const bell = end(spans[index]);
  const start = within(to, 0, bell - least);
  return spans.map((span, i) => (i === index ? { ...span, start, seconds: bell - start } : span));
}

/** @param {Span} span @param {number} after @param {number} by @returns {Span} */
function shifted(span, after, by) {
  return by && span.start >= after ? { ...span, start: within(span.start + by, 0, LONGEST - span.seconds) } : span;
}

/** @param {number} value @param {number} low @param {number} high */
const within = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));
