// The page's words in the reader's language: an English text is its own key, as in the catalogues.

/** What a bench says of itself, in one language.
 * @typedef {{title: string, watch: string, gravity: string, mode: string, hidden: string[],
 *   parts: Record<string, string>, names: Record<string, string>, axisNames: string[], decimal: string, bars: string[],
 *   forces: Record<string, string>, labels: import("./sheet.js").Words[]}} Told */

/** @type {Record<string, string>} */
let known = {};
/** What stands before the decimals of a number. */
let mark = ".";

/** A text in the reader's language, its fields filled in.
 * @param {string} text @param {Record<string, string | number>} [fields] */
export function say(text, fields = {}) {
  return (known[text] ?? text).replace(/\{(\w+)\}/g,
    (whole, name) => figures(String(fields[name] ?? whole)));
}

/** What stands before the decimals of a number in the reader's language. */
export function decimalSign() {
  return mark;
}

/** A text whose numbers are written with a point, as the reader's language writes them.
 * @param {string} text */
export function figures(text) {
  return text.replace(/(?<=\d)\.(?=\d)/g, mark);
}

/** One of two texts, by a number, which is its field {count}.
 * @param {number} count @param {string} one @param {string} many
 * @param {Record<string, string | number>} [fields] */
export function sayCount(count, one, many, fields = {}) {
  return say(count === 1 ? one : many, { count, ...fields });
}

/** A bench in the language that its page was made for, or else in the first of the browser's that
 * it speaks, or else in English. From here on `say` speaks it.
 * @template {{language: string | null, words: Record<string, Record<string, string>>,
 *   told: Record<string, Told>}} B
 * @param {B} bench @returns {B & Told} */
export function told(bench) {
  const wanted = bench.language ? [bench.language] : navigator.languages;
  const spoken = wanted.map((code) => code.split("-")[0]).find((code) => code in bench.told) ?? "en";
  known = bench.words[spoken] ?? {};
  mark = bench.told[spoken].decimal;
  document.documentElement.lang = spoken;
  return { ...bench, ...bench.told[spoken] };
}
