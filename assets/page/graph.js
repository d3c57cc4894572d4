// A graph of readings against what was varied, with a line. Its words stand around it, so that none
// lies over what is drawn.

import { numbered, ticks } from "./chart.js";
import { shape } from "./sheet.js";

const GRAPH = { width: 330, height: 210, left: 54, right: 18, top: 10, bottom: 24 };

/** @param {[number, number][]} points @param {{slope: number, intercept: number}} line
 * @returns {Element} */
export function graph(points, line) {
  const xs = points.map(([x]) => x), ys = points.map(([, y]) => y);
  const across = ticks(Math.min(...xs), Math.max(...xs), 4);
  const ends = [across[0], across[across.length - 1]];
  const reached = ends.map((x) => line.intercept + line.slope * x);
  const up = ticks(Math.min(...ys, ...reached), Math.max(...ys, ...reached), 5);
  const { width, height, left, right, top, bottom } = GRAPH;
  const X = (/** @type {number} */ x) =>
    left + ((x - ends[0]) / (ends[1] - ends[0])) * (width - left - right);
  const Y = (/** @type {number} */ y) => height - bottom -
    ((y - up[0]) / (up[up.length - 1] - up[0])) * (height - top - bottom);
  const made = [];
  for (const y of up) {
    made.push(shape("line", { class: y === up[0] ? "s-edge" : "s-grid", x1: left, x2: width - right, y1: Y(y), y2: Y(y) }),
      shape("text", { class: "tick", x: left - 6, y: Y(y) + 5, "text-anchor": "end" }, numbered(y, up[1] - up[0])));
  }
  for (const x of across) {
    made.push(shape("line", { class: "s-edge", x1: X(x), x2: X(x), y1: height - bottom, y2: height - bottom + 4 }),
      shape("text", { class: "tick", x: X(x), y: height - 5, "text-anchor": "middle" }, numbered(x, across[1] - across[0])));
  }
  made.push(shape("line", { class: "s-edge", x1: left, x2: left, y1: top, y2: height - bottom }),
    shape("line", { class: "s-effort", x1: X(ends[0]), x2: X(ends[1]), y1: Y(reached[0]), y2: Y(reached[1]) }),
    ...points.map(([x, y]) => shape("circle", { class: "point", cx: X(x).toFixed(1), cy: Y(y).toFixed(1), r: 4 })));
  return shape("svg", { class: "chart", viewBox: `0 0 ${width} ${height}`, "aria-hidden": "true" }, ...made);
}
