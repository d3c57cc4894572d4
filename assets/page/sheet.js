// The sheet: the machine as the program's own drawing has it, put where the recording says.

import { say } from "./words.js";

/** @typedef {import("./recording.js").Motion} Motion */

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{text: string, style: string, key: string, axis?: number, texts?: string[]}} Line */
/** @typedef {{lines: Line[], framed: boolean, pull: number, dot: boolean}} Words */
/** @typedef {{scale: number, newton: number, box: number[], bars: number[],
 *   ropes: {rope: string, waypoints: [number, number][]}[],
 *   forces: {kind: string, part: string, tail: [number, number]}[],
 *   gauges: {name: string, span: string, range: number}[], hand: string | null,
 *   load: string | null, loadPoint: {frame: string, x: number, y: number, half: number} | null,
 *   }} Drawing */
/** @typedef {{x: number, y: number}} Point */
/** @typedef {{key: string, lines: {text: string, style: string}[], framed: boolean, dot: boolean,
 *   pull: number, anchors: Point[]}} Label */

/** An SVG element. @param {string} tag @param {Record<string, string | number>} [attributes]
 * @param {(Element | string)[]} children @returns {SVGElement} */
export function shape(tag, attributes = {}, ...children) {
  const element = /** @type {SVGElement} */ (document.createElementNS(SVG, tag));
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  element.append(...children);
  return element;
}

/** @param {number} x */
const short = (x) => String(Math.round(x * 100) / 100);

/** Around the drawing, px, for labels. */
const MARGIN = { across: 62, up: 24 };
const LETTER = { size: 14, line: 17, pad: 5 };
/** px. Of a sheet, so that labels have room about a long low machine. */
const LOWEST = 240;
const SHORTEST_ARROW = 1.2;
/** Of the effort, mm. */
const LEAST_EFFORT = 6;
/** px. About the middle of what is taken hold of, kept free of letters. */
const HELD = 12;
/** px of distance that a line through a row of letters is as bad as. */
const CROSSED = 20;
/** s of the run between two looks at what runs beneath a label. */
const STANDS = 0.25;

export class Sheet {
  /** @param {Drawing} drawing @param {import("./words.js").Told} told what is written on it */
  constructor(drawing, told) {
    this.drawing = drawing;
    this.told = told;
    this.root = shape("g");
    this.overlay = shape("g");
    this.title = shape("title", { id: "sheet-title" }, told.title);
    this.description = shape("desc", { id: "sheet-description" });
    this.svg = shape(
      "svg",
      {
        class: "sheet", role: "img", "aria-labelledby": "sheet-title",
        "aria-describedby": "sheet-description",
      },
      this.title, this.description, this.root, this.overlay,
    );
    /** Whether forces are shown: not before predictions are made. */
    this.forces = false;
    this.width = this.height = this.k = 1;
    this.origin = { x: 0, y: 0 };
    /** @type {{element: SVGElement, carrier: number}[]} */
    this._groups = [];
    /** Where labels stand, how many lines ran beneath, and when that was last looked at.
     * @type {Map<string, {anchor: number, dx: number, dy: number, lines: number, seen: number}>} */
    this._stands = new Map();
    /** @type {{what: string, element: SVGElement, shape: number}[]} */
    this.targets = [];
    /** Which of the targets are to be taken hold of, by what they are.
     * @type {string[]} */
    this.held = [];
    this._built = -1;
    /** @type {Float64Array | null} */
    this._numbers = null;
    /** @type {(SVGElement | null)[]} */
    this._elements = [];
    this.texts = "";
    this._ropeGroup = shape("g");
    this._pointerGroup = shape("g");
    this._arrowGroup = shape("g");
    this._movedGroup = shape("g");
    /** @type {number[]} */
    this._starts = [];
    this._context = /** @type {CanvasRenderingContext2D} */ (
      document.createElement("canvas").getContext("2d")
    );
  }

