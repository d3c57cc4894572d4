// Instruments with a scale and a pointer, to be read by eye. What the machine did is measured; how
// hand, pointer and eye stray from it is drawn by the deal's rule.

import { fraction, normal } from "./chance.js";
import { shape } from "./sheet.js";
import { figures, say } from "./words.js";

/** @typedef {{quantity: string, form: "dial" | "rule" | "protractor" | "stopwatch",
 *   dimension: string, unit: string, factor: number, low: number, division: number,
 *   divisions: number, scatter: number}} Instrument */
/** @typedef {{tremor: number, tremorShare: number, placing: number, eye: number, gap: number,
 *   division: number, pace: number, stickingSpeed: number, speed: number | null}} Chance */
/** One look: places in divisions from the low end of the scale, the eye in degrees.
 * @typedef {{pointer: number, seen: number, stop: "" | "low" | "high"}} Look */

/** What is seen of an instrument in a trial.
 * @param {Instrument} instrument @param {Chance} chance @param {string} token
 * @param {string} student @param {number} trial
 * @param {import("./lab.js").Measured} measured @param {number} eye
 * @returns {Look} */
export function look(instrument, chance, token, student, trial, measured, eye) {
  const { quantity, form, division, factor, low, divisions } = instrument;
  const one = division * factor, speed = measured.speed ?? chance.speed;
  let value = measured.once(quantity);
  if (form === "stopwatch") {
    // Nothing where what is timed never came to the mark.
    if (value) value += instrument.scatter * normal(token, student, trial, quantity, "reaction");
  } else if (form !== "dial") {
    value += chance.placing * one * normal(token, student, trial, quantity, "placing");
  } else if (speed !== null) {
    const stuck = measured.once(`${quantity} sticking`) || 0;
    const pace =
      speed * (1 + chance.pace * (2 * fraction(token, student, trial, "pace") - 1));
    const creep = stuck * fraction(token, student, trial, quantity, "sticking") *
      Math.exp(-pace / chance.stickingSpeed);
    const tremor = Math.hypot(chance.tremor * one, chance.tremorShare * value);
    value += creep + tremor * normal(token, student, trial, quantity, "tremor");
  }
  const place = (value / factor - low) / division;
  const pointer = Math.min(Math.max(place, 0), divisions);
  if (form === "stopwatch") {
    return { pointer: Math.floor(pointer), seen: Math.floor(pointer), stop: "" };
  }
  const angle = chance.eye * normal(token, student, trial, quantity, "eye") + eye;
  const square = Math.max(-80, Math.min(80, angle));
  const shift = (chance.gap * Math.tan((square * Math.PI) / 180)) / chance.division;
  const stop = pointer >= divisions ? "high" : pointer <= 0 && low === 0 ? "low" : "";
  return { pointer, seen: pointer - shift, stop };
}

/** What is written at a mark, or shown by a stopwatch.
 * @param {Instrument} instrument @param {number} mark */
export function numberAt({ form, low, division }, mark) {
  if (form === "stopwatch") {
    const places = Math.max(0, Math.ceil(-Math.log10(division) - 1e-9));
    return figures((low + mark * division).toFixed(places));
  }
  return figures(String(Number((low + mark * division).toFixed(9)))).replace("-", "−");
}

/** What an eye sees, in words: between which two marks, and what the mirror shows.
 * @param {Instrument} instrument @param {Look} seen @returns {string} */
export function inWords(instrument, seen) {
  const { divisions, unit, form } = instrument;
  if (form === "stopwatch") {
    return say("The stopwatch shows {value} {unit}.",
      { value: numberAt(instrument, seen.seen), unit });
  }
  if (seen.stop) {
    return seen.stop === "high" ? say("The pointer lies against the high stop.") :
      say("The pointer lies against the low stop.");
  }
  const low = Math.min(Math.max(Math.floor(seen.seen), 0), divisions - 1);
  const [a, b] = [numberAt(instrument, low), numberAt(instrument, low + 1)];
  const share = seen.seen - low;
  const text = Math.abs(share - 0.5) < 0.1
    ? say("The pointer lies between {low} and {high} {unit}, about half-way.", { low: a, high: b, unit })
    : say("The pointer lies between {low} and {high} {unit}, nearer to {near}.",
      { low: a, high: b, unit, near: share < 0.5 ? a : b });
  if (form !== "dial") return text;
  const off = seen.seen - seen.pointer;
  if (Math.abs(off) < 0.05) {
    return `${text} ${say("It hides its image in the mirror: your eye is square to the scale.")}`;
  }
  const side = off > 0 ? say("Its image in the mirror shows on the right.") :
    say("Its image in the mirror shows on the left.");
  return `${text} ${side}`;
}

/** @param {Instrument} instrument @param {Look} seen @returns {Element[]} */
export function pictures(instrument, seen) {
  if (instrument.form === "stopwatch") return [stopwatch(instrument, seen)];
  return instrument.form === "dial"
    ? [dial(instrument, seen), lens(instrument, seen)]
    : [scale(instrument, seen)];
}

const CENTRE = { x: 60, y: 60 };
const RADIUS = 46;
const LENS = 13;

