// @ts-check
import { hex } from "../../device/ids.js";

/** A film's print: the root of a hash tree (RFC 6962, section 2.1) over the SHA-256 of its pieces. The twin of
 * app/rules/round/tree.py. SHA-256 (FIPS 180-4) is worked out here, since a browser gives its own to safe pages alone. */

const FILM_PIECE_BYTES = 4 * 1024 * 1024;

/** The first 32 bits of the fractional parts of the n-th roots of the first primes (FIPS 180-4, 4.2.2 and 5.3.3).
 * @param {number} count @param {number} root */
function fractions(count, root) {
  const found = [];
  for (let n = 2; found.length < count; n += 1) {
    let prime = true;
    for (let d = 2; d * d <= n; d += 1) if (n % d === 0) prime = false;
    if (prime) found.push(Number(BigInt.asUintN(32, rootOf(BigInt(n) << BigInt(32 * root), root))));
  }
  return found;
}

/** The whole part of a root. @param {bigint} value @param {number} root */
function rootOf(value, root) {
  let low = 0n;
  let high = 1n << 40n;
  while (low < high) {
    const middle = (low + high + 1n) / 2n;
    if (middle ** BigInt(root) <= value) low = middle;
    else high = middle - 1n;
  }
  return low;
}

const K = Uint32Array.from(fractions(64, 3));
const START = Uint32Array.from(fractions(8, 2));

/** @param {Uint8Array} bytes @returns {Uint8Array} its SHA-256 */
export function sha256(bytes) {
  const state = START.slice();
  const whole = bytes.length - (bytes.length % 64);
  const words = new Uint32Array(64);
  for (let at = 0; at < whole; at += 64) block(state, words, bytes, at);
  const rest = bytes.length - whole;
  const end = new Uint8Array(rest < 56 ? 64 : 128);
  end.set(bytes.subarray(whole));
  end[rest] = 0x80;
  const length = new DataView(end.buffer); // in bits, as two words
  length.setUint32(end.length - 8, Math.floor(bytes.length / 2 ** 29));
  length.setUint32(end.length - 4, (bytes.length << 3) >>> 0);
  for (let at = 0; at < end.length; at += 64) block(state, words, end, at);
  const made = new Uint8Array(32);
  const view = new DataView(made.buffer);
  state.forEach((word, n) => view.setUint32(4 * n, word));
  return made;
}

/** @param {Uint32Array} state @param {Uint32Array} w @param {Uint8Array} bytes @param {number} at */
function block(state, w, bytes, at) {
  for (let n = 0; n < 16; n += 1) {
    const i = at + 4 * n;
    w[n] = (bytes[i] << 24) | (bytes[i + 1] << 16) | (bytes[i + 2] << 8) | bytes[i + 3];
  }
  for (let n = 16; n < 64; n += 1) {
    const x = w[n - 15];
    const y = w[n - 2];
    const s0 = ((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3);
    const s1 = ((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10);
    w[n] = (w[n - 16] + s0 + w[n - 7] + s1) | 0;
  }
  let a = state[0];
  let b = state[1];
  let c = state[2];
  let d = state[3];
  let e = state[4];
  let f = state[5];
  let g = state[6];
  let h = state[7];
  for (let n = 0; n < 64; n += 1) {
    const s1 = ((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7));
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + K[n] + w[n]) | 0;
    const s0 = ((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10));
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    h = g;
    g = f;
    f = e;
    e = (d + t1) | 0;
    d = c;
    c = b;
    b = a;
    a = (t1 + t2) | 0;
  }
  state[0] += a;
  state[1] += b;
  state[2] += c;
  state[3] += d;
  state[4] += e;
  state[5] += f;
  state[6] += g;
  state[7] += h;
}

/** @param {Uint8Array[]} leaves the SHA-256 of each piece @returns {string} the root, as hex digits */
export function filmRoot(leaves) {
  if (!leaves.length) return hex(sha256(new Uint8Array()));
  let level = leaves.map((leaf) => sha256(joined(0, leaf)));
  while (level.length > 1) {
    const above = [];
    for (let n = 0; n < level.length; n += 2) above.push(n + 1 < level.length ? sha256(joined(1, level[n], level[n + 1])) : level[n]);
    level = above;
  }
  return hex(level[0]);
}

/**
 * The print of a file, made piece by piece, so that the page goes on meanwhile.
 * @param {Blob} file @param {(share: number) => boolean} told how much of it is read, from 0 to 1; false: nobody waits for it any more
 * @returns {Promise<string | null>} null where nobody waits; rejects for a file that can't be read
 */
export async function printOf(file, told) {
  const leaves = [];
  for (let at = 0; at < file.size; at += FILM_PIECE_BYTES) {
    leaves.push(await hashed(new Uint8Array(await file.slice(at, at + FILM_PIECE_BYTES).arrayBuffer())));
    if (!told(Math.min(1, (at + FILM_PIECE_BYTES) / file.size))) return null;
    await new Promise((done) => setTimeout(done));
  }
  return filmRoot(leaves);
}

/** @param {Uint8Array<ArrayBuffer>} piece @returns {Promise<Uint8Array>} its SHA-256, by the browser's own where it gives that */
async function hashed(piece) {
  return globalThis.crypto?.subtle ? new Uint8Array(await crypto.subtle.digest("SHA-256", piece)) : sha256(piece);
}

/** @param {number} first @param {...Uint8Array} rest */
function joined(first, ...rest) {
  const made = new Uint8Array(1 + 32 * rest.length);
  made[0] = first;
  rest.forEach((one, n) => made.set(one, 1 + 32 * n));
  return made;
}