  /** Fit the sheet to a width, px. @param {number} width @param {number} most its height */
  resize(width, most) {
    const [left, bottom, right, top] = this.drawing.box;
    const across = Math.min(MARGIN.across, 0.16 * width);
    this.k = Math.min(
      (width - 2 * across) / Math.max(right - left, 1),
      (most - 2 * MARGIN.up) / Math.max(top - bottom, 1),
    );
    this.width = width;
    const drawn = this.k * (top - bottom);
    this.height = Math.ceil(Math.max(drawn + 2 * MARGIN.up, Math.min(LOWEST, most)));
    this.origin = {
      x: width / 2 - (this.k * (left + right)) / 2,
      y: this.height / 2 + (this.k * (top + bottom)) / 2,
    };
    this.svg.setAttribute("viewBox", `0 0 ${width} ${this.height}`);
    this.svg.setAttribute("height", String(this.height));
    this.root.setAttribute(
      "transform", `translate(${short(this.origin.x)} ${short(this.origin.y)}) scale(${this.k})`,
    );
    this._stands.clear();
  }

  /** Place every label anew. */
  forget() {
    this._stands.clear();
  }

  /** A place of the drawing, mm, on the screen, px. @param {Point} at @returns {Point} */
  px(at) {
    return { x: this.origin.x + this.k * at.x, y: this.origin.y - this.k * at.y };
  }

  /** A place on the screen, on the drawing. @param {Point} at @returns {Point} */
  mm(at) {
    return { x: (at.x - this.origin.x) / this.k, y: (this.origin.y - at.y) / this.k };
  }

  /** Draw a moment. @param {Motion} motion @param {number} time @param {number[]} place the
   * numbers of the values chosen */
  show(motion, time, place) {
    if (this._built !== motion.run.structure) this._build(motion);
    if (this._numbers !== motion.numbers) this._outline(motion);
    for (const { element, carrier } of this._groups) {
      element.setAttribute("transform", this._transform(motion, carrier, time));
    }
    this._ropes(motion, time);
    this._pointers(motion, time);
    const arrows = this.forces ? this._arrows(motion, time) : [];
    this._draw(this._arrowGroup, arrows.map((arrow) => arrow.element));
    const moved = this.forces ? this._moved(motion, time) : [];
    this._draw(this._movedGroup, moved.flatMap((one) => one.elements));
    const labels = [
      ...this._labels(motion, time, place),
      ...arrows.map((arrow) => arrow.label),
      ...moved.map((one) => one.label),
    ];
    this._letter(labels, motion, time);
  }

  /** @param {SVGElement} group @param {SVGElement[]} elements */
  _draw(group, elements) {
    group.replaceChildren(...elements);
  }

  /** Make the elements for a drawing's structure. @param {Motion} motion */
  _build(motion) {
    const { structure } = motion;
    this._built = motion.run.structure;
    this._stands.clear();
    this._groups = [];
    this.targets = [];
    this._starts = [];
    this._elements = [];
    /** @type {Element[]} */
    const made = [];
    let at = 4 * structure.carriers.length;
    /** @type {SVGElement | null} */
    let group = null;
    let carried = -1;
    structure.shapes.forEach(([form, style, fill, count, carrier, what], i) => {
      this._starts.push(at);
      at += 2 * count + (form === "circle" ? 1 : 0);
      this._elements.push(null);
      if (form === "ropes") {
        made.push(this._ropeGroup);
        carried = -1;
      } else if (form === "target") {
        this.targets.push({ what, element: shape("polyline", { class: "target" }), shape: i });
      } else if (form !== "label") {
        if (carrier !== carried || !group) {
          group = shape("g");
          this._groups.push({ element: group, carrier });
          made.push(group);
          carried = carrier;
        }
        const element = shape(form === "circle" ? "circle" : "path", {
          class: `s-${style.replace(" ", "-") || "none"} f-${fill || "none"}`,
        });
        group.append(element);
        this._elements[i] = element;
      }
    });
    this.root.replaceChildren(
      ...made, this._pointerGroup, this._movedGroup, this._arrowGroup,
    );
    this._numbers = null;
  }