/** @param {Instrument} i @param {number} place @param {number} r */
function onDial(i, place, r) {
  const angle = (270 * Math.PI * (place / i.divisions - 0.5)) / 180;
  return { x: CENTRE.x + r * Math.sin(angle), y: CENTRE.y - r * Math.cos(angle) };
}

/** @param {string} name @param {{x: number, y: number}} a @param {{x: number, y: number}} b */
const stroke = (name, a, b) =>
  shape("line", {
    class: name, x1: a.x.toFixed(3), y1: a.y.toFixed(3), x2: b.x.toFixed(3), y2: b.y.toFixed(3),
  });

/** @param {Instrument} i @param {Look} seen @returns {Element[]} */
function face(i, seen) {
  const step = Math.max(1, Math.ceil(i.divisions / 300));
  const every = i.divisions / step <= 60 ? 5 * step : 10 * step;
  const made = [
    shape("circle", { class: "dial-rim", cx: CENTRE.x, cy: CENTRE.y, r: 57 }),
    shape("circle", { class: "dial-mirror", cx: CENTRE.x, cy: CENTRE.y, r: 34 }),
  ];
  for (let mark = 0; mark <= i.divisions; mark += step) {
    const long = mark % every === 0;
    const inner = RADIUS - (long ? 6 : 3.6);
    const a = onDial(i, mark, inner), b = onDial(i, mark, RADIUS);
    made.push(stroke(long ? "dial-long" : "dial-short", a, b));
    if (long) {
      const at = onDial(i, mark, RADIUS + 5.2);
      made.push(shape("text", {
        class: "dial-number", x: at.x.toFixed(2), y: (at.y + 1.6).toFixed(2),
      }, numberAt(i, mark)));
    }
  }
  const image = 2 * seen.seen - seen.pointer;
  made.push(
    stroke("dial-image", onDial(i, image, 31), onDial(i, image, 37)),
    stroke("dial-needle", CENTRE, onDial(i, seen.seen, RADIUS - 1)),
    shape("circle", { class: "dial-hub", cx: CENTRE.x, cy: CENTRE.y, r: 2.4 }),
  );
  return made;
}

/** @param {Instrument} i @param {Look} seen */
function dial(i, seen) {
  return shape(
    "svg", { class: "dial", viewBox: "0 0 120 118", "aria-hidden": "true" },
    ...face(i, seen),
    shape("text", { class: "dial-unit", x: 60, y: 84 }, i.unit),
  );
}

/** A piece of the dial about the pointer's tip and its mirror, larger.
 * @param {Instrument} i @param {Look} seen */
function lens(i, seen) {
  const at = onDial(i, Math.min(Math.max(seen.seen, 0), i.divisions), RADIUS - 4);
  const box = [at.x - LENS, at.y - LENS, 2 * LENS, 2 * LENS];
  return shape("svg", {
    class: "lens", "aria-hidden": "true", viewBox: box.map((v) => v.toFixed(2)).join(" "),
  }, ...face(i, seen));
}

/** A stopwatch that was stopped. @param {Instrument} i @param {Look} seen */
function stopwatch(i, seen) {
  return shape("svg", { class: "stopwatch", viewBox: "0 0 120 92", "aria-hidden": "true" },
    shape("rect", { class: "dial-rim", x: 53, y: 3, width: 14, height: 9 }),
    shape("rect", { class: "dial-rim", x: 14, y: 12, width: 92, height: 76, rx: 26 }),
    shape("rect", { class: "watch-display", x: 24, y: 30, width: 72, height: 34, rx: 3 }),
    shape("text", { class: "watch-number", x: 60, y: 54 }, numberAt(i, seen.seen)),
    shape("text", { class: "watch-unit", x: 60, y: 78 }, i.unit));
}

/** A piece of a rule or protractor, with its pointer. @param {Instrument} i @param {Look} seen */
function scale(i, seen) {
  const shown = Math.min(i.divisions, 20), pitch = 320 / shown;
  const first = Math.max(0, Math.min(5 * Math.floor(seen.seen / 5) - 7, i.divisions - shown));
  const across = (/** @type {number} */ place) => 16 + pitch * (place - first);
  const made = [stroke("rule-edge", { x: 4, y: 52 }, { x: 348, y: 52 })];
  for (let mark = first; mark <= first + shown; mark++) {
    const x = across(mark), long = mark % 10 === 0 ? 24 : mark % 5 === 0 ? 18 : 11;
    made.push(stroke("rule-mark", { x, y: 52 - long }, { x, y: 52 }));
    if (mark % 5 === 0) {
      made.push(shape("text", { class: "rule-number", x, y: 22 }, numberAt(i, mark)));
    }
  }
  const x = across(seen.seen);
  made.push(
    shape("path", { class: "rule-pointer", d: `M${x.toFixed(2)} 53l-5 20h10z` }),
    shape("text", { class: "rule-unit", x: 340, y: 76 }, i.unit),
  );
  return shape("svg", { class: "rule", viewBox: "0 0 352 84", "aria-hidden": "true" }, ...made);
}
