// @ts-check
import { Film } from "../../parts/film.js";
import { button, el, setData } from "../../parts/dom.js";

/** Compared sheets: a disputed moment is shown on its track, and on the film if one is open. All numbers came from the desk. */

const BEFORE_MS = 1500; // a film begins a little before what is disputed

const place = /** @type {HTMLElement} */ (document.querySelector("[data-role=film]"));
const video = el("video", { playsinline: true, controls: true, preload: "auto", hidden: true, "data-role": "film-picture" });
const film = new Film(video, place.dataset.film ?? "");
if (place.dataset.go) film.go ??= Number(place.dataset.go);

const said = el("p", { class: "soft", "data-say": true, "data-role": "film-says" });
const choose = el("input", { type: "file", accept: "video/*", id: "film-file", "data-role": "film-file" });
const go = button("GO is here on the film", () => film.setGo(film.at), { hidden: true, role: "film-go" });
place.append(el("p", {}, el("label", { for: "film-file" }, "The film of this lane "), choose), video, el("p", {}, go), said);

choose.addEventListener("change", () => choose.files?.[0] && film.open(choose.files[0]));

film.onchange = () => {
  video.hidden = go.hidden = !film.ready;
  if (film.trouble) said.textContent = film.trouble;
  else if (!film.ready) said.textContent = "";
  else said.textContent = film.go === null ? "Find the moment of GO and press the button; then you can play a disputed moment." : `GO is ${(film.go / 1000).toFixed(2)} s into the film.`;
};

/** @type {HTMLElement[]} */
const disputes = [...document.querySelectorAll(".dispute")].map((found) => /** @type {HTMLElement} */ (found));
for (const dispute of disputes) dispute.addEventListener("click", (event) => show(dispute, event));

/** @param {HTMLElement} dispute @param {Event} event */
function show(dispute, event) {
  for (const other of disputes) other.removeAttribute("aria-current");
  dispute.setAttribute("aria-current", "true");
  const marks = new Set((dispute.dataset.marks ?? "").split(" "));
  for (const seen of document.querySelectorAll(".seen")) setData(seen, "chosen", marks.has(/** @type {SVGElement} */ (seen).dataset.mark ?? ""));
  bringIntoView(dispute.dataset.window ?? "");
  if (!film.ready || film.go === null) return;
  event.preventDefault(); // the film is what is looked at, so the page stays
  film.jump(film.go + Number(dispute.dataset.since) - BEFORE_MS);
  film.play();
}

/** Scrolls the window's tracks to what was chosen. @param {string} window */
function bringIntoView(window) {
  const scroll = document.querySelector(`.compare-scroll[data-window="${CSS.escape(window)}"]`);
  const chosen = scroll?.querySelector("[data-chosen]");
  if (scroll && chosen) putAt(scroll, chosen, 0.5);
}

/** @param {Element} scroll @param {Element} mark @param {number} part of the width at which it stands then */
function putAt(scroll, mark, part) {
  const [outer, inner] = [scroll.getBoundingClientRect(), mark.getBoundingClientRect()];
  scroll.scrollLeft += inner.left - outer.left - outer.width * part;
}

// A window may begin long before its first mark: without this its tracks would look empty.
for (const scroll of document.querySelectorAll(".compare-scroll")) {
  const first = scroll.querySelector(".seen");
  if (first) putAt(scroll, first, 0.1);
}
