// @ts-check
/** What a mark may say: what the desk would refuse (rules/values/texts.py) is taken out of a judge's words before they become a mark. */

const MOST_STACKED = 8;
const NEVER = /[\0-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]/gu;
const UNSEEN = /[\u00ad\u034f\u061c\u180e\u200b\u200e\u200f\u2060-\u2064\u206a-\u206f\u3164\ufeff\uffa0\ufff9-\ufffc\u{e0001}]/gu;
const TAGS = /(\u{1f3f4}[\u{e0020}-\u{e007e}]{1,10}\u{e007f})|[\u{e0020}-\u{e007f}]/gu;
const JOINERS = /([\p{Lo}\p{M}\p{So}\p{Sk}][\u200c\u200d])?[\u200c\u200d]*/gu; // one after what can be joined; no look-behind (see DEVELOPERS.md: the floor)
const NOBODYS = /[\p{Co}\p{Noncharacter_Code_Point}]/gu;
const TOWER = new RegExp(`([\\p{Mn}\\p{Me}]{${MOST_STACKED}})[\\p{Mn}\\p{Me}]+`, "gu");

/** @param {string} text @returns {string} the same, fit to be said */
export function spoken(text) {
  const seen = text.replace(UNSEEN, "").replace(TAGS, "$1").replace(NEVER, "").replace(NOBODYS, "");
  return seen.replace(TOWER, "$1").replace(JOINERS, "$1").normalize("NFC").trim();
}

/** @param {Record<string, any>} body of a mark @returns {Record<string, any>} the same, its words fit to be said */
export function spokenBody(body) {
  return Object.fromEntries(Object.entries(body).map(([name, said]) => [name, typeof said === "string" && said ? spoken(said) || "?" : said]));
}
