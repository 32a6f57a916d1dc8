// @ts-check
/** The fewest moves over a plan of loads, away from the page, which would stand still. Message in: a question (call/planner.js); out: its plan. */
import { plan } from "../../rules/lifting/fewest_moves.js";

const MOST_HEAVY = 5000; // ways of a load, heavy plates inside: twelve kinds were seen to make some sixteen hundred

const worker = /** @type {any} */ (self);

worker.onmessage = (/** @type {MessageEvent} */ { data: { kit, loads, now } }) => {
  worker.postMessage(plan(kit, loads, now, kit.heavy_inside ? MOST_HEAVY : undefined));
};
