// A student's numbers beside the bench's own: the rules of `class_work/predict.py` and `marking.py`,
// and of the uncertainty of measurement (JCGM 100:2008).

import { asWritten, significant } from "./values.js";
import { figures, say } from "./words.js";

/** @typedef {import("./values.js").Units} Units */
/** @typedef {{low: number, high: number, cost: number, vague: boolean, several: boolean,
 *   said: Record<string, string> | null}} Explanation */
/** What a prediction is judged by, SI. @typedef {{right: number, low: number, high: number,
 *   open: boolean, nothing: number, explained: Explanation[], asMass: Explanation[] | null}} Key */
/** @typedef {{agrees: number, manyTimes: number, fits: number, clearly: number}} Rule */
/** @typedef {{agrees: boolean, share: number | null, remarks: string[]}} Verdict */

/** By how much a number differs from another, as a table shows it: the share of the other's size
 * by which its own is greater, its sign apart. @param {number} share @returns {string} */
export function shownDifference(share) {
  if (share < -1) return say("wrong sign");
  if (share >= 9) return say("{times} times", { times: significant(1 + share) });
  const percent = Math.abs(100 * share).toFixed(1);
  return `${Number(percent) === 0 ? "" : share > 0 ? "+" : "−"}${figures(percent)} %`;
}

/** A value as it is shown beside what a student wrote: in the same unit, where that is one of the
 * quantity. @param {Units} units @param {{unit: string, dimension: string}} asked
 * @param {string} written the unit the student wrote @param {number} value SI
 * @param {number} [digits] @returns {string} */
export function inUnit(units, asked, written, value, digits = 3) {
  const known = units[asked.dimension] ?? {};
  const unit = written && written in known ? written : asked.unit;
  return `${significant(value / (known[unit] ?? 1), digits)} ${unit}`.trim();
}

/** How far a value is from what lies between two. @param {number} value
 * @param {{low: number, high: number}} range */
const miss = (value, { low, high }) => Math.max(low - value, value - high, 0);

/** What explains a number best, and clearly better than the right one does; null where nothing does.
 * @param {Rule} rule @param {Explanation[]} explained @param {number} value
 * @param {number} rounding @param {{low: number, high: number}} truth
 * @returns {Record<string, string> | null} */
function explanation(rule, explained, value, rounding, truth) {
  const off = miss(value, truth);
  let best = null, least = Infinity;
  for (const each of explained) {
    const missed = miss(value, each);
    const size = Math.max(Math.abs(each.low), Math.abs(each.high));
    const allowed = Math.max(rule.fits * size, Math.min(rounding, 2 * rule.fits * Math.abs(value)));
    if (missed > allowed || missed >= rule.clearly * off) continue;
    if (each.vague && (each.several || each.high - each.low > off)) continue;
    const cost = each.cost + (allowed ? missed / allowed : 0);
    if (cost < least) [best, least] = [each, cost];
  }
  return best?.said ?? null;
}

/** @param {number} value @param {number} right @param {Rule} rule */
function offBy(value, right, rule) {
  const size = Math.abs(value / right), wrong = value * right < 0;
  if (wrong && Math.abs(size - 1) <= rule.agrees) return say("It has the wrong sign.");
  if (size >= rule.manyTimes) {
    const times = significant(size);
    return wrong
      ? say("It has the wrong sign, and is {times} times as great as it should be in size.", { times })
      : say("It is {times} times as great as it should be.", { times });
  }
  const percent = Number(Math.abs(100 * (size - 1)).toPrecision(3)), small = size < 1;
  if (wrong) {
    return small
      ? say("It has the wrong sign, and is {percent} % too small in size.", { percent })
      : say("It has the wrong sign, and is {percent} % too large in size.", { percent });
  }
  if (right < 0) {
    return small ? say("It is {percent} % too small in size.", { percent }) :
      say("It is {percent} % too large in size.", { percent });
  }
  return small ? say("It is {percent} % too small.", { percent }) :
    say("It is {percent} % too great.", { percent });
}

/** @param {string} dimension */
function kindOf(dimension) {
  /** @type {Record<string, string>} */
  const named = {
    force: say("force"), mass: say("mass"), length: say("length"), angle: say("angle"),
    speed: say("speed"), acceleration: say("acceleration"), time: say("time"),
    energy: say("energy"), moment: say("moment"),
  };
  return named[dimension] ?? dimension;
}

/** Lay a prediction against the bench's own number.
 * @param {{units: Units, spellings: Record<string, string>}} known
 * @param {{name: string, unit: string, dimension: string}} asked @param {Key} key
 * @param {Rule} rule @param {string} text @param {string} language @returns {Verdict} */
