// @ts-check
import { setData } from "./dom.js";

const LEAST_PX = 8; // less is the edge of what is in sight

/** Keeps data-more on a box that scrolls while there is more below what is in sight: a tablet draws no bar for it. @param {HTMLElement} box */
export function markMore(box) {
  const look = () => setData(box, "more", box.scrollHeight - box.scrollTop - box.clientHeight > LEAST_PX);
  box.addEventListener("scroll", look, { passive: true });
  new ResizeObserver(look).observe(box);
  new MutationObserver(look).observe(box, { childList: true, subtree: true, characterData: true });
}
