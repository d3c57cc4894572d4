// What a student writes as a value: a number and a unit.

import { decimalSign, figures, say } from "./words.js";

const VALUE = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*((?:[^\s\d.,].*?)?)\s*$/;

/** Numbers of which the comma, or the point, may part thousands. */
const THOUSANDS = /(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d.,])/;
const POINTED_THOUSANDS = /(?<![\d.,])([1-9]\d{0,2})\.(\d{3})(?![\d.,])/;

/** Factors to SI, by dimension and unit. @typedef {Record<string, Record<string, number>>} Units */

/** The number and the unit that a text is made of; null where it does not begin with a number.
 * @param {string} text @returns {{number: number, unit: string} | null} */
export function split(text) {
  const match = VALUE.exec(text);
  const number = match ? Number(match[1]) : NaN;
  return match && Number.isFinite(number) ? { number, unit: match[2] } : null;
}

/** What a student types, its number with a point as a record has it: the rule of
 * `units.pointed`, and in a language with a decimal comma that of `Display.typed`. `fault` says what
 * is wrong with a comma or point that could be meant otherwise.
 * @param {string} text @returns {{text: string, fault: string | null}} */
export function typed(text) {
  const sign = decimalSign(), other = sign === "." ? "," : ".";
  const found = (sign === "." ? THOUSANDS : POINTED_THOUSANDS).exec(text);
  if (found) {
    return { text, fault: say("“{sign}” in {text} may part thousands. Write {whole}, or {fraction} for a decimal number.",
      { sign: other, text, whole: `${found[1]}${found[2]}`, fraction: `${found[1]}${sign}${found[2]}` }) };
  }
  const lone = text.split(",").length === 2 && !text.includes(".");
  const pointed = lone ? text.replace(/(?<=\d),(?=\d)/, ".") : text;
  return { text: pointed, fault: /\d,\d/.test(pointed)
    ? say("There is a comma too many in {text}. Write one number, with one decimal sign.", { text })
    : null };
}

/** The SI value of a text; null where its unit is not one of that dimension.
 * @param {Units} units @param {string} text @param {string} dimension @returns {number | null} */
export function valueOf(units, text, dimension) {
  const found = split(text);
  const factor = found && units[dimension] ? units[dimension][found.unit] : undefined;
  return found && factor !== undefined ? found.number * factor : null;
}

/** A unit as it is written by hand, in the spelling that the units have.
 * @param {Record<string, string>} spellings @param {string} unit */
function usualUnit(spellings, unit) {
  const bare = unit.normalize("NFKD").replace(/\p{M}/gu, "").replace(/^[ .]+|[ .]+$/g, "");
  const small = bare.toLowerCase();
  return spellings[small] ?? (/^\p{L}{4,}$/u.test(bare) ? small : unit);
}

/** A number as it is written: its SI value, null where its unit is not one of that dimension; its
 * unit; and half of its last digit, SI. Null where a text is no number.
 * @typedef {{number: number, unit: string, value: number | null, rounding: number}} Written
 * @param {Units} units @param {Record<string, string>} spellings @param {string} text
 * @param {string} dimension @returns {Written | null} */
export function asWritten(units, spellings, text, dimension) {
  const found = split(text);
  if (!found) return null;
  const unit = usualUnit(spellings, found.unit);
  const factor = units[dimension]?.[unit] ?? null;
  const [, digits] = /** @type {RegExpExecArray} */ (VALUE.exec(text));
  const [mantissa, exponent] = digits.toLowerCase().split("e");
  const places = (mantissa.split(".")[1] ?? "").length;
  return {
    number: found.number, unit, value: factor === null ? null : found.number * factor,
    rounding: 0.5 * 10 ** (Number(exponent ?? 0) - places) * (factor ?? 1),
  };
}

/** A number with so many significant digits, never in exponent form.
 * @param {number} value @param {number} [digits] @returns {string} */
export function significant(value, digits = 3) {
  if (value === 0) return "0";
  const exponent = Math.floor(Math.log10(Math.abs(value)));
  const text = value.toFixed(Math.min(12, Math.max(0, digits - 1 - exponent)));
  return figures(text).replace("-", "−");
}

/** A value as it is shown: to no more than five digits.
 * @param {string} text @returns {string} */
export function brief(text) {
  return figures(
    text.replace(/\d+\.\d{4,}/, (number) => String(Number(Number(number).toPrecision(5)))),
  );
}

/** The least of 1, 2 or 5 times a power of ten that is not less than `least`.
 * @param {number} least @returns {number} */
export function roundNumber(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  const lead = [1, 2, 5, 10].find((nice) => nice * power >= least * (1 - 1e-9));
  return (lead ?? 10) * power;
}

/** A text that a spreadsheet, a screen and a record can hold: no control characters, no unusual
 * spaces. @param {string} text @returns {string} */
export function tidy(text) {
  return text
    .normalize("NFC")
    .replace(/\r\n?/g, "\n")
    .replace(/[^\S\n\t]/gu, " ")
    .replace(/[\p{C}\u2028\u2029]/gu, (c) => (c === "\n" || c === "\t" ? c : ""))
    .trim();
}