export function judged(known, asked, key, rule, text, language) {
  const { units, spellings } = known, { right } = key;
  const written = asWritten(units, spellings, text, asked.dimension);
  if (!written) return { agrees: false, share: null, remarks: [say("It is no number.")] };
  const own = units[asked.dimension]?.[asked.unit] ?? 1;
  const rightIn = Math.abs(written.number - right / own) <= rule.agrees * Math.abs(right / own);
  if (written.value === null) {
    return { agrees: false, share: null,
      remarks: _wrongUnit(known, asked, key, rule, written, rightIn, language) };
  }
  const { value, rounding } = written;
  const share = Math.abs(right) > key.nothing ? value / right - 1 : null;
  const nearest = Math.min(Math.max(value, key.low), key.high), size = Math.abs(nearest);
  const close = Math.max(rule.agrees * size, Math.min(rounding, 2 * rule.agrees * size), key.nothing);
  const [low, high] = [key.low, key.high].map((end) => inUnit(units, asked, written.unit, end));
  if (Math.abs(value - nearest) <= close) {
    return { agrees: true, share, remarks: [key.open
      ? say("It agrees: from what was told it is {low} to {high}.", { low, high })
      : say("It agrees.")] };
  }
  const remarks = [size > key.nothing ? offBy(value, nearest, rule) : say("It differs.")];
  if (key.open) remarks.push(say("From what was told it is {low} to {high}.", { low, high }));
  let clauses = "";
  const found = explanation(rule, key.explained, value, rounding, key);
  if (!found && asked.name.endsWith(".efficiency")) {
    if (!written.unit && value > 2 && value <= 100) clauses = say("you write a percentage without its sign");
    else if (value - rounding > 1) clauses = say("you let more work come out than is put in");
  }
  if (found) remarks.push(found[language]);
  else if (clauses) remarks.push(say("You get this number if {clauses}.", { clauses }));
  else if (asked.unit && rightIn) remarks.push(say("The number would be right in {unit}.", { unit: asked.unit }));
  return { agrees: false, share, remarks };
}

/** @param {{units: Units}} known @param {{unit: string, dimension: string}} asked @param {Key} key
 * @param {Rule} rule @param {import("./values.js").Written} written @param {boolean} rightIn
 * @param {string} language */
function _wrongUnit({ units }, asked, key, rule, written, rightIn, language) {
  const { unit } = written, wanted = kindOf(asked.dimension);
  const remarks = [];
  if (!asked.unit) remarks.push(say("{unit} is a unit: a plain number is asked.", { unit }));
  else if (!unit) remarks.push(say("The unit is missing: a unit of {wanted} is asked.", { wanted }));
  else {
    const other = Object.keys(units).find((each) => unit in units[each]);
    remarks.push(other && unit !== "%"
      ? say("{unit} is a unit of {dimension}: a unit of {wanted} is asked.",
        { unit, dimension: kindOf(other), wanted })
      : say("{unit} is no unit known here: a unit of {wanted} is asked.", { unit, wanted }));
  }
  const mass = units.mass?.[unit];
  if (rightIn) {
    remarks.push(asked.unit ? say("The number would be right in {unit}.", { unit: asked.unit }) :
      say("The number would be right without a unit."));
  } else if (unit && mass !== undefined && asked.dimension === "force") {
    const { right } = key, explained = key.asMass ?? key.explained;
    const found = explanation(rule, explained, written.number * mass, 0, { low: right, high: right });
    if (found) remarks.push(found[language]);
  }
  return remarks;
}

// Uncertainty.

/** @typedef {{mean: number, u: number, dof: number, k: number, count: number}} Mean */

/** Student's t for a two-sided interval of a share: the density, in x = sqrt(dof) tan(a), is that of
 * cos(a)^(dof - 1), whose area is found by trapezia.
 * @param {number} dof @param {number} [share] @returns {number} */
export function coverage(dof, share = 0.95) {
  if (dof > 1e5) dof = 1e5;
  // Nearly all of it lies within some 40 standard deviations, or up to a right angle.
  const end = Math.min(Math.PI / 2, 40 / Math.sqrt(dof)), steps = 20000, width = end / steps;
  const sums = new Float64Array(steps + 1);
  let before = 1;
  for (let i = 1; i <= steps; i++) {
    const now = Math.cos(Math.min(i * width, Math.PI / 2)) ** (dof - 1);
    sums[i] = sums[i - 1] + (before + now) / 2;
    before = now;
  }
  const wanted = share * sums[steps];
  const after = sums.findIndex((sum) => sum >= wanted);
  const part = (wanted - sums[after - 1]) / (sums[after] - sums[after - 1]);
  return Math.sqrt(dof) * Math.tan((after - 1 + part) * width);
}

