// @ts-check
/** Sentences set beside the places they point to: what is wrong at its field, warnings at their rows. */

/** @typedef {{at: string, words: string}} Sentence */

/** The sentences of a hidden list in the page. @param {string} list its id @returns {Sentence[]} */
export function sentencesOf(list) {
  const items = [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(`#${list} > li`))];
  return items.map((item) => ({ at: item.dataset.at ?? "", words: item.textContent?.trim() ?? "" }));
}

/**
 * Puts what is wrong beside its fields and takes away what is right by now. A field under the finger is left in peace unless it has
 * become right: a number half typed is no mistake.
 * @param {HTMLFormElement} form
 * @param {Sentence[]} wrongs
 */
export function placeWrongs(form, wrongs) {
  const byField = grouped(wrongs);
  for (const field of form.elements) {
    const input = /** @type {HTMLInputElement} */ (field);
    if (!input.name || input.type === "hidden") continue;
    const words = (byField.get(input.name) ?? []).map((one) => one.words).join(" ");
    if (words && document.activeElement === input && !input.hasAttribute("aria-invalid")) continue;
    show(input, words);
  }
}

/** @param {Sentence[]} sentences @returns {Map<string, Sentence[]>} */
function grouped(sentences) {
  const groups = new Map();
  for (const one of sentences) groups.set(one.at, [...(groups.get(one.at) ?? []), one]);
  return groups;
}

/** @param {HTMLInputElement} input @param {string} words */
function show(input, words) {
  if (!words && !input.hasAttribute("aria-invalid")) return;
  const said = saidOf(input);
  if (said.textContent !== words) said.textContent = words;
  if (words) input.setAttribute("aria-invalid", "true");
  else input.removeAttribute("aria-invalid");
}

/** The line below a field that says what is wrong with it, made if there is none. @param {HTMLInputElement} input @returns {HTMLElement} */
function saidOf(input) {
  const id = `${input.name}-said`;
  const there = document.getElementById(id);
  if (there?.classList.contains("wrong")) return there;
  const said = document.createElement("span");
  said.className = "wrong";
  said.id = there ? `${input.name}-wrong` : id;
  const known = document.getElementById(said.id);
  if (known) return known;
  (there ?? input).after(said);
  input.setAttribute("aria-describedby", [there?.id, said.id].filter(Boolean).join(" "));
  return said;
}

/** Puts warnings into the slots of their rows: an element with `data-notes` of that name. @param {Sentence[]} notes */
export function placeNotes(notes) {
  const byPlace = grouped(notes);
  for (const slot of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-notes]"))) {
    const words = (byPlace.get(slot.dataset.notes ?? "") ?? []).map((one) => one.words).join(" ");
    if (slot.textContent !== words) slot.textContent = words;
    slot.hidden = !words;
  }
}

/** Puts what is set otherwise than by itself on the lines it is folded behind, those of sections and those within. @param {Sentence[]} differs */
export function placeDiffers(differs) {
  for (const { at, words } of differs) {
    const folded = document.getElementById(at);
    const line = folded?.querySelector(":scope > summary > [data-role=differs]");
    if (line && line.textContent !== words) line.textContent = words;
    if (folded?.dataset.fold !== undefined) folded.dataset.fold = words;
  }
}
