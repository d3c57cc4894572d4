// The page: passes what keys, mouse and fingers do to the sheet in the Worker, and paints its frames.

import { Filing, coding, save } from "./filing.js";
import { Painter } from "./painter.js";
import { Unsaved } from "./unsaved.js";

/** @template {HTMLElement} T @param {string} name @returns {T} */
export function part(name) {
  return /** @type {T} */ (document.getElementById(name));
}

/** @param {string} name @returns {string} */
export function textOf(name) {
  return part(name).textContent ?? "";
}

const SOONEST = 1 / 65, IDLE = 0.15;
/** s between two frames at least, and where nothing moves. */
const WHEEL = 100;
/** Pixels of a wheel's step. */

export const root = document.documentElement;
const texts = JSON.parse(textOf("texts"));
const fail = /** @type {(reason: string) => void} */ (/** @type {any} */ (globalThis).liveFailed);
const sheet = part("sheet"), state = part("state"), line = /** @type {HTMLInputElement} */ (part("line"));
const canvas = /** @type {HTMLCanvasElement} */ (part("paper"));
const painter = new Painter(canvas, texts.styles);
const unsaved = new Unsaved(texts.kept);
const filing = new Filing(texts.styles, muxers, (...said) => pass("filed", ...said));
/** @type {Worker} */
let worker;
/** @type {unknown[][]} Inputs that the sheet has not had yet. */
let inputs = [];
let waiting = true, resting = false, fresh = false, leaving = false, full = false;
let asked = 0;

/** Whether the sheet has come to run, true, or cannot, false. @type {Promise<boolean>} */
export const started = new Promise((resolve) => {
  const seen = () => {
    if (root.dataset["state"] !== "starting") resolve(root.dataset["state"] === "ready");
  };
  new MutationObserver(seen).observe(root, { attributeFilter: ["data-state"] });
  seen();
});
/** What else is to be done when the run on the sheet is over. */
export const heard = { over: () => {} };
/** @type {Map<number, (answer: any) => void>} */
const answers = new Map();
let questions = 0;

/** Ask the Worker something. @param {string} what @param {unknown} held @returns {Promise<any>} */
export function ask(what, held) {
  return new Promise((resolve) => {
    answers.set(++questions, resolve);
    worker.postMessage({ kind: "ask", number: questions, what, held });
  });
}

/** @param {unknown[]} input */
export function pass(...input) {
  // Of a pointer's way only the end counts.
  if (input[0] === "pointer_to" && inputs.at(-1)?.[0] === "pointer_to") inputs.pop();
  inputs.push(input);
}

function pump() {
  const now = performance.now() / 1000, seconds = now - asked, idle = !inputs.length;
  // A hidden page stands still, but what was done to it before is not left undone.
  if (waiting || (document.hidden ? idle : seconds < (resting && idle ? IDLE : SOONEST))) return;
  waiting = true;
  asked = now;
  worker.postMessage({ kind: "frame", seconds, inputs: JSON.stringify(inputs) });
  inputs = [];
}

function turn() {
  requestAnimationFrame(turn);
  // First, so that the next frame is made while this one is painted.
  pump();
  if (fresh) {
    fresh = false;
    painter.paint();
  }
}

/** @param {any} told */
function take(told) {
  waiting = false;
  const { words } = told;
  resting = told.over.length === 0;
  if (words.texts) {
    const [first, added] = words.texts;
    painter.texts.length = first;
    painter.texts.push(...added);
  }
  if (words.size) painter.height = words.size[1];
  if (words.dark !== undefined) {
    painter.paper = words.dark ? "dark" : "white";
    painter.stale = true;
    root.dataset["paper"] = painter.paper;
  }
  if (told.under.length) {
    painter.under = told.under;
    painter.stale = true;
  }
  if (told.over.length) painter.over = told.over;
  fresh ||= told.over.length > 0;
  if (words.pointing !== undefined) sheet.style.cursor = words.pointing ? "pointer" : "default";
  if (words.language) root.lang = words.language;
  if (words.title) document.title = words.title;
  if (words.account) part("words").textContent = words.account;
  if (words.unsaved) unsaved.keep(words.unsaved);
  if (words.typing !== undefined) type(words.typing);
  if (words.fullScreen !== undefined && words.fullScreen !== full) {
    full = words.fullScreen;
    void (full ? root.requestFullscreen() : document.exitFullscreen()).catch(() => {});
  }
  for (const [name, text] of words.saved ?? []) save(name, new Blob([text], { type: "application/toml" }));
  if (words.filed) filing.take(words.filed, told.drawn, canvas);
  if (words.hints) keepHints(words.hints);
  if (words.over) heard.over();
  if (root.dataset["state"] !== "ready") {
    root.dataset["state"] = "ready";
    state.textContent = "";
    part("still").hidden = true;
    canvas.hidden = false;
    /** @type {HTMLButtonElement} */ (part("control")).disabled = false;
    fit();
  }
  pump();
}

