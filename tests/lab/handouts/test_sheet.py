"""The handout and its key: what they say, what they keep to themselves, how they print."""

from __future__ import annotations

import itertools
import math
import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from sandbox import units
from sandbox.engine import measure, run
from sandbox.lab import facts
from sandbox.lab.class_work import virtual_bench
from sandbox.lab.class_work.deal import open_file
from sandbox.lab.handouts import handout
from sandbox.lab.handouts.handout import PAPERS, Figure, compose
from sandbox.lab.handouts.phrases import Phrases
from sandbox.lab.handouts.worked_answer import work
from sandbox.lab.working.lines import Step
from sandbox.language import words as language
from sandbox.language.display import Display
from sandbox.painting.handout_figure import handout_figure
from sandbox.scene import Scene, load, revised, value_of
from sandbox.scene.parts import Body, Ramp
from sandbox.shipped import find_scene, shipped_scenes
from sandbox.theory import predict
from tests.catalogue import Blank, entries, read, translated
from tests.every_scene import COMPARED, WHOLE
from tests.tolerance import near

NAMES = [path.stem for path in shipped_scenes()]
MOST_PAGES = 2


def no_progress(share: float) -> None:
    del share


@cache
def scene(name: str) -> Scene:
    return load(find_scene(name))


@cache
def composed_of(name: str) -> handout.HandoutText:
    return compose(scene(name))


@cache
def drawing(name: str, told: bool = False) -> Figure:
    return handout_figure(scene(name), told, no_progress)


@cache
def page(name: str, key: bool = False, paper: handout.PaperSize = "a4") -> str:
    return handout.handout(composed_of(name), drawing(name), key=key, paper=paper)


# The worked lines.


def reworked(text: str) -> float:
    """A printed line of numbers worked out again by itself, from its characters."""
    text = re.sub(r"(?<=\d) (N·m|m/s²|kg|N|m|J)(?![\w·/])", "", text)
    text = re.sub(r"[⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+", lambda m: f"**({m[0].translate(RAISED)})", text)
    text = re.sub(r"(sin|cos|tan|arctan) (\d[\d.]*°?)", r"\1(\2)", text).replace("°", "*degree")
    text = text.replace("×", "*").replace("−", "-").replace("√", "sqrt")
    known = {"degree": math.pi / 180, "sin": math.sin, "cos": math.cos, "sqrt": math.sqrt}
    known |= {"tan": math.tan, "arctan": math.atan, "exp": math.exp}
    return float(eval(text, {"__builtins__": {}, **known}))


RAISED = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")


def printed(step: Step) -> float:
    """The printed result, in SI."""
    return reworked(step.result if step.unit == "°" else step.result.removesuffix(step.unit))


@pytest.mark.parametrize("name", NAMES)
def test_every_printed_line_can_be_worked_again(name: str):
    """Each line's printed numbers give its printed result, as far as five figures allow."""
    steps = work(scene(name)).steps
    assert steps
    for step in steps:
        numbers = [abs(float(n)) for n in re.findall(r"\d+\.?\d*", step.numbers)]
        # What cancels keeps fewer figures: the slack is of the largest number in the line.
        slack = 1e-4 * max(numbers) if "−" in step.numbers else 0.0
        assert near(reworked(step.numbers), printed(step), rel=3e-4, abs=slack + 1e-12), step
        assert near(printed(step), step.value, rel=6e-5, abs=1e-12), step