  /** Set the outline of every shape. @param {Motion} motion */
  _outline(motion) {
    const { numbers, structure } = motion;
    this._numbers = numbers;
    structure.shapes.forEach(([form, , , count], i) => {
      const element = this._elements[i], at = this._starts[i];
      if (!element) return;
      if (form === "circle") {
        element.setAttribute("cx", short(numbers[at]));
        element.setAttribute("cy", short(-numbers[at + 1]));
        element.setAttribute("r", short(numbers[at + 2]));
        return;
      }
      let d = "";
      for (let n = 0; n < count; n++) {
        d += `${n ? "L" : "M"}${short(numbers[at + 2 * n])} ${short(-numbers[at + 2 * n + 1])}`;
      }
      element.setAttribute("d", form === "area" ? `${d}Z` : d);
    });
  }

  /** Where a carrier is: its origin, mm, its angle, then what spins upon it.
   * @param {Motion} motion @param {number} carrier @param {number} time */
  _where(motion, carrier, time) {
    const [kind, of, spin] = motion.structure.carriers[carrier];
    const n = motion.numbers, at = 4 * carrier, s = this.drawing.scale;
    let x = 0, y = 0, angle = 0, across = 1, behind = false;
    if (kind === "span") {
      const span = this._span(motion, of, time);
      x = s * (span.x1 + n[at] * (span.x2 - span.x1));
      y = s * (span.y1 + n[at] * (span.y2 - span.y1));
      angle = Math.atan2(span.y2 - span.y1, span.x2 - span.x1);
    } else if (kind === "sliding") {
      const driven = motion.value(`${of} angle`, time) || 0;
      x = n[at] * driven;
      y = n[at + 1] * driven;
    } else if (kind !== "bench") {
      const rotation = motion.value(`${of} angle`, time) || 0;
      const c = Math.cos(rotation), q = Math.sin(rotation);
      x = s * motion.value(`${of} x`, time);
      y = s * motion.value(`${of} y`, time);
      if (kind === "hung") {
        x += c * n[at] - q * n[at + 1];
        y += q * n[at] + c * n[at + 1];
      } else if (kind === "stretched") {
        across = q;
      } else if (kind === "swung" || kind === "marked") {
        x += q * n[at];
        behind = kind === "marked" && c < 0;
      } else {
        angle = rotation;
      }
    }
    const spun = spin ? motion.value(`turn ${spin}`, time) : 0;
    return { x, y, angle, across, behind, cx: n[at + 2], cy: n[at + 3], spun, spins: spin !== "" };
  }

  /** @param {Motion} motion @param {number} carrier @param {number} time @returns {string} */
  _transform(motion, carrier, time) {
    const w = this._where(motion, carrier, time);
    const deg = (/** @type {number} */ a) => short((-a * 180) / Math.PI);
    let text = `translate(${short(w.x)} ${short(-w.y)})`;
    if (w.angle) text += ` rotate(${deg(w.angle)})`;
    // Of what is at the back nothing is seen.
    if (w.across !== 1 || w.behind) text += ` scale(${w.behind ? 0 : w.across.toFixed(4)} 1)`;
    if (w.spins) text += ` translate(${short(w.cx)} ${short(-w.cy)}) rotate(${deg(w.spun)})`;
    return text;
  }

  /** The points of a shape where they are at a moment, mm.
   * @param {Motion} motion @param {number} index @param {number} time @returns {Point[]} */
  points(motion, index, time) {
    const [, , , count, carrier] = motion.structure.shapes[index];
    const w = this._where(motion, carrier, time);
    const c = Math.cos(w.angle), q = Math.sin(w.angle), at = this._starts[index];
    const found = [];
    for (let i = 0; i < count; i++) {
      const x = w.across * motion.numbers[at + 2 * i], y = motion.numbers[at + 2 * i + 1];
      found.push({ x: w.x + c * x - q * y, y: w.y + q * x + c * y });
    }
    return found;
  }

