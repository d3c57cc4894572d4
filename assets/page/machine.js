// The machine of a recorded bench: its drawing, its time, and the sliders of what may be varied.

import { Chart } from "./chart.js";
import { numberAt } from "./dial.js";
import { button, make } from "./elements.js";
import { Sheet } from "./sheet.js";
import { brief } from "./values.js";
import { figures, say } from "./words.js";

/** @typedef {import("./recording.js").Recording} Recording */

/** Stills a second, where motion is not wanted. */
const STILLS = 2;

/** Scroll to an element that is not well in sight.
 * @param {Element | null} element @param {ScrollBehavior} behavior */
export function into(element, behavior) {
  const box = element?.getBoundingClientRect();
  if (box && (box.top < 0 || box.top > 0.55 * window.innerHeight)) {
    element?.scrollIntoView({ behavior, block: "start" });
  }
}

/** A machine whose runs were recorded. */
export class RecordedMachine {
  /** @param {import("./lab.js").Bench} bench @param {Recording} recording */
  constructor(bench, recording) {
    this.bench = bench;
    this.recording = recording;
    this.place = bench.axes.map((axis) => axis.start);
    this.motion = recording.at(this.place);
    this.time = 0;
    this.playing = false;
    this.free = false;
    this.sheet = new Sheet(bench.drawing, bench);
    this.chart = new Chart(bench.drawing.hand, bench.drawing.load, recording.length);
    this._still = matchMedia("(prefers-reduced-motion: reduce)");
    this._frame = 0;
    /** @type {(() => void) | null} */
    this._then = null;
    this.paper = make("div", { class: "paper" });
    this.paper.append(this.sheet.svg);
    this.handles = make("div", { class: "handles" });
    this.paper.append(this.handles);
    const bars = this.bench.bars.map((text) => make("span", { class: "bar" }, text));
    this.bars = bars;
    const strip = make("div", { class: "strip" }, ...bars,
      make("span", {}, bench.gravity), make("span", { class: "mode" }, bench.mode));
    this.play = button(say("Play"), () => this.toggle(), "play first");
    this.slider = /** @type {HTMLInputElement} */ (make("input", {
      type: "range", min: 0, max: this.recording.length, step: 0.02, value: 0,
      "aria-label": say("Time, seconds"),
    }));
    this.slider.addEventListener("input", () => {
      this.pause();
      this.seek(Number(this.slider.value));
    });
    this.clock = make("output", { class: "clock" }, figures("0.00 s"));
    this.controls = make("div", { class: "controls" }, this.play, this.slider, this.clock);
    this.moments = make("div", { class: "moments buttons" }, ...this._moments());
    this.announced = make("p", { class: "unseen", "aria-live": "polite" });
    this.axes = this.bench.axes.map((axis, i) => this._axis(axis, i));
    this.settings = make("div", { class: "settings" }, ...this.axes.map(({ row }) => row));
    this.charted = make("figure", { class: "charted" });
    this.charted.append(this.chart.svg);
    this.locked = make("p", { class: "locked" }, say("The machine waits for your predictions."));
    this.element = make("section", { class: "machine", "aria-label": say("The machine") },
      this.paper, strip, this.locked, this.controls, this.moments, this.settings, this.charted, this.announced);
    new ResizeObserver(() => this.fit()).observe(this.paper);
  }

  /** @param {import("./lab.js").Axis} axis @param {number} number */
  _axis(axis, number) {
    const id = `axis${number}`, given = brief(axis.texts[axis.start]);
    const label = this.bench.axisNames[number];
    const slider = /** @type {HTMLInputElement} */ (make("input", {
      type: "range", id, min: 0, max: axis.texts.length - 1, step: 1, value: axis.start,
    }));
    const shown = make("output", { for: id }, given);
    slider.setAttribute("aria-valuetext", given);
    slider.addEventListener("input", () => this.set(number, Number(slider.value)));
    const own = button(say("as given"), () => this.set(number, axis.start), "small");
    own.setAttribute("aria-label", say("{label}: as given, {value}", { label, value: given }));
    const row = make("div", { class: "axis" }, make("label", { for: id }, label), shown,
      slider, own);
    return { row, slider, shown, own };
  }

