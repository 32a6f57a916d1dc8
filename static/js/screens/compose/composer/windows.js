// @ts-check
import { hoursText } from "../../../words/clock_times.js";
import { secondsOf } from "./times.js";

/** The windows as the table has them: the numbers in its fields are the truth, the strip shows them. */

/** @typedef {import("./edits.js").Span} Span */

/** @param {HTMLFormElement} form @param {number} index @param {"start" | "seconds"} what @returns {HTMLInputElement} */
function field(form, index, what) {
  return /** @type {HTMLInputElement} */ (form.elements.namedItem(`window-${index}-${what}`));
}

/** How many windows there are. @param {HTMLFormElement} form */
export function countOf(form) {
  return form.querySelectorAll("tr[data-window]").length;
}

/**
 * The windows in order; one without a start follows the one above. One that can't be read is as long as nothing.
 * @param {HTMLFormElement} form
 * @returns {Span[]}
 */
export function readWindows(form) {
  let after = 0;
  return Array.from({ length: countOf(form) }, (_, index) => {
    const typed = field(form, index, "start").value.trim();
    const start = typed ? (secondsOf(typed) ?? after) : after;
    const seconds = secondsOf(field(form, index, "seconds").value) ?? 0;
    after = start + seconds;
    return { start, seconds };
  });
}

/**
 * Writes windows into the table: a start only where a window does not follow the one above.
 * @param {HTMLFormElement} form
 * @param {Span[]} spans
 */
export function writeWindows(form, spans) {
  let after = 0;
  spans.forEach((span, index) => {
    put(field(form, index, "start"), span.start === after ? "" : hoursText(span.start));
    if (span.seconds) put(field(form, index, "seconds"), hoursText(span.seconds));
    after = span.start + span.seconds;
  });
  showStarts(form);
}

/** Shows in each empty field when its window starts. @param {HTMLFormElement} form */
export function showStarts(form) {
  readWindows(form).forEach((span, index) => (field(form, index, "start").placeholder = hoursText(span.start)));
}

/** @param {HTMLInputElement} input @param {string} text */
function put(input, text) {
  if (input.value !== text) input.value = text;
}
