// SHA-256 (FIPS 180-4), at once and everywhere: a page opened from a mail may have no other.

/** The first 32 bits of the fractions of the cube roots (or of the square roots) of primes.
 * @param {number} count @param {number} power @returns {Uint32Array} */
function rootsOfPrimes(count, power) {
  const found = new Uint32Array(count);
  for (let n = 2, i = 0; i < count; n++) {
    let prime = true;
    for (let d = 2; d * d <= n; d++) if (n % d === 0) prime = false;
    if (prime) {
      const root = n ** power;
      found[i++] = Math.floor((root - Math.floor(root)) * 2 ** 32);
    }
  }
  return found;
}

const ROUNDS = rootsOfPrimes(64, 1 / 3);
const START = rootsOfPrimes(8, 1 / 2);

/** @param {string} text @returns {Uint8Array} the SHA-256 of a text in UTF-8, 32 bytes */
export function sha256(text) {
  const bytes = new TextEncoder().encode(text);
  const length = ((bytes.length + 72) >> 6) << 6;
  const padded = new Uint8Array(length);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(length - 4, (bytes.length << 3) >>> 0);
  const state = START.slice();
  const w = new Uint32Array(64);
  /** @param {number} x @param {number} n */
  const turn = (x, n) => (x >>> n) | (x << (32 - n));
  for (let block = 0; block < length; block += 64) {
    for (let i = 0; i < 16; i++) w[i] = view.getUint32(block + 4 * i);
    for (let i = 16; i < 64; i++) {
      const a = w[i - 15], b = w[i - 2];
      const s0 = turn(a, 7) ^ turn(a, 18) ^ (a >>> 3);
      const s1 = turn(b, 17) ^ turn(b, 19) ^ (b >>> 10);
      w[i] = w[i - 16] + s0 + w[i - 7] + s1;
    }
    let [a, b, c, d, e, f, g, h] = state;
    for (let i = 0; i < 64; i++) {
      const s1 = turn(e, 6) ^ turn(e, 11) ^ turn(e, 25);
      const one = (h + s1 + ((e & f) ^ (~e & g)) + ROUNDS[i] + w[i]) | 0;
      const s0 = turn(a, 2) ^ turn(a, 13) ^ turn(a, 22);
      const two = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((value, i) => (state[i] += value));
  }
  const out = new DataView(new ArrayBuffer(32));
  state.forEach((value, i) => out.setUint32(4 * i, value));
  return new Uint8Array(out.buffer);
}

/** @param {string} text @returns {string} its SHA-256 in hexadecimal */
export function digest(text) {
  return Array.from(sha256(text), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
