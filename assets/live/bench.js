// A student's bench on the live sheet: the work beside it, and where the sheet cannot run the
// recorded machine in its place.

import { make } from "../page/elements.js";
import { Keep } from "../page/keeping.js";
import { Lab } from "../page/lab.js";
import { RecordedMachine, into } from "../page/machine.js";
import { Platform } from "../page/platform.js";
import { Recording } from "../page/recording.js";
import { Refusal } from "../page/record.js";
import { namePlate } from "../page/whose.js";
import { say, told } from "../page/words.js";
import { ask, heard, part, pass, root, started, textOf } from "./main.js";

/** @typedef {import("../page/lab.js").Setting} Setting */

/** The machine on the sheet, worked by the engine in the Worker. */
class LiveMachine {
  constructor() {
    this.element = part("machine");
    this.locked = make("p", { class: "locked" }, say("The machine waits for your predictions."));
    this.element.prepend(this.locked);
    this._still = matchMedia("(prefers-reduced-motion: reduce)");
    part("control").addEventListener("click", () => pass("as_given"));
  }

  /** @param {string} what @param {unknown} held @returns {Promise<any>} */
  async _answer(what, held) {
    // Where the sheet cannot run another machine takes over, which will be asked again.
    if (!(await started)) return new Promise(() => {});
    const answer = await ask(what, held);
    if (answer.refusal) throw new Refusal(answer.refusal);
    return answer;
  }

  /** @returns {Promise<Setting | undefined>} */
  async setting() {
    return (await this._answer("setting", null)).set ?? undefined;
  }

  /** @param {Setting | undefined} set @returns {Promise<import("../page/lab.js").Measured>} */
  async measured(set) {
    const { once, speed } = await this._answer("measured", set ?? {});
    return { once: (name) => once[name] ?? NaN, speed: speed ?? undefined };
  }

  /** Work the machine as it is set: at once to the end where motion is not wanted.
   * @param {() => Element | null} then returns what to look at afterwards */
  run(then) {
    const still = this._still.matches;
    pass("run", still);
    heard.over = () => {
      heard.over = () => {};
      into(then(), still ? "auto" : "smooth");
    };
    if (still) heard.over();
    else into(this.element, "smooth");
  }

  /** @param {import("../page/lab.js").Stage} stage */
  enter(stage) {
    const locked = stage === "predicting";
    this.locked.hidden = !locked;
    root.classList.toggle("locked", locked);
    part("sheet").tabIndex = locked ? -1 : 0;
    pass("enter", stage);
  }
}

async function work() {
  /** @type {import("../page/lab.js").Bench} */
  const bench = told(JSON.parse(textOf("bench")));
  const lab = new Lab(bench, await Keep.open(), new LiveMachine(), Platform.found(bench));
  const whose = namePlate(lab);
  part("work").replaceChildren(...(whose ? [whose] : []), lab.element);
  await lab.takeUp();
  if (await started) return;
  const machine = new RecordedMachine(bench, await Recording.unpacked(bench.recording));
  part("machine").replaceChildren(part("state"), machine.element);
  lab.moveTo(machine);
  machine.fit();
}

work().catch((error) => {
  const said = say("This bench cannot be opened: {reason}", { reason: error.message });
  part("work").replaceChildren(make("p", { role: "alert" }, said));
});
