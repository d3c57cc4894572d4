// The student's work: predict, try, compare, hand in. Every entry is written down by the browser
// before the page says that it is saved.

import { inWords, look, pictures } from "./dial.js";
import { doubtOfPrediction, doubtOfReading } from "./doubtful.js";
import { Drafts } from "./drafts.js";
import { button, clock, clockAlone, labelled, make } from "./elements.js";
import { Feedback } from "./feedback.js";
import { digest } from "./hash.js";
import { shownDifference } from "./judging.js";
import { ElsewhereError } from "./keeping.js";
import { Notebook, Refusal, written } from "./record.js";
import { readingShown, striking } from "./striking.js";
import { brief, significant, tidy, typed, valueOf } from "./values.js";
import { Opening, question, workAtHand } from "./whose.js";
import { figures, say, sayCount } from "./words.js";

/** @typedef {import("./keeping.js").Keep} Keep */
/** @typedef {import("./platform.js").Platform} Platform */
/** @typedef {import("./values.js").Units} Units */
/** @typedef {import("./dial.js").Instrument} Instrument */
/** @typedef {{name: string, unit: string, dimension: string, example: string}} Asked */
/** @typedef {{keys: string[], texts: string[], start: number}} Axis */
/** @typedef {import("./words.js").Told & {student: string | null, token: string,
 *   language: string | null, words: Record<string, Record<string, string>>,
 *   told: Record<string, import("./words.js").Told>,
 *   dealt: boolean, scene: {name: string, sha256: string, text: string},
 *   predict: Asked[], instruments: Instrument[], chance: import("./dial.js").Chance,
 *   worked: {hand: string | null, load: string | null, weight: number | null,
 *   efforts: {reading: string, force: string, zero: number}[], raising: boolean,
 *   timed: {time: string, distance: string, acceleration: string, sign: number}[]},
 *   limits: import("./record.js").Limits, units: Units, spellings: Record<string, string>,
 *   axes: Axis[], moments: {least?: number, greatest?: number}, given: Record<string, string>, feedback: string | null, attempt: number,
 *   recording: import("./recording.js").Packed, drawing: import("./sheet.js").Drawing}} Bench */
/** What of a bench is otherwise than its scene says. @typedef {Record<string, string>} Setting */
/** What the instruments of a trial have to show, SI, NaN where there is nothing; and the speed of
 * the hand, m/s, where that is not the scene's.
 * @typedef {{once: (name: string) => number, speed?: number}} Measured */
/** How far the student has come. @typedef {"predicting" | "trying" | "finished"} Stage */
/** The machine of a bench, recorded or live. `setting` throws a Refusal where a record cannot hold
 * how it is set; `measured` does where there is nothing to read, and gives null where this machine
 * cannot be set so.
 * @typedef {{element: HTMLElement, setting: () => Promise<Setting | undefined>,
 *   measured: (set: Setting | undefined) => Promise<Measured | null>,
 *   run: (then: () => Element | null) => void, enter: (stage: Stage) => void}} Machine */

export class Lab {
  /** @param {Bench} bench @param {Keep} keep @param {Machine} machine
   * @param {Platform | null} [platform] the learning platform that the page is in */
  constructor(bench, keep, machine, platform = null) {
    this.bench = bench;
    this.keep = keep;
    this.machine = machine;
    this.platform = platform;
    this.notebook = new Notebook(bench.limits);
    /** Under what name the browser keeps the record. */
    this.name = "";
    /** Lines that the browser would not keep. */
    this.unkept = 0;
    /** The name or code where it is not the student who says it. */
    this.fixed = bench.student ?? platform?.learner ?? "";
    this.drafts = new Drafts(bench.scene.sha256, this.fixed);
    this.student = this.fixed || (this.drafts.get("student") ?? "");
    /** Whose work goes on, while that is asked. @type {HTMLElement | null} */
    this.asking = null;
    this.eye = 0;
    /** What was measured, by the setting. @type {Map<string, Measured | string>} */
    this._known = new Map();
    /** @type {Promise<boolean>} the entry being added */
    this._last = Promise.resolve(true);
    this.element = make("div", { class: "work" });
    this.status = make("p", { class: "status", role: "status" });
    this._sections = make("div");
    this._feedback = new Feedback(this);
    this.element.append(this.status, this._sections, new Opening(this).element);
    window.addEventListener("beforeunload", (event) => {
      if (this.unkept && !this.held) event.preventDefault();
    });
  }

