// @ts-check
import { setData, setText } from "../../parts/dom.js";
import { BadMeasure, bothUnits, parseLoad } from "../../rules/units.js";

/** The desk's table of openers: both units while typing, arrows from row to row, a pasted column spread over its rows. */

const form = /** @type {HTMLFormElement | null} */ (document.querySelector("[data-role=openers]"));
const unit = /** @type {"kg" | "lb"} */ (form?.dataset.unit ?? "kg");

/** @param {HTMLInputElement} field */
function sayBoth(field) {
  const line = form?.querySelector(`[data-both="${CSS.escape(field.name)}"]`);
  if (!(line instanceof HTMLElement)) return;
  const text = field.value.trim();
  try {
    setText(line, text ? bothUnits(parseLoad(text, unit)) : "");
    setData(line, "tone", null);
  } catch (wrong) {
    if (!(wrong instanceof BadMeasure)) throw wrong;
    setText(line, wrong.message);
    setData(line, "tone", "look");
  }
}

/** The field in the same place of a row further down (or up). @param {HTMLInputElement} field @param {number} rows */
function below(field, rows) {
  const all = [...(form?.querySelectorAll("tbody tr") ?? [])];
  const row = field.closest("tr");
  const column = row ? [...row.querySelectorAll("input")].indexOf(field) : -1;
  const found = row && all[all.indexOf(row) + rows]?.querySelectorAll("input")[column];
  return found instanceof HTMLInputElement ? found : null;
}

/** The field `columns` to the right in its row. @param {HTMLInputElement} field @param {number} columns */
function beside(field, columns) {
  const all = [...(field.closest("tr")?.querySelectorAll("input") ?? [])];
  return all[all.indexOf(field) + columns] ?? null;
}

/** @param {ClipboardEvent} event */
function paste(event) {
  const { target } = event;
  const text = event.clipboardData?.getData("text/plain") ?? "";
  const lines = text.replace(/(\r\n?|\n)+$/, "").split(/\r\n?|\n/);
  if (!(target instanceof HTMLInputElement) || (lines.length < 2 && !text.includes("\t"))) return;
  event.preventDefault();
  for (const [row, line] of lines.entries()) {
    for (const [column, cell] of line.split("\t").entries()) {
      const first = below(target, row);
      const field = first && beside(first, column);
      if (!field) continue;
      field.value = cell.trim();
      sayBoth(field);
    }
  }
}

/** @param {KeyboardEvent} event */
function walk(event) {
  const way = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
  const next = way && event.target instanceof HTMLInputElement ? below(event.target, way) : null;
  if (!next) return;
  event.preventDefault();
  next.focus();
  next.select();
}

form?.addEventListener("input", ({ target }) => target instanceof HTMLInputElement && sayBoth(target));
form?.addEventListener("paste", paste);
form?.addEventListener("keydown", walk);
