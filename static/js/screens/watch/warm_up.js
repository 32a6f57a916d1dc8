// @ts-check
/** The warm-up area's page: follow.js beside it keeps it up to date; here it is kept, on this device, who was ticked off. */

const TICKS = "lane-ledger.warm-up";
const MOST = 500; // attempts; a long day has fewer

const place = /** @type {HTMLElement} */ (document.getElementById("followed"));
const ticks = recall();

function show() {
  for (const box of boxes()) box.checked = ticks.has(box.dataset.tick ?? "");
}

/** @returns {HTMLInputElement[]} */
const boxes = () => [...place.querySelectorAll("input")].filter((box) => box.dataset.tick !== undefined);

place.addEventListener("change", (event) => {
  const box = event.target;
  if (!(box instanceof HTMLInputElement) || box.dataset.tick === undefined) return;
  if (box.checked) ticks.add(box.dataset.tick);
  else ticks.delete(box.dataset.tick);
  try {
    localStorage.setItem(TICKS, JSON.stringify([...ticks].slice(-MOST)));
  } catch {
    // No storage: the ticks stay for as long as the page lives.
  }
});
new MutationObserver(show).observe(place, { childList: true });
show();

/** @returns {Set<string>} */
function recall() {
  try {
    return new Set(JSON.parse(localStorage.getItem(TICKS) ?? "[]"));
  } catch {
    return new Set();
  }
}
