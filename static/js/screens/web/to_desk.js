// @ts-check
import { choose, chosen } from "../../parts/choices.js";

/** The way back to the desk, on pages that are everybody's: shown in the organiser's own browser alone, until the desk is left. */

const AT = "desk"; // the name under which a browser keeps that it is at the desk; it opens nothing

if (document.body.dataset.page === "enter") choose(AT, "");
else if (document.querySelector("nav.bar")) choose(AT, "here");
document.querySelector('form[action="/desk/leave"]')?.addEventListener("submit", () => choose(AT, ""));

const back = document.getElementById("to-desk");
if (back) back.hidden = chosen(AT, "") !== "here";
