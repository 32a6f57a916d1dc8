// @ts-check
import { openTablet } from "../../device/tablet.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { Coach } from "./coach/coach.js";
import { sayOnly } from "./lane/stage.js";

/** A coach's screen: several lifters, how soon each is called, what each has declared. */

const STEP_MS = 250; // times of whole seconds

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "coach" });

/** @type {Coach | null} */
let coach = null;
let soon = () => {};

function begin() {
  const made = new Coach(tablet, new Sound(), root);
  tablet.mayReload = () => made.idle;
  tablet.wake.keepOn();
  soon = frames(() => {
    made.step();
    return STEP_MS;
  }).soon;
  return made;
}

function changed() {
  if (tablet.packet.value?.lifters) coach ??= begin();
  else if (tablet.packet.sentence) sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  coach?.touch();
  soon();
}

tablet.watch(changed);
changed();
