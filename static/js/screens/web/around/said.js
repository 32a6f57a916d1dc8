// @ts-check
import { setText } from "../../../parts/dom.js";

/**
 * The page's one voice for those who hear it: what is marked `data-say` is said when it comes and whenever its words change.
 * `data-say="change"` is not news when it is first seen, such as the state of a heat. `data-words` says it whole where the words
 * beside it are needed.
 */

const SETTLED_MS = 300; // a page that has just been opened is read from its top before it says anything
const AGAIN_MS = 60; // the same words a second time are news only if there was nothing in between

const region = /** @type {HTMLElement} */ (document.getElementById("said"));
/** @type {Map<string, string>} */
let seen = new Map();
let asked = 0;

/** Says words at the next chance that the listener's own reader gives them. @param {string} words */
export function tell(words) {
  setText(region, "");
  clearTimeout(asked);
  asked = setTimeout(() => setText(region, words), AGAIN_MS);
}

/** Where it is heard: a dialogue makes all else on the page silent. @param {Element} [place] the page itself if none is named */
export function tellIn(place = document.body) {
  place.append(region);
}

/** Follows the page from now on. */
export function followPage() {
  setTimeout(() => {
    look();
    new MutationObserver(look).observe(document.body, { subtree: true, childList: true, characterData: true, attributeFilter: ["hidden", "data-words"] });
  }, SETTLED_MS);
}

function look() {
  /** @type {Map<string, string>} */
  const now = new Map();
  const news = [];
  for (const [number, node] of document.querySelectorAll("[data-say]").entries()) {
    const { say, words } = /** @type {HTMLElement} */ (node).dataset;
    const key = node.id || `${say}/${node.className}/${number}`;
    const text = node.getClientRects().length ? (words ?? node.textContent ?? "").replace(/\s+/g, " ").trim() : "";
    now.set(key, text);
    if (text && text !== seen.get(key) && !(say === "change" && !seen.has(key))) news.push(text);
  }
  seen = now;
  if (news.length) tell(news.join(" "));
}