  /** What goes to each moment in which the hand is at an edge of what holds. */
  _moments() {
    const { least, greatest } = this.bench.moments;
    const to = (/** @type {string} */ words, /** @type {number} */ time) => button(words, () => {
      this.pause();
      this.seek(time);
      this._tell();
    });
    return [
      ...(least === undefined ? [] : [to(say("Eased off"), least)]),
      ...(greatest === undefined ? [] : [to(say("Pulled harder"), greatest)]),
    ];
  }

  /** Choose a value. @param {number} axis @param {number} number */
  set(axis, number) {
    const text = brief(this.bench.axes[axis].texts[number]);
    this.place = this.place.map((old, i) => (i === axis ? number : old));
    this.motion = this.recording.at(this.place);
    const { slider, shown } = this.axes[axis];
    slider.value = String(number);
    slider.setAttribute("aria-valuetext", text);
    shown.textContent = text;
    this.draw();
  }

  /** Whether predictions are made. @param {import("./lab.js").Stage} stage */
  enter(stage) {
    const free = stage !== "predicting";
    this.free = free;
    if (this.sheet.forces !== free) this.sheet.forget();
    this.sheet.forces = free;
    this.sheet.held = free ? this.bench.axes.map((axis) => axis.keys[0]) : [];
    this.locked.hidden = free;
    this.controls.hidden = !free;
    this.moments.hidden = !free || !this.moments.children.length;
    this.settings.hidden = !free || !this.bench.axes.length;
    this.bars[1].hidden = !free;
    this.charted.hidden = !free || !this.chart.worth(this.motion);
    this.handles.hidden = !free;
    this.draw();
  }

  toggle() {
    if (this.playing) this.pause();
    else this.start(this.time >= this.recording.length - 0.01 ? 0 : this.time);
  }

  /** @param {number} from */
  start(from) {
    this.playing = true;
    this.play.textContent = say("Pause");
    this.seek(from);
    const began = performance.now() - 1000 * from;
    cancelAnimationFrame(this._frame);
    let last = -1;
    const step = (/** @type {number} */ now) => {
      if (!this.playing) return;
      const time = Math.min((now - began) / 1000, this.recording.length);
      const still = Math.floor(time * STILLS);
      if (!this._still.matches || still !== last || time === this.recording.length) {
        last = still;
        this.seek(time);
      }
      if (time < this.recording.length) this._frame = requestAnimationFrame(step);
      else {
        this.pause();
        this._then?.();
        this._then = null;
      }
    };
    this._frame = requestAnimationFrame(step);
  }

  pause() {
    this.playing = false;
    this.play.textContent = say("Play");
    cancelAnimationFrame(this._frame);
    this._tell();
  }

  /** What differs from the scene, as a trial writes it down.
   * @returns {Promise<import("./lab.js").Setting | undefined>} */
  async setting() {
    /** @type {import("./lab.js").Setting} */
    const set = {};
    this.bench.axes.forEach((axis, i) => {
      if (this.place[i] === axis.start) return;
      for (const key of axis.keys) set[key] = axis.texts[this.place[i]];
    });
    return Object.keys(set).length ? set : undefined;
  }

  /** What the machine did in a trial; null where it was set as no recording has it.
   * @param {import("./lab.js").Setting | undefined} set
   * @returns {Promise<import("./lab.js").Measured | null>} */
  async measured(set) {
    const place = this.bench.axes.map((axis) => {
      const text = set?.[axis.keys[0]];
      return text === undefined ? axis.start : axis.texts.indexOf(text);
    });
    const varied = this.bench.axes.flatMap((axis) => axis.keys);
    const known = Object.keys(set ?? {}).every((key) => varied.includes(key));
    return known && !place.includes(-1) ? this.recording.at(place) : null;
  }

  /** Run a trial: at once to the end where motion is not wanted. Where the machine or what is to be
   * looked at afterwards is out of sight, go there.
   * @param {() => Element | null} then returns what to look at afterwards */
  run(then) {
    this._then = () => into(then(), "smooth");
    if (this._still.matches) {
      this.seek(this.recording.length);
      this._tell();
      into(then(), "auto");
    } else {
      into(this.paper, "smooth");
      this.start(0);
    }
  }

  /** @param {number} time */
  seek(time) {
    this.time = time;
    this.slider.value = String(time);
    this.draw();
  }

