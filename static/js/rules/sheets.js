// @ts-check
/** Somebody who judges again judges the bar that the lane's sheet says was there. Twin of `with_bar` in app/rules/count/sheets.py. */

import { OF_THE_BAR } from "./kinds.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */

/**
 * The marks that a shadow judge's or a video's sheet is folded from.
 * @param {Mark[]} own @param {Mark[]} lane the marks of the lane's own sheet @returns {Mark[]}
 */
export function withBar(own, lane) {
  const bar = lane.filter((mark) => OF_THE_BAR.has(mark.kind));
  const ids = new Set(bar.map((mark) => mark.id));
  return [...own, ...bar, ...lane.filter((mark) => mark.kind === "strike" && ids.has(mark.body.mark))];
}
