// What is asked about before it is kept: the rule of `class_work/doubtful.py`. Whoever typed it may
// mean it, and keeps it then.

import { asWritten } from "./values.js";
import { say } from "./words.js";

/** @typedef {import("./dial.js").Instrument} Instrument */
/** @typedef {{units: import("./values.js").Units, spellings: Record<string, string>}} Known */

/** Divisions: a last digit worth less than this cannot have been read. */
const FINEST = 0.09;

/** What to ask about a reading; null where nothing is doubtful.
 * @param {Known} known @param {Instrument} instrument @param {string} text
 * @returns {string | null} */
export function doubtOfReading(known, instrument, text) {
  const { form, dimension, unit, factor, low, division, divisions } = instrument;
  const read = asWritten(known.units, known.spellings, text, dimension);
  if (!read || read.value === null) return null;
  const high = Number((low + division * divisions).toFixed(9)), half = division / 2;
  const place = read.value / factor, begin = `${low} ${unit}`, end = `${high} ${unit}`;
  if (form === "dial" && place < low) {
    return say("The gauge begins at {end}. You typed {text}. Keep it?", { end: begin, text });
  }
  if (form === "dial" && place > high + half) {
    return say("The gauge goes to {end}. You typed {text}. Keep it?", { end, text });
  }
  if (form === "stopwatch" && (place < low || place > high)) {
    return say("The stopwatch shows {low} to {high}. You typed {text}. Keep it?",
      { low: begin, high: end, text });
  }
  if (place < low - half || place > high + half) {
    return form === "rule"
      ? say("The rule is {end} long. You typed {text}. Keep it?", { end, text })
      : say("The protractor goes to {end}. You typed {text}. Keep it?",
        { end: place > high ? end : begin, text });
  }
  if ((2 * read.rounding) / factor < FINEST * division) {
    return say("One division is {division}. You typed {text}, finer than an eye can read. Keep it?",
      { division: `${division} ${unit}`, text });
  }
  return null;
}

/** What to ask about a prediction; null where it is a number with a unit of its kind.
 * @param {Known} known @param {{unit: string, dimension: string}} asked @param {string} text
 * @returns {string | null} */
export function doubtOfPrediction(known, asked, text) {
  const { unit, dimension } = asked;
  const written = asWritten(known.units, known.spellings, text, dimension);
  if (written && written.value !== null) return null;
  if (!unit) return say("A plain number is asked. You typed {text}. Keep it?", { text });
  if (written && !written.unit) {
    return say("The unit is missing, such as {unit}. You typed {text}. Keep it?", { unit, text });
  }
  return say("A number with a unit such as {unit} is asked. You typed {text}. Keep it?",
    { unit, text });
}
