// @ts-check
/** What every page of the desk and of the review has: its keys, the search, where the focus goes, what is said aloud. */

import { followFocus } from "./around/focus.js";
import { bindKeys } from "./around/keys.js";
import { followPage } from "./around/said.js";
import { Search } from "./around/search.js";

/** @template {HTMLElement} T @param {string} id @returns {T} */
const part = (id) => /** @type {T} */ (document.getElementById(id));

/** @type {HTMLDialogElement} */
const keys = part("keys");
const search = new Search(part("search-box"));

part("search-open").addEventListener("click", () => search.open());
part("keys-open").addEventListener("click", () => keys.showModal());
for (const opener of ["search-open", "keys-open"]) part(opener).hidden = false;
keys.addEventListener("click", (event) => event.target === keys && keys.close());

bindKeys(keys);
followFocus();
followPage();