  /** Take up what was kept, if anything; ask whose work goes on where that is not plain. */
  async takeUp() {
    const { works, unread } = await workAtHand(this);
    if (works.length === 1 && this.fixed) await this.goOn(works[0]);
    else if (works.length) this.asking = question(this, works);
    this.render();
    if (unread) this._warn(unread);
  }

  /** Go on with a record, and keep here what this browser does not have of it.
   * @param {Notebook} notebook */
  async goOn(notebook) {
    this._set(notebook, notebook.student ?? "");
    this.drafts.belongTo(this.student);
    const { entries, lines } = notebook;
    const kept = await this.keep.records(this.bench.scene.sha256).catch(
      () => /** @type {Map<string, string[]>} */ (new Map()),
    );
    const own = [...kept].filter(([, there]) => there.every((line, i) => line === lines[i]));
    const [name, there] = own.sort((a, b) => b[1].length - a[1].length)[0] ?? ["", []];
    this.name = name || recordName(this.bench.scene.sha256, entries[0]);
    // Where that is the name of other work, which parted from this, it keeps it.
    if (!name && kept.has(this.name)) this.name += `|${digest(lines[lines.length - 1])}`;
    this.unkept = lines.length - there.length;
    await this._keepRest().catch(() => {});
    await this.platform?.save(this);
    this.render();
  }

  /** Begin anew; with what is typed by somebody who has saved nothing yet, or without.
   * @param {boolean} blank */
  begin(blank) {
    this.drafts.belongTo("");
    if (blank) this.drafts.clear();
    this._set(new Notebook(this.bench.limits), this.drafts.get("student") ?? "");
    this.render();
    this.next(".prediction");
  }

  /** @param {Notebook} notebook @param {string} student */
  _set(notebook, student) {
    this.asking = null;
    this.notebook = notebook;
    this.student = student;
    this.name = "";
    this.unkept = 0;
    this.eye = 0;
  }

  /** Whether everything asked is predicted, so that the machine may move. */
  get free() {
    return this.bench.predict.every(({ name }) => this.notebook.predicted(name));
  }

  /** @returns {Stage} */
  get stage() {
    if (!this.free) return "predicting";
    return this.notebook.closed ? "finished" : "trying";
  }

  /** What a trial's instruments have to show, or why that cannot be had.
   * @param {Setting | undefined} set @returns {Promise<Measured | string>} */
  async measure(set) {
    const key = written(set ?? {});
    const before = this._known.get(key);
    if (before !== undefined) return before;
    /** @type {Measured | string} */
    let found;
    try {
      found = (await this.machine.measured(set)) ?? say(
        "The live machine took this trial, and cannot run here: open the page in the browser that it was taken in.",
      );
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      found = error.message;
    }
    this._known.set(key, found);
    return found;
  }

  /** Another machine takes the place of the one there was. @param {Machine} machine */
  moveTo(machine) {
    this.machine = machine;
    this._known.clear();
    this._feedback.forget();
    this.render();
  }

  /** Whether a learning platform holds all of the record. */
  get held() {
    return this.platform !== null && this.platform.takes && !this.platform.trouble;
  }

  // Writing down.

  /** Add an entry, after those being added; true when it is in the record.
   * @param {string} kind @param {object} body @param {HTMLElement} beside where a refusal is shown
   * @returns {Promise<boolean>} */
  add(kind, body, beside) {
    const added = this._last.then(() => this._add(kind, body, beside));
    this._last = added.catch(() => false);
    return added;
  }

