// What a student gets back once the work is finished, on a page to print. What only the bench knows
// was sealed until then: see `sandbox/page/feedback.py` for what that is worth.

import { look } from "./dial.js";
import { button, clock, make } from "./elements.js";
import { sha256 } from "./hash.js";
import { inUnit, judged, lineThrough, meanOf, readTo, shownDifference, standApart, stated } from "./judging.js";
import { graph } from "./graph.js";
import { asWritten, brief, split, valueOf } from "./values.js";
import { figures, say } from "./words.js";

/** @typedef {import("./lab.js").Lab} Lab */
/** @typedef {import("./lab.js").Bench} Bench */
/** @typedef {import("./dial.js").Instrument} Instrument */
/** @typedef {{title: string, note: string, unworked: string, lines: {heading: string,
 *   about: string[], formula: string[], rest: string, result: string}[]}} Working */
/** @typedef {{rule: import("./judging.js").Rule, asked: Record<string, import("./judging.js").Key>,
 *   working: Record<string, Working>}} Answers */
/** A reading that counts, in the unit of its instrument, as differences are.
 * @typedef {{trial: number, quantity: string, text: string, set: Record<string, string>,
 *   value: number, bench: number, off: number, one: number}} Read */

/** @typedef {{keys: string[], name: string, own: string}} Varied */

/** Divisions within which a reading fits its pointer. */
const NEAR = 1;

/** What was sealed. @param {Bench} bench @returns {Promise<Answers | null>} */
export async function unsealed(bench) {
  if (!bench.feedback) return null;
  const data = Uint8Array.from(atob(bench.feedback), (letter) => letter.charCodeAt(0));
  for (let at = 0; at < data.length; at += 32) {
    const stream = sha256(`${bench.token}|feedback|${at / 32}`);
    for (let i = 0; i < 32 && at + i < data.length; i++) data[at + i] ^= stream[i];
  }
  const through = new Blob([data]).stream().pipeThrough(new DecompressionStream("deflate"));
  return JSON.parse(await new Response(through).text());
}

export class Feedback {
  /** @param {Lab} lab */
  constructor(lab) {
    this.lab = lab;
    this.element = make("section", { class: "step feedback" });
    this._of = "";
  }

  /** The section, of the record as it is; it is filled as soon as all is known. */
  shown() {
    const { notebook } = this.lab, last = notebook.lines[notebook.lines.length - 1];
    if (this._of !== last) {
      this._of = last;
      this.element.replaceChildren(this._heading(), make("p", {}, say("Working out your results …")));
      void this._made().then((parts) => {
        if (this._of === last) this.element.replaceChildren(this._heading(), ...parts);
      });
    }
    return this.element;
  }

  /** Another machine gives what the bench does. */
  forget() {
    this._of = "";
  }

  _heading() {
    const number = this.lab.bench.predict.length ? "5" : "4";
    return make("h2", {}, make("span", { class: "number" }, number), say("Your results"));
  }

  async _made() {
    const { lab } = this, { bench, notebook } = lab;
    const answers = await unsealed(bench);
    const read = await this._read();
    const last = notebook.entries[notebook.entries.length - 1];
    const whose = say("{title}: the work of {student}, finished {time}",
      { title: bench.title, student: notebook.student ?? "", time: clock(last.time) });
    const print = button(say("Print your results"), () => window.print(), "first");
    return [
      make("p", { class: "whose" }, whose), make("div", { class: "buttons" }, print),
      ...(answers ? this._predictions(answers) : []),
      ...this._readings(read, answers !== null),
      ...(answers ? this._working(answers) : []),
    ];
  }

  /** Every reading that counts, with what the bench did. @returns {Promise<Read[]>} */
  async _read() {
    const { bench, notebook } = this.lab;
    /** @type {Read[]} */
    const found = [];
    for (const { trial: number = 0, set } of notebook.of("trial")) {
      const measured = await this.lab.measure(set);
      for (const instrument of bench.instruments) {
        const { quantity, factor, low, division, dimension } = instrument;
        const entry = notebook.counted(number, quantity);
        const value = valueOf(bench.units, entry?.text ?? "", dimension);
        if (!entry || value === null) continue;
        let own = NaN, off = NaN;
        if (typeof measured !== "string") {
          const seen = look(instrument, bench.chance, bench.token, notebook.student ?? "", number,
            measured, entry.eye ?? 0);
          own = measured.once(quantity) / factor;
          off = (value / factor - low) / division - seen.seen;
        }
        found.push({ trial: number, quantity, text: entry.text ?? "", set: set ?? {},
          value: value / factor, bench: own, off, one: readTo(instrument) });
      }
    }
    return found;
  }

