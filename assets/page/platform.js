// The learning platform that the page is in, if it is in one: by the ADL SCORM 1.2 Run-Time
// Environment (2001), whose names of calls and of data these are. What the page reports is what it
// knows: what was committed, read and finished. Whether it is right is judged elsewhere.

import { compact, expanded } from "./compact.js";
import { digest } from "./hash.js";
import { clock } from "./elements.js";
import { Refusal } from "./record.js";
import { tidy, valueOf } from "./values.js";
import { say } from "./words.js";

/** @typedef {import("./lab.js").Lab} Lab */
/** @typedef {import("./lab.js").Bench} Bench */
/** @typedef {import("./record.js").Entry} Entry */
/** @typedef {import("./record.js").Notebook} Notebook */
/** @typedef {"LMSInitialize" | "LMSGetValue" | "LMSSetValue" | "LMSCommit" | "LMSFinish" |
 *   "LMSGetLastError" | "LMSGetErrorString"} Call */
/** @typedef {Record<Call, (...given: string[]) => unknown>} Api */

/** Characters of cmi.suspend_data, of an identifier, and how far up the API is looked for. */
const ROOM = 4096, LONGEST_ID = 255, HIGHEST = 7;
const DONE = ["passed", "completed", "failed"];
const ANSWERED = ["prediction", "second prediction", "reading"];

/** The API of a window or of one above it. @param {any} from @returns {Api | null} */
function above(from) {
  try {
    for (let at = from, n = 0; n <= HIGHEST; at = at.parent, n++) {
      if (at.API) return at.API;
      if (!at.parent || at.parent === at) return null;
    }
  } catch {
    // A window of another origin lets nothing be looked for.
  }
  return null;
}

export class Platform {
  /** The platform that the page is in, its session begun, or null.
   * @param {Bench} bench @returns {Platform | null} */
  static found(bench) {
    const api = above(window) ?? (window.opener ? above(window.opener) : null);
    return api && new Platform(api, bench);
  }

  /** @param {Api} api @param {Bench} bench */
  constructor(api, bench) {
    this._api = api;
    this._began = Date.now();
    this._open = this._call("LMSInitialize", "") === "true";
    /** What the student must know of the platform, if anything. */
    this.trouble = this._open ? "" :
      say("The learning platform does not answer: what you do here is not reported to it. Download your record and hand the file in.");
    const mode = this._get("cmi.core.lesson_mode");
    /** Whether it takes what is done. */
    this.takes = this._open && mode !== "review" && mode !== "browse";
    const id = tidy(this._get("cmi.core.student_id")), name = tidy(this._get("cmi.core.student_name"));
    this.name = name || id;
    const { label } = bench.limits, known = id || name;
    /** By what code the record knows the learner: the platform's, which is no name. */
    this.learner = [...known].length <= label ? known : `${[...known].slice(0, label - 17).join("")} ${digest(known).slice(0, 16)}`;
    const status = this._get("cmi.core.lesson_status");
    this._done = DONE.includes(status);
    this._interactions = this._get("cmi.interactions._children") ?
      Number(this._get("cmi.interactions._count")) || 0 : Infinity;
    /** When the last entry was made that the platform has. */
    this._until = "";
    if (this.takes && !this._done) {
      // Of what says nothing the standard has the platform say "completed".
      this._set("cmi.core.lesson_status", "incomplete");
      this._set("cmi.core.exit", "suspend");
    }
    window.addEventListener("pagehide", () => this._leave());
    window.addEventListener("pageshow", (event) => {
      // A session that is over cannot be taken up by a page that was only set aside.
      if (event.persisted) window.location.reload();
    });
  }

  /** @param {Call} name @param {...string} given */
  _call(name, ...given) {
    try {
      return String(this._api[name](...given) ?? "");
    } catch {
      return "";
    }
  }

  /** @param {string} element */
  _get(element) {
    return this._open ? this._call("LMSGetValue", element) : "";
  }

  /** @param {string} element @param {string} value */
  _set(element, value) {
    return this._call("LMSSetValue", element, value) === "true";
  }

  /** The record that the platform holds, as a file has it, or "".
   * @param {Bench} bench @returns {Promise<string>} @throws {Refusal} */
  async held(bench) {
    const text = this._get("cmi.suspend_data");
    if (!text) return "";
    try {
      return await expanded(text, bench);
    } catch {
      throw new Refusal(say("What the learning platform holds is no work on this bench."));
    }
  }