@pytest.mark.parametrize("name", NAMES)
def test_the_working_ends_where_theory_does(name: str):
    """Every quantity the lines answer agrees with the assembled equilibrium to 0.005 %, and among
    them is every one that the scene asks for."""
    working, theory = work(scene(name)), predict(scene(name)).quantities
    answered = working.answered()
    assert not working.unworked
    assert set(scene(name).about.predict) <= set(answered)
    for quantity, value in answered.items():
        assert near(value, theory[quantity], rel=5e-5, abs=1e-9), quantity


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("four_part_tackle", {"lower.bearing_friction": 0.35, "ballast.mass": 2.7}),
        (
            "lever_second_class",
            {"plate.on": 0.62, "bar.bearing_friction": 0.5, "bar.pin_radius": 0.01},
        ),
        (
            "sled_pulled_at_an_angle",
            {"slip.static_friction": 0.5, "slip.kinetic_friction": 0.4, "slip.angle": 0.4},
        ),
        ("lever_hauling_a_fall", {"lead.bearing_friction": 0.4, "upper.bearing_friction": 0.1}),
        ("off_centre_pivot", {"shot.mass": 0.09}),
        ("sled_and_hanging_weight", {"bag.mass": 1.4, "lead.bearing_friction": 0.3}),
        ("slung_spar", {"bag.on": 0.2, "spar.centre": 0.4}),
        ("sled_held", {"slip.static_friction": 0.4, "slip.angle": 0.6}),
        ("lowering_a_barrel", {"upper.bearing_friction": 0.3}),
        ("tackle_up_a_ramp", {"head.sheave_mass": 0.3, "moving.bearing_friction": 0.4}),
        ("parting_a_mould", {"splitter.guide_friction": 0.2, "splitter.angle": 0.7}),
        ("wedge_between_two_planks", {"splitter.floor_friction": 0.0, "splitter.angle": 0.5}),
        ("tackle_on_tackle", {"foot.sheave_mass": 0.5, "traveller.bearing_friction": 0.4}),
    ],
)
def test_the_working_holds_for_other_values(name: str, changes: dict[str, float]):
    """The lines agree with theory for other masses, places, angles and frictions than shipped."""
    other = revised(scene(name), changes)
    working, theory = work(other), predict(other).quantities
    assert not working.unworked and working.answered()
    for quantity, value in working.answered().items():
        assert near(value, theory[quantity], rel=2e-4, abs=1e-9), quantity


def test_a_machine_beyond_the_lines_says_so():
    """Where the lines do not go, the key says so and still gives the answers."""
    machine = revised(scene("balanced_rule"), {"stick.bearing_friction": 0.3})
    composed = compose(machine)
    assert composed.working.unworked
    text = handout.handout(composed, drawing("balanced_rule"), key=True)
    assert "Not worked by hand any further" in text


# Sheaves that weigh, stops, and what the load is.

G = 9.80665


def asking(name: str, changes: dict[str, float], *asked: str) -> Scene:
    machine = revised(scene(name), changes)
    return replace(machine, about=replace(machine.about, predict=asked))


def test_heavy_sheaves_against_the_set_of_equations():
    """The tensions of a four-part tackle: T2 - T1 = q (T1 + T2 -/+ w) over each sheave, minus where
    the block hangs in the rope, and four parts that carry all that hangs, solved at once."""
    machine = load(
        find_scene("four_part_tackle"),
        {
            "upper.sheave_mass": "0.3 kg",
            "lower.sheave_mass": "60 g",
            "lower.bearing_friction": "0.4",
        },
    )
    lower, upper = 0.4 * 4 / 25, 0.2 * 4 / 25
    sheaves = [(lower, -0.06 * G), (upper, 0.3 * G)] * 2
    rows, right = [[1.0, 1.0, 1.0, 1.0, 0.0]], [(0.14 + 1.2) * G]
    for i, (q, own) in enumerate(sheaves):
        row = [0.0] * 5
        row[i], row[i + 1] = -(1.0 + q), 1.0 - q
        rows.append(row)
        right.append(q * own)
    tensions = np.linalg.solve(np.array(rows), np.array(right)).tolist()
    working = work(machine)
    found = {step.symbol: step.value for step in working.steps}
    assert not working.unworked
    for i, tension in enumerate(tensions, 1):
        assert near(found[f"T_{i}"], tension, rel=1e-12)
    for step in working.steps:
        assert near(reworked(step.numbers), step.value, rel=3e-3, abs=2e-4), step


def test_a_line_turned_square_against_its_pin_loads():
    """Over the sheave of a level lead T2 - T1 = q P, with P of its level part, its plumb part and
    its own weight; each root found apart."""
    heavier = {"lead.sheave_mass": 0.4}
    machine = asking("lever_hauling_a_fall", heavier, "fall.tension_4", "lead.pin_load_1")
    q, light, heavy = 0.2 * 4 / 25, 0.005 * G, 0.4 * G
    weight = 3.08 * G
    second = (weight * (1 + q) - q * light) / 2
    third = brentq(lambda t: t - second - q * math.hypot(t, second + light), second, 2 * second)
    fourth = brentq(lambda t: t - third - q * math.hypot(third, t + heavy), third, 2 * third)
    working = work(machine)
    assert not working.unworked
    assert near(working.answered()["fall.tension_4"], fourth, rel=1e-5)
    pin = math.hypot(third, fourth + heavy)
    assert near(working.answered()["lead.pin_load_1"], pin, rel=1e-5)


