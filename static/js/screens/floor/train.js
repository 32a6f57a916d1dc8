// @ts-check
import { setText } from "../../parts/dom.js";
import { Figure } from "../../parts/figure.js";
import { STILLS, wayAt } from "./train/movement.js";
import { say } from "../../words/say.js";

/** A practice set: the figure moves as the server's script says, the judge calls each repetition, the calls go to the server. */

const AFTER_MS = 1500; // the last repetition can still be called

const page = /** @type {HTMLElement} */ (document.querySelector("main.train"));
const script = JSON.parse(/** @type {string} */ (page.dataset.set));
const end = script.reps.at(-1).end + AFTER_MS;
const figure = new Figure(/** @type {Element} */ (document.getElementById("figure")), script.move);
const said = /** @type {HTMLElement} */ (document.getElementById("train-said"));
const stepped = /** @type {HTMLInputElement} */ (document.getElementById("stepped"));
const form = /** @type {HTMLFormElement} */ (document.getElementById("done"));
/** @type {string[]} */
const calls = [];
let startedAt = 0;

stepped.checked = matchMedia("(prefers-reduced-motion: reduce)").matches;

function start() {
  if (page.dataset.state !== "before") return;
  page.dataset.state = "running";
  startedAt = performance.now();
  requestAnimationFrame(draw);
}

function draw() {
  const now = performance.now() - startedAt;
  if (now >= end) return finish();
  const first = script.reps[0].start;
  if (now < first) setText(said, `${Math.ceil((first - now) / 1000)}`);
  else setText(said, say("Judge each repetition at its end."));
  figure.show(wayAt(script.reps, now, stepped.checked ? STILLS : 0));
  requestAnimationFrame(draw);
}

/** @param {"g" | "n"} what */
function call(what) {
  if (page.dataset.state !== "running") return;
  calls.push(`${Math.max(0, Math.round(performance.now() - startedAt))}${what}`);
  setText(/** @type {HTMLElement} */ (document.getElementById("called")), calls.length);
  page.dataset.last = what;
}

function finish() {
  if (page.dataset.state === "over") return;
  page.dataset.state = "over";
  setText(said, say("Done. Checking your decisions…"));
  const values = { seed: script.seed, reps: script.reps.length, calls: calls.join(" "), stepped: stepped.checked ? "yes" : "" };
  for (const [name, value] of Object.entries(values)) /** @type {HTMLInputElement} */ (form.elements.namedItem(name)).value = String(value);
  form.submit();
}

document.getElementById("start")?.addEventListener("click", start);
for (const [id, what] of /** @type {[string, "g" | "n"][]} */ ([["call-good", "g"], ["call-no", "n"]])) {
  const target = /** @type {HTMLElement} */ (document.getElementById(id));
  target.addEventListener("pointerdown", (event) => {
    event.preventDefault(); // counted when the finger lands, and not a second time as a click
    call(what);
  });
  target.addEventListener("keydown", (event) => {
    if (event.repeat || (event.key !== "Enter" && event.key !== " ")) return;
    event.preventDefault();
    call(what);
  });
}
document.addEventListener("keydown", (event) => {
  if (event.repeat || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key.toLowerCase() === "g") call("g");
  else if (event.key.toLowerCase() === "n") call("n");
});
