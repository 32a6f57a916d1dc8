// @ts-check
/** The line to the server, as far as the composer needs it: what to say when an answer does not come, or is the door's page. */

export const NO_LINE = "No line to the server. What you typed stays on this page: try again when the server is back.";
export const LOGGED_OUT = "This desk was logged out. What you typed stays on this page: log in in another tab, then continue here.";
export const NOT_DONE = "The server could not do that. What you typed stays on this page.";

/** @param {string} words what is wrong with the line; empty when nothing is */
export function sayOfLine(words) {
  const line = document.getElementById("desk-line");
  if (!line) return;
  line.textContent = words;
  line.hidden = !words;
}

/** Follows htmx's answers and says so while they fail. */
export function followLine() {
  document.addEventListener("htmx:before:swap", (event) => {
    const redirected = /** @type {CustomEvent} */ (event).detail.ctx?.response?.raw?.redirected;
    if (redirected) event.preventDefault(); // the door's page must not land in the middle of this one
    sayOfLine(redirected ? LOGGED_OUT : "");
  });
  document.addEventListener("htmx:error", () => sayOfLine(NO_LINE));
}