  /** What is taken hold of: which of those it is, its shape, and where, px. Of several targets the
   * last, which lies on top. @param {Motion} motion @param {number} time */
  handles(motion, time) {
    return this.held.flatMap((key, number) => {
      const target = this.targets.filter(({ what }) => what === key).pop();
      if (!target) return [];
      const points = this.points(motion, target.shape, time);
      return [{ number, shape: target.shape, at: this.px(points[points.length - 1]) }];
    });
  }

  /** @param {Motion} motion @param {string} name @param {number} time */
  _span(motion, name, time) {
    const [x1, y1, x2, y2, slack] = ["x1", "y1", "x2", "y2", "slack"].map((what) =>
      motion.value(`${name} ${what}`, time),
    );
    return { x1, y1, x2, y2, slack: slack > 0.5 };
  }

  /** The turns of a rope on a drum that it is made fast to, m.
   * @param {number} x @param {number} y @param {number} radius @returns {string} */
  _drum(x, y, radius) {
    const s = this.drawing.scale, r = short(s * radius), across = short(2 * s * radius);
    const half = `a${r} ${r} 0 1 0 `;
    return radius > 0
      ? `M${short(s * (x - radius))} ${short(-s * y)}${half}${across} 0${half}-${across} 0`
      : "";
  }

  /** @param {Motion} motion @param {number} time */
  _ropes(motion, time) {
    const made = [], s = this.drawing.scale;
    for (const { rope, waypoints } of this.drawing.ropes) {
      let d = "", slack = false;
      for (let i = 0; i + 1 < waypoints.length; i++) {
        const span = this._span(motion, `${rope} ${i + 1}`, time);
        slack ||= span.slack;
        d += `${i ? "L" : "M"}${short(s * span.x1)} ${short(-s * span.y1)}`;
        d += `L${short(s * span.x2)} ${short(-s * span.y2)}`;
        const [radius, winding] = waypoints[i + 1];
        const length = Math.hypot(span.x2 - span.x1, span.y2 - span.y1) || 1;
        const ux = (span.x2 - span.x1) / length, uy = (span.y2 - span.y1) / length;
        if (i === 0) {
          const [r, first] = waypoints[0];
          d = this._drum(span.x1 - first * r * uy, span.y1 + first * r * ux, r) + d;
        }
        if (i + 2 === waypoints.length) {
          d += this._drum(span.x2 - winding * radius * uy, span.y2 + winding * radius * ux, radius);
        } else if (radius > 0) {
          const next = this._span(motion, `${rope} ${i + 2}`, time);
          const cx = span.x2 - winding * radius * uy, cy = span.y2 + winding * radius * ux;
          const from = Math.atan2(span.y2 - cy, span.x2 - cx);
          const to = Math.atan2(next.y1 - cy, next.x1 - cx);
          const whole = 2 * Math.PI;
          const sweep = (((winding * (to - from)) % whole) + whole) % whole;
          if (sweep < whole - 0.1) {
            const large = sweep > Math.PI ? 1 : 0;
            const r = short(s * radius);
            d += `A${r} ${r} 0 ${large} ${winding > 0 ? 0 : 1} `;
            d += `${short(s * next.x1)} ${short(-s * next.y1)}`;
          }
        }
      }
      made.push(shape("path", { class: `${slack ? "s-slack" : "s-rope"} f-none`, d }));
    }
    this._ropeGroup.replaceChildren(...made);
  }

  /** The gauges' pointers. @param {Motion} motion @param {number} time */
  _pointers(motion, time) {
    const made = [];
    for (const gauge of this.drawing.gauges) {
      const carrier = motion.structure.carriers.findIndex(
        ([kind, of]) => kind === "span" && of === gauge.span,
      );
      if (carrier < 0) continue;
      const long = motion.numbers[4 * carrier + 1];
      const reading = this.forces ? motion.value(`${gauge.name}.reading`, time) : 0;
      const share = Math.min(1.1, Math.max(-0.1, reading / gauge.range));
      const x = short((0.18 - 0.5 + 0.64 * share) * long);
      const line = shape("path", { class: "s-pointer f-none", d: `M${x} -2.3V2.3` });
      made.push(shape("g", { transform: this._transform(motion, carrier, time) }, line));
    }
    this._pointerGroup.replaceChildren(...made);
  }

