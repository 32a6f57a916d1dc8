// @ts-check
/** Lists too long for the wall are shown page by page: nothing is cut in two, and a fading edge says that more follows. */

import { setData } from "../../../parts/dom.js";

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
  const scroller = /** @type {HTMLElement} */ (list);
  const from = list.scrollTop;
  const more = from + list.clientHeight < list.scrollHeight - SLACK_PX;
  scroller.style.paddingBottom = "";
  if (more) showPage(scroller, lines, from + list.clientHeight);
  else list.scrollTop = 0;
  markMore(list);
  return more;
}

/**
 * Shows the page after the one that ends at `bottom`; the last one is as full as it can be.
 * @param {HTMLElement} list
 * @param {string} lines
 * @param {number} bottom
 */
function showPage(list, lines, bottom) {
  const head = list.querySelector("thead")?.clientHeight ?? 0;
  const origin = list.getBoundingClientRect().top - list.scrollTop;
  const boxes = [...list.querySelectorAll(lines)].map((line) => line.getBoundingClientRect());
  const furthest = list.scrollHeight - list.clientHeight;
  const cut = boxes.find((box) => box.bottom - origin > bottom + SLACK_PX);
  const wanted = cut ? cut.top - origin - head : furthest;
  if (wanted < furthest) {
    list.scrollTop = wanted;
    return;
  }
  const first = boxes.find((box) => box.top - origin - head >= furthest);
  const top = first ? first.top - origin - head : furthest;
  list.style.paddingBottom = `${Math.ceil(top - furthest)}px`; // so that it can begin with a whole line
  list.scrollTop = top;
}

/** Says whether lines follow below. @param {Element} list */
export function markMore(list) {
  setData(list, "more", list.scrollTop + list.clientHeight < list.scrollHeight - SLACK_PX);
}
