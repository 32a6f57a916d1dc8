// @ts-check
/** The rows of the rule book that a tablet needs: the server writes them in here, see app/rules/count/tablet_rows.py. */

/** @typedef {{told: string, listed: string, work: string[], timed: boolean, of_the_bar: boolean, prepares: boolean, private: string[], locks: Moment | null, track: string}} KindRow */
/** @typedef {"before" | "work" | "rest" | "after" | "by-hand" | "bar-out" | "decided" | "signed" | "ahead" | "no-run" | "signed-off" | "away"} Moment see app/rules/records/authority.py */
/** @typedef {Record<string, Record<string, string[]>>} Cells by sheet and kind, an effect for each moment */
/** @typedef {{role: string, sheet: string, name: string, how: Record<string, {by: string[], own: string[]}>, cells: Cells}} SeatRow */
/** @typedef {{kinds: Record<string, KindRow>, sheets: Record<string, {does: string, name: string}>, moments: Moment[], locks: Moment[], believed_ms: number, hands: {per_second: number, beside: number, fastest_taps: number}, seats: Record<string, SeatRow>, flags: Record<string, string>, keeps_out: string[]}} Rows */

export const ROWS = /** @type {Rows} */ (/** @type {any} */ ("__ROWS__"));
