// @ts-check
import { inTime, startStream } from "../../../device/stream.js";
import { which } from "../which.js";

/** What the hall clock is told, and by whom a screen hears it. */

export const CLOCK_STREAM = `/clock/stream${which}`;
const ANSWER_MS = 4000; // a network that swallows what it is sent answers never

/** Follows the clock's stream; where there are more watchers than streams the screen asks, and what it is told then may be old. @param {() => void} onasked */
export function followClock(onasked) {
  const instead = async () => {
    const answer = await fetch(`/clock/now${which}`, { cache: "no-store", signal: inTime(ANSWER_MS) });
    if (answer.status !== 200) throw new Error(`The clock: ${answer.status}`);
    onasked();
    return { topic: "clock", data: await answer.json() };
  };
  return startStream(CLOCK_STREAM, { topics: ["clock"], instead });
}
