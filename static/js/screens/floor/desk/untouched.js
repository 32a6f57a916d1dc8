// @ts-check
import { button, el, fill } from "../../../parts/dom.js";

/**
 * A desk's page that lies about on a tablet: when nobody has touched it for a while, the first GO there asks once by the heat's name.
 * What was touched when is kept over a reload of the page, by the clock on the wall; a page that somebody has walked to is in use.
 */

const KEPT = "lane-ledger.desk-touched";

/** @returns {{at: number, asks: boolean}} at: when it was touched last; asks: the next GO is asked about */
function recall() {
  const [came] = /** @type {PerformanceNavigationTiming[]} */ (performance.getEntriesByType("navigation"));
  const now = { at: Date.now(), asks: false };
  try {
    const kept = { ...now, ...JSON.parse(sessionStorage.getItem(KEPT) ?? "{}") };
    return came?.type === "navigate" ? { ...kept, at: now.at } : kept;
  } catch {
    return now;
  }
}

export class Untouched {
  #touched = recall();
  #sure = false;

  /** @param {HTMLElement} floor says in data-asks-after after how many ms it asks; without that it never does */
  constructor(floor) {
    this.floor = floor;
    this.node = el("dialog", { class: "start-ask", id: "start-ask", "aria-labelledby": "start-ask-title" });
    document.body.append(this.node);
    for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, () => this.#touch(), { capture: true, passive: true });
    document.addEventListener("submit", (event) => this.#look(event), { capture: true });
    this.#keep();
  }

  #touch() {
    const { asksAfter } = this.floor.dataset;
    const asks = this.#touched.asks || (asksAfter !== undefined && Date.now() - this.#touched.at > Number(asksAfter));
    this.#touched = { at: Date.now(), asks };
    this.#keep();
  }

  /** @param {SubmitEvent} event */
  #look(event) {
    const form = /** @type {HTMLFormElement} */ (event.target);
    const { asks } = form.dataset;
    if (!asks || this.#sure || !this.#touched.asks) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    this.#ask(asks, form.id, form.action);
  }

  /** @param {string} question @param {string} id of the form @param {string} action what was pressed: the page may have turned to another heat */
  #ask(question, id, action) {
    const yes = () => {
      const form = /** @type {HTMLFormElement | null} */ (document.getElementById(id));
      this.node.close();
      if (form?.action === action) this.#go(form);
    };
    fill(
      this.node,
      el("h2", { id: "start-ask-title" }, question),
      el("p", {}, "Nobody has touched this page for a while. GO starts the clocks on every lane."),
      el("div", { class: "row" }, button("Yes, GO", yes, { class: "act", id: "start-yes" }), button("No", () => this.node.close(), { id: "start-no" })),
    );
    this.node.showModal();
  }

  /** @param {HTMLFormElement} form */
  #go(form) {
    this.#touched.asks = false;
    this.#keep();
    this.#sure = true;
    /** @type {HTMLButtonElement} */ (form.querySelector("button.go")).click();
    this.#sure = false;
  }

  #keep() {
    try {
      sessionStorage.setItem(KEPT, JSON.stringify(this.#touched));
    } catch {
      // It lasts as long as the page.
    }
  }
}