/** Say what went wrong; a sheet that ran goes on. @param {string} reason */
function stumble(reason) {
  fail(`${texts.failed} (${reason})`);
  if (root.dataset["state"] === "ready") {
    state.textContent = reason.trim().split("\n").at(-1) ?? "";
    waiting = false;
  }
}

// Sleep.

function sleep() {
  pass("keep");
  pump();
}

function wake() {
  if (document.hidden) return;
  asked = performance.now() / 1000;
  fresh = painter.over.length > 0;
  painter.stale = true;
}

for (const kind of ["freeze", "pagehide"]) addEventListener(kind, sleep, true);
document.addEventListener("resume", wake);
document.addEventListener("visibilitychange", () => (document.hidden ? sleep() : wake()));

// Paper.

/** Whether it is being printed: white, and as wide as the paper. */
let printing = false;

/** @param {boolean} begins */
function onPaper(begins) {
  printing = begins;
  painter.paper = begins ? "white" : root.dataset["paper"] ?? "dark";
  painter.stale = true;
  painter.paint();
}

addEventListener("beforeprint", () => onPaper(true));
addEventListener("afterprint", () => onPaper(false));

// Size.

function fit() {
  if (printing) return;
  const room = sheet.getBoundingClientRect();
  const { width, height } = room;
  const fine = devicePixelRatio || 1;
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  canvas.width = Math.round(width * fine);
  canvas.height = Math.round(height * fine);
  fresh = painter.over.length > 0;
  pass("resize", width, height);
}

// Keys.

/** @type {Set<string>} */
const held = new Set();

/** @param {string} key @returns {string} */
function named(key) {
  return [...key].length === 1 ? key.toLowerCase() : key;
}

sheet.addEventListener("keydown", (event) => {
  const { key } = event;
  if (event.altKey || event.isComposing || /^F([2-9]|10|12)$/.test(key)) return;
  const command = event.ctrlKey || event.metaKey;
  if (key === "Tab" && leaving) return;
  leaving = key === "Escape" || (leaving && key === "Shift");
  const single = [...key].length === 1;
  held.add(named(key));
  pass("key_down", named(key), command, event.shiftKey);
  if (single && !command) pass("text", key);
  event.preventDefault();
});
sheet.addEventListener("keyup", ({ key }) => {
  held.delete(named(key));
  pass("key_up", named(key));
});
sheet.addEventListener("blur", () => {
  // What is released elsewhere is never heard of.
  for (const key of held) pass("key_up", key);
  held.clear();
});

// Mouse and fingers.