  /** Have the platform keep the record, and tell it how far the work has come. @param {Lab} lab */
  async save({ notebook, bench }) {
    if (!this.takes) return;
    const text = await compact(notebook, bench).catch(() => "");
    if (!this._open) return;
    let good = true;
    this.trouble = "";
    if (text && text.length <= ROOM) {
      good = this._set("cmi.suspend_data", text);
      if (good) this._until = notebook.entries[notebook.entries.length - 1].time;
    } else {
      this.trouble = this._until
        ? say("Your learning platform has no room for all of this record: it holds what was entered up to {time}. What came after is in this browser alone. Download your record and hand the file in.", { time: clock(this._until) })
        : say("Your learning platform cannot hold this record: it is in this browser alone. Download it and hand the file in.");
    }
    this._report(notebook, bench);
    good = this._call("LMSCommit", "") === "true" && good;
    if (!good) {
      const reason = this._call("LMSGetErrorString", this._call("LMSGetLastError")).slice(0, 100);
      this.trouble = say("Your learning platform did not take the last entry ({reason}). Download your record and hand the file in.", { reason });
    }
  }

  /** @param {Notebook} notebook @param {Bench} bench */
  _report(notebook, bench) {
    this._set("cmi.core.session_time", timespan(Date.now() - this._began));
    for (const [n, entry] of notebook.of(...ANSWERED).entries()) {
      if (n >= this._interactions) this._interaction(n, entry, bench);
    }
    if (this._done && !notebook.closed) return;
    const points = pointsOf(notebook, bench);
    this._set("cmi.core.score.raw", String(points));
    this._set("cmi.core.score.min", "0");
    this._set("cmi.core.score.max", "100");
    if (!notebook.closed) return;
    const wanted = this._get("cmi.student_data.mastery_score");
    this._done = true;
    this._set("cmi.core.lesson_status",
      wanted.trim() === "" || Number.isNaN(Number(wanted)) ? "completed" : points >= Number(wanted) ? "passed" : "failed");
    this._set("cmi.core.exit", "");
  }

  /** What was answered: a number in the unit that its identifier ends in, or else the words.
   * @param {number} n @param {Entry} entry @param {Bench} bench */
  _interaction(n, entry, bench) {
    const { kind, quantity = "", trial = "", text = "" } = entry;
    const asked = bench.predict.find(({ name }) => name === quantity) ??
      bench.instruments.find((instrument) => instrument.quantity === quantity);
    const number = asked ? decimal(valueOf(bench.units, text, asked.dimension),
      bench.units[asked.dimension]?.[asked.unit] ?? 1) : "";
    const id = [kind, trial, quantity, number ? asked?.unit.replace("%", "percent") : ""].join(" ").trim();
    const values = {
      id: id.replace(/[^A-Za-z0-9]+/g, "_").slice(0, LONGEST_ID),
      type: number ? "numeric" : "fill-in",
      time: new Date(entry.time).toTimeString().slice(0, 8),
      student_response: number || text,
      result: "neutral",
    };
    for (const [name, value] of Object.entries(values)) this._set(`cmi.interactions.${n}.${name}`, value);
    this._interactions = n + 1;
  }

  _leave() {
    if (!this._open) return;
    if (this.takes) this._set("cmi.core.session_time", timespan(Date.now() - this._began));
    this._call("LMSCommit", "");
    this._call("LMSFinish", "");
    this._open = false;
  }
}

/** Points of 100, for doing and not for being right: each prediction asked, each instrument read at
 * least once, and finishing count the same.
 * @param {Notebook} notebook @param {Bench} bench */
function pointsOf(notebook, bench) {
  const counted = notebook.of("reading").filter((e) => notebook.counted(e.trial ?? 0, e.quantity ?? ""));
  const read = new Set(counted.map(({ quantity }) => quantity));
  const done = [
    ...bench.predict.map(({ name }) => notebook.predicted(name) !== null),
    ...bench.instruments.map(({ quantity }) => read.has(quantity)),
    notebook.closed,
  ];
  return Math.round((100 * done.filter(Boolean).length) / done.length);
}

/** A CMITimespan. @param {number} milliseconds */
function timespan(milliseconds) {
  const seconds = Math.min(milliseconds / 1000, 35999999);
  const pad = (/** @type {number} */ value, /** @type {number} */ width) => String(Math.floor(value)).padStart(width, "0");
  const hundredths = pad((seconds % 1) * 100, 2);
  return `${pad(seconds / 3600, 4)}:${pad((seconds / 60) % 60, 2)}:${pad(seconds % 60, 2)}.${hundredths}`;
}

/** A CMIDecimal, or "" where there is none. @param {number | null} value @param {number} unit */
function decimal(value, unit) {
  const text = value === null ? "" : (value / unit).toFixed(9).replace(/\.?0+$/, "").replace(/^-0$/, "0");
  return /^-?\d{1,15}(\.\d+)?$/.test(text) ? text : "";
}