  /** @param {string} kind @param {object} body @param {HTMLElement} beside */
  async _add(kind, body, beside) {
    beside.textContent = "";
    try {
      this.notebook.check({ kind, ...body });
      if (this.notebook.lines.length === 0) {
        const { token, dealt, scene } = this.bench;
        await this._write(this.notebook.header(this.student, dealt ? token : null, scene));
        this.drafts.delete("student");
        this.drafts.moveTo(this.student);
      }
      await this._write(this.notebook.next(kind, body));
      await this.platform?.save(this);
      this._tell();
      return true;
    } catch (error) {
      if (error instanceof Refusal) beside.textContent = error.message;
      else if (error instanceof ElsewhereError) {
        beside.textContent =
          say("This record was written to in another tab. Reload this page to go on; nothing is lost.");
      } else throw error;
      return false;
    }
  }

  /** Whether what is typed is meant, which is asked where it is doubtful and could be added; what
   * is meant otherwise is typed anew.
   * @param {string} kind @param {object} body @param {string | null} doubt
   * @param {HTMLInputElement} input @param {HTMLElement} beside @returns {Promise<boolean>} */
  async _meant(kind, body, doubt, input, beside) {
    if (doubt === null) return true;
    try {
      this.notebook.check({ kind, ...body });
    } catch {
      return true; // Which `add` will say.
    }
    return new Promise((resolve) => {
      const answer = (/** @type {boolean} */ meant) => {
        beside.textContent = "";
        if (!meant) input.focus();
        resolve(meant);
      };
      const change = button(say("Change it"), () => answer(false), "small");
      beside.replaceChildren(make("span", {}, doubt), " ", change, " ",
        button(say("Keep it"), () => answer(true), "small"));
      input.addEventListener("input", () => answer(false), { once: true });
      change.focus();
    });
  }

  /** @param {string} line */
  async _write(line) {
    const { notebook } = this, sequence = notebook.lines.length;
    if (sequence === 0) this.name = recordName(this.bench.scene.sha256, JSON.parse(line));
    try {
      // Lines the browser would not keep before go first, if it will now.
      await this._keepRest();
      await this.keep.add(this.name, sequence, line);
    } catch (error) {
      if (error instanceof ElsewhereError) throw error;
      this.unkept++;
    }
    notebook.push(line);
  }

  async _keepRest() {
    const { lines } = this.notebook;
    while (this.unkept) {
      const sequence = lines.length - this.unkept;
      await this.keep.add(this.name, sequence, lines[sequence]);
      this.unkept--;
    }
  }

  _tell() {
    const { entries } = this.notebook;
    const last = entries[entries.length - 1];
    const { platform } = this;
    this.status.classList.remove("warning");
    const at = last && clockAlone(last.time);
    if (this.held) {
      this.status.textContent = at ? sayCount(entries.length - 1,
        "Saved in your learning platform: {count} entry, the last at {time}.",
        "Saved in your learning platform: {count} entries, the last at {time}.", { time: at })
        : say("What you enter is saved in your learning platform as you go.");
    } else if (this.unkept) {
      this._warn(
        sayCount(
          this.unkept,
          "Not kept: this browser will not store the last entry (its storage is full or forbidden). It is in this page only: download your record before you close it.",
          "Not kept: this browser will not store the last {count} entries (its storage is full or forbidden). They are in this page only: download your record before you close it.",
        ),
      );
    } else if (platform?.trouble) {
      this._warn(platform.trouble);
    } else if (this.keep.place === "nowhere") {
      this._warn(
        say("This browser forbids this page to keep anything. Download your record before you close it."),
      );
    } else if (at) {
      this.status.textContent = sayCount(entries.length - 1,
        "Saved in this browser: {count} entry, the last at {time}.",
        "Saved in this browser: {count} entries, the last at {time}.", { time: at });
    } else {
      this.status.textContent = say("What you enter is saved in this browser as you go.");
    }
  }

  /** @param {string} words */
  _warn(words) {
    this.status.classList.add("warning");
    this.status.textContent = words;
  }

