// One student's record, in the format of `sandbox review`: JSON Lines, each with the hash of the
// line before. What may follow what is checked here as it is there.

import { digest } from "./hash.js";
import { split } from "./values.js";
import { say } from "./words.js";

/** @typedef {{sequence: number, time: string, kind: string, previous: string,
 *   quantity?: string, text?: string, reason?: string, trial?: number, eye?: number,
 *   set?: Record<string, string>, entries?: number, student?: string, token?: string | null,
 *   format?: string, version?: number,
 *   scene?: {name: string, sha256: string, text: string}}} Entry */
/** @typedef {{trials: number, label: number, value: number, words: number, line: number,
 *   lines: number, record: number}} Limits */

/** A refusal, in words for the student. */
export class Refusal extends Error {}

/** JSON as the program writes it: a space after each comma and colon.
 * @param {unknown} value @returns {string} */
export function written(value) {
  if (Array.isArray(value)) return `[${value.map(written).join(", ")}]`;
  if (value !== null && typeof value === "object") {
    const pairs = Object.entries(value).filter(([, held]) => held !== undefined);
    return `{${pairs.map(([key, held]) => `${JSON.stringify(key)}: ${written(held)}`).join(", ")}}`;
  }
  return JSON.stringify(value);
}

export class Notebook {
  /** @param {Limits} limits */
  constructor(limits) {
    this.limits = limits;
    /** @type {string[]} */
    this.lines = [];
    /** @type {Entry[]} */
    this.entries = [];
  }

  /** Take up lines that were written before. @param {string[]} lines
   * @throws {Refusal} where they are not one another's sequel */
  takeUp(lines) {
    const entries = [];
    for (const [i, line] of lines.entries()) {
      /** @type {Entry} */
      let entry;
      try {
        entry = JSON.parse(line);
      } catch {
        throw new Refusal(say("Line {line} of what was kept cannot be read.", { line: i + 1 }));
      }
      const before = i ? digest(lines[i - 1]) : "";
      if (entry.sequence !== i || entry.previous !== before) {
        throw new Refusal(say("Line {line} of what was kept does not follow on the line before it.", { line: i + 1 }));
      }
      entries.push(entry);
    }
    this.lines = [...lines];
    this.entries = entries;
  }

  get student() {
    return this.entries[0]?.student ?? null;
  }

  get begun() {
    return this.entries[0]?.time ?? "";
  }

  get closed() {
    return this.entries.length > 1 && this.entries[this.entries.length - 1].kind === "closing";
  }

  get trials() {
    return this.entries.filter((entry) => entry.kind === "trial").length;
  }

  /** @param {...string} kinds @returns {Entry[]} */
  of(...kinds) {
    return this.entries.filter((entry) => kinds.includes(entry.kind));
  }

  /** The first prediction of a quantity. @param {string} quantity */
  predicted(quantity) {
    return this.of("prediction").find((entry) => entry.quantity === quantity) ?? null;
  }

  /** The second one. @param {string} quantity */
  again(quantity) {
    return this.of("second prediction").find((entry) => entry.quantity === quantity) ?? null;
  }

  /** What was read in a trial. @param {number} trial @param {string} quantity */
  reading(trial, quantity) {
    return (
      this.of("reading").find((e) => e.trial === trial && e.quantity === quantity) ?? null
    );
  }

  /** Why a reading counts no more, null where it does. @param {number} trial
   * @param {string} quantity @returns {string | null} */
  struckOut(trial, quantity) {
    const last = this.of("striking out", "taking back")
      .filter((e) => e.trial === trial && e.quantity === quantity).pop();
    return last?.kind === "striking out" ? last.reason ?? "" : null;
  }

  /** What was read in a trial and counts. @param {number} trial @param {string} quantity */
  counted(trial, quantity) {
    return this.struckOut(trial, quantity) === null ? this.reading(trial, quantity) : null;
  }

