// @ts-check
/** Ids of marks and devices: random numbers and UUID version 7, which sort in the order of time. */

/** Random integers come from here: it exists on plain http too, unlike crypto.randomUUID. @param {number} count */
function randomBytes(count) {
  return crypto.getRandomValues(new Uint8Array(count));
}

/**
 * A UUID version 7 as 32 hex digits (RFC 9562): 48 bits of time first, so that the ledger's keys come nearly in order.
 * @param {number} [wallMs]
 * @returns {string}
 */
export function uuid7(wallMs = Date.now()) {
  const bytes = randomBytes(16);
  let time = Math.max(0, Math.floor(wallMs));
  for (let i = 5; i >= 0; i -= 1) {
    bytes[i] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  return hex(bytes);
}

/** Bytes as hex digits, two for each. @param {Uint8Array} bytes */
export function hex(bytes) {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * The number of one life of one page: later pages get a greater one, and two pages opened in one millisecond differ.
 * @param {number} above the greatest epoch known so far
 * @param {number} [wallMs]
 * @returns {number} at most 2^53 - 1 until the year 2255
 */
export function newEpoch(above, wallMs = Date.now()) {
  const [high, low] = randomBytes(2);
  const chance = (high * 256 + low) % 1000;
  return Math.max(Math.floor(wallMs) * 1000, above + 1) + chance;
}