  /** An arrow for each force, as long as it is great. @param {Motion} motion
   * @param {number} time */
  _arrows(motion, time) {
    const found = [], s = this.drawing.scale;
    for (const { kind, part, tail } of this.drawing.forces) {
      const name = `${kind} ${part}`;
      const fx = motion.value(`${name} force x`, time), fy = motion.value(`${name} force y`, time);
      const norm = Math.hypot(fx, fy);
      const least = kind === "effort" && norm > 0 ? LEAST_EFFORT : 0;
      const length = Math.max(this.drawing.newton * norm, least);
      if (length < SHORTEST_ARROW) continue;
      const ux = fx / norm, uy = fy / norm;
      let x = s * motion.value(`${name} at x`, time), y = s * motion.value(`${name} at y`, time);
      if (kind === "weight") {
        x += tail[0];
        y += tail[1];
      } else {
        x += tail[0] * ux - tail[1] * uy;
        y += tail[0] * uy + tail[1] * ux;
      }
      const tip = { x: x + length * ux, y: y + length * uy };
      const head = Math.min(3, 0.8 * length);
      const path = `M${short(x)} ${short(-y)}L${short(tip.x - 0.9 * head * ux)} ` +
        `${short(-(tip.y - 0.9 * head * uy))}`;
      const element = shape(
        "g", {},
        shape("path", { class: `s-${kind} f-none`, d: path }),
        shape("path", { class: `s-none f-${kind}`, d: arrowhead(tip, ux, uy, head, 0.72 * head) }),
      );
      const anchors = [1, 0.75, 0.5, 0.25].map((share) => ({
        x: x + share * length * ux, y: y + share * length * uy,
      }));
      const [on, own] = part.split("."), { forces, parts } = this.told;
      const text = (forces[own] ?? forces[kind]).replace("{part}", parts[on] ?? on);
      found.push({ element, label: oneLine(`${part}.${kind}`, text, kind, anchors) });
    }
    return found;
  }

  /** How far the hand has gone and the load has risen: where, but not how much.
   * @param {Motion} motion @param {number} time */
  _moved(motion, time) {
    /** @type {{elements: SVGElement[], chain: Point[], label: Label}[]} */
    const found = [];
    const s = this.drawing.scale, { hand, loadPoint } = this.drawing;
    /** @param {Point} a @param {Point} b @param {Point} aside @param {string} text */
    const dimension = (a, b, aside, text) => {
      if (Math.hypot(b.x - a.x, b.y - a.y) < 1) return;
      const from = { x: a.x + aside.x, y: a.y + aside.y };
      const to = { x: b.x + aside.x, y: b.y + aside.y };
      const long = Math.hypot(to.x - from.x, to.y - from.y);
      const ux = (to.x - from.x) / long, uy = (to.y - from.y) / long;
      const line = (/** @type {Point} */ p, /** @type {Point} */ q) =>
        shape("path", {
          class: "s-dimension f-none",
          d: `M${short(p.x)} ${short(-p.y)}L${short(q.x)} ${short(-q.y)}`,
        });
      found.push({
        elements: [
          line(a, from), line(b, to), line(from, to),
          shape("path", { class: "s-none f-ink", d: arrowhead(to, ux, uy, 2.4, 1) }),
          shape("path", { class: "s-none f-ink", d: arrowhead(from, -ux, -uy, 2.4, 1) }),
        ],
        label: {
          ...oneLine(`moved ${text}`, text, "text", [
            { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 },
          ]),
          dot: false, pull: 2.5,
        },
        chain: [a, from, to, b],
      });
    };
    const at = (/** @type {string} */ of, /** @type {number} */ t) => ({
      x: s * motion.value(`${of} x`, t), y: s * motion.value(`${of} y`, t),
    });
    const middle = (this.drawing.box[0] + this.drawing.box[2]) / 2;
    if (hand) {
      const before = at(hand, 0), after = at(hand, time);
      const long = Math.hypot(after.x - before.x, after.y - before.y) || 1;
      let nx = -(after.y - before.y) / long, ny = (after.x - before.x) / long;
      const upright = Math.abs(nx) > 0.95;
      if (upright ? nx * (after.x - middle) < 0 : ny < 0) [nx, ny] = [-nx, -ny];
      dimension(before, after, { x: 8 * nx, y: 8 * ny }, say("travel"));
    }
    if (loadPoint) {
      const point = (/** @type {number} */ t) => {
        const rotation = motion.value(`${loadPoint.frame} angle`, t) || 0;
        const c = Math.cos(rotation), q = Math.sin(rotation), base = at(loadPoint.frame, t);
        return {
          x: base.x + s * (c * loadPoint.x - q * loadPoint.y),
          y: base.y + s * (q * loadPoint.x + c * loadPoint.y),
        };
      };
      const before = point(0), after = point(time);
      const word = after.y > before.y ? say("rise") : say("descent");
      const left = hand ? at(hand, time).x >= after.x : after.x < middle;
      const aside = (left ? -1 : 1) * (loadPoint.half + 7);
      dimension({ x: after.x, y: before.y }, after, { x: aside, y: 0 }, word);
    }
    return found;
  }

