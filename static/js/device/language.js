// @ts-check
/** The language that this browser has chosen for itself. A cookie, so that the desk makes its pages and scripts in it from the start. */

const COOKIE = "ll_language";
const YEAR_S = 365 * 24 * 3600;

/** @param {string} language its code */
export function chooseLanguage(language) {
  document.cookie = `${COOKIE}=${language}; path=/; max-age=${YEAR_S}; samesite=lax`;
}

/** The other languages, as the page names them: code and name. @param {Document} page @returns {[string, string][]} */
export function othersOf(page) {
  return JSON.parse(page.querySelector("main")?.dataset.languages ?? "[]");
}

/** Has a screen that loads without the desk speak another language: its worker looks for it at once. @param {string} language */
export async function speak(language) {
  chooseLanguage(language);
  const registration = await navigator.serviceWorker?.getRegistration();
  if (registration) await registration.update();
  else location.reload();
}