  /** @param {Answers} answers */
  _predictions({ asked, rule }) {
    const { bench, notebook } = this.lab;
    const rows = [];
    for (const entry of notebook.of("prediction", "second prediction")) {
      const { quantity = "", text = "" } = entry;
      const about = bench.predict.find(({ name }) => name === quantity), key = asked[quantity];
      if (!about || !key) continue;
      const verdict = judged(bench, about, key, rule, text, document.documentElement.lang);
      const written = asWritten(bench.units, bench.spellings, text, about.dimension);
      const name = bench.names[quantity];
      const cells = [text, inUnit(bench.units, about, written?.unit ?? "", key.right),
        verdict.share === null ? "" : shownDifference(verdict.share)];
      rows.push(make("tbody", {},
        make("tr", {}, make("th", { scope: "rowgroup", colspan: 3 }, entry.kind === "prediction"
          ? name : say("{quantity} (second)", { quantity: name }))),
        make("tr", {}, ...cells.map((cell) => make("td", {}, cell))),
        make("tr", { class: "remark" }, make("td", { colspan: 3 }, verdict.remarks.join(" ")))));
    }
    if (!rows.length) return [];
    const heads = [say("predicted"), say("the bench"), say("difference")];
    return [make("table", { class: "judged" },
      make("caption", {}, say("Your predictions beside the bench")), headed(heads), ...rows)];
  }

  /** Each quantity that was read, by itself. @param {Read[]} read
   * @param {boolean} told whether the bench's own values may be said */
  _readings(read, told) {
    const { bench, notebook } = this.lab;
    if (!read.length) return [];
    const varied = this._varied(read);
    const parts = [make("h3", {}, say("Your readings"))];
    if (varied.length) {
      parts.push(make("p", {}, say("What you set: {names}.", { names: varied.map(({ name }) => name).join("; ") })));
    }
    if (notebook.of("reading").some(({ trial = 0, quantity = "" }) => notebook.struckOut(trial, quantity) !== null)) {
      parts.push(make("p", { class: "hint" }, say("Readings that you struck out are left out here.")));
    }
    parts.push(make("div", { class: "quantities" }, ...bench.instruments.map((instrument) => {
      const own = read.filter(({ quantity }) => quantity === instrument.quantity);
      return own.length ? this._quantity(instrument, own, varied, told) : null;
    })));
    if (told) parts.push(make("p", { class: "hint" }, say("“Off” is how many divisions you read away from the pointer.")));
    parts.push(make("p", { class: "hint" }, say("± is U = k u, for about 95 % confidence: u is of the scatter of your readings and of the division; k is 2, or more where readings are few (JCGM 100:2008).")));
    return parts;
  }

  /** What was set otherwise than given: its keys, its name, and as it is given.
   * @param {Read[]} read @returns {Varied[]} */
  _varied(read) {
    const { bench } = this.lab, set = new Set(read.flatMap((each) => Object.keys(each.set)));
    const axes = bench.axes.map(({ keys, texts, start }, i) =>
      ({ keys, name: bench.axisNames[i], own: texts[start] }));
    const known = new Set(axes.flatMap(({ keys }) => keys));
    for (const key of set) {
      if (!known.has(key)) axes.push({ keys: [key], name: bench.names[key] ?? key, own: bench.given[key] ?? "" });
    }
    return axes.filter(({ keys }) => keys.some((key) => set.has(key)));
  }

  /** @param {Instrument} instrument @param {Read[]} own @param {Varied[]} varied
   * @param {boolean} told */
  _quantity(instrument, own, varied, told) {
    const { bench } = this.lab, { quantity, unit, division } = instrument;
    const beside = told && own.every((each) => Number.isFinite(each.bench));
    const digits = Math.max(0, Math.ceil(-Math.log10(division)) + 1);
    const setSo = (/** @type {Read} */ { set }) =>
      varied.map(({ keys, own: given }) => brief(set[keys[0]] ?? given)).join("; ") || say("as given");
    const heads = [say("trial"), ...(varied.length ? [say("set")] : []), say("you read"),
      ...(beside ? [say("the bench"), say("off")] : [])];
    const rows = own.map((each) => make("tr", {}, make("th", { scope: "row" }, String(each.trial)),
      ...(varied.length ? [make("td", { class: varied[1] ? "set" : "" }, setSo(each))] : []),
      make("td", {}, figures(each.text)),
      ...(beside ? [make("td", {}, figures(each.bench.toFixed(digits)).replace("-", "−")),
        make("td", {}, signed(each.off))] : [])));
    const name = bench.names[quantity], parts = [];
    if (beside) parts.push(make("p", {}, agreement(own, instrument)));
    /** @type {Map<string, Read[]>} */
    const alike = new Map();
    for (const each of own) alike.set(setSo(each), [...(alike.get(setSo(each)) ?? []), each]);
    for (const [set, them] of alike) {
      if (them.length < 2) continue;
      const { mean, u, k, count } = meanOf(them.map(({ value }) => value), own[0].one);
      parts.push(make("p", {}, say("Mean of {count} readings, {set}: {mean}, k = {k}.",
        { count, set, mean: stated(mean, k * u, unit), k: k.toFixed(2) })));
    }
    return make("section", { class: "quantity" }, make("h4", {}, `${name} (${unit})`),
      make("table", {}, headed(heads), make("tbody", {}, ...rows)), ...parts,
      ...varied.map((each) => this._graph(instrument, own, each)));
  }