  // What is on the page.

  render() {
    this._tell();
    if (this.asking) {
      this._sections.replaceChildren(this.asking);
      this.machine.enter("predicting");
      return;
    }
    const { notebook } = this;
    const sections = [this._predict()];
    if (this.free) {
      sections.push(this._trials());
      if (notebook.of("reading").length) sections.push(this._compare());
    } else {
      const rest = [["2", say("Try it")], ["3", say("Compare")]];
      for (const [number, words] of rest) sections.push(this._later(number, words));
    }
    if (notebook.lines.length) sections.push(this._handIn());
    if (notebook.closed) sections.push(this._feedback.shown());
    this._sections.replaceChildren(...sections);
    this.machine.enter(this.stage);
  }

  /** A labelled field that keeps what is typed in it when the page is drawn anew.
   * @param {string} draft @param {string} words @param {"input" | "textarea"} tag
   * @param {Record<string, string | number | boolean>} attributes */
  field(draft, words, tag, attributes) {
    const made = labelled(words, tag, attributes);
    made.input.value = this.drafts.get(draft) ?? "";
    made.input.addEventListener("input", () => this.drafts.set(draft, made.input.value));
    return made;
  }

  /** @param {string} number @param {string} words @param {(Node | string | null)[]} rest */
  _section(number, words, ...rest) {
    const heading = make("h2", {}, make("span", { class: "number" }, number), words);
    return make("section", { class: "step" }, heading, ...rest);
  }

  /** @param {string} number @param {string} words */
  _later(number, words) {
    const section = this._section(number, words, make("p", {}, say("After your predictions.")));
    section.classList.add("later");
    return section;
  }

  _predict() {
    const { bench, notebook } = this;
    const parts = [];
    if (!this.free) {
      parts.push(make("p", {}, say("Predict each of these, with its unit and your reason. Nothing moves before.")));
    }
    if (bench.hidden.length) {
      parts.push(make("p", { class: "sealed" }, say("Hidden from you: {values}.", { values: bench.hidden.join("; ") })));
    }
    if (!this.fixed && !notebook.student) {
      const { row, input } = this.field("student", say("Your name or code"), "input", {
        maxlength: bench.limits.label, class: "who",
      });
      input.addEventListener("input", () => (this.student = tidy(input.value)));
      parts.push(row);
    }
    for (const asked of bench.predict) parts.push(this._prediction(asked));
    return this._section("1", bench.predict.length ? say("Predict") : say("Begin"), ...parts);
  }

  /** @param {Asked} asked */
  _prediction(asked) {
    const first = this.notebook.predicted(asked.name), second = this.notebook.again(asked.name);
    const title = make("legend", {}, this.bench.names[asked.name]);
    const box = make("fieldset", { class: "prediction", "data-quantity": asked.name }, title);
    const committed = (/** @type {import("./record.js").Entry} */ entry, /** @type {string} */ word) =>
      make("p", { class: "committed" }, make("strong", {}, figures(entry.text ?? "")),
        make("span", { class: "when" }, ` ${word} ${clock(entry.time)}`),
        make("q", {}, entry.reason ?? ""));
    if (first) box.append(committed(first, say("saved")));
    if (second) box.append(committed(second, say("second prediction")));
    if (!first || (this.free && !second && !this.notebook.closed)) {
      const form = this._predictionForm(asked, first !== null);
      if (first) {
        box.append(make("details", {}, make("summary", {}, say("Predict again")), form));
      } else {
        box.append(form);
      }
    }
    return box;
  }

