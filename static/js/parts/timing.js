// @ts-check
/** The frame loop, and times as people read them. */

const TENTHS_BELOW_MS = 10_000; // tenths matter only at the end, and distract before it

/**
 * Calls `step` at each frame, and four times a second while the page is hidden and frames stand still.
 * @param {() => void} step
 * @returns {() => void} stops it
 */
export function frames(step) {
  let running = true;
  const onFrame = () => {
    if (!running) return;
    step();
    requestAnimationFrame(onFrame);
  };
  const whileHidden = setInterval(() => document.hidden && step(), 250);
  requestAnimationFrame(onFrame);
  return () => {
    running = false;
    clearInterval(whileHidden);
  };
}

/**
 * Time left: whole seconds rounded up (a window of two minutes begins with 2:00), tenths in the last ten seconds.
 * @param {number} ms
 * @returns {{minutes: string, tenths: string}} such as {minutes: "0:07", tenths: ".3"}
 */
export function timeLeft(ms) {
  const left = Math.max(0, ms);
  if (left >= TENTHS_BELOW_MS) return { minutes: minutesText(Math.ceil(left / 1000)), tenths: "" };
  const tenths = Math.ceil(left / 100);
  return { minutes: minutesText(Math.floor(tenths / 10)), tenths: `.${tenths % 10}` };
}

/** A time since GO or a length, m:ss. @param {number} ms */
export function timeText(ms) {
  return (ms < 0 ? "−" : "") + minutesText(Math.floor(Math.abs(ms) / 1000));
}

/** A finish time with its tenths, m:ss.t. @param {number} ms */
export function finishText(ms) {
  return `${minutesText(Math.floor(ms / 1000))}.${Math.floor((ms % 1000) / 100)}`;
}

/** @param {number} seconds whole */
function minutesText(seconds) {
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor((seconds % 3600) / 60);
  const rest = String(seconds % 60).padStart(2, "0");
  return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${rest}` : `${minutes}:${rest}`;
}