LIFTED = """
[scene]
title = "A lever nearly lifted off"
watch = "What the pin bears."
mode = "raising"
[lever.bar]
length = "60 cm"
mass = "100 g"
centre = "30 cm"
at = ["0 cm", "1 m"]
fulcrum = "5 cm"
support = "pin"
[weight.plate]
mass = "4 kg"
on = "bar@30.7 cm"
[rope.line]
reeve = ["bar@30.5 cm", "hand"]
[hand.hand]
at = ["plumb", "2 m"]
travel = "3 cm"
"""


def test_a_small_reaction_feels_how_a_large_pull_leans(tmp_path: Path):
    """Where a line within 0.1 degrees of the plumb nearly lifts a lever off its pin, what is left
    on the pin is the line's sideways pull as well: moments and forces as they then stand."""
    path = tmp_path / "near_the_fulcrum.toml"
    path.write_text(LIFTED)
    machine = load(path)
    found, theory = work(machine).answered(), predict(machine).quantities
    assert theory["bar.reaction"] < 0.05 * theory["hand.force"]
    assert near(found["bar.reaction"], theory["bar.reaction"], rel=2e-4)


def test_the_loads_on_the_pins_that_are_asked():
    """The load on a pin is the pulls and the sheave's own weight: added on a fixed block, taken off
    on one that hangs in the rope."""
    heavier = {"upper.sheave_mass": 0.3}
    working = work(asking("two_part_tackle", heavier, "upper.pin_load_1", "lower.pin_load_1"))
    tension = {step.symbol: step.value for step in working.steps}
    over = tension["T_2"] + tension["T_3"] + 0.3 * G
    assert near(working.answered()["upper.pin_load_1"], over, rel=1e-9)
    under = tension["T_1"] + tension["T_2"] - 0.005 * G
    assert near(working.answered()["lower.pin_load_1"], under, rel=1e-9)


def test_a_bar_on_its_stop_presses_the_peg():
    """The peg, 10 cm from the fulcrum and square to the bar, holds up the moment of 0.8 kg and
    0.3 kg; what it bears is taken from the fulcrum's load, as forces add."""
    machine = load(find_scene("tipping_bar"), {"spar.stop_distance": "10 cm"})
    turn = math.radians(15.0)
    moment = G * (0.8 * 0.2 - 0.3 * 0.3) * math.cos(turn)
    peg = moment / 0.1
    reaction = math.hypot(peg * math.sin(turn), 1.1 * G - peg * math.cos(turn))
    found = work(machine).answered()
    assert near(found["spar.tilt"], -turn, rel=1e-12)
    assert near(found["spar.stop_force"], peg, rel=1e-9)
    assert near(found["spar.reaction"], reaction, rel=1e-9)


def test_what_the_toe_board_holds_is_left_open():
    """Friction and toe board share the weight of a sled at its ramp's foot in no one way."""
    machine = load(find_scene("sled_let_slide"), {"sled.on": "slip@5 cm"})
    assert work(machine).unworked == facts.BOARD_AND_FRICTION()
    steep = {"sled.on": "slip@5 cm", "slip.rise": "1 m"}
    drawn = compose(load(find_scene("sled_drawn_up"), steep))
    assert not any("cast off" in question.text for question in drawn.questions)


@pytest.mark.parametrize("sense", ["raising", "lowering", "held"])
def test_a_hand_on_a_rod(sense: str):
    """Pushed along the slope a sled asks W (sin a +- mu cos a) of the hand; held, mu is static."""
    machine = load(find_scene("sled_pushed_up"), {"scene.mode": sense, "slip.angle": "24 deg"})
    slope, weight = math.radians(24.0), 1.35 * G
    found = work(machine).answered()
    expected = {
        "raising": {"hand.force": 0.3},
        "lowering": {"hand.force": -0.3},
        "held": {"hand.greatest_force": 0.36, "hand.least_force": -0.36},
    }[sense]
    for quantity, rub in expected.items():
        exact = weight * (math.sin(slope) + rub * math.cos(slope))
        assert near(found[quantity], exact, rel=1e-9), quantity


