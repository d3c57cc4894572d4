// Whose work it is that goes on: asked on a computer that several share, and where a record is
// brought from another device. Nothing that was kept is written over.

import { button, clock, make } from "./elements.js";
import { Notebook, Refusal } from "./record.js";
import { continues, readRecord, tooLarge } from "./record_file.js";
import { say, sayCount } from "./words.js";

/** @typedef {import("./lab.js").Lab} Lab */

/** All work on a bench that this browser or the learning platform holds, the newest first; of work
 * that one of them has more of, the longer alone. @param {Lab} lab
 * @returns {Promise<{works: Notebook[], unread: string}>} with why some cannot be read, if so */
export async function workAtHand(lab) {
  const { bench, keep, platform, fixed } = lab;
  /** @type {Notebook[]} */
  const found = [];
  let unread = "";
  const take = (/** @type {() => Notebook} */ read) => {
    try {
      found.push(read());
    } catch (error) {
      unread = error instanceof Refusal ? error.message : say("What was kept cannot be read.");
    }
  };
  try {
    for (const lines of (await keep.records(bench.scene.sha256)).values()) {
      take(() => {
        const notebook = new Notebook(bench.limits);
        notebook.takeUp(lines);
        return notebook;
      });
    }
  } catch {
    unread = say("What was kept cannot be read.");
  }
  try {
    const held = await platform?.held(bench);
    if (held) take(() => readRecord(held, bench, fixed));
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    unread = error.message;
  }
  const works = found.filter((notebook) => !fixed || notebook.student === fixed);
  return {
    works: works
      .filter((one, i) => !works.some((other, j) => i !== j && continues(other, one) &&
        (other.lines.length > one.lines.length || j < i)))
      .sort((a, b) => (latest(a) < latest(b) ? 1 : -1)),
    unread,
  };
}

/** @param {Notebook} notebook */
function latest(notebook) {
  return notebook.entries[notebook.entries.length - 1]?.time ?? "";
}

/** How far some work has come. @param {Notebook} notebook */
export function inShort(notebook) {
  const time = clock(latest(notebook));
  if (notebook.closed) return say("finished {time}", { time });
  return sayCount(notebook.lines.length - 1, "{count} entry, the last {time}",
    "{count} entries, the last {time}", { time });
}

/** The question whose work goes on. @param {Lab} lab @param {Notebook[]} works
 * @returns {HTMLElement} */
export function question(lab, works) {
  const { fixed, drafts } = lab;
  const choices = works.map((notebook) => ({
    words: say("Go on as {student}", { student: notebook.student ?? "" }),
    about: inShort(notebook),
    act: async () => {
      await lab.goOn(notebook);
      lab.next(".trial");
    },
  }));
  if (!fixed && drafts.size) {
    const student = drafts.get("student");
    choices.unshift({
      words: student ? say("Go on as {student}", { student }) : say("Go on with what is typed"),
      about: say("nothing saved yet"),
      act: async () => lab.begin(false),
    });
  }
  const list = make("ul", { class: "choices" }, ...choices.map(({ words, about, act }) =>
    make("li", {}, button(words, act, "first"), make("span", { class: "when" }, ` ${about}`))));
  const heading = fixed ? say("Which work do you go on with?") : say("Whose work is this?");
  return make("section", { class: "step" }, make("h2", {}, heading),
    make("p", {}, say("There is saved work on this bench already. It stays, whichever you choose.")),
    list, fixed ? null : button(say("Begin as somebody else"), () => lab.begin(true)));
}

/** Whose bench it is, as a heading says it. @param {Lab} lab */
export function namePlate({ bench, platform }) {
  const { student, attempt } = bench;
  const words = student && attempt > 1 ? say("The bench of {student}, attempt {attempt}", { student, attempt })
    : student ? say("The bench of {student}", { student })
    : platform?.name ? say("The learning platform knows you as {student}.", { student: platform.name }) : "";
  return words ? make("p", { class: "whose" }, words) : null;
}

/** The control that opens a record's file. */
export class Opening {
  /** @param {Lab} lab */
  constructor(lab) {
    this.lab = lab;
    this.input = /** @type {HTMLInputElement} */ (make("input", {
      type: "file", accept: ".jsonl,.txt,application/x-ndjson", hidden: true,
    }));
    this.input.addEventListener("change", () => {
      const file = this.input.files?.[0];
      if (file) void this.take(file);
      this.input.value = "";
    });
    this.said = make("div", { role: "status" });
    this.element = make("div", { class: "opening" },
      make("p", {}, say("You can go on with work that you downloaded, here or on another device.")),
      button(say("Open my record"), () => this.input.click()), this.input, this.said);
  }

  /** Say what is in a file, and go on with it if that is wanted. @param {File} file */
  async take(file) {
    const { lab } = this, { record } = lab.bench.limits;
    try {
      if (file.size > record) throw tooLarge(record);
      this._found(readRecord(await file.text(), lab.bench, lab.fixed), (await workAtHand(lab)).works);
    } catch (error) {
      const words = error instanceof Refusal ? error.message : say("This file cannot be read.");
      this.said.replaceChildren(make("p", { class: "refusal" }, words));
    }
  }

  /** @param {Notebook} found @param {Notebook[]} works all that is here */
  _found(found, works) {
    const { lab } = this, here = lab.notebook, student = found.student ?? "";
    const whole = [here, ...works].find((each) => continues(each, found)) ?? found;
    const words = [say("This is the work of {student}: {about}.", { student, about: inShort(found) })];
    if (whole === here) {
      words.push(say("All of it is on this page already."));
      this.said.replaceChildren(make("p", {}, words.join(" ")));
      return;
    }
    if (whole !== found) {
      words.push(say("This browser has more of it: {about}.", { about: inShort(whole) }));
    }
    if (here.lines.length && !continues(whole, here)) {
      const fields = { student: here.student ?? "", about: inShort(here) };
      words.push(say("This page shows other work, of {student}: {about}.", fields), lab.unkept
        ? say("It is kept nowhere: download it before you go on.")
        : say("It stays in this browser, for you to choose when you open this page again."));
    }
    const on = button(say("Go on with it"), async () => {
      this.said.replaceChildren();
      await lab.goOn(whole);
      lab.next(".trial");
    }, "first");
    this.said.replaceChildren(make("p", {}, words.join(" ")), make("div", { class: "buttons" }, on,
      button(say("Leave it"), () => this.said.replaceChildren())));
    on.focus();
  }
}
