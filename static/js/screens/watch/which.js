// @ts-check
/** Which floor a screen of the hall keeps to, as its address names it by any of its lanes: `?lane=9`; empty for the whole hall. */
const lane = new URLSearchParams(location.search).get("lane");
export const which = lane ? `?lane=${encodeURIComponent(lane)}` : "";
