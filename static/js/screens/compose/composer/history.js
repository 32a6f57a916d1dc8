// @ts-check
/** The form's last states, so that a change can be taken back before anything is saved. */

const MOST = 100;

/** @typedef {{fields: string, words: string}} State `words`: what was done to get there */

const NOT_KEPT = ["zoom"]; // how the page is looked at is no change of the event

/** The form as text. @param {HTMLFormElement} form */
export function fieldsOf(form) {
  const fields = new URLSearchParams(/** @type {any} */ (new FormData(form)));
  for (const name of [...fields.keys()]) if (NOT_KEPT.includes(name) || name.startsWith("pick-")) fields.delete(name);
  return fields.toString();
}

export class History {
  /** @type {State[]} */
  #past = [];
  /** @type {State[]} */
  #future = [];

  /** @param {string} fields the form as it was opened */
  constructor(fields) {
    this.now = { fields, words: "" };
  }

  /** What would be taken back, and what would be done again, in words; empty for nothing. */
  get words() {
    return { undo: this.#past.length ? this.now.words : "", redo: this.#future.at(-1)?.words ?? "" };
  }

  /** Whether anything differs from the form as it was opened. */
  get changed() {
    return this.#past.length > 0;
  }

  /** Keeps a state. Several changes of one thing in a row are one. @param {string} fields @param {string} words @param {boolean} [joined] */
  keep(fields, words, joined = false) {
    if (fields === this.now.fields) return;
    if (!joined || this.now.words !== words) this.#past.push(this.now);
    this.#past.splice(0, Math.max(0, this.#past.length - MOST));
    this.#future = [];
    this.now = { fields, words };
  }

  /** @returns {string | null} the fields to go back to */
  undo() {
    const before = this.#past.pop();
    if (!before) return null;
    this.#future.push(this.now);
    this.now = before;
    return before.fields;
  }

  /** @returns {string | null} the fields to go forward to */
  redo() {
    const after = this.#future.pop();
    if (!after) return null;
    this.#past.push(this.now);
    this.now = after;
    return after.fields;
  }
}

/**
 * Puts texts back into a form that has the very same fields.
 * @param {HTMLFormElement} form
 * @param {string} fields
 * @returns {boolean} false if it has others; then nothing was changed
 */
export function putBack(form, fields) {
  const wanted = new URLSearchParams(fields);
  const inputs = /** @type {HTMLInputElement[]} */ ([...form.elements].filter((one) => /** @type {HTMLInputElement} */ (one).name && one.tagName !== "BUTTON"));
  const names = new Set(inputs.map((input) => input.name));
  const kept = (/** @type {string} */ name) => !NOT_KEPT.includes(name) && !name.startsWith("pick-");
  const needed = inputs.filter((input) => input.type !== "checkbox" && input.type !== "radio" && kept(input.name));
  if ([...wanted.keys()].some((name) => !names.has(name)) || needed.some((input) => !wanted.has(input.name))) return false;
  for (const input of inputs.filter((one) => kept(one.name))) {
    if (input.type === "checkbox" || input.type === "radio") input.checked = wanted.getAll(input.name).includes(input.value);
    else input.value = wanted.get(input.name) ?? "";
  }
  return true;
}
