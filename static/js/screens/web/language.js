// @ts-check
import { chooseLanguage } from "../../device/language.js";

/** The other languages at the foot of a page that is everybody's. */

for (const button of document.querySelectorAll("[data-language]")) {
  button.addEventListener("click", () => {
    chooseLanguage(button.getAttribute("data-language") ?? "");
    location.reload();
  });
}
