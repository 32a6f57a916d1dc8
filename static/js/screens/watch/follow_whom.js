// @ts-check
/** Finds somebody in the list by letters of the name. */

const find = /** @type {HTMLInputElement} */ (document.getElementById("find"));
const none = /** @type {HTMLElement} */ (document.getElementById("follow-none"));
const groups = /** @type {HTMLElement[]} */ ([...document.querySelectorAll(".follow-group")]);

find.addEventListener("input", () => {
  const wanted = find.value.trim().toLocaleLowerCase();
  for (const group of groups) {
    const lines = /** @type {HTMLElement[]} */ ([...group.querySelectorAll("li")]);
    for (const line of lines) line.hidden = !(line.textContent ?? "").toLocaleLowerCase().includes(wanted);
    group.hidden = lines.every((line) => line.hidden);
  }
  none.hidden = !groups.length || groups.some((group) => !group.hidden);
});
