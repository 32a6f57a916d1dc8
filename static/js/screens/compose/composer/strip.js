// @ts-check
import { el } from "../../../parts/dom.js";
import { hoursText } from "../../../words/clock_times.js";
import { letGoOfWindows, showFolds } from "./folds.js";
import { countOf, readWindows } from "./windows.js";

/** @typedef {import("./edits.js").Span} Span */

const MOST_ZOOM = 8;

/** The strip on the page: follows the table's numbers at once, knows which window is chosen, and can be zoomed. */
export class Strip {
  /** Which window is chosen; -1 for none. */
  chosen = 0;
  #zoom = 1;
  /** The grips at the chosen window's two ends, with their times; large enough for a finger whatever the window's width. */
  #flags = el(
    "div",
    { class: "timeline-flags", "aria-hidden": "true", hidden: true },
    el("span", { class: "flag", "data-edge": "start" }),
    el("span", { class: "flag", "data-edge": "end" }),
  );

  /** @returns {HTMLFormElement} the form as it stands; rows that change bring a new one */
  get form() {
    return /** @type {HTMLFormElement} */ (document.getElementById("event-form"));
  }

  /** What the windows are drawn in: its whole width is `scale` seconds. @returns {HTMLElement} */
  get plot() {
    return /** @type {HTMLElement} */ (document.querySelector("#strip .timeline-inner"));
  }

  get scale() {
    return Number(this.plot.dataset.scale);
  }

  /** @returns {SVGElement[]} the bars of a window */
  bars(/** @type {number} */ index) {
    return [.../** @type {NodeListOf<SVGElement>} */ (this.plot.querySelectorAll(`.timeline-bar[data-window="${index}"]`))];
  }

  /** Puts bars and grips where the windows are. @param {Span[]} [spans] those of the table, if not said */
  draw(spans = readWindows(this.form)) {
    const part = (/** @type {number} */ seconds) => `${((100 * seconds) / this.scale).toFixed(3)}%`;
    spans.forEach((span, index) => {
      for (const bar of this.bars(index)) {
        bar.setAttribute("x", part(span.start));
        bar.setAttribute("width", part(span.seconds));
      }
    });
    this.#drawFlags(spans[this.chosen]);
  }

  /** @param {Span | undefined} span of the chosen window */
  #drawFlags(span) {
    const there = span !== undefined && span.seconds > 0;
    this.#flags.hidden = !there;
    if (this.#flags.parentElement !== this.plot) this.plot.append(this.#flags);
    if (!there) return;
    const [start, end] = /** @type {HTMLElement[]} */ ([...this.#flags.children]);
    const at = { start: span.start, end: span.start + span.seconds };
    start.textContent = hoursText(at.start);
    end.textContent = hoursText(at.end);
    start.style.right = `${100 - (100 * at.start) / this.scale}%`;
    end.style.left = `${(100 * at.end) / this.scale}%`;
    end.toggleAttribute("data-inside", this.plot.clientWidth * (1 - at.end / this.scale) < end.offsetWidth);
  }

  /** Chooses a window, and says which. The page stays where it is. @param {number} index @param {{focus?: boolean}} [how] */
  choose(index, { focus = false } = {}) {
    this.chosen = Math.min(index, countOf(this.form) - 1);
    letGoOfWindows();
    this.mark();
    if (focus) this.bars(this.chosen)[0]?.focus({ preventScroll: true });
    if (focus) this.#bringIntoView();
  }

  /** Shows which window is chosen, on the strip and in the table; after the page drew either anew. */
  mark() {
    const first = Math.max(this.chosen, 0);
    for (const bar of this.plot.querySelectorAll(".timeline-bar")) {
      const window = Number(/** @type {SVGElement} */ (bar).dataset.window);
      bar.toggleAttribute("data-chosen", window === this.chosen);
      if (bar.getAttribute("role") !== "option") continue;
      bar.setAttribute("aria-selected", String(window === this.chosen));
      bar.setAttribute("tabindex", window === first ? "0" : "-1");
    }
    showFolds(this.form, this.chosen);
    this.draw();
    this.say();
  }

  /** The chosen window in words. */
  say() {
    const line = this.form.querySelector("[data-role=chosen]");
    const span = readWindows(this.form)[this.chosen];
    const words = span ? `Window ${this.chosen + 1}: ${hoursText(span.start)} to ${hoursText(span.start + span.seconds)}, ${hoursText(span.seconds)} long` : "";
    if (line && line.textContent !== words) line.textContent = words;
    /** @type {HTMLElement} */ (this.form.querySelector(".timeline-on")).hidden = !span;
  }

  /** @param {number} by a factor */
  zoom(by) {
    this.#zoom = Math.min(MOST_ZOOM, Math.max(1, this.#zoom * by));
    this.showZoom();
    this.#bringIntoView();
  }

  showZoom() {
    this.plot.style.width = `${this.#zoom * 100}%`;
    const button = (/** @type {string} */ name) => /** @type {HTMLButtonElement | null} */ (this.form.querySelector(`[data-do="${name}"]`));
    const [out, into] = [button("out"), button("in")];
    if (out) out.disabled = this.#zoom === 1;
    if (into) into.disabled = this.#zoom === MOST_ZOOM;
    /** @type {HTMLInputElement} */ (this.form.elements.namedItem("zoom")).value = String(this.#zoom); // the axis is drawn for it
  }

  /** Goes on to the chosen window's numbers in the table. */
  toNumbers() {
    /** @type {HTMLElement | null} */ (this.form.querySelector(`[name="window-${this.chosen}-seconds"]`))?.focus();
  }

  /** Scrolls the strip sideways, never the page. */
  #bringIntoView() {
    const span = readWindows(this.form)[this.chosen];
    const view = this.plot.parentElement;
    if (!span || !view || view.scrollWidth <= view.clientWidth) return;
    const left = (span.start / this.scale) * view.scrollWidth;
    const right = ((span.start + span.seconds) / this.scale) * view.scrollWidth;
    if (left < view.scrollLeft) view.scrollLeft = left - 24;
    else if (right > view.scrollLeft + view.clientWidth) view.scrollLeft = right - view.clientWidth + 24;
  }
}
