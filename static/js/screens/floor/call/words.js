// @ts-check
/** What the call screen says of a declaration. */

const ON_ITS_WAY = { here: "on its way to the desk", safe: "on the judge's screen", refused: "refused by the desk" };

/**
 * Where a declaration is and whether it can still be changed.
 * @param {{by: string | null, kept: "here" | "safe" | "refused" | null, locked: boolean, lifted: boolean}} found by: null where nothing is declared
 */
export function stateWords({ by, kept, locked, lifted }) {
  if (by === null) return lifted ? "Bar racked. Declare the next load." : "Nothing declared yet.";
  if (locked) return "locked: the bar has left the rack. What you declare now is for the next lift.";
  if (by === "lifter") return ON_ITS_WAY[kept ?? "here"];
  return "declared by the judge";
}
