// A reading is struck out with a reason: it stays in the record, is shown struck, and counts no more
// until that is taken back.

import { button, make } from "./elements.js";
import { tidy } from "./values.js";
import { figures, say } from "./words.js";

/** @typedef {import("./lab.js").Lab} Lab */

/** A reading's text as it is shown, struck through where it does not count.
 * @param {import("./record.js").Notebook} notebook @param {number} trial
 * @param {string} quantity @returns {Node | string} */
export function readingShown(notebook, trial, quantity) {
  const text = figures(notebook.reading(trial, quantity)?.text ?? "");
  if (notebook.struckOut(trial, quantity) === null) return text;
  return make("span", {}, make("s", {}, text), make("span", { class: "unseen" }, ` (${say("struck out")})`));
}

/** The readings that are struck out, and what to strike one out with.
 * @param {Lab} lab @returns {HTMLElement[]} none where nothing was read */
export function striking(lab) {
  const { notebook, bench } = lab;
  const readings = notebook.of("reading").map((entry) => {
    const { trial = 0, quantity = "", text = "" } = entry;
    const name = say("trial {trial}, {quantity}", { trial, quantity: bench.names[quantity] ?? quantity });
    return { trial, quantity, text: figures(text), name, why: notebook.struckOut(trial, quantity) };
  });
  const struck = readings.filter(({ why }) => why !== null);
  const standing = readings.filter(({ why }) => why === null);
  if (!struck.length && (notebook.closed || !standing.length)) return [];
  const refusal = make("p", { class: "refusal", role: "alert" });
  const parts = struck.map(({ trial, quantity, text, name, why }) => {
    const back = button(say("Take back"), async () => {
      if (await lab.add("taking back", { trial, quantity }, refusal)) {
        lab.again(say("The reading counts again."), ".trial");
      }
    }, "small");
    back.setAttribute("aria-label", say("Take back: {reading}", { reading: name }));
    return make("p", { class: "struck" }, `${name}: `, make("s", {}, text), " ",
      make("q", {}, why ?? ""), notebook.closed ? null : back);
  });
  if (struck.length) {
    parts.unshift(make("h3", {}, say("Struck out, and not counted")));
  }
  if (!notebook.closed && standing.length) {
    const which = /** @type {HTMLSelectElement} */ (make("select", { id: "strike" }, ...standing.map(
      ({ name, text }, i) => make("option", { value: i }, `${name}: ${text}`))));
    which.selectedIndex = standing.length - 1;
    const { row, input } = lab.field("strike-reason", say("Why it shall not count"), "textarea", {
      rows: 2, maxlength: bench.limits.words,
    });
    const strike = button(say("Strike it out"), async () => {
      const { trial, quantity } = standing[which.selectedIndex];
      const body = { trial, quantity, reason: tidy(input.value) };
      if (await lab.add("striking out", body, refusal)) {
        lab.drafts.delete("strike-reason");
        lab.again(say("The reading is struck out: it stays in your record and does not count."), ".trial");
      }
    });
    parts.push(make("details", { class: "strike" }, make("summary", {}, say("Strike out a reading")),
      make("div", { class: "field" }, make("label", { for: "strike" }, say("Reading")), which),
      row, strike));
  }
  return [make("div", { class: "striking" }, ...parts, refusal)];
}
