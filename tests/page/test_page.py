"""The take-home page, on this side of the browser: what it records, and what it does not tell."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import math
import os
import random
import re
import shutil
import subprocess
import zipfile
from functools import cache
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from sandbox import engine
from sandbox import page as pages
from sandbox.cli import app
from sandbox.lab.class_work import deal, record, record_writer, review, virtual_bench
from sandbox.language.display import Display
from sandbox.language.words import LANGUAGES
from sandbox.live import page as live_page
from sandbox.page import grid as grids
from sandbox.page import page as page_module
from sandbox.page import shapes
from sandbox.page.grid import BOUND, Grid
from sandbox.page.pack import packed, unpacked
from sandbox.page.words import said
from sandbox.painting import web
from sandbox.scene import SceneError, Unanswerable, load
from sandbox.shipped import assets_folder, find_scene
from tests.places import ROOT
from tests.students import held
from tests.tolerance import near

CHOSEN = {
    "four_part_tackle": ["ballast.mass=0.6 kg..1.4 kg"],
    "lever_first_class": ["bracket.mass=1.2 kg..2.4 kg", "bracket.on=2 cm..8 cm"],
    "just_over_repose": ["slip.angle=15.5 deg..25.5 deg"],
    "balanced_rule": ["shot.on=3 cm..9 cm"],
    "tipping_bar": ["can.mass=200 g..360 g"],
}
"""A tackle, a lever in two values at once, a body that holds or slides, one that swings, and one
that meets its stop."""


@cache
def bench(name: str) -> deal.Bench:
    return deal.open_file(find_scene(name))


@cache
def grid(name: str) -> Grid:
    return pages.grid_for(bench(name), CHOSEN[name])


@cache
def text(name: str) -> str:
    return pages.page_of(bench(name), grid(name))


@pytest.mark.parametrize("name", CHOSEN)
def test_blended_motion_is_the_engines_own(name: str) -> None:
    """At values chosen at random between the recorded ones, what the page shows is never further
    from a fresh run than 0.5 % of full scale, at any moment, in any channel."""
    made = grid(name)
    kept = unpacked(json.loads(json.dumps(packed(made))))
    unrecorded = [p for p in product(*(range(a.count) for a in made.axes)) if p not in made.runs]
    scales = np.array([c.scale for c in made.plan.channels])
    single = np.array([c.scale for c in made.plan.once])
    assert len(unrecorded) >= 4 or name in ("just_over_repose", "tipping_bar")
    for place in random.Random(name).sample(unrecorded, min(4, len(unrecorded))):
        fresh = grids.take(grids.changed(made.scene, made.axes, place), made.plan)
        motion, once = kept.at(place)
        shown = np.array([np.interp(fresh.times, kept.times, row) for row in motion])
        off = np.abs(shown - fresh.values) / scales[:, None]
        assert off.max() <= BOUND, (place, made.plan.channels[int(off.max(axis=1).argmax())])
        # An instrument is read to a tenth of a division: the student is owed better than motion.
        assert (np.abs(once - fresh.once) / single).max() <= 0.2 * BOUND


def test_nothing_is_blended_across_a_change_in_kind() -> None:
    """Between the last slope that holds and the first that slides the grid has no gap."""
    made = grid("just_over_repose")
    slid = {place: abs(np.ptp(run.values[0])) > 1e-3 for place, run in sorted(made.runs.items())}
    turns = [(a, b) for a, b in pairwise(sorted(slid)) if slid[a] != slid[b]]
    assert len(turns) == 1
    (a,), (b,) = turns[0]
    assert b - a == 1


def test_what_friction_was_left_with_at_rest_makes_no_grid_dense() -> None:
    """A sled that is paid out bears, before it moves, whatever friction came to rest with, which
    jumps from angle to angle: the recording takes no more runs for that."""
    made = pages.grid_for(bench("sled_paid_out"), ["slip.angle=26 deg..30 deg"])
    assert made.axes[0].count == 41 and len(made.runs) == 5


def test_values_that_take_too_many_runs_become_fewer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where so many values of two take too many runs there are fewer of each, nothing is run twice,
    and the page and its feedback run nothing more."""
    ran: list[object] = []
    run = grids.engine.run

    def counted(scene: Any, **how: float) -> Any:
        ran.append({name: vars(part) for name, part in scene.parts.items()})
        return run(scene, **how)

    monkeypatch.setattr("sandbox.engine.run", counted)
    monkeypatch.setattr(grids, "FINE_RUNS", 12)
    made = pages.grid_for(bench("just_over_repose"))
    pages.page_of(bench("just_over_repose"), made)
    assert [axis.count for axis in made.axes] == [7, 5]
    assert all(ran.count(each) == 1 for each in ran)


