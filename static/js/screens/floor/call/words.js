// @ts-check
import { say } from "../../../words/say.js";
/** What the call screen says of a declaration. */

const ON_ITS_WAY = { here: say("on its way to the desk"), safe: say("on the judge's screen"), refused: say("refused by the desk") };

/**
 * Where a declaration is and whether it can still be changed.
 * @param {{by: string | null, kept: "here" | "safe" | "refused" | null, locked: boolean, lifted: boolean, ahead: boolean}} found by: null where nothing is
 * declared; ahead: for a window that is to come, while another lift is on the floor
 */
export function stateWords({ by, kept, locked, lifted, ahead }) {
  if (by === null) return lifted ? say("Bar racked. Declare the next load.") : say("Nothing declared yet.");
  if (locked) return say("locked: the bar has left the rack. What you declare now is for the next lift.");
  if (by === "rule") return say("by the rule: nobody declared in time");
  if (by === "lifter" && ahead && kept === "safe") return say("at the desk: the judge sees it when this turn comes");
  if (by === "lifter") return ON_ITS_WAY[kept ?? "here"];
  return say("declared by the judge");
}
