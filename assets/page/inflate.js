// Decompresses zlib's format (RFC 1950, 1951): not every phone's browser can by itself.

const LENGTHS = [3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 15, 17, 19, 23, 27, 31, 35, 43, 51, 59, 67, 83,
  99, 115, 131, 163, 195, 227, 258];
const LENGTH_BITS = [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5,
  5, 5, 0];
const DISTANCES = [1, 2, 3, 4, 5, 7, 9, 13, 17, 25, 33, 49, 65, 97, 129, 193, 257, 385, 513, 769,
  1025, 1537, 2049, 3073, 4097, 6145, 8193, 12289, 16385, 24577];
const ORDER = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];

/** How many codes there are of each length, and the symbols in the order of their codes.
 * @typedef {{counts: number[], symbols: number[]}} Codes */

/** @param {number[]} lengths @returns {Codes} */
function codesOf(lengths) {
  const counts = new Array(16).fill(0);
  for (const length of lengths) counts[length]++;
  counts[0] = 0;
  const symbols = lengths
    .map((length, symbol) => ({ length, symbol }))
    .filter((code) => code.length > 0)
    .sort((a, b) => a.length - b.length || a.symbol - b.symbol)
    .map((code) => code.symbol);
  return { counts, symbols };
}

/** @param {Uint8Array} data @returns {Uint8Array} @throws {Error} where it is cut short or spoilt */
export function inflate(data) {
  let at = 2, bit = 0, size = 0;
  let out = new Uint8Array(8 * data.length + 1024);
  /** @param {number} count */
  const bits = (count) => {
    let value = 0;
    for (let i = 0; i < count; i++) {
      if (at >= data.length) throw new Error("the recording is cut short");
      value |= ((data[at] >> bit) & 1) << i;
      if (++bit === 8) {
        bit = 0;
        at++;
      }
    }
    return value;
  };
  /** @param {Codes} codes */
  const symbol = (codes) => {
    let code = 0, first = 0, index = 0;
    for (let length = 1; length < 16; length++) {
      code |= bits(1);
      const count = codes.counts[length];
      if (code - first < count) return codes.symbols[index + code - first];
      index += count;
      first = (first + count) << 1;
      code <<= 1;
    }
    throw new Error("the recording is spoilt");
  };
  /** @param {number} byte */
  const put = (byte) => {
    if (size === out.length) {
      const larger = new Uint8Array(2 * size);
      larger.set(out);
      out = larger;
    }
    out[size++] = byte;
  };
  for (let last = 0; !last; ) {
    last = bits(1);
    const kind = bits(2);
    if (kind === 0) {
      if (bit) {
        bit = 0;
        at++;
      }
      const length = data[at] | (data[at + 1] << 8);
      at += 4;
      for (let i = 0; i < length; i++) put(data[at++]);
      continue;
    }
    if (kind === 3) throw new Error("the recording is spoilt");
    const [literals, distances] = kind === 1 ? plainCodes() : sentCodes(bits, symbol);
    for (let value = symbol(literals); value !== 256; value = symbol(literals)) {
      if (value < 256) {
        put(value);
        continue;
      }
      const length = LENGTHS[value - 257] + bits(LENGTH_BITS[value - 257]);
      const far = symbol(distances);
      const distance = DISTANCES[far] + bits(far < 2 ? 0 : (far >> 1) - 1);
      for (let i = 0; i < length; i++) put(out[size - distance]);
    }
  }
  return out.subarray(0, size);
}

/** @returns {[Codes, Codes]} */
function plainCodes() {
  const lengths = [];
  for (let i = 0; i < 288; i++) lengths.push(i < 144 ? 8 : i < 256 ? 9 : i < 280 ? 7 : 8);
  return [codesOf(lengths), codesOf(new Array(30).fill(5))];
}

/** @param {(count: number) => number} bits @param {(codes: Codes) => number} symbol
 * @returns {[Codes, Codes]} */
function sentCodes(bits, symbol) {
  const literals = bits(5) + 257, distances = bits(5) + 1, count = bits(4) + 4;
  const first = new Array(19).fill(0);
  for (let i = 0; i < count; i++) first[ORDER[i]] = bits(3);
  const codes = codesOf(first);
  /** @type {number[]} */
  const lengths = [];
  while (lengths.length < literals + distances) {
    const value = symbol(codes);
    if (value < 16) {
      lengths.push(value);
      continue;
    }
    const again = value === 16 ? lengths[lengths.length - 1] : 0;
    const times = value === 16 ? 3 + bits(2) : value === 17 ? 3 + bits(3) : 11 + bits(7);
    for (let i = 0; i < times; i++) lengths.push(again);
  }
  return [codesOf(lengths.slice(0, literals)), codesOf(lengths.slice(literals))];
}