/** @param {MouseEvent} event @returns {[number, number]} */
function place(event) {
  const box = canvas.getBoundingClientRect();
  return [(event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height];
}

canvas.addEventListener("pointermove", (event) => {
  if (event.isPrimary) pass("pointer_to", ...place(event));
});
canvas.addEventListener("pointerdown", (event) => {
  // Another finger ends what the first one holds: two are for the browser to enlarge the page.
  if (!event.isPrimary) pass("pointer_up");
  if (!event.isPrimary || event.button > 2 || event.button === 1) return;
  sheet.focus({ preventScroll: true });
  canvas.setPointerCapture(event.pointerId);
  pass("pointer_to", ...place(event));
  pass("pointer_down", ...place(event), event.button === 2, event.pointerType === "touch");
  event.preventDefault();
});
for (const kind of /** @type {const} */ (["pointerup", "pointercancel"])) {
  canvas.addEventListener(kind, (event) => {
    if (event.isPrimary && event.button !== 2) pass("pointer_up");
  });
}
canvas.addEventListener("contextmenu", (event) => event.preventDefault());
let wheeled = 0;
canvas.addEventListener(
  "wheel",
  (event) => {
    if (event.ctrlKey) return;
    wheeled -= event.deltaMode ? Math.sign(event.deltaY) * WHEEL : event.deltaY;
    const steps = Math.trunc(wheeled / WHEEL) || Math.sign(wheeled) * Number(Math.abs(wheeled) >= WHEEL / 2);
    if (steps) {
      wheeled = 0;
      pass("wheel", steps);
    }
    event.preventDefault();
  },
  { passive: false },
);

// A line that is typed, for fingers: their keyboards come up for a field of the page alone.

/** @param {boolean} typing */
function type(typing) {
  const touch = matchMedia("(pointer: coarse)").matches;
  part("typing").hidden = !(typing && touch);
  if (typing && touch) {
    line.value = " ";
    line.focus();
  } else if (document.activeElement === line) {
    sheet.focus();
  }
}

line.addEventListener("input", () => {
  if (line.value === "") for (const kind of ["key_down", "key_up"]) pass(kind, "Backspace");
  else if (line.value.length > 1) pass("text", line.value.slice(1));
  line.value = " ";
});
line.addEventListener("keydown", (event) => {
  if (event.key === "Enter" || event.key === "Escape") {
    pass("key_down", event.key);
    pass("key_up", event.key);
    event.preventDefault();
  }
});

// Scene files.

/** @param {File | undefined} file */
async function open(file) {
  if (!file) return;
  if (file.size > texts.largest) {
    state.textContent = texts.large;
    return;
  }
  state.textContent = "";
  pass("open", file.name, await file.text());
  sheet.focus();
}

const chosen = /** @type {HTMLInputElement | null} */ (document.getElementById("file"));
if (chosen) {
  part("control").addEventListener("click", () => chosen.click());
  chosen.addEventListener("change", () => {
    void open(chosen.files?.[0]);
    chosen.value = "";
  });
}
addEventListener("dragover", (event) => event.preventDefault());
addEventListener("drop", (event) => {
  event.preventDefault();
  if (chosen) void open(event.dataTransfer?.files[0]);
});

// Hints, which are given once.

const HINTS = "machine-sandbox/hints";

/** @returns {string[]} */
function hintsDone() {
  try {
    const done = JSON.parse(localStorage.getItem(HINTS) ?? "[]");
    return Array.isArray(done) ? done.map(String) : [];
  } catch {
    return [];
  }
}

/** @param {string[]} done */
function keepHints(done) {
  try {
    localStorage.setItem(HINTS, JSON.stringify(done));
  } catch {
    // Where nothing may be kept they are given again.
  }
}

// Beginning.

/** @param {string} name @returns {Promise<ArrayBuffer>} */
function unpacked(name) {
  const packed = Uint8Array.from(atob(textOf(name)), (letters) => letters.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

/** @returns {Promise<any>} What puts films into files. */
async function muxers() {
  const address = URL.createObjectURL(new Blob([await unpacked("muxer")], { type: "text/javascript" }));
  return import(address).finally(() => URL.revokeObjectURL(address));
}

/** @param {string} name @param {string} weight */
async function letter(name, weight) {
  const face = new FontFace("Sheet", await unpacked(name), { weight });
  document.fonts.add(await face.load());
}

async function begin() {
  state.textContent = texts.steps[0];
  await new Promise((resolve) => setTimeout(resolve));
  const names = ["wasm", "asm", "pyodide", "library", "program", "chipmunk", "lock"];
  const parts = Object.fromEntries(names.map((name) => [name, textOf(name)]));
  const address = URL.createObjectURL(new Blob([textOf("worker")], { type: "text/javascript" }));
  worker = new Worker(address);
  worker.onerror = (event) => fail(`${texts.failed} (${event.message})`);
  worker.onmessage = ({ data }) => {
    if (data.kind === "frame") take(data);
    else if (data.kind === "answer") {
      answers.get(data.number)?.(data.answer);
      answers.delete(data.number);
    } else if (data.kind === "progress") state.textContent = texts.steps[data.step];
    else if (data.kind === "failed") stumble(data.reason);
    else {
      waiting = false;
      fit();
      turn();
    }
  };
  worker.postMessage({ kind: "start", parts });
  const { width, height } = sheet.getBoundingClientRect();
  const here = {
    left: await unsaved.begin(),
    hints: hintsDone(),
    films: (await coding()) !== undefined,
    size: [width, height],
  };
  worker.postMessage({ kind: "options", options: JSON.stringify({ ...texts.options, ...here }) });
  await Promise.all([letter("medium", "500"), letter("bold", "700")]);
  new ResizeObserver(() => root.dataset["state"] === "ready" && fit()).observe(sheet);
}

if (root.dataset["state"] === "starting") {
  begin().catch((error) => fail(`${texts.failed} (${error})`));
}