  /** @param {Motion} motion @param {number} time @param {number[]} place @returns {Label[]} */
  _labels(motion, time, place) {
    /** @type {Label[]} */
    const found = [];
    motion.structure.shapes.forEach(([form, , , , , what], i) => {
      if (form !== "label") return;
      const words = this.told.labels[Number(what)];
      if (!words) return;
      found.push({
        key: `label ${what}`,
        lines: words.lines.map((line) => ({
          text: line.texts ? line.texts[place[line.axis ?? 0]] : line.text,
          style: line.style,
        })),
        framed: words.framed, dot: words.dot, pull: words.pull,
        anchors: this.points(motion, i, time),
      });
    });
    return found;
  }

  // Lettering: each label keeps its place while it can, and finds another where it must.

  /** @param {Label[]} labels @param {Motion} motion @param {number} time */
  _letter(labels, motion, time) {
    /** @type {Box[]} */
    const done = [];
    const made = [];
    let texts = "";
    /** @type {number[][] | null} */
    let lines = null;
    const held = this.handles(motion, time).map(({ at }) => (
      { x: at.x - HELD, y: at.y - HELD, w: 2 * HELD, h: 2 * HELD }
    ));
    for (const label of [...labels].sort((a, b) => b.pull - a.pull)) {
      const anchors = label.anchors.map((anchor) => this.px(anchor));
      const size = this._size(label);
      const stand = this._stands.get(label.key);
      /** @type {Box | null} */
      let spot = null;
      if (stand) {
        const anchor = anchors[Math.min(stand.anchor, anchors.length - 1)];
        const kept = this._inside(anchor.x + stand.dx, anchor.y + stand.dy, size);
        if (![...done, ...held].some((other) => meets(other, kept))) spot = kept;
      }
      // Now and then a label that lines have come beneath looks for a better place.
      if (!spot || !stand || Math.abs(time - stand.seen) > STANDS) {
        lines ??= this._lines(motion, time);
        if (!spot || !stand || crossings(lines, spot) > stand.lines) {
          spot = this._search(anchors, size, [...done, ...held], lines, label.pull) ??
            spot ?? this._search(anchors, size, done, lines, label.pull);
        }
        if (!spot) continue;
        const nearest = nearestOf(anchors, spot);
        this._stands.set(label.key, {
          anchor: nearest, dx: spot.x - anchors[nearest].x, dy: spot.y - anchors[nearest].y,
          lines: crossings(lines, spot), seen: time,
        });
      }
      done.push(spot);
      made.push(this._written(label, spot, anchors[nearestOf(anchors, spot)]));
      texts += `${label.lines.map((line) => line.text).join(", ")}; `;
    }
    this.overlay.replaceChildren(...made);
    this.texts = texts;
  }