HOOKED = '[weight.extra]\nmass = "0.3 kg"\non = "lower"\n\n[rope.fall]'


def test_all_that_hangs_with_the_load_is_raised(tmp_path: Path):
    """Two weights on one hook are one load, in the work out, the advantage and the questions."""
    text = find_scene("four_part_tackle").read_text().replace("[rope.fall]", HOOKED)
    path = tmp_path / "hooked.toml"
    path.write_text(text.replace("[scene]", '[scene]\nload = "ballast"'))
    composed = compose(load(path))
    found = composed.working.answered()
    assert near(found["machine.work_out"], 1.5 * G * found["ballast.rise"], rel=1e-12)
    assert near(found["machine.mechanical_advantage"], 1.5 * G / found["hand.force"], rel=1e-12)
    assert any("only “ballast” and “extra” weighed" in q.text for q in composed.questions)
    path.write_text(text.replace("[scene]", '[scene]\nload = "lower"'))
    composed = compose(load(path))
    assert not composed.working.unworked
    assert near(composed.working.answered()["machine.work_out"] / G, 1.64 * 0.054, rel=1e-9)
    assert not any("rises with the load" in q.text for q in composed.questions)


SINKING = """
[scene]
title = "The load comes down"
watch = "It helps the hand."
mode = "raising"
load = "stone"
predict = ["hand.force"]
[lever.bar]
length = "1 m"
mass = "200 g"
at = ["0 m", "1 m"]
fulcrum = "50 cm"
[weight.counter]
mass = "2 kg"
on = "bar@10 cm"
[weight.stone]
mass = "500 g"
on = "bar@80 cm"
[rope.line]
reeve = ["bar@95 cm", "hand"]
[hand.hand]
at = ["plumb", "20 cm"]
travel = "10 cm"
[gauge.balance]
rope = "line"
range = "20 N"
graduation = "0.1 N"
"""


def test_where_the_load_comes_down_there_is_no_efficiency(tmp_path: Path):
    """The hand hauls a counterweight up and the load down: the lines, the handout, a student's
    readings and the simulation give neither advantage nor efficiency."""
    path = tmp_path / "sinking.toml"
    path.write_text(SINKING)
    composed = compose(load(path))
    found = composed.working.answered()
    effort = G * (2.0 * 0.4 - 0.5 * 0.3) / 0.45
    assert near(found["hand.force"], effort, rel=1e-3)
    assert found["machine.work_out"] < 0.0
    none = {"machine.mechanical_advantage", "machine.efficiency"}
    assert not none & set(found)
    assert "efficiency" not in {each.what for each in composed.calculations}
    asked = [q.text for q in composed.questions]
    assert any("to lower “stone”" in text for text in asked)
    assert not any("More work goes in" in text for text in asked)
    readings = {"balance.reading": effort, "hand.travel": 0.06, "stone.rise": -0.04}
    worked_out = virtual_bench.worked_out(open_file(path), readings)
    assert near(worked_out["machine.work_out"], -0.5 * G * 0.04, rel=1e-12)
    assert not none & set(worked_out)
    measured = measure(run(load(path))).quantities
    assert measured["machine.work_out"] < 0.0 and not none & set(measured)


# What the sheet says.


@pytest.mark.parametrize("name", NAMES)
def test_the_students_sheet_keeps_the_answers(name: str):
    """No predicted value, nor the scene's own hint, nor any force, is on the student's sheet or
    its drawing; all are on the key."""
    composed = composed_of(name)
    sheet, key = page(name), page(name, key=True)
    seen = re.sub(r"base64,[^)]*|<style.*?</style>", "", sheet, flags=re.S)
    words = " ".join(re.findall(r">([^<]+)<", seen))
    for prediction in composed.predictions:
        number = re.match(r"−?[\d.]+", prediction.answer)
        assert number is not None
        assert prediction.answer in key
        if float(number[0].replace("−", "-")) not in (0.0, 2.0, 3.0, 5.0):
            assert prediction.answer not in words
    assert scene(name).about.watch.split(":")[0][:30] not in words
    assert not re.search(
        r"\d N\b(?! in|\)| and|,|<| /)", drawing(name).picture.replace("division", "")
    )
    for question in composed.questions:
        assert question.answer not in words


