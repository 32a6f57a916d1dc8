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

/**
 * The same of a line that is pushed along: data-before and data-after while there is more on either side. Its end is in sight at first
 * and whenever something is added: there the newest stands.
 * @param {HTMLElement} line
 */
export function markAside(line) {
  const look = () => {
    setData(line, "before", line.scrollLeft > LEAST_PX);
    setData(line, "after", line.scrollWidth - line.scrollLeft - line.clientWidth > LEAST_PX);
  };
  const toEnd = () => {
    line.scrollLeft = line.scrollWidth;
    look();
  };
  line.addEventListener("scroll", look, { passive: true });
  new ResizeObserver(toEnd).observe(line);
  new MutationObserver(toEnd).observe(line, { childList: true });
}
