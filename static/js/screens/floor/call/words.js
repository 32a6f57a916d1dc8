// @ts-check
import { sharers } from "../../../rules/turns.js";
import { say } from "../../../words/say.js";
import { memberName, taskText, whoText } from "../lane/words.js";

/** What the call screen says of a declaration, and of whose turn it is. */

/** @typedef {import("../lane/state.js").Lane} Lane */

const ON_ITS_WAY = { here: say("declared, on its way to the desk"), safe: say("declared, at the desk"), refused: say("refused by the desk") };

/**
 * Where a declaration is and whether it can still be changed.
 * @param {{by: string | null, kept: "here" | "safe" | "refused" | null, locked: boolean, lifted: boolean, none: boolean, ahead: boolean, before?: string}} found by: null where
 * nothing is declared; none: no attempt is left to declare; ahead: for a window that is to come, while another lift is on the floor; before:
 * the load that was begun with when the heat was run before, empty where it was not
 */
export function stateWords({ by, kept, locked, lifted, none, ahead, before = "" }) {
  if (by === null && none) return say("No attempts left.");
  if (by === null && !lifted && before) return say("The heat is run again: declare your opener anew. It was {load}.", { load: before });
  if (by === null) return lifted ? say("Declare the next load.") : say("Nothing declared yet: choose your next load and declare it.");
  if (locked && none) return say("locked: the bar has left the rack.");
  if (locked) return say("locked: the bar has left the rack. What you declare now is for the next lift.");
  if (by === "rule") return say("by the rule: nobody declared in time");
  if (by === "lifter" && ahead && kept === "safe") return say("at the desk: the judge sees it when this turn comes");
  if (by === "lifter") return ON_ITS_WAY[kept ?? "here"];
  return by === "desk" ? say("declared by the desk") : say("declared by the judge");
}

/** What is on the floor now, and whose turn it is. @param {Lane} lane @param {import("../lane/heats.js").Scene | null} scene */
export function nowText(lane, scene) {
  const { format, entry } = lane;
  if (!scene || scene.view === "set") return say("Waiting for GO");
  if (scene.view === "after") return lane.closed ? say("The heat is over") : say("The last bell has gone");
  const window = scene.win === null ? null : format.windows[scene.win];
  if (scene.view === "held") return say("Held: the clock is stopped");
  if (scene.view === "rest") return window ? say("Rest, then {who}: {task}", { who: whoText(format, window, entry), task: taskText(format, window) }) : say("rest");
  return window ? `${turnText(lane, /** @type {number} */ (scene.win)) || whoText(format, window, entry)}: ${taskText(format, window)}` : "";
}

/** Whose turn it is where any of several may lift; empty elsewhere. @param {Lane} lane @param {number} win */
function turnText(lane, win) {
  const { format, entry, tally } = lane;
  const window = format.windows[win];
  if (window.task == null || format.tasks[window.task].kind !== "lift" || sharers(format, window).length < 2) return "";
  const { declaration, begun } = tally.windows[win];
  const member = lane.marks().find(({ id }) => id === declaration)?.body.member;
  if (!member) return say("Nobody has declared yet");
  return begun ? say("{member} is lifting", { member: memberName(entry, member) }) : say("{member} is up", { member: memberName(entry, member) });
}
