// A record that comes from elsewhere, a file or a learning platform: nothing of it is believed
// before it is checked as `sandbox review` checks it.

import { digest } from "./hash.js";
import { Notebook, Refusal } from "./record.js";
import { say } from "./words.js";

/** @typedef {import("./lab.js").Bench} Bench */

const TIME = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{1,6}Z$/;
const WORDS = ["quantity", "text", "reason"];
const OF_A_QUANTITY = ["prediction", "second prediction", "reading", "striking out", "taking back"];

/** The record that a text is, if it is one of this bench and of this student ("" for anybody).
 * What stands after its last line feed was never said to be saved.
 * @param {string} text @param {Bench} bench @param {string} student @returns {Notebook}
 * @throws {Refusal} */
export function readRecord(text, bench, student) {
  const { limits } = bench;
  if (new TextEncoder().encode(text).length > limits.record) throw tooLarge(limits.record);
  const lines = text.replace(/^\ufeff/, "").replace(/\r\n/g, "\n").split("\n").slice(0, -1);
  const header = objectOn(lines[0] ?? "");
  if (header?.format !== "sandbox-record" || header.version !== 1 || header.kind !== "header" ||
    header.sequence !== 0 || header.previous !== "" || !isTime(header.time)) {
    throw new Refusal(say("This file is no record of a student's work."));
  }
  const { scene, token, student: whose } = header;
  if (scene?.sha256 !== bench.scene.sha256 || scene.text !== bench.scene.text ||
    token !== (bench.dealt ? bench.token : null)) {
    throw new Refusal(say("This record is of another bench, or of other values that were dealt."));
  }
  const notebook = new Notebook(limits);
  if (typeof whose !== "string" || !notebook.isLabel(whose, limits.label)) {
    throw new Refusal(say("This file is no record of a student's work."));
  }
  if (student && whose !== student) {
    throw new Refusal(say("This record is the work of {other}; here you are {student}.", { other: whose, student }));
  }
  if (lines.length > limits.lines) throw tooLarge(limits.record);
  for (const [number, line] of lines.entries()) {
    if (number) check(notebook, line, number);
    notebook.push(line);
  }
  return notebook;
}

/** @param {number} most bytes */
export function tooLarge(most) {
  return new Refusal(say("This file is larger than a record can be ({most} MB).", { most: most / 1e6 }));
}

/** Check that a line may come next. @param {Notebook} notebook @param {string} line
 * @param {number} number @throws {Refusal} */
function check(notebook, line, number) {
  const entry = objectOn(line);
  const shaped = entry && entry.sequence === number && isTime(entry.time) &&
    new TextEncoder().encode(line).length <= notebook.limits.line &&
    entry.previous === digest(notebook.lines[number - 1]) &&
    WORDS.every((key) => entry[key] === undefined || typeof entry[key] === "string") &&
    (!OF_A_QUANTITY.includes(entry.kind) ||
      notebook.isLabel(entry.quantity ?? "", notebook.limits.label)) &&
    isEye(entry.eye) && (entry.trial === undefined || Number.isInteger(entry.trial)) &&
    isSetting(entry.set, notebook);
  try {
    if (!shaped) throw new Refusal(say("it was changed, or a line before it is missing"));
    notebook.check(entry);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw new Refusal(say("Line {line} of this record cannot be taken up: {reason}", { line: number + 1, reason: error.message }));
  }
}

/** @param {string} line @returns {any} the object on a line, or null */
function objectOn(line) {
  try {
    const found = JSON.parse(line);
    return found !== null && typeof found === "object" && !Array.isArray(found) ? found : null;
  } catch {
    return null;
  }
}

/** @param {unknown} found */
function isTime(found) {
  return typeof found === "string" && TIME.test(found) && !Number.isNaN(Date.parse(found));
}

/** @param {unknown} found */
function isEye(found) {
  return found === undefined || (typeof found === "number" && Math.abs(found) <= 60);
}

/** @param {unknown} found @param {Notebook} notebook */
function isSetting(found, notebook) {
  if (found === undefined) return true;
  return found !== null && typeof found === "object" && Object.entries(found).length <= 20 &&
    Object.entries(found).flat().every((each) =>
      typeof each === "string" && notebook.isLabel(each, notebook.limits.label));
}

/** Whether a record is another with more lines, or none. @param {Notebook} longer
 * @param {Notebook} shorter */
export function continues(longer, shorter) {
  return shorter.lines.every((line, i) => line === longer.lines[i]);
}
