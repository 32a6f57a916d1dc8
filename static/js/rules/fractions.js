// @ts-check
/** Exact numbers: a whole numerator over a whole, positive denominator, always in lowest terms. */

/** @typedef {{readonly n: bigint, readonly d: bigint}} Fraction */

/** @param {bigint} n @param {bigint} d @returns {Fraction} */
export function fraction(n, d = 1n) {
  if (d === 0n) throw new RangeError("A fraction's denominator is not zero.");
  const sign = d < 0n ? -1n : 1n;
  const common = greatestCommonDivisor(n < 0n ? -n : n, d < 0n ? -d : d);
  return Object.freeze({ n: (sign * n) / common, d: (sign * d) / common });
}

/** @param {bigint} a @param {bigint} b @returns {bigint} */
function greatestCommonDivisor(a, b) {
  while (b) [a, b] = [b, a % b];
  return a || 1n;
}

const WRITTEN = /^(?<sign>[-+]?)(?<whole>\d+)(?:\.(?<part>\d*)|\/(?<under>\d+))?$/;

/**
 * A number as formats and marks write it: `12`, `102.5`, `1/3`.
 * @param {string | number} text a number only if it is whole
 * @returns {Fraction}
 */
export function exact(text) {
  const found = WRITTEN.exec(String(text));
  if (!found?.groups) throw new RangeError(`“${text}” is not a number.`);
  const { sign, whole, part = "", under } = found.groups;
  const n = BigInt(whole + part) * (sign === "-" ? -1n : 1n);
  return fraction(n, under === undefined ? 10n ** BigInt(part.length) : BigInt(under));
}

/** @param {Fraction} a @param {Fraction} b */
export function plus(a, b) {
  return fraction(a.n * b.d + b.n * a.d, a.d * b.d);
}

/** @param {Fraction} a @param {Fraction} b */
export function times(a, b) {
  return fraction(a.n * b.n, a.d * b.d);
}

/** @param {Fraction} a @param {Fraction} b */
export function over(a, b) {
  return fraction(a.n * b.d, a.d * b.n);
}

/** @param {Fraction} a @param {Fraction} b @returns {-1 | 0 | 1} */
export function compare(a, b) {
  const left = a.n * b.d;
  const right = b.n * a.d;
  return left < right ? -1 : left > right ? 1 : 0;
}

/** Whether `a` is a whole multiple of `b`. @param {Fraction} a @param {Fraction} b */
export function isMultiple(a, b) {
  return over(a, b).d === 1n;
}

/** The greatest whole number not above `value`. @param {Fraction} value @returns {bigint} */
export function floor(value) {
  const cut = value.n / value.d;
  return value.n < 0n && value.n % value.d !== 0n ? cut - 1n : cut;
}