@pytest.mark.parametrize("name", NAMES)
def test_five_or_six_questions_with_answers(name: str):
    """Each sheet has five or six different questions, each with an answer of its own."""
    questions = composed_of(name).questions
    assert 5 <= len(questions) <= 6
    assert len({q.text for q in questions}) == len(questions)
    assert all(len(q.answer) > 10 for q in questions)


@pytest.mark.parametrize(
    ("name", "sense"),
    [
        ("fixed_sheave", "held"),
        ("lever_first_class", "held"),
        ("just_under_repose", "held"),
        ("lever_hauling_a_fall", "released"),
    ],
)
def test_a_machine_worked_otherwise_has_questions_too(name: str, sense: str):
    """In a sense its scene was not made for a machine has a sheet, with questions that suit it."""
    composed = compose(load(find_scene(name), {"scene.mode": sense}))
    assert 2 <= len(composed.questions) <= 6


def answer(name: str, start: str) -> str:
    return next(q.answer for q in composed_of(name).questions if start in q.text)


def test_answers_against_elementary_statics():
    """Answers to some of the questions, against formulas worked out here."""
    g = 9.80665
    assert answer("four_part_tackle", "How many parts").startswith("4.")
    assert answer("five_part_tackle", "How many parts").startswith("5.")
    assert "it is one of them" in answer("five_part_tackle", "How many parts")
    assert "not one of them" in answer("four_part_tackle", "How many parts")
    assert "pulls on “traveller” and not on “lower”" in answer("tackle_on_tackle", "How many parts")
    assert "second" in answer("lever_second_class", "Of which class")
    assert "third" in answer("lever_third_class", "Of which class")
    assert "first" in answer("lever_first_class", "Of which class")
    stick = scene("off_centre_pivot")
    fulcrum, mass = value_of(stick, "stick.fulcrum"), value_of(stick, "stick.mass")
    other = mass * (value_of(stick, "stick.length") / 2 - fulcrum)
    other *= 1000 / (fulcrum - value_of(stick, "shot.on"))
    assert f"{other:.1f} g" in answer("off_centre_pivot", "What mass would")
    middle = 0.625 + (0.625 - 0.7) * 0.9 / 1.5
    assert f"{100 * middle:.1f} cm" in answer("spar_on_two_props", "carry the same")
    ramp = scene("sled_let_slide").of(Ramp)[0]
    acceleration = g * (math.sin(ramp.slope) - ramp.kinetic_friction * math.cos(ramp.slope))
    assert f"{math.sqrt(0.5 / acceleration):.3f} s" in answer("sled_let_slide", "half the distance")
    ramp, sled = (scene("sled_drawn_up").of(kind)[0] for kind in (Ramp, Body))
    smooth = sled.mass * g * ramp.rise / ramp.length
    assert f"{smooth:.2f} N" in answer("sled_drawn_up", "without any friction")
    assert "0.029 N" in answer("four_part_tackle", "standard uncertainty")


def test_cautions_suit_the_parts():
    """Only what the scene has is warned of, and always lifting people and real loads."""
    tackle, ramp = page("four_part_tackle"), page("sled_let_slide")
    assert "hanging weights" in tackle and "turning sheaves" in tackle
    assert "hanging weights" not in ramp and "A line" not in ramp and "ramp's foot" not in tackle
    for text in (tackle, ramp):
        assert "never for lifting people or real loads" in text and "Local rules" in text


def test_instruments_and_units_head_the_table():
    """The data table names each instrument's unit and division."""
    text = page("four_part_tackle")
    assert "in N, division 0.1 N" in text and "in cm, division 1 mm" in text
    for unit in ("kg", "N·m", "no unit"):
        assert f"> {unit}</label>" in text


