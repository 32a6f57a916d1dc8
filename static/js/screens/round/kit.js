// @ts-check
/** The kit of a round: a file that was chosen is looked at there and then. Nothing is kept by looking. */

const file = /** @type {HTMLInputElement | null} */ (document.getElementById("file"));

file?.addEventListener("change", () => {
  if (file.files?.length) file.form?.querySelector("button")?.click();
});
