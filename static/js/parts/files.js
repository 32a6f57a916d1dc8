// @ts-check
import { el } from "./dom.js";

const LET_GO_MS = 60_000; // some browsers read the file only when the person has said where it goes

/** Hands a value to the person as a JSON file, with no network. @param {string} name @param {any} value */
export function saveFile(name, value) {
  const address = URL.createObjectURL(new Blob([JSON.stringify(value)], { type: "application/json" }));
  const link = el("a", { href: address, download: name, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), LET_GO_MS);
}