class Outline(HTMLParser):
    """What an assistive program relies on."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.unlabelled: list[dict[str, str | None]] = []
        self.labels: set[str | None] = set()
        self.feed(text)
        self.ids = [a["id"] for _, a in self.tags if "id" in a]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = dict(attrs)
        self.tags.append((tag, attributes))
        if tag == "label":
            self.labels.add(attributes.get("for"))
        if tag == "input" and "aria-label" not in attributes and "label" not in self.open:
            self.unlabelled.append(attributes)
        if tag not in ("input", "meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop() != tag:
            pass


@pytest.mark.parametrize("key", [False, True])
@pytest.mark.parametrize("name", ["four_part_tackle", "balanced_rule", "sled_let_slide"])
def test_the_page_suits_a_screen_reader(name: str, key: bool):
    """The page has a language, one h1, headings without gaps, unique ids, scoped table headings,
    a label for each field and a description of the drawing."""
    text = page(name, key=key)
    found = Outline(text)
    tags = [tag for tag, _ in found.tags]
    assert found.tags[0] == ("html", {"lang": "en"})
    assert tags.count("h1") == 1
    levels = [int(tag[1]) for tag in tags if re.fullmatch(r"h[1-6]", tag)]
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels))
    assert len(found.ids) == len(set(found.ids))
    assert all("scope" in attributes for tag, attributes in found.tags if tag == "th")
    assert all(field.get("id") in found.labels for field in found.unlabelled)
    ((_, svg),) = [(tag, a) for tag, a in found.tags if tag == "svg"]
    assert svg["role"] == "img" and svg["aria-labelledby"] in found.ids
    named = {a["aria-labelledby"] for tag, a in found.tags if tag == "section"}
    assert named <= set(found.ids)


def test_the_page_is_self_contained_and_shut():
    """Nothing is fetched and nothing runs: no script, no address, a policy that forbids both."""
    for key in (False, True):
        text = page("four_part_tackle", key=key)
        assert "default-src 'none'" in text and "form-action 'none'" in text
        assert "<script" not in text and "javascript:" not in text
        addresses = set(re.findall(r"https?://[^\"'\s<>]+", text))
        assert addresses <= {"http://www.w3.org/2000/svg"}
        assert not re.search(r"\s(src|href|on\w+)=", text)


def test_what_a_scene_file_says_is_escaped():
    """Titles and hints that look like HTML are shown, not obeyed."""
    hostile = '</title><script>alert("1")</script><img src=x onerror=1>'
    machine = load(find_scene("two_part_tackle"), {"scene.title": hostile, "scene.watch": hostile})
    composed, figure = compose(machine), handout_figure(machine, False, no_progress)
    for key in (False, True):
        text = handout.handout(composed, figure, key=key)
        assert "<script" not in text and "<img" not in text
        assert "&lt;script&gt;" in text


def test_subscripts_are_set_low_and_powers_stay_high():
    """A symbol's subscript is set low, without the power that follows it, and a part's name with
    an underscore is left alone."""
    text = page("sled_and_hanging_weight", key=True)
    assert "(T<sub>1</sub> sin α + T<sub>2</sub> + m<sub>sheave</sub> g)²" in text
    assert "m<sub>bag</sub>" in text
    assert "fore_gauge shows" in page("slung_spar", key=True)


def test_shown_in_the_quantitys_unit():
    """Values are printed in the unit that the quantity is calculated in, of either system."""
    assert Display().basic(math.radians(-15), units.ANGLE) == "−15.00°"
    assert Display().basic(0.76275, units.NUMBER) == "0.7628"
    assert Display("es").basic(0.216, units.LENGTH) == "0,2160 m"
    # Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
    assert Display(system="US").basic(4.4482216152605, units.FORCE) == "1.000 lbf"


# The command.


def test_the_command_writes_sheet_and_key(tmp_path: Path):
    """`sheet` writes a page for the student, and with --key another for the teacher."""
    for words, wanted in (((), "Predict first"), (("--key",), "Line by line")):
        out = tmp_path / f"{len(words)}.html"
        command = [sys.executable, "-m", "sandbox", "sheet", "movable_sheave", "--out", str(out)]
        result = subprocess.run([*command, *words], capture_output=True, text=True, timeout=120)
        assert result.returncode == 0, result.stderr
        assert wanted in out.read_text() and out.read_text().startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--paper", "a3"], "a4, letter"),
        (["--language", "xx"], "one of en, es"),
        (["--out", "sheet.pdf"], "ending in .html or .odt"),
        (["--out", "/nowhere/at/all/sheet.html"], "can be written to"),
        (["--set", "hand.travel=50 m"], ""),
    ],
)
def test_bad_input_is_one_message(words: list[str], message: str, tmp_path: Path):
    """Bad input ends with exit code 2 and one message, no traceback."""
    from typer.testing import CliRunner

    from sandbox.cli import app

    out = [] if "--out" in words else ["--out", str(tmp_path / "sheet.html")]
    result = CliRunner().invoke(app, ["sheet", "two_part_tackle", *out, *words])
    assert result.exit_code == 2, result.output
    assert message in result.output and "Traceback" not in result.output


# In print.

CUT = """([width, height]) => {
  const found = [];
  if (document.documentElement.scrollWidth > Math.ceil(width)) found.push("page is too wide");
  const inside = document.querySelectorAll("body *:not(style):not(title):not(desc)");
  for (const element of inside) {
    const box = element.getBoundingClientRect();
    const name = element.tagName + " " + (element.textContent || "").trim().slice(0, 40);
    if (box.width === 0 && box.height === 0) continue;
    if (box.left < -0.5 || box.right > width + 0.5) found.push("over the side: " + name);
    const style = getComputedStyle(element);
    const whole = style.breakInside === "avoid" || element.matches("svg, input, h1, h2, h3");
    if (whole && box.height > height) found.push("higher than a page: " + name);
    const clips = style.overflowX !== "visible" || element.matches("input");
    if (!clips && !element.closest("svg") && element.scrollWidth > element.clientWidth + 1
        && element.clientWidth > 0 && style.display !== "inline")
      found.push("text runs out of: " + name);
  }
  for (const svg of document.querySelectorAll("figure svg")) {
    const frame = svg.getBoundingClientRect();
    for (const part of svg.querySelectorAll("text, polyline, polygon, circle")) {
      const box = part.getBoundingClientRect();
      if (box.left < frame.left - 1 || box.right > frame.right + 1
          || box.top < frame.top - 1 || box.bottom > frame.bottom + 1)
        found.push("out of the drawing: " + (part.textContent || part.tagName));
    }
  }
  for (const row of document.querySelectorAll("figure, tr, fieldset, li"))
    if (getComputedStyle(row).breakInside !== "avoid") found.push("may be split: " + row.tagName);
  const labels = [...document.querySelectorAll("figure svg text")];
  const texts = labels.map(label => label.getBoundingClientRect());
  texts.forEach((a, i) => texts.slice(i + 1).forEach((b, j) => {
    const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const up = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    if (across > 1 && up > 0.4 * Math.min(a.height, b.height))
      found.push("texts overlap: " + labels[i].textContent + ", " + labels[i + 1 + j].textContent);
  }));
  return found;
}"""


@pytest.fixture(scope="module")
def tab(browser):  # type: ignore[no-untyped-def]
    """One tab for every sheet, which each replaces whole."""
    opened = browser.new_page()
    opened.emulate_media(media="print")
    yield opened
    opened.close()


def problems(tab, text: str, paper: handout.PaperSize) -> tuple[list[str], int]:  # type: ignore[no-untyped-def]
    """What is cut or split in print, and how many pages there are."""
    _, across, high = PAPERS[paper]
    width, height = ((side - 2 * handout.MARGIN) * 96 / 25.4 for side in (across, high))
    tab.set_viewport_size({"width": math.floor(width), "height": math.floor(height)})
    tab.set_content(text)
    tab.evaluate("document.fonts.ready")
    found = tab.evaluate(CUT, [width, height])
    pdf = tab.pdf(prefer_css_page_size=True, print_background=True)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    for box in boxes:
        for side, wanted in zip(box, (across, high), strict=True):
            assert near(float(side) * 25.4 / 72, wanted, abs=0.5), box
    return found, len(boxes)


def test_nothing_is_cut_on_paper(tab):  # type: ignore[no-untyped-def]
    """Of sheets with each two kinds of parts, of all where SANDBOX_WHOLE is set, on every paper
    nothing is cut by a page's edge or split between pages, and it takes two pages at most."""
    for name in [path.stem for path in COMPARED]:
        # Composed and drawn once for all papers.
        asked, drawn = composed_of(name), drawing(name)
        for paper in PAPERS:
            found, pages = problems(tab, handout.handout(asked, drawn, paper=paper), paper)
            assert not found, (name, paper, found)
            assert 1 <= pages <= MOST_PAGES, (name, paper, pages)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_nothing_of_the_key_is_cut_on_paper(tab, paper: handout.PaperSize):  # type: ignore[no-untyped-def]
    """The same of the three longest keys, and of all where SANDBOX_WHOLE is set."""
    longest = sorted(NAMES, key=lambda name: -len(work(scene(name)).steps))
    for name in longest if WHOLE else longest[:3]:
        text = handout.handout(composed_of(name), drawing(name, told=True), key=True, paper=paper)
        found, pages = problems(tab, text, paper)
        assert not found, (name, found)
        assert pages <= 3, (name, pages)


