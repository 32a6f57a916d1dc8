// @ts-check
import { el } from "../../../parts/dom.js";

/** @typedef {import("../../../parts/film.js").Film} Film */

/** Which key does what; the same words on the page. @type {[string[], string][]} */
const HELP = [
  [["R", "Enter"], "rep, or good lift"],
  [["N"], "no rep, or no lift, by the likeliest fault"],
  [["Backspace"], "take back last"],
  [["Space"], "play, stand still"],
  [[",", "."], "one frame back, one on"],
  [["←", "→"], "one second back, one on"],
  [["−", "+"], "slower, faster"],
  [["Page up", "Page down"], "the window before, the next one"],
  [["G"], "GO is here"],
  [["H"], "hear GO"],
];

/**
 * Keys for the whole page, unless somebody types or a control has them.
 * @param {Film} film @param {{good: () => void, refuse: () => void, takeBack: () => void, turn: (way: 1 | -1) => void}} judge
 * @param {import("./player.js").Player} player
 */
export function listenToKeys(film, judge, player) {
  /** @type {Record<string, () => void>} */
  const acts = {
    r: () => judge.good(),
    Enter: () => judge.good(),
    n: () => judge.refuse(),
    Backspace: () => judge.takeBack(),
    " ": () => film.toggle(),
    ",": () => film.step(-1),
    ".": () => film.step(1),
    ArrowLeft: () => film.jump(film.at - 1000),
    ArrowRight: () => film.jump(film.at + 1000),
    "-": () => film.faster(-1),
    "+": () => film.faster(1),
    "=": () => film.faster(1),
    PageUp: () => judge.turn(-1),
    PageDown: () => judge.turn(1),
    g: () => player.setGo(),
    h: () => player.hear(),
  };
  const again = new Set([",", ".", "ArrowLeft", "ArrowRight"]); // held down, these go on
  // A pressed button would keep the keys: after a touch or a click they are the page's again.
  addEventListener("click", (event) => {
    if (event.detail > 0 && event.target instanceof Element) /** @type {HTMLElement | null} */ (event.target.closest("button, select"))?.blur();
  });
  addEventListener("keydown", (event) => {
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const act = acts[key];
    if (!act || event.ctrlKey || event.altKey || event.metaKey || !film.ready || hasKeys(event.target, key)) return;
    event.preventDefault();
    if (!event.repeat || again.has(key)) act();
  });
}

/** Whether a control has this key for itself. @param {EventTarget | null} target @param {string} key */
function hasKeys(target, key) {
  if (!(target instanceof HTMLElement)) return false;
  if (target instanceof HTMLInputElement && target.type === "range") return key.startsWith("Arrow") || key.startsWith("Page");
  if (target instanceof HTMLInputElement && target.type === "checkbox") return key === " ";
  if (target.matches("input, textarea, select")) return true;
  return target.matches("button, a, summary") && (key === " " || key === "Enter");
}

/** The keys in words. @param {string} [without] what a page does not have */
export function keysHelp(without = "") {
  const line = (/** @type {[string[], string]} */ [keys, words]) => el("div", {}, el("dt", {}, ...keys.flatMap((key, i) => [i ? " " : null, el("kbd", {}, key)])), el("dd", {}, words));
  return el("details", { class: "video-more" }, el("summary", {}, "Keys"), el("dl", { class: "video-keys" }, ...HELP.filter(([keys]) => keys[0] !== without).map(line)));
}
