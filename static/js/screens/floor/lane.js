// @ts-check
import { keepBriefs } from "../../device/briefs.js";
import { openTablet } from "../../device/tablet.js";
import { Sound } from "../../parts/sound.js";
import { frames } from "../../parts/timing.js";
import { Stage, sayOnly } from "./lane/stage.js";
import { Lane } from "./lane/state.js";
import { FirstMinute } from "./practice/first_minute.js";
import { say } from "../../words/say.js";

/** The judge's screen. Begins with the packet of last time, or the desk's; from then on the tablet needs no network. */

// A count is painted by its own touch. The rest of the screen follows in one frame of its own, which also takes in that the mark
// is on the disk; that it is safe at the desk may be a moment late. So a touch costs two frames, and the first is a small one.
const AFTER_COUNT_MS = 40;
const AFTER_NEWS_MS = 100;

const root = /** @type {HTMLElement} */ (document.querySelector("[data-role=screen]"));
const tablet = await openTablet({ screen: "lane" });

/** @type {Stage | null} */
let stage = null;
/** @type {FirstMinute | null} */
let first = null;
/** @type {import("../../parts/timing.js").Frames | null} */
let drawing = null;

function begin() {
  const lane = new Lane(tablet, new Sound());
  const made = new Stage(lane, root);
  tablet.mayReload = () => lane.idle;
  tablet.meanwhile = () => (lane.works ? say("Keep judging: marks are kept here.") : say("Marks are kept here."));
  tablet.wake.keepOn();
  const minute = new FirstMinute(lane, made, root);
  const begun = frames(() => {
    const still = made.step();
    minute.step();
    return still;
  });
  first = minute;
  lane.onmark = (mark) => (mark.kind === "rep" ? begun.within(AFTER_COUNT_MS) : begun.soon());
  drawing = begun;
  return made;
}

function changed() {
  if (tablet.packet.value) stage ??= begin();
  else if (tablet.packet.sentence) {
    first?.end();
    sayOnly(root, tablet.deskTrouble || tablet.packet.sentence);
  }
  stage?.touch();
  drawing?.within(AFTER_NEWS_MS);
}

tablet.watch(changed);
keepBriefs(tablet);
changed();