def test_the_measure_sees_what_is_cut(tab):  # type: ignore[no-untyped-def]
    """A row too wide for the page and a block higher than it are found: the check can fail."""
    text = page("two_part_tackle")
    for harm in (
        "<p style='width: 300mm'>wide</p>",
        "<p style='break-inside: avoid; height: 400mm'>high</p>",
        "<p style='width: 40mm'>" + "x" * 200 + "</p>",
    ):
        found, _ = problems(tab, text.replace("<main>", f"<main>{harm}"), "a4")
        assert found


# In the reader's language and units.


def said(sheet: handout.HandoutText) -> list[str]:
    """Every text of a sheet and its key, but for what the scene says of itself."""
    found = [sheet.caption(key=False), sheet.caption(key=True), sheet.task, sheet.unworked]
    found += [*sheet.apparatus, *sheet.cautions]
    for prediction in sheet.predictions:
        found += [prediction.about, *prediction.choices, prediction.answer]
    for row in (*sheet.columns, *sheet.calculations, *sheet.questions):
        found += row
    found += sheet.working.headings.values()
    for step in sheet.working.steps:
        found += [step.about, step.symbol, step.formula, step.numbers, step.result]
    phrases = Phrases(sheet.display)
    for phrase in vars(phrases).values():
        found += (
            [phrase] if isinstance(phrase, str) else phrase if isinstance(phrase, tuple) else []
        )
    found += [phrases.prediction_value(1), phrases.prediction_unit(1), phrases.second_line(1)]
    return [*found, phrases.unworked(""), phrases.reading(1, "", "")]


