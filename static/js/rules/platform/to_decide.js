// @ts-check
/** Which lift a side referee decides, and whether a lift still waits for a referee: both by what a tablet holds, with or without the desk. */

/** @typedef {import("../../device/outbox.js").Mark} Mark */
/** @typedef {{declared: Mark, begun: string | null, mine: any}} Try what is to be decided, and this judge's decision on it, if any */

/**
 * What is on the floor: the bar that left its rack last, else the declaration that stands.
 * @param {readonly Mark[]} marks of the window that stand on this judge's sheet, the lane judge's words on the bar among them
 * @param {any} own the window's tally by this judge's word alone @param {any} joined the same by what all decided
 * @returns {Try | null}
 */
export function toDecide(marks, own, joined) {
  // What stands follows from what all decided: by this judge's word alone the rule's next load may be another.
  const { declaration } = joined;
  const declarations = new Map(marks.filter(({ kind }) => kind === "declare").map((mark) => [mark.id, mark]));
  const out = marks.filter(({ kind, body }) => kind === "begun" && declarations.has(body.declared)).at(-1);
  const mine = out && (own.lifts.find((/** @type {any} */ lift) => lift.begun === out.id) ?? beforeHeard(marks, own, out));
  const named = out && declarations.get(out.body.declared);
  if (out && named && (mine === null || declaration === null || declaration === named.id)) return { declared: named, begun: out.id, mine };
  const declared = declarations.get(declaration ?? "");
  if (!declared) return null;
  return { declared, begun: null, mine: own.lifts.find((/** @type {any} */ lift) => lift.declared === declared.id) ?? null };
}

/**
 * This judge's decision from before this tablet heard that the bar had left, by a clock that says an earlier time: it names no try, and is
 * about the only one under its declaration.
 * @param {readonly Mark[]} marks @param {any} own @param {Mark} out the bar that left its rack
 */
function beforeHeard(marks, own, { body: { declared } }) {
  const times = marks.filter(({ kind, body }) => kind === "begun" && body.declared === declared).length;
  const unnamed = (/** @type {any} */ lift) => lift.declared === declared && lift.begun === null;
  return (times === 1 && own.lifts.find(unnamed)) || null;
}

/**
 * Whether a try is open, and a referee has not decided it.
 * @param {Mark} begun the mark of the bar leaving its rack @param {any} tally of its lane, by what all decided
 * @param {readonly Mark[]} marks of all sheets of that lane @param {string} counter the kind of the referee's own sheet
 */
export function waitsFor(begun, tally, marks, counter) {
  const { declared } = begun.body;
  const over = tally.struck.includes(begun.id) || marks.some(({ kind, body }) => kind === "racked" && body.declared === declared);
  const decided = tally.windows.some((/** @type {any} */ { lifts }) => lifts.some((/** @type {any} */ lift) => lift.begun === begun.id && lift.doubt !== "waiting"));
  // Who decided before this tablet heard that the bar had left, named no try.
  const about = (/** @type {Mark} */ { kind, body }) => kind === "lift" && body.declared === declared && (body.begun ?? begun.id) === begun.id;
  return !over && !decided && !marks.some((one) => about(one) && one.sheet.endsWith(`/${counter}`));
}