  fit() {
    const width = this.paper.clientWidth;
    if (!width) return;
    this.sheet.resize(width, Math.max(300, Math.min(560, 0.58 * window.innerHeight)));
    this.chart.resize(this.element.clientWidth);
    this.bench.drawing.bars.forEach((mm, i) => {
      this.bars[i].style.setProperty("--long", `${(mm * this.sheet.k).toFixed(1)}px`);
    });
    this.draw();
  }

  draw() {
    if (this.sheet.width <= 1) return;
    this.sheet.show(this.motion, this.time, this.place);
    this.clock.textContent = figures(`${this.time.toFixed(2)} s`);
    this.slider.setAttribute("aria-valuetext", say("{time} seconds", { time: this.time.toFixed(1) }));
    if (!this.charted.hidden) this.chart.show(this.motion, this.time);
    if (!this.handles.hidden) this._handles();
    if (!this.playing) this._tell();
  }

  /** What a screen reader says of the drawing. */
  _tell() {
    const { gauges } = this.bench.drawing;
    const words = [say("At {time} s.", { time: this.time.toFixed(1) })];
    for (const { name: gauge } of this.free ? gauges : []) {
      const shows = [`${gauge}.reading`, `${gauge}.least_reading`, `${gauge}.greatest_reading`];
      const name = this.bench.parts[gauge] ?? gauge;
      const instrument = this.bench.instruments.find((i) => shows.includes(i.quantity));
      if (!instrument) continue;
      const reading = this.motion.value(`${gauge}.reading`, this.time);
      const low = Math.max(0, Math.floor(reading / instrument.division));
      const [a, b] = [low, low + 1].map((mark) => numberAt(instrument, mark));
      words.push(low >= instrument.divisions
        ? say("{name}: the pointer lies against the high stop.", { name })
        : say("{name}: the pointer lies between {low} and {high} {unit}.",
          { name, low: a, high: b, unit: instrument.unit }));
    }
    const text = words.join(" ");
    if (this.announced.textContent !== text) this.announced.textContent = text;
    const all = say("{title}. On the drawing: {texts}",
      { title: this.bench.title, texts: this.sheet.texts ?? "" });
    if (this.sheet.description.textContent !== all) this.sheet.description.textContent = all;
  }

  // Dimensions to take hold of.

  _handles() {
    const wanted = this.sheet.handles(this.motion, this.time);
    while (this.handles.children.length < wanted.length) {
      const knob = make("div", { class: "knob", "aria-hidden": "true" });
      this._hold(knob);
      this.handles.append(knob);
    }
    [...this.handles.children].forEach((child, i) => {
      const knob = /** @type {HTMLElement} */ (child);
      knob.hidden = i >= wanted.length;
      if (knob.hidden) return;
      const { number, shape, at } = wanted[i];
      const scale = this.paper.clientWidth / this.sheet.width;
      knob.style.setProperty("left", `${(at.x * scale).toFixed(1)}px`);
      knob.style.setProperty("top", `${(at.y * scale).toFixed(1)}px`);
      knob.dataset.axis = String(number);
      knob.dataset.shape = String(shape);
    });
  }

  /** @param {HTMLElement} knob */
  _hold(knob) {
    /** @type {{x: number, y: number}[]} where the knob would be for each value */
    let places = [];
    knob.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      knob.setPointerCapture(event.pointerId);
      this.pause();
      this.seek(0);
      const axis = Number(knob.dataset.axis), index = Number(knob.dataset.shape);
      places = this.bench.axes[axis].texts.map((_, number) => {
        const motion = this.recording.at(this.place.map((old, i) => (i === axis ? number : old)));
        const points = this.sheet.points(motion, index, 0);
        return this.sheet.px(points[points.length - 1]);
      });
    });
    knob.addEventListener("pointermove", (event) => {
      if (!places.length) return;
      const box = this.sheet.svg.getBoundingClientRect();
      const x = event.clientX - box.left, y = event.clientY - box.top;
      let best = 0;
      places.forEach((place, i) => {
        const away = Math.hypot(place.x - x, place.y - y);
        if (away < Math.hypot(places[best].x - x, places[best].y - y)) best = i;
      });
      const axis = Number(knob.dataset.axis);
      if (best !== this.place[axis]) this.set(axis, best);
    });
    const release = () => (places = []);
    knob.addEventListener("pointerup", release);
    knob.addEventListener("pointercancel", release);
  }
}