  /** Readings against what was varied alone; null where there are too few.
   * @param {Instrument} instrument @param {Read[]} own @param {Varied} varied */
  _graph({ unit }, own, { keys, name, own: given }) {
    const { bench } = this.lab;
    const alone = own.filter(({ set }) => Object.keys(set).every((key) => keys.includes(key)));
    const of = split(alone.map(({ set }) => set[keys[0]]).find(Boolean) ?? given)?.unit ?? "";
    const factors = Object.values(bench.units).find((each) => of in each) ?? {};
    const points = alone.map((each) => {
      const found = split(each.set[keys[0]] ?? given);
      const known = found && found.unit in factors;
      const x = known ? (found.number * factors[found.unit]) / factors[of] : NaN;
      return /** @type {[number, number]} */ ([x, each.value]);
    }).filter(([x]) => Number.isFinite(x));
    const line = lineThrough(points);
    if (!line || points.length < 3) return null;
    return make("figure", { class: "graph" },
      make("figcaption", {}, say("Against {varied}{unit}", { varied: name, unit: of && ` (${of})` })),
      graph(points, line),
      make("p", {}, say("Line of least squares: slope {slope}, intercept {intercept}; here ± is one standard uncertainty.", {
        slope: stated(line.slope, line.slopeU, of ? `${unit}/${of}` : unit),
        intercept: stated(line.intercept, line.interceptU, unit),
      })));
  }

  /** @param {Answers} answers */
  _working({ working }) {
    const { title, note, lines, unworked } = working[document.documentElement.lang] ?? working.en;
    if (!lines.length) return unworked ? [make("p", {}, unworked)] : [];
    /** @type {HTMLElement[]} */
    const parts = [];
    let list = make("ol", { class: "lines" });
    lines.forEach(({ heading, about, formula, rest, result }, i) => {
      if (heading || !i) {
        list = make("ol", { class: "lines", start: i + 1 });
        if (heading) parts.push(make("h4", {}, heading));
        parts.push(list);
      }
      list.append(make("li", {}, make("span", { class: "said" }, ...lowered(about)), make("br"),
        make("span", { class: "formula" }, ...lowered(formula), rest, make("b", {}, result))));
    });
    return [make("h3", {}, title), make("p", { class: "hint" }, note),
      make("div", { class: "working" }, ...parts), unworked ? make("p", {}, unworked) : ""];
  }
}

/** Text of which every second piece is set low. @param {string[]} pieces */
const lowered = (pieces) => pieces.map((piece, i) => (i % 2 ? make("sub", {}, piece) : piece));

/** The head of a table. @param {string[]} heads */
const headed = (heads) => make("thead", {},
  make("tr", {}, ...heads.map((words) => make("th", { scope: "col" }, words))));

/** A number of divisions with its sign. @param {number} value */
function signed(value) {
  const text = figures(Math.abs(value).toFixed(1));
  return Number(value.toFixed(1)) === 0 ? text : `${value > 0 ? "+" : "−"}${text}`;
}

/** Whether readings agree with the bench: the rule of `marking.agrees`.
 * @param {Read[]} own @param {Instrument} instrument */
function agreement(own, { unit }) {
  const differences = own.map((each) => each.value - each.bench), [{ one }] = own;
  const { mean, u, k } = meanOf(differences, one);
  if (own.some(({ off }) => Math.abs(off) > NEAR) || standApart(differences, one)) {
    return say("They are not judged together: one stands apart from the others, or misses its pointer.");
  }
  const told = { difference: stated(mean, k * u, unit), k: k.toFixed(2) };
  return Math.abs(mean) <= k * u
    ? say("From the bench they differ by {difference} on average, k = {k}: they agree with it within their uncertainty.", told)
    : say("From the bench they differ by {difference} on average, k = {k}: they do not agree with it.", told);
}