  /** The first line. @param {string} student @param {string | null} token
   * @param {{name: string, sha256: string, text: string}} scene @param {string} [time] if not now
   * @returns {string} */
  header(student, token, scene, time = new Date().toISOString()) {
    if (!this.isLabel(student, this.limits.label)) {
      throw new Refusal(say("A name or code has 1 to {most} characters.", { most: this.limits.label }));
    }
    const { name, sha256, text } = scene;
    return written({
      format: "sandbox-record", version: 1, sequence: 0, time, kind: "header", student, token,
      scene: { name, sha256, text }, previous: "",
    });
  }

  /** The next line, not yet written down. @param {string} kind @param {object} body
   * @returns {string} @throws {Refusal} where it may not follow */
  next(kind, body) {
    const sequence = this.entries.length;
    const time = new Date().toISOString();
    const previous = digest(this.lines[sequence - 1]);
    /** @type {Entry} */
    const entry = { sequence, time, kind, ...body, previous };
    this.check(entry);
    const line = written(entry);
    const size = new TextEncoder().encode(line).length;
    if (size > this.limits.line || this.bytes + size >= this.limits.record) {
      throw new Refusal(say("This is too long to be kept."));
    }
    return line;
  }

  get bytes() {
    return new TextEncoder().encode(this.text).length;
  }

  /** The file. */
  get text() {
    return this.lines.map((line) => `${line}\n`).join("");
  }

  /** Add a line that is written down. @param {string} line */
  push(line) {
    this.lines.push(line);
    this.entries.push(JSON.parse(line));
  }

  /** Whether an entry may come next. @param {{kind: string} & Partial<Entry>} entry
   * @throws {Refusal} */
  check(entry) {
    const { kind, quantity = "", text = "" } = entry;
    if (this.closed) throw new Refusal(say("Your work is finished: nothing can be added."));
    if (kind === "prediction" || kind === "second prediction") {
      if (!this.isLabel(text, this.limits.value) || !split(text)) {
        throw new Refusal(say("Write a number with its unit, as in {unit}.", { unit: "3.8 N" }));
      }
      this._checkReason(entry.reason ?? "");
      if (kind === "prediction" ? this.predicted(quantity) : this.again(quantity)) {
        throw new Refusal(say("This was predicted already, and stands."));
      }
      if (kind === "prediction" && this.trials > 0) {
        throw new Refusal(say("A first prediction comes before the first trial."));
      }
    } else if (kind === "trial") {
      if (this.trials >= this.limits.trials) {
        throw new Refusal(say("There are {most} trials at most.", { most: this.limits.trials }));
      }
      if (entry.trial !== this.trials + 1) throw new Refusal(say("This trial was taken already."));
    } else if (kind === "reading") {
      if (!this.isLabel(text, this.limits.value)) throw new Refusal(say("Write what you read."));
      if ((entry.trial ?? 0) < 1 || (entry.trial ?? 0) > this.trials) {
        throw new Refusal(say("There is no such trial."));
      }
      if (this.reading(entry.trial ?? 0, quantity)) {
        throw new Refusal(say("This was read already in this trial, and stands: take another trial."));
      }
    } else if (kind === "striking out" || kind === "taking back") {
      const struck = this.struckOut(entry.trial ?? 0, quantity) !== null;
      if (!this.reading(entry.trial ?? 0, quantity) || struck === (kind === "striking out")) {
        throw new Refusal(say("This was done already."));
      }
      if (kind === "striking out") this._checkReason(entry.reason ?? "");
    } else if (kind === "closing") {
      if (entry.entries !== this.entries.length) {
        throw new Refusal(say("Something was added meanwhile: finish again."));
      }
    } else if (kind === "note") {
      if (!text.trim() || [...text].length > this.limits.words) {
        throw new Refusal(say("A note has {most} characters at most.", { most: this.limits.words }));
      }
    } else throw new Refusal(say("This page does not know such an entry."));
  }

  /** @param {string} reason */
  _checkReason(reason) {
    if (reason.trim().length < 3 || [...reason].length > this.limits.words) {
      throw new Refusal(say("Give your reason, in words; {most} characters at most.", { most: this.limits.words }));
    }
  }

  /** @param {string} text @param {number} most */
  isLabel(text, most) {
    return text.trim() !== "" && [...text].length <= most && !/[\p{C}\n\t]/u.test(text);
  }
}
