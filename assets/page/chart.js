// Force against distance, the work of each force as a shaded area, drawn along the recording.

import { shape } from "./sheet.js";
import { roundNumber } from "./values.js";
import { figures, say } from "./words.js";

/** @typedef {import("./recording.js").Motion} Motion */

const SIZE = { height: 234, left: 42, right: 18, top: 40, bottom: 42 };
const WIDTH = { least: 300, most: 560 };
const POINTS = 200;
const HATCH = 6;
/** cm. What goes less far, as ropes stretch, does no work worth a chart. */
const LEAST_WAY = 0.2;
/** From one line of the legend to the next. */
const LINE = 17;

/** @typedef {{kind: string, name: string, points: [number, number][]}} Curve */

/** Round numbers a round step apart, from at or below `low` to at or above `high`.
 * @param {number} low @param {number} high @param {number} most @returns {number[]} */
export function ticks(low, high, most) {
  const step = roundNumber(Math.max(high - low, 1e-9) / most);
  const first = Math.floor(low / step + 1e-9), last = Math.ceil(high / step - 1e-9);
  const found = [];
  for (let i = first; i <= Math.max(last, first + 1); i++) found.push(i * step);
  return found;
}

/** A number on a scale, to the place of its steps. @param {number} value @param {number} step */
export function numbered(value, step) {
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  return figures(value.toFixed(decimals)).replace("-", "−");
}

export class Chart {
  /** @param {string | null} hand @param {string | null} load @param {number} length s */
  constructor(hand, load, length) {
    this.hand = hand;
    this.load = load;
    this.length = length;
    this.svg = shape("svg", {
      class: "chart", role: "img",
      "aria-label": say("Force against distance: the effort over its distance, the load's weight over its own. The shaded areas are the work in and the useful work out."),
    });
    this.width = WIDTH.most;
  }

  /** Fit the chart to a width, px. @param {number} width */
  resize(width) {
    this.width = Math.min(WIDTH.most, Math.max(WIDTH.least, width));
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${SIZE.height}`);
  }

  /** @param {Motion} motion @param {number} until @returns {Curve[]} */
  _curves(motion, until) {
    /** @type {Curve[]} */
    const curves = [];
    const add = (
      /** @type {string} */ kind, /** @type {string} */ name, /** @type {string} */ along,
      /** @type {(t: number) => number} */ force,
    ) => {
      /** @type {[number, number][]} */
      const points = [];
      for (let i = 0; i <= POINTS; i++) {
        const t = (until * i) / POINTS;
        points.push([100 * motion.value(along, t), force(t)]);
      }
      curves.push({ kind, name, points });
    };
    if (this.hand) {
      const { hand } = this;
      add("effort", say("effort: work in"), `${hand}.travel`, (t) => motion.value(`${hand}.force`, t));
    }
    const weight = motion.once("weight");
    if (this.load && Number.isFinite(weight)) {
      add("weight", say("load: useful work out"), `${this.load}.rise`, () => weight);
    }
    return curves;
  }

  /** Whether there is anything to draw. @param {Motion} motion */
  worth(motion) {
    return this._curves(motion, this.length).some(({ points }) =>
      points.some(([x]) => Math.abs(x) > LEAST_WAY),
    ) && this.hand !== null;
  }

  /** @param {Motion} motion @param {number} time */
  show(motion, time) {
    const every = this._curves(motion, this.length);
    const xs = every.flatMap(({ points }) => points.map(([x]) => x));
    const ys = every.flatMap(({ points }) => points.map(([, y]) => y));
    const across = ticks(
      Math.min(0, ...xs.map(trifle)), Math.max(0.01, ...xs.map(trifle)), this.width / 62,
    );
    const up = ticks(0, Math.max(0.01, ...ys), 5);
    const plot = {
      left: SIZE.left, right: this.width - SIZE.right, top: SIZE.top,
      bottom: SIZE.height - SIZE.bottom,
    };
    const X = (/** @type {number} */ x) =>
      plot.left + ((x - across[0]) / (across[across.length - 1] - across[0])) *
        (plot.right - plot.left);
    const Y = (/** @type {number} */ y) =>
      plot.bottom - ((y - up[0]) / (up[up.length - 1] - up[0])) * (plot.bottom - plot.top);
    /** @type {Element[]} */
    const made = [];
    for (const y of up) {
      made.push(shape("line", { class: y === 0 ? "s-edge" : "s-grid", x1: plot.left,
        x2: plot.right, y1: Y(y), y2: Y(y) }));
      made.push(shape("text", { class: "tick", x: plot.left - 6, y: Y(y) + 5,
        "text-anchor": "end" }, numbered(y, up[1] - up[0])));
    }
    for (const x of across) {
      made.push(shape("line", { class: "s-edge", x1: X(x), x2: X(x), y1: plot.bottom,
        y2: plot.bottom + 4 }));
      made.push(shape("text", { class: "tick", x: X(x), y: plot.bottom + 18,
        "text-anchor": "middle" }, numbered(x, across[1] - across[0])));
    }
    made.push(shape("line", { class: "s-edge", x1: X(0), x2: X(0), y1: plot.top, y2: plot.bottom }));
    const curves = this._curves(motion, time);
    for (const { kind, points } of [...curves].reverse()) {
      const line = points.map(([x, y]) => `${X(x).toFixed(1)} ${Y(y).toFixed(1)}`);
      const foot = Y(0).toFixed(1);
      const area = `M${X(points[0][0]).toFixed(1)} ${foot}L${line.join("L")}` +
        `L${X(points[points.length - 1][0]).toFixed(1)} ${foot}Z`;
      made.push(shape("path", { class: `area-${kind}`, d: area }));
    }
    const load = curves.find(({ kind }) => kind === "weight");
    if (load) {
      const [, force] = load.points[0], reach = load.points[load.points.length - 1][0];
      const [from, to] = [X(Math.min(0, reach)), X(Math.max(0, reach))];
      for (let x = from + HATCH / 2; x < to; x += HATCH) {
        made.push(shape("line", { class: "s-load-hatch", x1: x, x2: x, y1: Y(0), y2: Y(force) }));
      }
    }
    curves.forEach(({ kind, name, points }, i) => {
      const d = `M${points.map(([x, y]) => `${X(x).toFixed(1)} ${Y(y).toFixed(1)}`).join("L")}`;
      made.push(shape("path", { class: `s-${kind} f-none`, d }));
      made.push(shape("text", { class: `lettering t-${kind}`,
        x: plot.right, y: 15 + LINE * i, "text-anchor": "end",
      }, name));
    });
    made.push(shape("text", { class: "lettering", x: 4, y: 15 }, say("force ({unit})", { unit: "N" })));
    made.push(shape("text", { class: "lettering", x: plot.right, y: SIZE.height - 5,
      "text-anchor": "end" }, say("distance ({unit})", { unit: "cm" })));
    this.svg.replaceChildren(...made);
  }
}

/** A trifle beyond zero does not count. @param {number} x */
const trifle = (x) => (Math.abs(x) < 0.02 ? 0 : x);
