// @ts-check
/** The event form: its row buttons fetch the form anew in place, and names show at once wherever they can be chosen. */

const FORM = "event-form";

/** Names of movements, tasks and scores appear in the choices while they are typed. @param {HTMLInputElement} input */
function rename(input) {
  const [, what, number] = /^(movement|task|score)-(\d+)-name$/.exec(input.name) ?? [];
  if (!what) return;
  const key = /** @type {HTMLInputElement | null} */ (document.querySelector(`[name="${what}-${number}-${what === "score" ? "id" : "key"}"]`));
  if (!key) return;
  const places = { movement: "task-%-movement", task: "window-%-task", score: "part-%-score" }[what] ?? "";
  const [start, end] = places.split("%");
  const words = input.value || `${what[0].toUpperCase()}${what.slice(1)} ${Number(number) + 1}`;
  for (const option of document.querySelectorAll(`select[name^="${start}"][name$="${end}"] option`)) {
    if (/** @type {HTMLOptionElement} */ (option).value === key.value) option.textContent = words;
  }
}

/** Posts the form with the pressed button and puts the answer's form in place; scrolling and focus stay. @param {SubmitEvent} event */
async function submit(event) {
  const form = /** @type {HTMLFormElement} */ (event.target);
  const pressed = /** @type {HTMLButtonElement | null} */ (event.submitter);
  if (form.id !== FORM || !pressed || pressed.value === "save" || form.dataset.plain) return;
  event.preventDefault();
  const body = new URLSearchParams(/** @type {any} */ (new FormData(form, pressed)));
  const answer = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html" } }).catch(() => null);
  const fresh = answer && new DOMParser().parseFromString(await answer.text(), "text/html").getElementById(FORM);
  if (!fresh) {
    form.dataset.plain = "yes"; // the browser itself sends it, and says what is wrong
    form.requestSubmit(pressed);
    return;
  }
  form.replaceWith(document.adoptNode(fresh));
  const [verb, what] = pressed.value.split("-");
  focusOn(fresh, verb, what, pressed.value);
}

/** @param {HTMLElement} form @param {string} verb @param {string} what @param {string} value */
function focusOn(form, verb, what, value) {
  const again = form.querySelector(`button[value="${value}"]`);
  const fields = form.querySelectorAll(`[name^="${what}-"]:not([type=hidden])`);
  const last = fields[fields.length - 1]?.getAttribute("name")?.split("-")[1];
  const added = form.querySelector(`[name^="${what}-${last}-"]:not([type=hidden])`);
  /** @type {HTMLElement | null} */ (verb === "add" ? added : again ?? form.querySelector(`button[value="add-${what}"]`))?.focus();
}

document.addEventListener("input", (event) => event.target instanceof HTMLInputElement && rename(event.target));
document.addEventListener("submit", submit);
