// @ts-check
/** What a tap means to whom a miss put out. Values in, words out. */
import { say } from "../../../words/say.js";

/** @param {import("../../../rules/tally.js").WindowTally} missed the window whose miss it was, of a count or of a list with an end */
export function outWords({ target, credited, left }) {
  return say("Out by this count: {count} of {target} before. A tap is kept; it scores nothing.", { count: credited, target: target ?? credited + (left ?? 0) });
}
