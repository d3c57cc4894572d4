// A record as a short text of ASCII characters, for a place with little room: without what the page
// and the chain of hashes say themselves, compressed (DEFLATE, RFC 1951; base64, RFC 4648).

import { digest } from "./hash.js";
import { Notebook, written } from "./record.js";

/** @typedef {import("./lab.js").Bench} Bench */

const VERSION = 1;
/** Characters of a scene's hash by which it is known. */
const MARK = 16;
/** What of an entry need not be said. */
const KNOWN = ["sequence", "time", "previous"];

/** @param {Blob} blob @param {CompressionStream | DecompressionStream} through */
async function passed(blob, through) {
  return new Uint8Array(await new Response(blob.stream().pipeThrough(through)).arrayBuffer());
}

/** A record in short; "" where it could not be restored to the byte, as of one that another program
 * began in its own way. @param {Notebook} notebook @param {Bench} bench */
export async function compact(notebook, bench) {
  /** @type {string[][]} */
  const shapes = [];
  let before = 0;
  const rows = notebook.entries.map((entry) => {
    const said = Object.entries(entry).filter(([key]) => entry.sequence ? !KNOWN.includes(key) : key === "student");
    const keys = said.map(([key]) => key);
    const same = shapes.findIndex((shape) => written(shape) === written(keys));
    const shape = same < 0 ? shapes.push(keys) - 1 : same;
    const later = Date.parse(entry.time) - before;
    before += later;
    return [shape, later, ...said.map(([, value]) => value)];
  });
  const told = JSON.stringify([VERSION, bench.scene.sha256.slice(0, MARK), shapes, rows]);
  const bytes = await passed(new Blob([told]), new CompressionStream("deflate-raw"));
  const text = btoa(String.fromCharCode(...bytes));
  return (await expanded(text, bench).catch(() => "")) === notebook.text ? text : "";
}

/** The lines of the record that a short text stands for; throws what it will where it is none of
 * this bench. What it gives is to be checked as any record from elsewhere.
 * @param {string} text @param {Bench} bench */
export async function expanded(text, bench) {
  const bytes = Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
  const told = await passed(new Blob([bytes]), new DecompressionStream("deflate-raw"));
  const [version, mark, shapes, rows] = JSON.parse(new TextDecoder().decode(told));
  if (version !== VERSION || mark !== bench.scene.sha256.slice(0, MARK)) throw new Error(mark);
  /** @type {string[]} */
  const lines = [];
  let at = 0;
  for (const [sequence, [shape, later, ...values]] of rows.entries()) {
    const said = Object.fromEntries(values.map((/** @type {unknown} */ value, /** @type {number} */ i) => [shapes[shape][i], value]));
    at += later;
    const time = new Date(at).toISOString();
    lines.push(sequence ? written({ sequence, time, ...said, previous: digest(lines[sequence - 1]) })
      : new Notebook(bench.limits).header(said.student, bench.dealt ? bench.token : null, bench.scene, time));
  }
  return lines.map((line) => `${line}\n`).join("");
}