/** The mean of readings and its standard uncertainty: of their scatter, s / sqrt n with n - 1
 * degrees of freedom (4.2.3), and of what one is read to (F.2.2.1); k by 6.2.1 and G.6.4.
 * @param {number[]} values @param {number} one the standard uncertainty of one reading
 * @returns {Mean} */
export function meanOf(values, one) {
  const count = values.length, mean = values.reduce((sum, value) => sum + value, 0) / count;
  if (count < 2) return { mean, u: one, dof: Infinity, k: 2, count };
  const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1);
  const scatter = Math.sqrt(square / count), u = Math.hypot(one, scatter);
  // Welch and Satterthwaite (G.4.1).
  const dof = scatter > 0 ? (count - 1) * (u / scatter) ** 4 : Infinity;
  return { mean, u, dof, k: dof > 70 ? 2 : Math.max(2, coverage(dof)), count };
}

/** The standard uncertainty of one reading, in the unit of the division: to the nearest division
 * (F.2.2.1), of a force with a zero that is read as well.
 * @param {{dimension: string, division: number}} instrument @returns {number} */
export function readTo({ dimension, division }) {
  return (division / (2 * Math.sqrt(3))) * (dimension === "force" ? Math.SQRT2 : 1);
}

/** Whether some of a series of readings stand apart from the others: Rosner's test (NIST/SEMATECH
 * e-Handbook, 1.3.5.17.3), at 1 %, of three readings at 5 %.
 * @param {number[]} values @param {number} one @returns {boolean} */
export function standApart(values, one) {
  const left = [...values], level = values.length === 3 ? 0.05 : 0.01;
  for (let round = 0; round < Math.min(Math.floor((values.length - 1) / 2), 10); round++) {
    const count = left.length, mean = left.reduce((sum, value) => sum + value, 0) / count;
    const square = left.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1);
    if (square === 0) return false;
    const far = left.reduce((most, value) =>
      (Math.abs(value - mean) > Math.abs(most - mean) ? value : most));
    const t = coverage(count - 2, 1 - level / count);
    const critical = ((count - 1) / Math.sqrt(count)) * Math.sqrt((t * t) / (count - 2 + t * t));
    if (Math.abs(far - mean) > critical * Math.sqrt(square + one * one)) return true;
    left.splice(left.indexOf(far), 1);
  }
  return false;
}

/** The line of least squares through points, with the standard uncertainties of slope and intercept
 * from three points on (JCGM 100:2008, H.3.2); null where x is the same in all.
 * @typedef {{slope: number, intercept: number, slopeU: number, interceptU: number}} Line
 * @param {[number, number][]} points @returns {Line | null} */
export function lineThrough(points) {
  const count = points.length;
  const x = points.reduce((sum, point) => sum + point[0], 0) / count;
  const y = points.reduce((sum, point) => sum + point[1], 0) / count;
  const across = points.reduce((sum, point) => sum + (point[0] - x) ** 2, 0);
  if (count < 2 || across === 0) return null;
  const slope = points.reduce((sum, point) => sum + (point[0] - x) * (point[1] - y), 0) / across;
  const intercept = y - slope * x;
  if (count < 3) return { slope, intercept, slopeU: 0, interceptU: 0 };
  const left = points.reduce((sum, point) => sum + (point[1] - intercept - slope * point[0]) ** 2, 0);
  const s = Math.sqrt(left / (count - 2));
  return { slope, intercept, slopeU: s / Math.sqrt(across), interceptU: s * Math.sqrt(1 / count + (x * x) / across) };
}

/** A value with an uncertainty of it, as a report states them: two digits of the uncertainty, the
 * value to the same place. @param {number} value @param {number} u @param {string} unit */
export function stated(value, u, unit) {
  if (!(u > 0)) return `${significant(value, 4)} ${unit}`.trim();
  const places = 1 - Math.floor(Math.log10(Number(u.toPrecision(2))));
  const to = (/** @type {number} */ number) => {
    const rounded = places < 0 ? Math.round(number * 10 ** places) / 10 ** places : number;
    return figures(rounded.toFixed(Math.max(0, places))).replace("-", "−");
  };
  return `(${to(value)} ± ${to(u)}) ${unit}`.trim();
}