  /** @param {Label} label @returns {{w: number, h: number}} */
  _size(label) {
    let w = 0;
    for (const { text, style } of label.lines) {
      this._context.font = `${style === "strong" ? "bold " : ""}${LETTER.size}px ${FAMILY}`;
      w = Math.max(w, this._context.measureText(text).width);
    }
    const pad = label.framed ? LETTER.pad : 0;
    return { w: w + 2 * pad, h: LETTER.line * label.lines.length + pad };
  }

  /** @param {number} x @param {number} y @param {{w: number, h: number}} size @returns {Box} */
  _inside(x, y, { w, h }) {
    return {
      x: Math.min(Math.max(x, 2), Math.max(2, this.width - w - 2)),
      y: Math.min(Math.max(y, 2), Math.max(2, this.height - h - 2)), w, h,
    };
  }

  /** What is drawn, as straight pieces in px. @param {Motion} motion @param {number} time */
  _lines(motion, time) {
    /** @type {number[][]} */
    const found = [];
    const add = (/** @type {Point[]} */ chain, closed = false) => {
      const points = chain.map((p) => this.px(p));
      if (closed && points.length) points.push(points[0]);
      for (let i = 1; i < points.length; i++) {
        found.push([points[i - 1].x, points[i - 1].y, points[i].x, points[i].y]);
      }
    };
    motion.structure.shapes.forEach(([form], i) => {
      if (form === "path" || form === "area") add(this.points(motion, i, time), form === "area");
      if (form === "circle") {
        const [c] = this.points(motion, i, time);
        const r = motion.numbers[this._starts[i] + 2];
        const turns = Array.from({ length: 12 }, (_, turn) => (turn * Math.PI) / 6);
        add(turns.map((turn) => ({
          x: c.x + r * Math.cos(turn), y: c.y + r * Math.sin(turn),
        })), true);
      }
    });
    const s = this.drawing.scale;
    for (const { rope, waypoints } of this.drawing.ropes) {
      for (let i = 1; i < waypoints.length; i++) {
        const span = this._span(motion, `${rope} ${i}`, time);
        add([{ x: s * span.x1, y: s * span.y1 }, { x: s * span.x2, y: s * span.y2 }]);
      }
    }
    if (this.forces) {
      for (const { label } of this._arrows(motion, time)) add(label.anchors);
      for (const { chain } of this._moved(motion, time)) add(chain);
    }
    return found;
  }

  /** The best free place on rings about the anchors.
   * @param {Point[]} anchors @param {{w: number, h: number}} size @param {Box[]} done
   * @param {number[][]} lines @param {number} pull @returns {Box | null} */
  _search(anchors, size, done, lines, pull) {
    let best = null, least = Infinity;
    // A line through several rows of letters spoils each.
    const spoilt = CROSSED * (0.5 + size.h / LETTER.line);
    for (const distance of [4, 10, 18, 28, 42, 60, 84, 112]) {
      if (least < pull * distance) break;
      for (const anchor of anchors.slice(0, 6)) {
        for (let step = 0; step < 12; step++) {
          const x = Math.cos((step * Math.PI) / 6), y = Math.sin((step * Math.PI) / 6);
          const wanted = {
            x: anchor.x + distance * x - (size.w * (1 - x)) / 2,
            y: anchor.y + distance * y - (size.h * (1 - y)) / 2,
          };
          const spot = this._inside(wanted.x, wanted.y, size);
          const shifted = Math.hypot(spot.x - wanted.x, spot.y - wanted.y);
          if (shifted > 40 || done.some((other) => meets(other, spot))) continue;
          const cost = pull * distance + shifted + spoilt * crossings(lines, spot);
          if (cost < least) [best, least] = [spot, cost];
        }
      }
    }
    return best;
  }

