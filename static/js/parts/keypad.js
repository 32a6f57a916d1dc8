// @ts-check
import { button, el } from "./dom.js";
import { say } from "../words/say.js";

const MOST_DIGITS = 8;
const MOST_TYPED = 12;

/**
 * Digits for chalky fingers. Holds the text typed so far; the number it means is the owner's business. With `letters` a keyboard's
 * other keys are taken too, so that a slip is seen and told, and not swallowed: 1O5 without its O would be 15.
 */
export class Keypad {
  text = "";

  /** @param {() => void} onchange called after each key @param {{letters?: boolean}} [options] */
  constructor(onchange, { letters = false } = {}) {
    this.onchange = onchange;
    this.letters = letters;
    const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0"];
    const back = button("⌫", () => this.set(this.text.slice(0, -1)), { class: "key", "aria-label": say("Delete the last digit") });
    this.node = el("div", { class: "keypad", role: "keypad" }, ...keys.map((key) => this.#key(key)), back);
  }

  /** @param {string} text */
  set(text) {
    this.text = text;
    this.onchange();
  }

  /** Takes digits from a keyboard as well. @param {KeyboardEvent} event @returns {boolean} whether it was for us */
  typed(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    if (this.letters && (/^[,+-]$/.test(event.key) || (this.text && /^[a-z.]$/i.test(event.key)))) this.#add(event.key);
    else if (/^[\d.,]$/.test(event.key)) this.#press(event.key.replace(",", "."));
    else if (event.key === "Backspace" && this.text) this.set(this.text.slice(0, -1));
    else return false;
    return true;
  }

  /** @param {string} key */
  #add(key) {
    if (this.text.length < MOST_TYPED) this.set(this.text + key);
  }

  /** @param {string} key */
  #key(key) {
    return button(key, () => this.#press(key), { class: "key", "data-key": key, "aria-label": key === "." ? say("Point") : key });
  }

  /** @param {string} key */
  #press(key) {
    if (key === "." && this.text.includes(".")) return;
    if (this.text.replace(/\D/g, "").length >= MOST_DIGITS) return;
    this.set(this.text === "0" && key !== "." ? key : (this.text || (key === "." ? "0" : "")) + key);
  }
}
