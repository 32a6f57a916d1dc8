// @ts-check
import { Film } from "../../parts/film.js";
import { el, fill } from "../../parts/dom.js";
import { keysHelp, listenToKeys } from "../floor/video/keys.js";
import { Player } from "../floor/video/player.js";
import { Counting } from "./look/counting.js";
import { Draft } from "./look/draft.js";
import { drawnPicture, isDrawn } from "./look/drawn.js";
import { Moments } from "./look/moments.js";
import { SameFilm } from "./look/same_film.js";

/**
 * A look at a film of a round: the film beside the counting, and a form that can be filled in without either. The film stays in the
 * browser; what is written down stays there too until it is sealed.
 */

const form = /** @type {HTMLFormElement} */ (document.getElementById("look-form"));
const place = /** @type {HTMLElement} */ (document.querySelector("[data-role=bench]"));
const look = JSON.parse(/** @type {string} */ (form.dataset.look));
const NOWHERE = { holds: [], judged: () => [], mark: () => /** @type {any} */ (null) }; // GO is written on no sheet: it is the browser's

/** The film, where this server has it. @returns {Promise<File | null>} */
async function filmHere() {
  if (!look.film.startsWith("/")) return null;
  const answer = await fetch(look.film).catch(() => null);
  if (!answer?.ok) return null;
  return new File([await answer.blob()], look.film.split("/").at(-1), { type: answer.headers.get("content-type") ?? "" });
}

async function begin() {
  const file = await filmHere();
  const drawn = file && isDrawn(file);
  const picture = drawn ? drawnPicture(JSON.parse(await file.text())) : el("video", { playsinline: true, preload: "auto", "data-role": "film-picture" });
  const film = new Film(/** @type {HTMLVideoElement} */ (picture), `look.${look.look}`);
  const player = new Player(NOWHERE, film);
  const counting = new Counting(look.parts, form, film);
  const moments = new Moments(form, film);
  const same = new SameFilm(look.print);
  fill(place, player.node, counting.node);
  place.before(same.node); // above the film: whoever looks at another one is to see it before they count
  place.after(keysHelp("N"));
  film.onchange = () => {
    const moment = film.moment();
    player.draw(moment);
    counting.draw(moment);
    moments.draw();
    same.draw(film.file);
  };
  listenToKeys(film, counting, player);
  new Draft(form, look.look, () => counting.read());
  if (file) film.open(file);
  place.toggleAttribute("data-film-here", file !== null); // then there is none to choose
  film.onchange();
}

begin();
