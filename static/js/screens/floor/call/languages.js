// @ts-check
import { othersOf, speak } from "../../../device/language.js";
import { button, el } from "../../../parts/dom.js";

/** A row with the other languages, for a screen without a menu. It comes as a newer app does: whoever shows it does so only while nothing runs. */
export function languageRow() {
  const keys = othersOf(document).map(([code, name]) => button(name, () => speak(code), { class: "plain", lang: code, role: "language" }));
  return el("p", { class: "row", hidden: true }, ...keys);
}
