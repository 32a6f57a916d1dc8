// @ts-check
/** What the call screen says of a declaration. */

const ON_ITS_WAY = { here: "on its way to the desk", safe: "on the judge's screen", refused: "refused by the desk" };

/**
 * Where a declaration is and whether it can still be changed.
 * @param {{by: string | null, kept: "here" | "safe" | "refused" | null, locked: boolean, lifted: boolean, ahead: boolean}} found by: null where nothing is
 * declared; ahead: for a window that is to come, while another lift is on the floor
 */
export function stateWords({ by, kept, locked, lifted, ahead }) {
  if (by === null) return lifted ? "Bar racked. Declare the next load." : "Nothing declared yet.";
  if (locked) return "locked: the bar has left the rack. What you declare now is for the next lift.";
  if (by === "lifter" && ahead && kept === "safe") return "at the desk: the judge sees it when this turn comes";
  if (by === "lifter") return ON_ITS_WAY[kept ?? "here"];
  return "declared by the judge";
}
