// @ts-check
/** Which floor a screen of the hall keeps to, as its address names it by any of its lanes: `?lane=9`; empty for the whole hall. A wall for a block of lanes keeps to theirs. */
const asked = new URLSearchParams(location.search);
const lane = asked.get("lane") ?? asked.get("first");
export const which = lane ? `?lane=${encodeURIComponent(lane)}` : "";
