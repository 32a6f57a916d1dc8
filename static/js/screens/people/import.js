// @ts-check
/** A list of entries from a spreadsheet: a file that was chosen is looked at there and then. Nothing is stored by looking. */

const file = /** @type {HTMLInputElement | null} */ (document.getElementById("file"));
const look = /** @type {HTMLButtonElement | null} */ (document.querySelector('button[name="do"][value="look"]'));

file?.addEventListener("change", () => {
  if (file.files?.length && look) look.click();
});
