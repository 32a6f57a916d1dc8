// @ts-check
/**
 * What the desk knew when marks came, and what therefore waits for a ruling. Twin of app/rules/count/received.py, where the rule is said
 * in words. A mark that was only made here has no receipt yet, and is taken at its own time.
 */
import { momentAtReceipt, waits } from "./authority.js";
import { heatTime } from "./holding.js";
import { OF_THE_BAR, PLACED } from "./kinds.js";
import { atAnother } from "./lifting/bars.js";
import { byOrder } from "./order.js";
import { ROWS } from "./rows.js";

/** @typedef {import("../device/outbox.js").Mark} Mark */
/** @typedef {import("./sheet_clock.js").SheetClock} SheetClock */
/** @typedef {Map<string, Mark>} Marks by id */
/** @typedef {{mark: string, why: string}} Flag */

/**
 * The marks without those that were made for a time, or a run, that was not yet when they came; these are flagged.
 * @param {Marks} marks with the times that their tablets gave them @param {SheetClock} clock @param {Flag[]} flags @returns {Marks}
 */
export function butForAhead(marks, clock, flags) {
  /** @type {Marks} */
  const kept = new Map();
  for (const mark of marks.values()) {
    const moment = momentAtReceipt(mark, clock.given ?? true);
    if (moment !== null && waits(mark, moment, aboutOf(marks, mark))) flags.push({ mark: mark.id, why: moment });
    else kept.set(mark.id, mark);
  }
  return kept;
}

/**
 * The marks with each word on the bar from elsewhere at the moment at which it was said, without those that were said, or taken back,
 * too late; these are flagged.
 * @param {Marks} marks at their moments on the true heat clock @param {SheetClock} clock @param {Flag[]} flags @returns {Marks}
 */
export function asHeard(marks, clock, flags) {
  const elsewhere = new Set([...marks.values()].filter((mark) => isFromElsewhere(marks, mark)).map(({ id }) => id));
  const words = [...marks.values()].filter(({ id, receipt }) => receipt && elsewhere.has(id));
  if (!words.length) return marks;
  const hands = handsOf(marks, elsewhere);
  const read = new Set(hands.map(({ body }) => body.declared));
  const said = words.map((word) => (read.has(word.id) ? word : saidAt(word, hands, clock)));
  const heard = new Map(marks);
  for (const word of said) heard.set(word.id, word);
  for (const word of said) {
    const lock = locked(heard, word, hands);
    if (lock === null || !waits(word, lock, aboutOf(marks, word))) continue;
    flags.push({ mark: word.id, why: lock });
    heard.delete(word.id);
  }
  return heard;
}

/** Whether somebody judged anything: a word from elsewhere, a declaration from the lifter's phone, is no work yet. @param {Marks} marks */
export function isJudged(marks) {
  return [...marks.values()].some((mark) => PLACED.has(mark.kind) && !(mark.receipt && isFromElsewhere(marks, mark)));
}

/** @param {Marks} marks @param {Mark} mark @returns {Mark | null} */
function aboutOf(marks, mark) {
  return (mark.kind === "strike" && marks.get(mark.body.mark)) || null;
}

/** Whether a mark is a word on the bar, or takes one back, that the judge's hand can end. @param {Marks} marks @param {Mark} mark */
function isFromElsewhere(marks, mark) {
  if (!OF_THE_BAR.has(mark.kind) && mark.kind !== "strike") return false;
  const about = aboutOf(marks, mark);
  return ROWS.locks.some((lock) => waits(mark, lock, about));
}

/** What the judge did at the bar, and the signatures of the sheet, that the judge did not take back; in order. @param {Marks} marks @param {Set<string>} elsewhere */
function handsOf(marks, elsewhere) {
  const judges = [...marks.values()].filter(({ id }) => !elsewhere.has(id));
  const takenBack = new Set(judges.filter(({ kind }) => kind === "strike").map(({ body }) => body.mark));
  return judges.filter((mark) => isHand(mark) && !takenBack.has(mark.id)).sort(byOrder);
}

/** @param {Mark} mark */
function isHand({ kind, body }) {
  return OF_THE_BAR.has(kind) || (ROWS.kinds[kind]?.locks != null && body.who !== "athlete");
}

/** A word at the later of its own time and its receipt, where the judge did something between the two. @param {Mark} word @param {Mark[]} hands @param {SheetClock} clock @returns {Mark} */
function saidAt(word, hands, clock) {
  const came = word.receipt?.clock === undefined ? null : heatTime(word.receipt.clock, clock.holds).ms;
  const before = hands.filter((hand) => byOrder(hand, word) > 0 && cameBefore(hand, word, came));
  return before.length ? atAnother(word, Math.max(before[before.length - 1].at + 1, came ?? 0)) : word;
}

/** Whether the judge's mark was made before a word was received. @param {Mark} hand @param {Mark} word @param {number | null} came */
function cameBefore(hand, word, came) {
  if (!word.receipt || word.receipt.again) return true;
  if (hand.receipt && !hand.receipt.again && hand.receipt.number < word.receipt.number) return true;
  return came !== null && hand.at + hand.err < came;
}

/** By what the judge's hand had ended a word when it was said; what was on a bar is asked when the bar is known. @param {Marks} marks @param {Mark} word @param {Mark[]} hands */
function locked(marks, word, hands) {
  const before = hands.filter((hand) => byOrder(hand, word) < 0);
  if (before.some(({ kind }) => kind === "sign")) return "signed";
  const about = aboutOf(marks, word);
  if (about === null) return null;
  const since = before.filter((hand) => byOrder(hand, about) > 0 && !anotherBar(about, hand));
  return since.flatMap(({ kind }) => ROWS.kinds[kind].locks ?? []).at(-1) ?? null;
}

/** Whether two marks are known to be about two bars: other declarations or windows, not other members. @param {Mark} word @param {Mark} hand */
function anotherBar(word, hand) {
  const pairs = [[word.body.declared, hand.body.declared], [word.win, hand.win]];
  return pairs.some(([one, two]) => one != null && two != null && one !== two);
}