def test_what_is_only_compared_is_run_in_coarse_steps() -> None:
    """Where a blend is plainly close, no run in the bench's own steps is made to see it: of a lever
    there are the runs of three values by three, and no others."""
    made = grid("lever_first_class")
    assert [len(line) for line in made.knots] == [3, 3] and set(made.runs) == set(made.places())


@pytest.mark.parametrize("name", CHOSEN)
def test_pages_are_small(name: str) -> None:
    """A page is far below the 3 MB that mail and learning platforms take."""
    assert len(text(name).encode()) < 400_000 < pages.LARGEST_PAGE


def test_a_page_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page above the limit is refused with a message that says what to do."""
    monkeypatch.setattr(page_module, "LARGEST_PAGE", 10_000)
    with pytest.raises(Unanswerable, match="vary less"):
        pages.page_of(bench("four_part_tackle"), grid("four_part_tackle"))


def test_policy_lets_in_the_pages_own_script_and_nothing_else() -> None:
    """The page's policy names its one script and one style sheet by their hashes, and the page
    names no address to fetch anything from."""
    page = text("four_part_tackle")
    match = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert match
    policy = html.unescape(match[1])
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy and "*" not in policy
    for tag, directive in (("style", "style-src"), ('script type="module"', "script-src")):
        body = re.search(rf"<{tag}>(.*?)</{tag.split()[0]}>", page, re.S)
        assert body
        mark = base64.b64encode(hashlib.sha256(body[1].encode()).digest()).decode()
        assert f"{directive} 'sha256-{mark}'" in policy
    assert set(re.findall(r"https?://[^\s\"'<>]+", page)) == {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\b(src|href)=", page.partition("<body>")[2].partition("<script")[0])


def test_hidden_values_are_not_in_plain_sight() -> None:
    """A dealt page names no hidden value, draws no arrow and keeps no number that tells it."""
    hands = deal.deal(
        find_scene("fixed_sheave"), ["Student A"], 7,
        ["bag.mass=301 g..697 g", "head.bearing_friction=0.11..0.39"],
    )  # fmt: skip
    dealt = deal.open_text(hands[0].text, "fixed_sheave")
    page = pages.page_of(dealt, pages.grid_for(dealt, []))
    for key, value in dealt.hidden.items():
        number = value.split()[0]
        assert value not in page.replace(dealt.bounds[key], "")
        assert number not in re.sub(r"[A-Za-z0-9+/=]{200,}", "", page)
        scene_value = dealt.scene.parts["bag"].mass if key == "bag.mass" else float(number)  # type: ignore[attr-defined]
        assert repr(scene_value) not in page
    told = held(page)
    assert not any(force["part"] == "bag" for force in told["drawing"]["forces"])
    assert [force["kind"] for force in told["drawing"]["forces"]] == ["effort"]
    assert all(channel["name"] != "weight" for channel in told["recording"]["once"])
    shown = [line["text"] for label in told["told"]["en"]["labels"] for line in label["lines"]]
    assert "bag ?" in shown and "bearing ?" in shown
    assert len(told["told"]["en"]["hidden"]) == 2


def test_a_page_winds_no_rope_on_an_upright_drum() -> None:
    """Seen from the side a rope off a jack's bar leaves its axis: the page is told of no radius to
    draw it round, while that off a winch's wheel has the wheel's."""
    for name, rope, radius in (("jack_under_a_keel", "walk", 0.0), ("hand_winch", "tail", 0.16)):
        told = {each["rope"]: each["waypoints"] for each in page_module.ropes(bench(name).scene)}
        assert near(told[rope][0][0], radius, rel=1e-12)


def test_a_jacks_bar_swings_round_with_its_screw() -> None:
    """Pointing at the reader as the page begins, the bar reaches its whole length across once it
    has turned a quarter: its end is swung there, and the bar stretched to it."""
    scene = bench("jack_under_a_keel").scene
    run = grids.run_given(scene).recording
    view = grids.view_of(scene, run.snapshots, 10.0)
    drawn = grids.draw(scene, run.snapshots[0], view, grids.DISPLAY)
    reach = 0.08 * view.scale  # the scene's bar
    carriers = drawn.structure.carriers
    (end,) = (i for i, carrier in enumerate(carriers) if carrier.kind == "swung")
    assert near(abs(drawn.numbers[4 * end]), reach, rel=1e-9)
    at, widths = 4 * len(carriers), []
    for shape in drawn.structure.shapes:
        count = 2 * shape.points + (shape.form == "circle")
        if carriers[shape.carrier].kind == "stretched":
            widths.append(np.ptp(drawn.numbers[at : at + 2 * shape.points : 2]))
        at += count
    assert any(near(float(width), reach, rel=1e-9) for width in widths), widths
    assert {carrier.of for carrier in carriers if carrier.kind in ("marked", "swung")} == {"jack"}


def test_what_is_hidden_cannot_be_varied() -> None:
    """A value the student is to find is refused as one to vary, and left out by default."""
    hands = deal.deal(find_scene("fixed_sheave"), ["Student A"], 7, ["bag.mass=300 g..700 g"])
    dealt = deal.open_text(hands[0].text, "fixed_sheave")
    with pytest.raises(Unanswerable, match=r"bag\.mass is what this student is to find"):
        pages.grid_for(dealt, ["bag.mass=300 g..600 g"])
    assert grids.usual(dealt.scene, dealt.hidden, 12) == []
    with pytest.raises(SceneError, match="sealed"):
        dealt.at({"bag.mass": "500 g"})


@pytest.mark.parametrize(
    ("ranges", "said"),
    [
        (["ballast.mass=2 kg..3 kg"], "a range about it"),
        (["ballast.mass=0.6 kg..1.2 kg"] * 2, "each key once"),
        (["ballast.mass=0.6 kg..1.2 kg", "lower.mass=100 g..150 g", "hand.speed=4 cm/s..6 cm/s"],
         "two at most"),
        (["hand.travel=30 cm..45 cm"], "different lengths"),
        (["ballast.mas=0.6 kg..1.2 kg"], "did you mean|mass"),
        (["upper.sheaves=1..3"], "key"),
        (["ballast.mass"], "KEY=LOW..HIGH"),
    ],
)  # fmt: skip
def test_ranges_that_cannot_be_recorded_are_refused(ranges: list[str], said: str) -> None:
    """A range that cannot be recorded gets one message that says why."""
    with pytest.raises((SceneError, Unanswerable), match=said):
        pages.grid_for(bench("four_part_tackle"), ranges)


def test_every_word_of_the_script_is_in_the_catalogue() -> None:
    """A text of the script with two words, or with a capital, is said by the catalogue; what is not
    said is for the machine: selectors, styles and what a record calls its entries."""
    for path in (*assets_folder().glob("page/*.js"), assets_folder() / "live" / "bench.js"):
        script = re.sub(r"/\*\*.*?\*/|^\s*//.*?$", "", path.read_text(), flags=re.S | re.M)
        known = {text for texts in said(script) for text in texts}
        for text in re.findall(r'"((?:[^"\\\n]|\\.)*)"', script):
            words = re.search(r"[A-Za-z]{3,}[ ,:]+[a-z]{2,}|^[A-Z][a-z]{2,}", text)
            assert not words or json.loads(f'"{text}"') in known | FOR_THE_MACHINE, (path, text)


FOR_THE_MACHINE = {
    ".prediction .form :is(input, textarea)", ".buttons button", ".trial input",
    "details:not([open])", "step feedback", "first trial-button", "form inline", "play first",
    "second prediction", "moments buttons",
    "striking out", "taking back", "(prefers-reduced-motion: reduce)", "Enter", "ConstraintError",
    "DecompressionStream", "Arial,Helvetica,sans-serif", ".jsonl,.txt,application/x-ndjson",
}  # fmt: skip


def test_a_page_speaks_every_language_without_identifiers() -> None:
    """Title, watch, the script's words and the names of what is asked, read and varied are there in
    Spanish too, and no name from a scene file, such as "hand.force", is among them."""
    there = held(text("lever_first_class"))
    assert there["language"] is None
    assert list(there["told"]) == list(LANGUAGES) == ["en", *there["words"]]
    for code, told in there["told"].items():
        names = [*told["names"].values(), *told["axisNames"], *told["hidden"]]
        assert not re.search(r"\b[a-z]\w*\.[a-z]\w+", " ".join([told["title"], *names])), code
    assert there["told"]["es"]["names"]["hand.force"].startswith("Esfuerzo")
    axes = ["soporte, masa", "soporte, distancia a lo largo de barra"]
    assert there["told"]["es"]["axisNames"] == axes
    assert there["words"]["es"]["Reason"] == "Razón"


def test_a_page_calls_parts_as_its_scene_does() -> None:
    """In Spanish the parts have the names that the scene gives them there: in what is asked, read
    and varied, and on the drawing."""
    told = held(text("lever_first_class"))["told"]["es"]
    names = dict(bench("lever_first_class").scene.about.names_in("es"))
    assert told["parts"] == names
    lines = (line["text"] for label in told["labels"] for line in label["lines"])
    said = " ".join([*told["names"].values(), *told["axisNames"], *lines])
    assert names["bracket"] in told["axisNames"][0] and names["balance"] in said
    ours = names.keys() - names.values()
    assert not ours & set(re.findall(r"\w+", said))


def test_a_drawings_words_and_numbers_are_the_languages() -> None:
    """What is written on the drawing is there in every language, alike but for its words, with its
    own decimal sign."""
    english, spanish = (held(text("lever_first_class"))["told"][code] for code in ("en", "es"))
    shapes = [
        [
            (len(label["lines"]), [line["key"] for line in label["lines"]])
            for label in each["labels"]
        ]
        for each in (english, spanish)
    ]
    assert shapes[0] == shapes[1]
    lines = [line for label in spanish["labels"] for line in label["lines"]]
    written = [
        *spanish["bars"],
        *(text for line in lines for text in (line["text"], *line.get("texts", ()))),
    ]
    assert any(re.search(r"\d,\d", text) for text in written)
    assert not any(re.search(r"\d\.\d", text) for text in written)
    assert spanish["mode"] == "subiendo" and spanish["forces"]["weight"] == "peso"
    assert "dinamómetro" in written and spanish["parts"]["balance"] == "dinamómetro"


def test_hostile_titles_and_labels_stay_text() -> None:
    """Whatever a title or a label says, it neither ends an element nor begins one."""
    spiteful = "</script><script>alert(1)</script><!--"
    source = bench("just_over_repose").text.replace('"Half a degree over"', f'"{spiteful}"')
    there = deal.open_text(source, "just_over_repose")
    made = grids.record(there.scene, (), {})
    page = pages.page_of(there, made, "<b onclick=alert(1)>&\"'")
    assert "<script>alert" not in page and "<b onclick" not in page and "<!--" not in page
    assert page.count("</script>") == 2
    assert held(page)["told"]["en"]["title"] == spiteful
    assert held(page)["student"] == "<b onclick=alert(1)>&\"'"


def test_trials_at_another_setting_are_reviewed_at_that_setting(tmp_path: Path) -> None:
    """A reading taken with another load fits the pointer that the bench shows with that load, and
    one of the bench as given does not; neither is taken for a trial of the bench as given."""
    here = bench("four_part_tackle")
    there = here.at({"ballast.mass": "0.6 kg"})
    shown = {}
    for which, each in (("given", here), ("set", there)):
        measured, stuck = virtual_bench.truth(each.scene), virtual_bench.sticking(each.scene)
        look = virtual_bench.looks(each, "Student A", 1, measured, stuck)["balance.reading"]
        shown[which] = look.value
    for which, fits in (("set", True), ("given", False)):
        folder = tmp_path / which
        folder.mkdir()
        path = folder / "a.jsonl"
        with record_writer.opened(path, "Student A", here.scene.name, here.text) as writer:
            for name in here.scene.about.predict:
                writer.add("prediction", quantity=name, text="1", reason="a guess")
            writer.add("trial", trial=1, eye=0, set={"ballast.mass": "0.6 kg"})
            writer.add(
                "reading", trial=1, quantity="balance.reading", text=f"{shown[which]:.2f} N", eye=0
            )
            writer.close()
        (work,) = review.review(folder, None, lambda _: None).works
        assert bool(work.flags) is not fits
        assert work.means == {}


def test_settings_in_a_record_are_a_few_short_texts(tmp_path: Path) -> None:
    """A trial that sets anything but short texts is refused."""
    here = bench("four_part_tackle")
    with record_writer.opened(tmp_path / "a.jsonl", "A", here.scene.name, here.text) as writer:
        for bad in ([], {"a.b": 3}, {"a.b": "x" * 100}, {str(i): "1" for i in range(30)}):
            with pytest.raises(record.RecordError, match="what a trial sets"):
                writer.add("trial", trial=1, eye=0, set=bad)


# The commands.


def run(*arguments: str) -> Any:
    return CliRunner().invoke(app, list(arguments))


def roster(tmp_path: Path, *labels: str) -> str:
    path = tmp_path / "roster.csv"
    path.write_text("student\n" + "".join(f'"{label}"\n' for label in labels), encoding="utf-8")
    return str(path)


def test_a_class_set_is_one_file_for_each_student(tmp_path: Path) -> None:
    """`sandbox pages` writes every student's own page under a safe name, the key beside them,
    leaves no half-written file, and writes no other bench over them."""
    out = tmp_path / "set"
    labels = roster(tmp_path, "Student A", "../../Student B", "学生")
    done = run("pages", "fixed_sheave", "--roster", labels, "--seed", "7", "--out", str(out),
               "--deal", "bag.mass=300 g..700 g", "--vary", "none")  # fmt: skip
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in out.iterdir()) == [
        "key.csv", "student_3.html", "student_a.html", "student_b.html",
    ]  # fmt: skip
    told = {path.stem: held(path.read_text("utf-8")) for path in out.glob("*.html")}
    assert told["student_b"]["student"] == "../../Student B"
    assert len({each["token"] for each in told.values()}) == 3
    same = run("page", "fixed_sheave", "--roster", labels, "--seed", "7", "--student", "1",
               "--deal", "bag.mass=300 g..700 g", "--vary", "none",
               "--out", str(tmp_path / "one.html"))  # fmt: skip
    assert same.exit_code == 0, same.output
    assert (tmp_path / "one.html").read_bytes() == (out / "student_a.html").read_bytes()
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    (out / "student_3.html").unlink()
    (out / "student_b.html").write_text("cut short")
    times = {path.name: path.stat().st_mtime_ns for path in out.iterdir()}
    words = ("--deal", "bag.mass=300 g..700 g", "--out", str(out))
    deal = ("pages", "fixed_sheave", "--roster", labels, "--seed", "7", *words)
    done = run(*deal, "--vary", "none")
    assert "set: 2 pages." in done.output and "1 page was there already" in done.output
    assert "Keep the key" in done.output
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    assert (out / "student_a.html").stat().st_mtime_ns == times["student_a.html"]
    undealt = run("pages", "fixed_sheave", "--roster", labels, "--vary", "none", "--out", str(out))
    assert undealt.exit_code == 2 and "another deal" in undealt.stderr


def test_a_live_class_set_is_dealt_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With --live every student has the same deal, the same bench and the same recordings as
    without, what the files run on is packed once, and no sealed value is in a file's text."""
    packed: list[list[deal.Bench]] = []

    def bundle_for(benches: list[deal.Bench], _: object) -> live_page.Bundle:
        packed.append(benches)
        return live_page.Bundle("", "")

    monkeypatch.setattr("sandbox.live.runtime.obtain", lambda **_: None)
    monkeypatch.setattr("sandbox.live.bench_page.bundle_for", bundle_for)
    labels = roster(tmp_path, "Student A", "Student B")
    dealt = ("fixed_sheave", "--roster", labels, "--seed", "7", "--vary", "none",
             "--deal", "head.bearing_friction=0.1..0.4")  # fmt: skip
    for out, more in (("recorded", ()), ("live", ("--live",))):
        done = run("pages", *dealt, "--out", str(tmp_path / out), *more)
        assert done.exit_code == 0, done.output
    assert [len(benches) for benches in packed] == [2]
    for name, there in zip(("student_a", "student_b"), packed[0], strict=True):
        recorded, live = (
            (tmp_path / out / f"{name}.html").read_text("utf-8") for out in ("recorded", "live")
        )
        bench, beside = held(live), held(recorded)
        # The sheet has one language, and more to say.
        assert beside.pop("language") is None and bench.pop("language") == "en"
        words, others = (each.pop("words")["es"] for each in (bench, beside))
        shared = words.keys() & others.keys()
        assert len(shared) > 0.9 * len(others)
        assert all(words[text] == others[text] for text in shared)
        assert bench == beside
        assert there.hidden["head.bearing_friction"] not in live
    assert (tmp_path / "live" / "key.csv").read_bytes() == (
        tmp_path / "recorded" / "key.csv"
    ).read_bytes()
    one = tmp_path / "one.html"
    assert run("page", *dealt, "--student", "2", "--live", "--out", str(one)).exit_code == 0
    assert one.read_bytes() == (tmp_path / "live" / "student_b.html").read_bytes()
    package = ("--package", "scorm", "--out", str(tmp_path / "one.zip"))
    assert run("page", *dealt, "--student", "2", "--live", *package).exit_code == 0
    with zipfile.ZipFile(tmp_path / "one.zip") as packed_page:
        assert packed_page.read("bench.html") == one.read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("page", "fixed_sheave", "--out", "a.txt"), "ends in .html"),
        (("page", "fixed_sheave", "--out", "a.html", "--deal", "bag.mass=1 g..2 g"), "--roster"),
        (("page", "nothing_like_it", "--out", "a.html"), "nothing_like_it"),
        (("page", "fixed_sheave", "--alone", "--out", "a.html"), "--alone without --live"),
        (
            ("page", "fixed_sheave", "--live", "--alone", "--student", "A", "--out", "a.html"),
            "--student with a sheet alone",
        ),
        (("page", "fixed_sheave", "--out", "/no/such/a.html", "--vary", "none"), "/no/such"),
        (("page", "fixed_sheave", "--out", "a.html", "--vary", "x"), "KEY=LOW..HIGH"),
    ],
)
def test_bad_input_is_refused_in_one_message(arguments: tuple[str, ...], said: str) -> None:
    """Bad input ends with exit code 2 and one message on standard error."""
    done = run(*arguments)
    assert done.exit_code == 2
    assert said in done.stderr and "Traceback" not in done.output


