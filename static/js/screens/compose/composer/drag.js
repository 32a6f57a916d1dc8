// @ts-check
/** Moving and stretching windows with a pointer of any kind, and with arrows. */

import { begun, moved, snapped, stretched } from "./edits.js";
import { readWindows, writeWindows } from "./windows.js";

/** @typedef {import("./edits.js").Span} Span */
/** @typedef {"move" | "start" | "end"} Grip */

const EDGE_PX = 9; // a mouse takes an end of a bar within this
const LEAST_FOR_EDGES_PX = 34; // narrower bars are moved only; their ends are at the grips below
const SLACK_PX = 4; // a press that moves less is a choice, not a drag

/** What dragging and arrows need to know of the page. @typedef {{step: () => number, along: () => boolean, done: (words: string) => void}} Choices */

/** Moving and stretching windows on the strip with a pointer of any kind, and with arrows. */
export class Drag {
  /** @type {{id: number, x: number, index: number, grip: Grip, spans: Span[], begun: boolean} | null} */
  #held = null;

  /** @param {import("./strip.js").Strip} strip @param {Choices} choices */
  constructor(strip, choices) {
    this.strip = strip;
    this.choices = choices;
    document.addEventListener("pointerdown", (event) => this.#down(event));
    document.addEventListener("pointermove", (event) => this.#move(event));
    document.addEventListener("pointerup", (event) => this.#up(event));
    document.addEventListener("pointercancel", (event) => this.#cancel(event));
  }

  /** Whether a window is under the finger: nothing may be drawn anew now. */
  get busy() {
    return this.#held !== null;
  }

  /** @param {PointerEvent} event */
  #down(event) {
    const target = /** @type {Element} */ (event.target);
    if (event.button !== 0 || this.#held || !target.closest?.("#strip")) return;
    const bar = /** @type {SVGElement | null} */ (target.closest(".timeline-bar"));
    const flag = /** @type {HTMLElement | null} */ (target.closest(".flag"));
    const index = flag ? this.strip.chosen : bar ? Number(bar.dataset.window) : -1;
    if (index < 0) return;
    const grip = flag ? /** @type {Grip} */ (flag.dataset.edge) : edgeOf(/** @type {SVGElement} */ (bar), event);
    this.#held = { id: event.pointerId, x: event.clientX, index, grip, spans: readWindows(this.strip.form), begun: false };
    target.setPointerCapture?.(event.pointerId);
    if (!flag) this.strip.choose(index, { focus: true });
    event.preventDefault(); // no text is selected, no image dragged; the bar has the focus already
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const held = this.#held;
    if (!held || held.id !== event.pointerId) return this.#hover(event);
    const px = event.clientX - held.x;
    if (!held.begun && Math.abs(px) < SLACK_PX) return;
    held.begun = true;
    const by = (px / this.strip.plot.clientWidth) * this.strip.scale;
    writeWindows(this.strip.form, this.#edited(held.spans, held.index, held.grip, by));
    this.strip.draw();
    this.strip.say();
  }

  /** @param {Span[]} spans @param {number} index @param {Grip} grip @param {number} by seconds @returns {Span[]} */
  #edited(spans, index, grip, by) {
    const [step, along, span] = [this.choices.step(), this.choices.along(), spans[index]];
    if (grip === "move") return moved(spans, index, snapped(span.start + by, step), along);
    if (grip === "start") return begun(spans, index, snapped(span.start + by, step), Math.min(step, span.seconds));
    return stretched(spans, index, snapped(span.start + span.seconds + by, step), along, Math.min(step, span.seconds));
  }

  /** @param {PointerEvent} event */
  #up(event) {
    const held = this.#held;
    if (!held || held.id !== event.pointerId) return;
    this.#held = null;
    if (held.begun) this.choices.done(`window ${held.index + 1} ${held.grip === "move" ? "moved" : "stretched"}`);
  }

  /** @param {PointerEvent} event */
  #cancel(event) {
    if (this.#held?.id !== event.pointerId) return;
    writeWindows(this.strip.form, this.#held.spans);
    this.#held = null;
    this.strip.draw();
  }

  /** Shows what a press would take hold of. @param {PointerEvent} event */
  #hover(event) {
    const bar = /** @type {SVGElement | null} */ (/** @type {Element} */ (event.target).closest?.("#strip .timeline-bar") ?? null);
    if (bar && event.pointerType === "mouse") bar.setAttribute("data-grip", edgeOf(bar, event));
  }

  /**
   * One arrow: moves or stretches the chosen window by the step.
   * @param {number} by -1 or 1 @param {boolean} stretch
   */
  arrow(by, stretch) {
    const spans = readWindows(this.strip.form);
    const span = spans[this.strip.chosen];
    if (!span) return;
    const step = this.choices.step();
    const next = (/** @type {number} */ at) => (by > 0 ? Math.floor(at / step) + 1 : Math.ceil(at / step) - 1) * step;
    const grip = stretch ? "end" : "move";
    const from = stretch ? span.start + span.seconds : span.start;
    writeWindows(this.strip.form, this.#edited(spans, this.strip.chosen, grip, next(from) - from));
    this.strip.draw();
    this.strip.say();
    this.choices.done(`window ${this.strip.chosen + 1} ${stretch ? "stretched" : "moved"}`);
  }
}

/** Which part of a bar a pointer takes. @param {SVGElement} bar @param {PointerEvent} event @returns {Grip} */
function edgeOf(bar, event) {
  const box = bar.querySelector("rect")?.getBoundingClientRect() ?? bar.getBoundingClientRect();
  if (event.pointerType !== "mouse" || box.width < LEAST_FOR_EDGES_PX) return "move";
  if (event.clientX - box.left < EDGE_PX) return "start";
  return box.right - event.clientX < EDGE_PX ? "end" : "move";
}
