// @ts-check
import { el, fill, setData, svg } from "../../../../parts/dom.js";
import { sayLoad } from "../../../../parts/loads.js";
import { say } from "../../../../words/say.js";

/** The verdict on a lift over the whole of the work, while the bar goes back. */
export class Decided {
  node = el("p", { class: "decided", role: "decided", "aria-live": "assertive", hidden: true });

  /** @param {any} lift that was decided, null where none is to be shown @param {string} fault its name, or empty @param {boolean} sets whether repetitions count @param {string} bar what is wrong with it, until it is racked; or empty */
  show(lift, fault, sets, bar) {
    this.node.hidden = lift === null;
    if (lift === null) return;
    const reps = sets && lift.good ? `${lift.reps} × ` : "";
    const [word, tone] = lift.good ? [say("lift.good"), "good"] : [say("lift.no"), "no"];
    fill(this.node, el("b", {}, word), el("span", {}, reps + sayLoad(lift.load)), el("span", { class: "decided-why" }, fault), el("span", { class: "decided-bar", role: "bar-warning" }, bar));
    setData(this.node, "tone", tone);
  }
}

/** A plane with a drawn sign and its words. @param {string} words @param {string} role @param {string} sign */
export function verdict(words, role, sign) {
  const drawn = svg("svg", { class: "verdict-sign", viewBox: "0 0 20 20", "aria-hidden": "true" }, svg("path", { d: sign }));
  return el("button", { type: "button", class: `press ${role}`, role }, drawn, el("span", { class: "press-words" }, words));
}

/** Marks which of two verdicts was given; none while it is open. @param {HTMLElement} good @param {HTMLElement} no @param {boolean | null} given */
export function markGiven(good, no, given) {
  setData(good, "given", given === true);
  setData(no, "given", given === false);
}
