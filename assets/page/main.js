// Puts the page together: the machine on one side, the student's work on the other.

import { make } from "./elements.js";
import { Keep } from "./keeping.js";
import { Lab } from "./lab.js";
import { RecordedMachine } from "./machine.js";
import { Platform } from "./platform.js";
import { Recording } from "./recording.js";
import { namePlate } from "./whose.js";
import { say, told } from "./words.js";

async function main() {
  const page = /** @type {HTMLElement} */ (document.getElementById("page"));
  const source = document.getElementById("bench")?.textContent ?? "";
  /** @type {import("./lab.js").Bench} */
  const bench = told(JSON.parse(source));
  document.title = bench.title;
  const recording = await Recording.unpacked(bench.recording);
  const keep = await Keep.open();
  const machine = new RecordedMachine(bench, recording);
  const lab = new Lab(bench, keep, machine, Platform.found(bench));
  const head = make("header", {}, make("h1", {}, bench.title), namePlate(lab));
  page.replaceChildren(head, make("main", {}, machine.element, lab.element),
    make("footer", {}, make("p", {}, say("A simulation to learn from; not for lifting people or real loads. The motion was recorded by the program that made this page."))));
  await lab.takeUp();
  machine.fit();
}

main().catch((error) => {
  const page = document.getElementById("page");
  const said = say("This bench cannot be opened: {reason}", { reason: error.message });
  page?.replaceChildren(make("p", { role: "alert" }, said));
});
