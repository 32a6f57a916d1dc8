// @ts-check
/** Presses as hands make them: counted when the finger lands, held, swiped. */

// A worn screen or a sweaty finger can report one touch twice within a few hundredths of a second. The fastest rope ever turned
// lands 328 ms apart and two thumbs 80, so this swallows nothing that a person did.
const BOUNCE_MS = 45;
const HOLD_MS = 420;
const SWIPE_PX = 32;

/**
 * Acts when a finger lands, not when it leaves: no click delay, every finger counts. Keyboard and switch devices come in as clicks.
 * @param {HTMLElement} target
 * @param {() => void} act
 */
export function onLand(target, act) {
  let last = -Infinity;
  target.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || event.timeStamp - last < BOUNCE_MS) return;
    last = event.timeStamp;
    act();
  });
  target.addEventListener("click", (event) => {
    if (event.detail === 0) act();
  });
  keepStill(target);
}

/**
 * A tap, or a hold or a swipe that asks for more.
 * @param {HTMLElement} target
 * @param {{tap: () => void, more: () => void}} acts
 */
export function onTapOrHold(target, { tap, more }) {
  /** @type {{id: number, x: number, y: number, timer: number} | null} */
  let down = null;
  const asked = () => {
    if (!down) return;
    clearTimeout(down.timer);
    down = null;
    more();
  };
  target.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || down) return;
    down = { id: event.pointerId, x: event.clientX, y: event.clientY, timer: setTimeout(asked, HOLD_MS) };
  });
  target.addEventListener("pointermove", (event) => {
    if (down?.id === event.pointerId && Math.hypot(event.clientX - down.x, event.clientY - down.y) > SWIPE_PX) asked();
  });
  target.addEventListener("pointerup", (event) => {
    if (down?.id !== event.pointerId) return;
    clearTimeout(down.timer);
    down = null;
    tap();
  });
  target.addEventListener("pointercancel", (event) => {
    if (down?.id !== event.pointerId) return;
    clearTimeout(down.timer);
    down = null;
  });
  target.addEventListener("click", (event) => {
    if (event.detail === 0) tap();
  });
  target.addEventListener("contextmenu", (event) => {
    event.preventDefault();
    asked();
  });
  keepStill(target);
}

/**
 * A long press, for what must not happen by accident.
 * @param {HTMLElement} target
 * @param {() => void} act
 */
export function onLongPress(target, act) {
  let timer = 0;
  const forget = () => clearTimeout(timer);
  target.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    forget();
    timer = setTimeout(act, HOLD_MS + 180);
  });
  for (const leaving of ["pointerup", "pointercancel", "pointerleave"]) target.addEventListener(leaving, forget);
  target.addEventListener("contextmenu", (event) => event.preventDefault());
}

/** No zoom on a double tap, no menu, no selection: a counting hand lands where it lands. @param {HTMLElement} target */
function keepStill(target) {
  target.addEventListener("touchstart", (event) => event.cancelable && event.preventDefault(), { passive: false });
  target.addEventListener("contextmenu", (event) => event.preventDefault());
}
