// @ts-check
/** Choices kept on this browser. Without storage a choice lasts as long as the page. */

/** @param {string} name @param {string} otherwise @returns {string} */
export function chosen(name, otherwise) {
  try {
    return localStorage.getItem(`lane-ledger.${name}`) ?? otherwise;
  } catch {
    return otherwise;
  }
}

/** @param {string} name @param {string} value */
export function choose(name, value) {
  try {
    localStorage.setItem(`lane-ledger.${name}`, value);
  } catch {
    // It lasts as long as the page.
  }
}