  /** @param {Label} label @param {Box} spot @param {Point} anchor @returns {SVGElement} */
  _written(label, spot, anchor) {
    const group = shape("g");
    const away = awayFrom(spot, anchor);
    if (away > 9) {
      const x = Math.min(Math.max(anchor.x, spot.x), spot.x + spot.w);
      const y = Math.min(Math.max(anchor.y, spot.y + 3), spot.y + spot.h - 3);
      group.append(shape("line", {
        class: "s-leader", x1: short(anchor.x), y1: short(anchor.y), x2: short(x), y2: short(y),
      }));
      if (label.dot) {
        group.append(shape("circle", { class: "f-ink", cx: anchor.x, cy: anchor.y, r: 2 }));
      }
    }
    if (label.framed) {
      group.append(shape("rect", {
        class: "tag", x: short(spot.x), y: short(spot.y), width: short(spot.w),
        height: short(spot.h),
      }));
    }
    // Its lines are flush with the side that faces what it belongs to.
    const pad = label.framed ? LETTER.pad : 0, right = anchor.x > spot.x + 0.75 * spot.w;
    label.lines.forEach(({ text, style }, i) => {
      group.append(shape("text", {
        class: `lettering t-${style}`, "text-anchor": right ? "end" : "start",
        x: short(right ? spot.x + spot.w - pad : spot.x + pad),
        y: short(spot.y + LETTER.line * (i + 0.78) + pad / 2),
      }, text));
    });
    return group;
  }
}

export const FAMILY =
  "'IBM Plex Sans Condensed','Roboto Condensed','Arial Narrow','Liberation Sans Narrow'," +
  "Arial,Helvetica,sans-serif";

/** @typedef {{x: number, y: number, w: number, h: number}} Box */

/** @param {string} key @param {string} text @param {string} style @param {Point[]} anchors
 * @returns {Label} */
function oneLine(key, text, style, anchors) {
  return { key, lines: [{ text, style }], framed: false, dot: false, pull: 1, anchors };
}

/** @param {Point} tip @param {number} ux @param {number} uy @param {number} long
 * @param {number} wide @returns {string} */
function arrowhead(tip, ux, uy, long, wide) {
  const bx = tip.x - long * ux, by = tip.y - long * uy;
  const sx = (-uy * wide) / 2, sy = (ux * wide) / 2;
  return `M${short(tip.x)} ${short(-tip.y)}L${short(bx + sx)} ${short(-(by + sy))}` +
    `L${short(bx - sx)} ${short(-(by - sy))}Z`;
}

/** @param {Box} a @param {Box} b */
function meets(a, b) {
  const gap = 2;
  return (
    a.x < b.x + b.w + gap && b.x < a.x + a.w + gap && a.y < b.y + b.h + gap && b.y < a.y + a.h + gap
  );
}

/** @param {Box} spot @param {Point} at */
function awayFrom(spot, at) {
  return Math.hypot(
    Math.max(spot.x - at.x, at.x - spot.x - spot.w, 0),
    Math.max(spot.y - at.y, at.y - spot.y - spot.h, 0),
  );
}

/** @param {Point[]} anchors @param {Box} spot */
function nearestOf(anchors, spot) {
  let best = 0;
  anchors.forEach((anchor, i) => {
    if (awayFrom(spot, anchor) < awayFrom(spot, anchors[best])) best = i;
  });
  return best;
}

/** How many straight pieces run through a box. @param {number[][]} lines @param {Box} spot */
function crossings(lines, spot) {
  return lines.reduce((n, line) => n + (crosses(line, spot) ? 1 : 0), 0);
}

/** Whether a straight piece runs through a box (Liang and Barsky's clipping).
 * @param {number[]} line @param {Box} spot */
function crosses([ax, ay, bx, by], spot) {
  let low = 0, high = 1;
  for (const [from, step, least, most] of [
    [ax, bx - ax, spot.x, spot.x + spot.w], [ay, by - ay, spot.y, spot.y + spot.h],
  ]) {
    if (Math.abs(step) < 1e-9) {
      if (from <= least || from >= most) return false;
      continue;
    }
    const one = (least - from) / step, other = (most - from) / step;
    low = Math.max(low, Math.min(one, other));
    high = Math.min(high, Math.max(one, other));
  }
  return low < high;
}