  /** @param {Asked} asked @param {boolean} second */
  _predictionForm(asked, second) {
    const words = asked.unit ? say("Value with its unit, as in {unit}", { unit: asked.unit }) :
      say("Value, a plain number");
    const kind = second ? "second prediction" : "prediction";
    const value = this.field(`${kind} value ${asked.name}`, words, "input", {
      maxlength: this.bench.limits.value, class: "value", inputmode: "text",
    });
    const reason = this.field(`${kind} reason ${asked.name}`, say("Reason"), "textarea", {
      rows: 2, maxlength: this.bench.limits.words,
    });
    const refusal = make("p", { class: "refusal", role: "alert" });
    const commit = button(say("Save prediction (cannot be changed afterwards)"), async () => {
      const { text, fault } = typed(tidy(value.input.value));
      const body = {
        quantity: asked.name, text, reason: tidy(reason.input.value),
      };
      if (!this.student) {
        refusal.textContent = say("Write your name or code first, above.");
        return;
      }
      if (fault) {
        refusal.textContent = fault;
        return;
      }
      const doubt = doubtOfPrediction(this.bench, asked, body.text);
      if (!(await this._meant(kind, body, doubt, value.input, refusal))) return;
      if (await this.add(kind, body, refusal)) {
        this.drafts.delete(`${kind} value ${asked.name}`, `${kind} reason ${asked.name}`);
        this.again(say("{quantity}: saved.", { quantity: this.bench.names[asked.name] }), ".prediction");
      }
    }, "first");
    return make("div", { class: "form" }, value.row, reason.row, commit, refusal);
  }

  /** Draw the steps anew, keep the reader's place, and go to the next thing to do.
   * @param {string} said @param {string} box where the next thing is, if anything is left there */
  again(said, box) {
    this.render();
    this.status.textContent = `${said} ${this.status.textContent}`;
    this.next(box);
  }

  /** Go to the first field that is open in some box, or else to the next trial, or to the end.
   * @param {string} box */
  next(box) {
    const places = [".who", `${box} .form :is(input, textarea)`, ".prediction .form :is(input, textarea)",
      ".trial-button", ".finish", ".buttons button"];
    const open = places.flatMap((place) => [...this._sections.querySelectorAll(place)])
      .find((each) => !each.closest("details:not([open])"));
    /** @type {HTMLElement | undefined} */ (open)?.focus();
  }

  _trials() {
    const { bench, notebook } = this;
    const parts = [make("p", { class: "watch" }, bench.watch)];
    if (!bench.instruments.length) {
      parts.push(make("p", {}, say("This bench has no instrument to read: watch it run.")));
      return this._section("2", say("Watch"), ...parts);
    }
    const trials = notebook.of("trial");
    const current = trials[trials.length - 1];
    const refusal = make("p", { class: "refusal", role: "alert" });
    if (!notebook.closed) {
      if (bench.axes.length) {
        parts.push(make("p", {}, say("Set the machine as you like, beside the drawing, then take a trial. Take several at each setting: no two readings are quite alike.")));
      }
      const number = notebook.trials + 1;
      const take = button(say("Take trial {number}", { number }), async () => {
        this.eye = 0;
        if (!this.student) {
          refusal.textContent = say("Write your name or code first, above.");
          return;
        }
        take.setAttribute("aria-busy", "true");
        if (await this._take(number, refusal)) {
          this.render();
          this.machine.run(() => {
            const first = this._sections.querySelector(".trial input");
            /** @type {HTMLElement | null} */ (first)?.focus({ preventScroll: true });
            return this._sections.querySelector(".trial");
          });
        }
        take.removeAttribute("aria-busy");
      }, "first trial-button");
      parts.push(make("div", { class: "form" }, take, refusal));
    }
    if (current) parts.push(this._trial(current));
    if (trials.length) parts.push(this._table(trials), ...striking(this));
    return this._section("2", say("Try it"), ...parts);
  }

  /** Take a trial with the machine as it is set; true when it is in the record.
   * @param {number} number @param {HTMLElement} beside where a refusal is shown */
  async _take(number, beside) {
    try {
      const set = await this.machine.setting();
      const measured = await this.measure(set);
      if (typeof measured === "string") throw new Refusal(measured);
      return this.add("trial", { trial: number, eye: 0, ...(set ? { set } : {}) }, beside);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      beside.textContent = error.message;
      return false;
    }
  }

