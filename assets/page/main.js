// Puts the page together: the machine on one side, the student's work on the other.

import { Keep } from "./keeping.js";
import { Lab, make } from "./lab.js";
import { RecordedMachine } from "./machine.js";
import { Recording } from "./recording.js";
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
  const lab = new Lab(bench, keep, machine);
  const head = make("header", {}, make("h1", {}, bench.title),
    bench.student ? make("p", { class: "whose" }, say("The bench of {student}", { student: bench.student })) : null);
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
