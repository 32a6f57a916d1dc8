// @ts-check
/** Division tabs: they turn by themselves on a wall, can be held, and obey the arrow keys. Long standings turn page by page. */

import { isLong, markMore, turnPage } from "./pages.js";
import { say } from "../../../words/say.js";

const TURN_MS = 12_000;
const WALL = "(min-width: 64rem)"; // on a phone nobody wants the page to turn away from under the thumb

export class Tabs {
  /** The panel shown; empty until one is. */
  #shown = "";
  #held = !matchMedia(WALL).matches;
  #timer = 0;

  /** @param {HTMLElement} main */
  constructor(main) {
    this.main = main;
    main.addEventListener("click", (event) => this.#clicked(/** @type {Element} */ (event.target)));
    main.addEventListener("keydown", (event) => this.#pressed(event));
    this.refresh();
    this.#wait();
  }

  /** Puts the tabs back as this page has them, after the server's HTML has come in. */
  refresh() {
    const tabs = this.#tabs();
    for (const list of this.main.querySelectorAll(".panel-rows")) markMore(list);
    if (!tabs.length) return;
    const chosen = tabs.find((tab) => panelId(tab) === this.#shown) ?? tabs.find((tab) => tab.getAttribute("aria-selected") === "true") ?? tabs[0];
    this.#show(chosen);
    const rows = this.#rows();
    if (rows) markMore(rows);
    const hold = document.getElementById("board-hold");
    if (!hold) return;
    hold.hidden = this.#turning().length < 2 && !(rows && isLong(rows));
    hold.setAttribute("aria-pressed", String(this.#held));
    hold.textContent = this.#held ? say("Staying. Turn again") : say("Stay on this page");
  }

  /** @returns {HTMLElement[]} */
  #tabs() {
    return [...this.main.querySelectorAll('[role="tab"]')].map((tab) => /** @type {HTMLElement} */ (tab));
  }

  #turning() {
    return this.#tabs().filter((tab) => tab.dataset.turns === "yes");
  }

  /** @param {HTMLElement} chosen */
  #show(chosen) {
    this.#shown = panelId(chosen);
    for (const tab of this.#tabs()) {
      const isChosen = tab === chosen;
      tab.setAttribute("aria-selected", String(isChosen));
      tab.tabIndex = isChosen ? 0 : -1;
      const panel = document.getElementById(panelId(tab));
      if (panel) panel.hidden = !isChosen;
    }
  }

  #rows() {
    return document.getElementById(this.#shown)?.querySelector(".panel-rows") ?? null;
  }

  #wait() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => {
      if (!this.#held && !document.hidden) this.#turn();
      this.#wait();
    }, TURN_MS);
  }

  /** The next page of a long standing, else the next division. */
  #turn() {
    const rows = this.#rows();
    if (rows && turnPage(rows, "tbody tr")) return;
    const turning = this.#turning();
    const now = turning.findIndex((tab) => panelId(tab) === this.#shown);
    if (turning.length) this.#show(turning[(now + 1) % turning.length]);
    this.refresh();
  }

  /** @param {boolean} held */
  #hold(held) {
    this.#held = held;
    this.#wait();
    this.refresh();
  }

  /** @param {Element} target */
  #clicked(target) {
    if (target.closest("#board-hold")) return this.#hold(!this.#held);
    const tab = target.closest('[role="tab"]');
    if (tab) this.#choose(/** @type {HTMLElement} */ (tab));
  }

  /** Somebody wants to read this one: it stays. @param {HTMLElement} tab */
  #choose(tab) {
    this.#show(tab);
    this.#hold(true);
  }

  /** @param {KeyboardEvent} event */
  #pressed(event) {
    const tabs = this.#tabs();
    const now = tabs.indexOf(/** @type {HTMLElement} */ (event.target));
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (now < 0 || !step) return;
    event.preventDefault();
    const next = tabs[(now + step + tabs.length) % tabs.length];
    this.#choose(next);
    next.focus();
  }
}

/** @param {HTMLElement} tab */
function panelId(tab) {
  return tab.getAttribute("aria-controls") ?? "";
}