  /** The instruments as they stand in a trial. @param {import("./record.js").Entry} trial */
  _trial(trial) {
    const { bench, notebook } = this;
    const number = trial.trial ?? 0;
    const box = make("div", { class: "trial" });
    const heading = make("h3", {}, say("Trial {number}", { number }));
    const measured = this._known.get(written(trial.set ?? {}));
    if (measured === undefined) {
      // Taken before this page was opened.
      void this.measure(trial.set).then(() => this.render());
      box.append(heading, make("p", {}, say("Setting up the instruments …")));
      return box;
    }
    if (typeof measured === "string") {
      box.append(heading, make("p", {}, measured));
      return box;
    }
    const draw = () => {
      const drawings = bench.instruments.map((instrument) => {
        const seen = look(instrument, bench.chance, bench.token, notebook.student ?? "", number,
          measured, this.eye);
        return this._instrument(instrument, seen, number);
      });
      const moves = [];
      if (!notebook.closed && bench.instruments.some(({ quantity }) =>
        !notebook.reading(number, quantity))) {
        const move = (/** @type {number} */ by) => () => {
          this.eye = Math.max(-60, Math.min(60, this.eye + by));
          draw();
          /** @type {HTMLElement | null} */ (box.querySelector(by < 0 ? ".left" : ".right"))?.focus();
        };
        moves.push(make("div", { class: "eye" }, make("span", {}, say("Move your eye")),
          button(say("◀ left"), move(-2), "left"), button(say("right ▶"), move(2), "right")));
        if (bench.instruments.some(({ form }) => form === "dial")) {
          moves.push(make("p", { class: "hint" }, say("A dial has a mirror. With your eye square to it, the needle hides its own image (the grey mark).")));
        }
      }
      box.replaceChildren(heading, ...moves, ...drawings);
    };
    draw();
    return box;
  }

  /** @param {Instrument} instrument @param {import("./dial.js").Look} seen @param {number} trial */
  _instrument(instrument, seen, trial) {
    const { quantity, unit, form } = instrument, name = this.bench.names[quantity];
    const done = this.notebook.reading(trial, quantity);
    const words = make("p", { class: "unseen" }, inWords(instrument, seen));
    const figure = make("figure", { class: `instrument with-${form}`, "data-quantity": quantity },
      make("figcaption", {}, make("strong", {}, name), ` (${unit})`));
    const faces = make("div", { class: "faces" });
    faces.append(...pictures(instrument, seen));
    figure.append(faces, words);
    if (done) {
      figure.append(make("p", { class: "committed" },
        make("strong", {}, readingShown(this.notebook, trial, quantity)),
        make("span", { class: "when" }, ` ${say("saved")} ${clock(done.time)}`)));
      return figure;
    }
    if (this.notebook.closed) return figure;
    const asked = form === "stopwatch" ? say("Your reading in {unit}, as it is shown", { unit })
      : say("Your reading in {unit}, to a tenth of a division", { unit });
    const read = this.field(`reading ${trial} ${quantity}`, asked, "input", {
      maxlength: this.bench.limits.value, class: "value",
    });
    const refusal = make("p", { class: "refusal", role: "alert" });
    const keep = async () => {
      const { text, fault } = typed(tidy(read.input.value));
      if (fault || valueOf(this.bench.units, text, instrument.dimension) === null) {
        refusal.textContent = fault ?? say("Write a number with its unit, as in {unit}.", { unit });
        return;
      }
      const body = { trial, quantity, text, eye: this.eye };
      const doubt = doubtOfReading(this.bench, instrument, text);
      if (!(await this._meant("reading", body, doubt, read.input, refusal))) return;
      if (await this.add("reading", body, refusal)) {
        this.drafts.delete(`reading ${trial} ${quantity}`);
        this.again(say("{quantity}: saved.", { quantity: name }), ".trial");
      }
    };
    read.input.addEventListener("keydown", (event) => {
      if (event.key === "Enter") keep();
    });
    figure.append(make("div", { class: "form inline" }, read.row,
      button(say("Save reading"), keep, "first"), refusal));
    return figure;
  }

