// @ts-check
/** Lists too long for the wall are shown page by page: nothing is cut in two, and a fading edge says that more follows. */

import { setData } from "../../parts/dom.js";

const SLACK_PX = 4; // rounding of heights, not a line

/** @param {Element} list @returns {boolean} whether it does not fit */
export function isLong(list) {
  return list.scrollHeight > list.clientHeight + SLACK_PX;
}

/**
 * Shows the next page of a list.
 * @param {Element} list
 * @param {string} lines selector of its lines
 * @returns {boolean} false when it was at its end; then it is back at its beginning
 */
export function turnPage(list, lines) {
  const bottom = list.scrollTop + list.clientHeight;
  const more = bottom < list.scrollHeight - SLACK_PX;
  list.scrollTop = more ? firstCut(list, lines, bottom) : 0;
  markMore(list);
  return more;
}

/** Says whether lines follow below. @param {Element} list */
export function markMore(list) {
  setData(list, "more", list.scrollTop + list.clientHeight < list.scrollHeight - SLACK_PX);
}

/** Where the first line begins that does not fit above `bottom`. @param {Element} list @param {string} lines @param {number} bottom */
function firstCut(list, lines, bottom) {
  const top = list.getBoundingClientRect().top - list.scrollTop;
  const head = list.querySelector("thead")?.clientHeight ?? 0;
  for (const line of list.querySelectorAll(lines)) {
    const box = line.getBoundingClientRect();
    if (box.bottom - top > bottom + SLACK_PX) return box.top - top - head;
  }
  return list.scrollHeight;
}
