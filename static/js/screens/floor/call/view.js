// @ts-check
/** Whether this screen faces the lifter or the loaders, as it was turned last. */

/** @typedef {"lifter" | "loaders"} View */

const VIEW = "lane-ledger.call-view";

/** @returns {View} */
export function keptView() {
  try {
    return localStorage.getItem(VIEW) === "loaders" ? "loaders" : "lifter";
  } catch {
    return "lifter";
  }
}

/** @param {View} view @returns {View} the same */
export function keepView(view) {
  try {
    localStorage.setItem(VIEW, view);
  } catch {
    // No storage: it stays so for as long as the page lives.
  }
  return view;
}