  /** @param {import("./record.js").Entry[]} trials */
  _table(trials) {
    const { bench, notebook } = this;
    const given = bench.axes.map(({ keys, texts, start }, i) =>
      ({ key: keys[0], label: bench.axisNames[i], own: texts[start] }));
    const varied = new Set(bench.axes.flatMap(({ keys }) => keys));
    const others = new Set(trials.flatMap(({ set }) => Object.keys(set ?? {})));
    for (const key of others) if (!varied.has(key)) given.push({ key, label: bench.names[key] ?? key, own: say("as given") });
    const heads = [say("trial"), ...given.map(({ label }) => label),
      ...bench.instruments.map((i) => bench.names[i.quantity])];
    const head = make("tr", {}, ...heads.map((words) => make("th", { scope: "col" }, words)));
    const rows = trials.map((trial) => {
      const number = trial.trial ?? 0;
      const cells = [
        ...given.map(({ key, own }) => brief(trial.set?.[key] ?? own)),
        ...bench.instruments.map((i) => readingShown(notebook, number, i.quantity)),
      ];
      return make("tr", {}, make("th", { scope: "row" }, String(number)),
        ...cells.map((words) => make("td", {}, words)));
    });
    return make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": say("Your trials") },
      make("table", {}, make("caption", {}, say("Your trials")), make("thead", {}, head),
        make("tbody", {}, ...rows)));
  }

  /** What a student works out from the readings of a trial at the machine's own setting, SI: the
   * arithmetic of the record's review.
   * @param {import("./record.js").Entry} trial @returns {Map<string, number>} */
  _workedOut(trial) {
    const { bench, notebook } = this, { hand, load, efforts, raising } = bench.worked;
    const found = new Map();
    for (const { quantity, dimension } of bench.instruments) {
      const text = notebook.counted(trial.trial ?? 0, quantity)?.text ?? "";
      const value = valueOf(bench.units, text, dimension);
      if (value !== null) found.set(quantity, value);
    }
    for (const { time, distance, acceleration, sign } of bench.worked.timed) {
      const t = found.get(time), s = found.get(distance);
      if (t > 0 && s !== undefined) found.set(acceleration, (sign * 2 * s) / (t * t));
    }
    if (!hand) return found;
    for (const { reading, force, zero } of efforts) {
      if (found.has(reading)) found.set(force, found.get(reading) - zero);
    }
    const effort = found.get(`${hand}.force`), travel = found.get(`${hand}.travel`);
    const rise = found.get(`${load}.rise`);
    if (travel !== undefined && rise) found.set("machine.velocity_ratio", Math.abs(travel / rise));
    if (effort !== undefined && travel !== undefined) found.set("machine.work_in", effort * travel);
    const { weight } = bench.worked;
    if (weight === null) return found;
    const raised = raising && (rise === undefined || rise > 0);
    if (effort && raised) found.set("machine.mechanical_advantage", weight / effort);
    if (rise !== undefined) {
      found.set("machine.work_out", weight * rise);
      const put = found.get("machine.work_in");
      if (put && raised) found.set("machine.efficiency", (weight * rise) / put);
    }
    return found;
  }

  _compare() {
    const { bench, notebook } = this;
    const own = notebook.of("trial").filter((trial) => !trial.set).map((t) => this._workedOut(t));
    const rows = [];
    for (const entry of notebook.of("prediction", "second prediction")) {
      const asked = bench.predict.find(({ name }) => name === entry.quantity);
      if (!asked) continue;
      const values = own.map((trial) => trial.get(asked.name)).filter((v) => v !== undefined);
      const name = bench.names[asked.name];
      const heading = entry.kind === "prediction" ? name : say("{quantity} (second)", { quantity: name });
      const cells = [figures(entry.text ?? "")];
      if (values.length) {
        const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
        const factor = bench.units[asked.dimension]?.[asked.unit] ?? 1;
        cells.push(`${significant(mean / factor)} ${asked.unit}`.trim());
        const predicted = valueOf(bench.units, entry.text ?? "", asked.dimension);
        if (predicted === null) {
          cells.push(say("another kind of unit"));
        } else if (mean) {
          cells.push(shownDifference(predicted / mean - 1));
        } else {
          cells.push("");
        }
      } else {
        cells.push(say("not measured"), "");
      }
      rows.push(make("tr", {}, make("th", { scope: "row" }, heading),
        ...cells.map((words) => make("td", {}, words))));
    }
    const head = [say("quantity"), say("predicted"), say("from your readings"), say("difference")].map(
      (words) => make("th", { scope: "col" }, words),
    );
    const caption = bench.axes.length
      ? say("Your predictions beside the mean of your trials at the machine's own setting")
      : say("Your predictions beside the mean of your trials");
    return this._section("3", say("Compare"), make(
      "div", { class: "scroll", tabindex: 0, role: "region", "aria-label": say("Comparison") },
      make("table", {}, make("caption", {}, caption), make("thead", {}, make("tr", {}, ...head)),
        make("tbody", {}, ...rows)),
    ));
  }

  _handIn() {
    const { notebook } = this;
    const refusal = make("p", { class: "refusal", role: "alert" });
    const parts = [make("p", {}, notebook.closed
      ? this.platform?.takes
        ? say("Your work is finished, and the learning platform is told. Download it too if your teacher asks for the file.")
        : say("Your work is finished. Download it and hand the file in.")
      : say("Your work is one file, which you hand in. You can download it at any time."))];
    for (const note of notebook.of("note")) parts.push(make("p", { class: "note" }, note.text ?? ""));
    if (!notebook.closed) {
      const note = this.field("note", say("A note to hand in with your work"), "textarea", {
        rows: 2, maxlength: this.bench.limits.words,
      });
      const keep = button(say("Add the note"), async () => {
        if (await this.add("note", { text: tidy(note.input.value) }, refusal)) {
          this.drafts.delete("note");
          this.again(say("Note added."), ".trial");
        }
      });
      parts.push(make("details", {}, make("summary", {}, say("Add a note")), note.row, keep));
    }
    const row = make("div", { class: "buttons" });
    if (!notebook.closed && this.free) {
      const close = button(say("Finish"), () => {
        if (close.dataset.sure) {
          void this.add("closing", { entries: notebook.entries.length }, refusal).then((done) => {
            if (done) this.again(say("Finished."), ".trial");
          });
          return;
        }
        close.dataset.sure = "1";
        close.textContent = say("Finish: nothing can be added after. Sure?");
      });
      close.classList.add("finish");
      row.append(close);
    }
    row.append(button(say("Download your work"), () => this.download(), notebook.closed ? "first" : ""));
    if (!this.fixed && notebook.lines.length) {
      const other = button(say("Begin again as somebody else"), () => {
        if (!other.dataset.sure) {
          other.dataset.sure = "1";
          other.textContent = say("Begin again? Download this first.");
          return;
        }
        this.begin(true);
      });
      row.append(other);
    }
    parts.push(row, refusal);
    return this._section(this.bench.predict.length ? "4" : "3", say("Hand in"), ...parts);
  }

  /** Hand the browser the record as a file. */
  download() {
    const { scene } = this.bench;
    const who = (this.notebook.student ?? "").toLowerCase().replace(/[^a-z0-9]+/g, "_");
    const stem = who.replace(/^_+|_+$/g, "") || digest(this.notebook.student ?? "").slice(0, 8);
    const file = new Blob([this.notebook.text], { type: "application/x-ndjson" });
    const address = URL.createObjectURL(file);
    const again = this.bench.attempt > 1 ? `_attempt_${this.bench.attempt}` : "";
    const name = `${scene.name}_${stem}${again}.jsonl`;
    const link = make("a", { href: address, download: name, hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
  }
}

/** @param {string} scene the scene's hash @param {import("./record.js").Entry} header */
function recordName(scene, header) {
  return `${scene}|${header.student}|${header.time}`;
}