def test_a_student_not_on_the_roster_is_refused(tmp_path: Path) -> None:
    """A row that is not there is refused, and the nearest label named."""
    done = run("page", "fixed_sheave", "--roster", roster(tmp_path, "Student A"), "--seed", "1",
               "--student", "Student Q", "--out", "a.html", "--vary", "none")  # fmt: skip
    assert done.exit_code == 2
    assert "Student A" in done.stderr


# The script.


def node_tool(name: str) -> str:
    """A tool of Node's, from .node in the checkout; under CI it must be there."""
    path = ROOT / ".node" / "node_modules" / ".bin" / name
    if path.exists() and shutil.which("node"):
        return str(path)
    missing = f"no {name}: npm install --prefix .node typescript eslint axe-core"
    if os.environ.get("CI"):
        pytest.fail(missing)
    pytest.skip(missing)


def test_script_is_sound_by_its_types() -> None:
    """TypeScript finds no fault with the page's plain JavaScript and its JSDoc types, strictly."""
    tool = node_tool("tsc")
    done = subprocess.run(
        [tool, "-p", str(ROOT / "tests" / "page")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


def test_script_is_linted() -> None:
    """ESLint finds no fault, and no place where text could become markup or code."""
    tool = node_tool("eslint")
    config = ROOT / "tests" / "page" / "eslint.config.mjs"
    done = subprocess.run(
        [tool, "--config", str(config), "assets/page", "assets/live"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr


def test_nothing_but_comments_is_left_out_of_a_script() -> None:
    """What a page's script is without is one comment after another: a line of its own from "//" on,
    or what begins with "/**" and ends at the first "*/", with nothing behind it."""
    found = 0
    for path in (*assets_folder().glob("page/*.js"), *assets_folder().glob("live/*.js")):
        for comment in web._COMMENT.findall(path.read_text("utf-8")):
            lines, text = comment.count("\n"), comment.strip()
            found += 1
            assert (text.startswith("//") and lines == 1) or text.find("*/") == len(text) - 2, text
    assert found > 200


@pytest.mark.parametrize(
    "modules",
    [
        [("page", name) for name in (*page_module.MODULES, "main")],
        [("live", name) for name in (*live_page.MODULES,)],
        [
            *(("page", name) for name in page_module.MODULES),
            *(("live", name) for name in (*live_page.MODULES, "bench")),
        ],
    ],
    ids=["recorded", "sheet", "bench"],
)
def test_modules_can_be_laid_end_to_end(modules: list[tuple[str, str]]) -> None:
    """Of the modules of each kind of page none declares a name another has, and each comes after
    those it imports from."""
    names: dict[str, str] = {}
    for i, (room, module) in enumerate(modules):
        source = (assets_folder() / room / f"{module}.js").read_text("utf-8")
        for other, imported in re.findall(
            r'^import [^;]* from "\.(?:/|\./(\w+)/)(\w+)\.js";$', source, re.M
        ):
            assert (other or room, imported) in modules[:i]
        declared = r"^(?:export )?(?:async )?(?:function|class|const|let) (\w+)"
        for name in re.findall(declared, source, re.M):
            assert name not in names, f"{name} is in {names.get(name)} and {module}"
            names[name] = module
        joined = web.joined(room, [module])
        assert "import " not in re.sub(r"/\*\*.*?\*/", "", joined, flags=re.S)


def test_every_module_is_in_a_page() -> None:
    """Every module of the recorded page's script is in it."""
    there = {path.stem for path in (assets_folder() / "page").glob("*.js")}
    assert there == {*page_module.MODULES, "main"}


def test_load_is_the_scene_of_the_page() -> None:
    """The page carries the scene file's whole text, by which the record is reviewed."""
    told = held(text("four_part_tackle"))
    path = find_scene("four_part_tackle")
    assert told["scene"]["text"] == path.read_text("utf-8")
    assert told["scene"]["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert told["predict"][0]["name"] == load(path).about.predict[0]


def test_the_jaws_of_a_splitting_wedge_slide_apart_on_a_page() -> None:
    """The page moves the left jaw by -tan 11 deg and the right one by +tan 11 deg for each
    millimetre of the sheet that the wedge goes down, which itself hangs from its frame."""
    mould = load(find_scene("parting_a_mould"))
    shots = engine.run(mould, duration=0.1).snapshots
    view = shapes.view_of(mould, shots, 50.0)
    drawn = shapes.draw(mould, shots[0], view, Display())
    carriers = drawn.structure.carriers
    across = [drawn.numbers[4 * i] for i, c in enumerate(carriers) if c.kind == "sliding"]
    slope = math.tan(math.radians(11)) * view.scale
    assert len(across) == 2 and near(min(across), -slope, rel=1e-6)
    assert near(max(across), slope, rel=1e-6)
    assert any((c.kind, c.of) == ("hung", "splitter") for c in carriers)


def test_the_blow_that_ends_a_run_does_not_dwarf_the_forces():
    """A wedge that is squeezed out strikes its stop with 20 times its load: no arrow of the page
    is longer than its load's weight and its own, 2.4 kg and 0.2 kg, with what friction adds."""
    scene = bench("wedge_squeezed_out").scene
    recorded = engine.run(scene, step=virtual_bench.BENCH_STEP, sample=virtual_bench.BENCH_SAMPLE)
    shown = pages.grid.run_given(scene).recording
    blow, most = (
        max(force.force.norm for shot in run.snapshots for force in shot.forces)
        for run in (recorded, shown)
    )
    assert blow > 200.0 and most < 1.1 * 2.6 * 9.80665


def test_the_recorded_run_of_a_held_machine_goes_to_both_edges():
    """Eased off and pulled harder a held sled's hand pulls with W (sin a -+ mu cos a) to a
    hundredth of what lies between, friction is all that the board gives, up it and down it, and
    nothing slips."""
    scene = bench("sled_held").scene
    given = pages.grid.run_given(scene)
    slope, weight = math.radians(28.0), 1.12 * 9.80665
    share, most = weight * math.sin(slope), 0.36 * weight * math.cos(slope)
    times = pages.grid.moments(scene, given.measured)
    assert list(times) == ["least", "greatest"] and not given.recording.events
    for time, sign in zip(times.values(), (1.0, -1.0), strict=True):
        shot = min(given.recording.snapshots, key=lambda each: abs(each.time - time))
        assert near(shot.readings["hand.force"], share - sign * most, abs=0.02 * most)
        assert near(shot.readings["sled.friction"], sign * most, abs=0.02 * most)
    assert pages.grid.moments(bench("sled_drawn_up").scene, {}) == {}