UNITS = {"N", "cm", "mm", "m", "kg", "g", "s", "J", "W", "lbf", "ft", "in", "oz", "lb"}
MATHEMATICS = {"cos", "arctan", "tan", "exp"}
LISTING = {"and"}
"""Of the Unicode CLDR."""
IDENTIFIER = r"\b[a-z]\w*\.[a-z]\w+"


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_a_handout_comes_from_the_catalogue(
    name: str, monkeypatch: pytest.MonkeyPatch
):
    """With every letter of the catalogue put out, sheet and key have no words left but the names
    of the scene's parts, units and mathematics: no name from a scene file, as "hand.force"."""
    monkeypatch.setattr(language, "translations", lambda _: Blank())
    sheet = compose(scene(name), Display(system="US"))
    mine = set(re.findall(r"[^\W\d_]+", " ".join(scene(name).parts)))
    for text in said(sheet):
        left = set(re.findall(r"[A-Za-zÀ-ÿ]{2,}", text)) - UNITS - MATHEMATICS - LISTING - mine
        assert not left, (text, left)
        assert not re.search(IDENTIFIER, text), text


def test_no_text_of_a_handout_has_an_identifier():
    """Nor has any text of the catalogue that the lab's handouts say, in either language."""
    for message in entries(read("es")).values():
        if any("/lab/handouts/" in place for place, _ in message.locations):
            for text in (message.id, *translated(message)):
                assert not re.search(IDENTIFIER, str(text)), text


@pytest.mark.parametrize("name", ["crab_winch", "tackle_on_tackle", "slung_spar"])
def test_a_spanish_key_names_no_part_in_english(name: str) -> None:
    """A Spanish handout with its key, formulas among it, has the parts' Spanish names alone."""
    display = Display("es").of(scene(name).about)
    composed = compose(scene(name), display)
    text = handout.handout(composed, Figure("<svg></svg>", 100.0, 80.0, ""), key=True)
    text = re.sub("<style.*?</style>", "", text, flags=re.DOTALL)
    words = set(re.findall(r"(?<![.\w])\w+", re.sub("<[^>]+>", " ", text)))
    assert not words & {part for part, called in display.parts if part != called}
