"""Predictions are committed first, stand, and are judged by unit, number and misconception."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from sandbox.lab.class_work import facts, misconceptions, predict
from sandbox.lab.class_work.deal import Bench, open_file, open_text
from sandbox.lab.class_work.misconceptions import told
from sandbox.lab.class_work.predict import comes_of, judge
from sandbox.lab.class_work.record import read
from sandbox.language.display import Display
from sandbox.scene import Scene, load, value_of
from sandbox.shipped import find_scene, shipped_scenes
from tests.commands import inside, refused
from tests.tolerance import near

G = 9.80665


def scene(name: str, **changes: str) -> Scene:
    return load(find_scene(name), {key.replace("__", "."): value for key, value in changes.items()})


def known(name: str, key: str) -> float:
    """A value that a shipped scene gives."""
    value = value_of(scene(name), key)
    assert value is not None
    return value


def right(machine: Scene, quantity: str) -> float:
    value = misconceptions.right(machine, quantity)
    assert value is not None
    return value


# What a misconception gives, worked out here by hand: a fourfold tackle with a weight on a moving
# block; a sled on a ramp, pulled along it; a handspike with 2 kg at 5 cm, the fulcrum at 25 cm and
# the hand at 95 cm.
TACKLE, SLED, SPIKE = "four_part_tackle", "sled_drawn_up", "lever_first_class"
JACK = "jack_under_a_keel"
"""8.4 kg with the screw, a lead of 12 mm, a mean radius of 10 mm, a bar of 8 cm."""
WEDGE = "wedge_under_a_keel"
MOULD = "parting_a_mould"
"""4.7 kg with the follower, an angle of 9 degrees, friction 0.21 on the inclined face."""
WEDGE_SLOPE = math.tan(math.radians(9))
BALLAST, BLOCK = known(TACKLE, "ballast.mass"), known(TACKLE, "lower.mass")
HANGS = (BALLAST + BLOCK) * G
LOSS = known(TACKLE, "upper.bearing_friction") * known(TACKLE, "upper.pin_radius")
LOSS /= known(TACKLE, "upper.radius")
RATIO = (1 + LOSS) / (1 - LOSS)
PULL = HANGS * RATIO**4 * (RATIO - 1) / (RATIO**4 - 1)
LENGTH, RISE, MU = (
    known(SLED, "slip.length"),
    known(SLED, "slip.rise"),
    known(SLED, "slip.kinetic_friction"),
)
SLOPE = math.asin(RISE / LENGTH)
STATIC = known(SLED, "slip.static_friction")
SLED_WEIGHT = known(SLED, "sled.mass") * G
RAISING_SLED = SLED_WEIGHT * (math.sin(SLOPE) + MU * math.cos(SLOPE))
# A stick of 180 g, 15 cm to the right of a pivot 3 cm above it, and 120 g 23 cm to its left.
TILT = math.degrees(math.atan((120 * 23 - 180 * 15) / (300 * 3)))

POST, CRAB = "lowering_round_a_post", "crab_winch"
HULL = known(POST, "hull.mass") * G
CAPSTAN = known(POST, "post.kinetic_friction") * 3 * math.pi
"""Coefficient times contact angle: a turn and a half."""

REPOSE = "just_over_repose"
DOWN, ACROSS = math.sin(math.radians(22.3)), math.cos(math.radians(22.3))
SLIDES = G * (DOWN - 0.33 * ACROSS)
# All that is mistaken of an acceleration or a time is common practice, no source.


def mould(half: float, friction: float) -> float:
    """What drives the wedge of the mould's halves against one of them, N, its face leaning by so
    many degrees: R (cos b - 0.12 sin b) = H + 0.12 w."""
    lean = math.radians(half) + math.atan(friction)
    bears = math.cos(lean) - 0.12 * math.sin(lean)
    return (4.32 * G / 2 + 0.12 * 0.65 * G) / bears * math.sin(lean)


MISTAKES = [
    (TACKLE, "hand.force", HANGS / 4, "N", ("friction left out",)),
    (
        TACKLE, "hand.force", BALLAST * G / 4, "N",
        ("friction left out", "the moving block's weight left out"),
    ),
    (TACKLE, "hand.force", HANGS / 5, "N", ("counting the hauling part", "friction left out")),
    (TACKLE, "hand.force", 1000 * HANGS / 4, "N", ("grams for kilograms", "friction left out")),
    (TACKLE, "hand.force", HANGS / 4 / G, "N", ("mass taken for weight", "friction left out")),
    (TACKLE, "hand.force", HANGS / 4 * G, "N", ("weight taken for mass", "friction left out")),
    (TACKLE, "hand.force", HANGS * 4, "N", ("the ratio upside down", "friction left out")),
    (TACKLE, "machine.velocity_ratio", 5.0, "", ("counting the hauling part",)),
    (TACKLE, "machine.velocity_ratio", 0.25, "", ("the ratio upside down",)),
    (TACKLE, "machine.efficiency", 76.3, "", ("a percentage without its sign",)),
    (SLED, "hand.force", SLED_WEIGHT * math.sin(SLOPE), "N", ("friction left out",)),
    (
        SLED, "hand.force", SLED_WEIGHT * LENGTH / RISE, "N",
        ("height and length swapped", "friction left out"),
    ),
    (
        SLED, "hand.force", SLED_WEIGHT * (math.cos(SLOPE) + MU * math.sin(SLOPE)), "N",
        ("sine for cosine",),
    ),
    (SLED, "hand.force", RAISING_SLED / G, "N", ("mass taken for weight",)),
    (SLED, "sled.friction", -MU * SLED_WEIGHT * math.sin(SLOPE), "N", ("sine for cosine",)),
    (SLED, "sled.friction", MU * SLED_WEIGHT * math.cos(SLOPE), "N", ("the other direction",)),
    (
        SPIKE, "hand.force", 2 * G * 5 / 95, "N",
        ("position on the rule taken for an arm", "the bar's own mass left out"),
    ),
    (
        SPIKE, "hand.force", (2 * 5 + 0.4 * 25) * G / 95, "N",
        ("position on the rule taken for an arm",),
    ),
    (SPIKE, "machine.velocity_ratio", 95 / 5, "", ("position on the rule taken for an arm",)),
    (SPIKE, "hand.force", 2 * 20 * G / 95, "N", ("an arm measured from the bar's end",)),
    (
        SPIKE, "spike.reaction", 2.4 * G - 2 * 20 * G / 70, "N",
        ("a reaction taken as the difference of forces that add up",),
    ),
    (
        TACKLE, "hand.force", HANGS / 2, "N",
        ("counting 2 parts of rope instead of 4", "friction left out"),
    ),
    (TACKLE, "machine.velocity_ratio", 3, "", ("counting 3 parts of rope instead of 4",)),
    (TACKLE, "hand.force", HANGS / 16, "N", ("each sheave taken to halve the effort",)),
    (TACKLE, "hand.force", HANGS, "N", ("the whole weight taken for the effort",)),
    (SLED, "hand.force", SLED_WEIGHT, "N", ("the whole weight taken for the effort",)),
    (TACKLE, "machine.efficiency", 120, "%", ("more work out than is put in",)),
    (TACKLE, "machine.efficiency", 55, "", ("a percentage without its sign",)),
    (
        TACKLE, "machine.efficiency", BALLAST * G / PULL, "",
        ("mechanical advantage taken for efficiency",),
    ),
    (
        TACKLE, "machine.velocity_ratio", BALLAST * G / PULL, "",
        ("mechanical advantage taken for the velocity ratio",),
    ),
    (
        SLED, "hand.force", SLED_WEIGHT * (math.sin(SLOPE) + STATIC * math.cos(SLOPE)), "N",
        ("static friction taken for kinetic friction",),
    ),
    (
        SLED, "hand.force", SLED_WEIGHT * (math.sin(SLOPE) - MU * math.cos(SLOPE)), "N",
        ("friction taken the wrong way",),
    ),
    (
        SLED, "hand.force", SLED_WEIGHT * MU * math.cos(SLOPE), "N",
        ("friction alone, without the weight's share",),
    ),
    (
        SLED, "sled.normal", SLED_WEIGHT * MU * math.cos(SLOPE), "N",
        ("friction taken for the normal force",),
    ),
    (
        SLED, "sled.normal", SLED_WEIGHT * math.cos(math.degrees(SLOPE)), "N",
        ("radians and degrees confused",),
    ),
    (POST, "hand.force", HULL / (1 + CAPSTAN), "N", ("each turn taken to add the same force",)),
    (
        POST, "hand.force", HULL / math.exp(CAPSTAN * 4 / 3), "N",
        ("part of a turn counted as a whole one",),
    ),
    (
        POST, "hand.force", HULL / math.exp(CAPSTAN / 3), "N",
        ("whole turns round the post left out",),
    ),
    # A wheel of 10 cm, an axle of 4 cm, 15 teeth that drive 60.
    (CRAB, "machine.velocity_ratio", 10 / 4 * 15 / 60, "", ("the ratio of teeth upside down",)),
    (
        CRAB, "machine.velocity_ratio", 10 / 4 * (60 - 15), "",
        ("the difference of teeth taken for their ratio",),
    ),
    # A wheel of 5 cm, an axle of 3 cm, 40 teeth that drive 60 by way of 20.
    (
        "gears_with_an_idler", "machine.velocity_ratio", 5 / 3 * 20 / 40, "",
        ("an idler taken to change the ratio",),
    ),
    (
        JACK, "machine.velocity_ratio", math.tau * 8 / 2, "",
        ("the thread's diameter taken for its lead",),
    ),
    (JACK, "machine.velocity_ratio", math.pi * 8 / 1.2, "", ("a radius taken for a diameter",)),
    (
        JACK, "hand.force", 8.4 * G * 2 / (math.tau * 8), "N",
        ("the thread's diameter taken for its lead", "friction left out"),
    ),
    (JACK, "hand.force", 8.4 * G * 1.2 / (math.tau * 8), "N", ("friction left out",)),
    (WEDGE, "machine.velocity_ratio", WEDGE_SLOPE, "", ("the ratio upside down",)),
    (
        WEDGE, "hand.force", 4.7 * G * math.tan(math.radians(9) + math.atan(0.21)), "N",
        ("friction counted on one face of the wedge alone",),
    ),
    (
        WEDGE, "hand.force", 4.7 * G / WEDGE_SLOPE, "N",
        ("the ratio upside down", "friction left out"),
    ),
    (WEDGE, "hand.force", 4.7 * G * WEDGE_SLOPE, "N", ("friction left out",)),
    (
        MOULD, "machine.velocity_ratio", 1 / math.tan(math.radians(22)), "",
        ("the whole angle of the wedge for half of it",),
    ),
    (MOULD, "machine.velocity_ratio", math.tan(math.radians(11)), "", ("the ratio upside down",)),
    (
        MOULD, "hand.force", 2 * mould(22, 0.16) - 0.28 * G, "N",
        ("the whole angle of the wedge for half of it",),
    ),
    (
        MOULD, "hand.force", mould(11, 0.16) + mould(11, 0.0) - 0.28 * G, "N",
        ("friction counted on one face of the wedge alone",),
    ),
    ("off_centre_pivot", "stick.tilt", TILT, "rad", ("radians and degrees confused",)),
    # Let go on 22.3 degrees with a kinetic coefficient of 0.33, timed over 60 cm.
    (REPOSE, "sled.acceleration", -G * DOWN, "m/s2", ("friction left out",)),
    (
        REPOSE, "sled.acceleration", -G * (DOWN - 0.33), "m/s2",
        ("the whole weight taken for the normal force",),
    ),
    (
        REPOSE, "sled.acceleration", -G * (DOWN + 0.33 * ACROSS), "m/s2",
        ("friction taken the wrong way",),
    ),
    (REPOSE, "sled.acceleration", -G, "m/s2", ("g taken for the acceleration",)),
    (REPOSE, "watch.time", math.sqrt(2 * 0.6 / G), "s", ("g taken for the acceleration",)),
    (REPOSE, "watch.time", math.sqrt(2 * 0.6 / (G * DOWN)), "s", ("friction left out",)),
    (
        REPOSE, "watch.time", math.sqrt(2 * 0.6 / (G * (DOWN - 0.33))), "s",
        ("the whole weight taken for the normal force",),
    ),
    (REPOSE, "watch.time", math.sqrt(0.6 / SLIDES), "s", ("the half in s = ½ a t² left out",)),
    (
        REPOSE, "watch.time", 2 * 0.6 / SLIDES, "s",
        ("the square root in t = √(2 s / a) left out",),
    ),
    (REPOSE, "watch.time", math.sqrt(2 * 60 / SLIDES), "s", ("centimetres for metres",)),
    # 950 g draw 1.12 kg up 18 degrees, coefficient 0.3: the line said to pull 950 g's weight.
    (
        "sled_and_hanging_weight", "line.tension_1", 0.95 * G, "N",
        ("a hanging weight taken for its line's tension",),
    ),
    (
        "sled_and_hanging_weight", "sled.acceleration",
        G * (0.95 / 1.12 - math.sin(math.radians(18)) - 0.3 * math.cos(math.radians(18))), "m/s2",
        ("a hanging weight taken for its line's tension",),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("name", "quantity", "number", "unit", "names"), MISTAKES)
def test_misconceptions_are_named(
    name: str, quantity: str, number: float, unit: str, names: tuple[str, ...]
) -> None:
    """The number that a misconception gives by hand, to four digits, is given its name."""
    machine = scene(name)
    verdict = judge(machine, quantity, f"{number:.4g} {unit}", right(machine, quantity))
    assert verdict.status == "differs"
    assert tuple(map(str, verdict.misconceptions)) == names
    assert str(comes_of(verdict.misconceptions)) in verdict.account


def test_a_time_is_not_taken_to_grow_as_its_distance() -> None:
    """Of a body timed over 60 cm and over 15 cm the second time is half the first: a quarter of it
    is what somebody gives who lets it grow in proportion (common practice, no source)."""
    text = find_scene(REPOSE).read_text(encoding="utf-8")
    text += '\n[stopwatch.early]\ntimes = "sled"\ndistance = "15 cm"\n'
    machine, whole = open_text(text, REPOSE).scene, math.sqrt(2 * 0.6 / SLIDES)
    assert near(right(machine, "early.time"), whole / 2, rel=1e-9)
    verdict = judge(machine, "early.time", f"{whole / 4:.4g} s", right(machine, "early.time"))
    assert verdict.misconceptions == (facts.TIME_AS_DISTANCE(),)


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (-0.75, "75 % too small in size."), (-4.5, "50 % too large in size."),
        (-36.0, "12.0 times as great"),
        (3.0, "the wrong sign."), (1.5, "the wrong sign, and is 50 % too small in size"),
    ],
)  # fmt: skip
def test_sizes_and_signs_are_told_apart(number: float, words: str) -> None:
    """Of a friction of -3 N, -0.75 N is too small and -4.5 N too great, as nobody would say who
    takes -0.75 for more than -3; 3 N points the other way."""
    verdict = judge(scene(SLED), "sled.friction", f"{number} N", -3.0)
    assert words in verdict.account


@pytest.mark.parametrize("path", shipped_scenes(), ids=lambda path: path.stem)
def test_a_right_number_is_never_called_a_misconception(path: Path) -> None:
    """On every shipped scene a prediction of the right number, rounded to 3 digits, agrees."""
    machine = load(path)
    for quantity in machine.about.predict:
        value = misconceptions.right(machine, quantity)
        assert value is not None
        kind = predict.quantities.kind_of(quantity)
        shown = predict.units.show(value, kind.dimension, kind.unit, 3)
        assert judge(machine, quantity, shown, value).status == "agrees", (quantity, shown)


@pytest.mark.parametrize("number", [1.7, 4.1, 9.0, 50.0, 200.0])
def test_a_number_of_no_misconception_is_given_no_name(number: float) -> None:
    """A number that no misconception gives differs, and that is all that is said of it."""
    machine = scene(TACKLE)
    verdict = judge(machine, "hand.force", f"{number} N", right(machine, "hand.force"))
    assert verdict.status == "differs"
    assert verdict.misconceptions == ()


BEARING = ("upper.bearing_friction", "lower.bearing_friction")


def dealt(bounds: str, sealed: str) -> Bench:
    """The tackle with its bearings sealed, one draw for both."""
    machine = scene(TACKLE, **{key.replace(".", "__"): sealed for key in BEARING})
    return Bench(
        machine, "", "Student A", "token", dict.fromkeys(BEARING, sealed),
        dict.fromkeys(BEARING, bounds),
    )  # fmt: skip


def pull(friction: float) -> float:
    """The tackle's effort by hand, N."""
    loss = LOSS / known(TACKLE, "upper.bearing_friction") * friction
    ratio = (1 + loss) / (1 - loss)
    return HANGS * ratio**4 * (ratio - 1) / (ratio**4 - 1)


@pytest.mark.parametrize(
    ("bounds", "number", "status", "names"),
    [
        ("0.1 to 0.4", pull(0.1), "agrees", ()),
        ("0.1 to 0.4", pull(0.4), "agrees", ()),
        ("0.1 to 0.4", 1.1 * pull(0.4), "differs", ()),
        ("0.1 to 0.4", HANGS / 4, "differs", ("friction left out",)),
        ("0.05 to 0.1", 0.8 * pull(0.08), "differs", ("counting the hauling part",)),
        ("0.001 to 0.4", HANGS / 4, "agrees", ()),
        ("0.001 to 0.4", HANGS / 5, "differs", ("counting the hauling part",)),
    ],
)  # fmt: skip
def test_what_is_sealed_is_judged_by_what_was_told(
    bounds: str, number: float, status: str, names: tuple[str, ...]
) -> None:
    """Any effort that follows from the range of a sealed friction agrees, and friction is said to
    be left out only where there surely was some; what else is mistaken is named all the same."""
    bench = dealt(bounds, bounds.split()[0])
    text = f"{number:.4g} N"
    verdict = judge(bench.scene, "hand.force", text, right(bench.scene, "hand.force"), told(bench))
    assert verdict.status == status, verdict.account
    assert tuple(map(str, verdict.misconceptions)) == names, verdict.account
    assert all(f"{pull(float(end)):.3g}" in verdict.account for end in bounds.split(" to "))


def test_right_and_misconception_alike_is_none() -> None:
    """Where a misconception gives nearly the right number, as friction left out of a machine that
    hardly has any, the number agrees and none is named."""
    machine = scene(TACKLE, upper__bearing_friction="0.01", lower__bearing_friction="0.01")
    verdict = judge(machine, "hand.force", f"{HANGS / 4:.3f} N", right(machine, "hand.force"))
    assert verdict.status == "agrees"
    assert verdict.misconceptions == ()


@pytest.mark.parametrize(
    ("quantity", "text", "status", "words"),
    [
        ("hand.force", f"{PULL:.3g} N", "agrees", ""),
        ("hand.force", f"{PULL / 4.4482216152605:.4g} lbf", "agrees", ""),
        ("hand.force", f"{PULL:.3g} kg", "wrong unit", "right in N"),
        ("hand.force", f"{PULL:.3g}", "wrong unit", "unit is missing"),
        ("hand.force", f"{HANGS / 4 / G:.3g} kg", "wrong unit",
         "mass in kilograms where the weight in newtons belongs and you leave friction"),
        ("hand.force", "5 furlongs", "wrong unit", "unit of length"),
        ("hand.force", "5 zorks", "wrong unit", "no unit known here"),
        ("hand.force", f"{PULL:.3g} lbf", "differs", "right in N"),
        ("hand.force", "lots", "no number", "no number"),
        ("hand.force", "1e999 N", "no number", "no number"),
        ("hand.force", "3,85 N", "no number", "a decimal point, not a comma"),
        ("hand.force", "1,500 N", "no number", "write 1500, or 1.500 with a decimal point"),
        ("hand.force", "3.8.5 N", "no number", "no number"),
        ("machine.velocity_ratio", "4", "agrees", ""),
        ("machine.velocity_ratio", "4 N", "wrong unit", "plain number"),
        ("machine.efficiency", "76 %", "agrees", ""),
        ("machine.efficiency", "0.76", "agrees", ""),
    ],
)  # fmt: skip
def test_wrong_units_are_told_from_wrong_numbers(
    quantity: str, text: str, status: str, words: str
) -> None:
    """A unit of another kind, a missing one and a wrong number are each called what they are."""
    machine = scene(TACKLE)
    verdict = judge(machine, quantity, text, right(machine, quantity))
    assert verdict.status == status
    assert words in verdict.account


def test_the_outcome_is_the_runs() -> None:
    """What predictions are laid against is what the engine measured, close to theory's answer."""
    bench = open_file(find_scene(TACKLE))
    found = predict.outcome(bench)
    assert near(found["hand.force"], right(bench.scene, "hand.force"), rel=1e-3)


# The command.


def commit(record: Path, *more: str | Path, scene: str | Path = TACKLE) -> list[str | Path]:
    return [
        "predict", scene, "--record", record, "--commit", "hand.force=3.29 N",
        "--commit", "machine.velocity_ratio=4", "--commit", "machine.efficiency=100 %",
        "--reason", "four parts share it", *more,
    ]  # fmt: skip


def test_predictions_are_committed_and_then_shown_beside_the_run(tmp_path: Path) -> None:
    """All predictions committed, the run is laid beside them and the misconception is named."""
    record = tmp_path / "a.jsonl"
    done = inside(*commit(record, "--student", "Student A"))
    assert done.returncode == 0, done.stderr
    assert f"{PULL:.3g} N" in done.stdout
    assert "You get this number if you leave friction out" in done.stdout
    assert read(record).student == "Student A"


def test_a_commitment_stands_and_a_second_is_dated(tmp_path: Path) -> None:
    """A committed prediction is not replaced; a second one follows, and both keep their times."""
    record = tmp_path / "a.jsonl"
    assert inside(*commit(record)).returncode == 0
    again = ["predict", TACKLE, "--record", record, "--commit", "hand.force=3.8 N"]
    again += ["--reason", "with the bearings"]
    refused(inside(*again), "was predicted at", "second prediction")
    done = inside(*again, "--second")
    assert done.returncode == 0, done.stderr
    first, second = read(record).predicted("hand.force")
    assert (first.text, second.text) == ("3.29 N", "3.8 N")
    assert first.time < second.time
    refused(inside(*again, "--second"), "that stands")


def test_nothing_moves_before_it_is_predicted(tmp_path: Path) -> None:
    """The bench takes no trial while a prediction is owed, and shows no run while one is."""
    record = tmp_path / "a.jsonl"
    refused(inside("bench", TACKLE, "--record", record), "predict first", "Effort")
    part = ["predict", TACKLE, "--record", record, "--commit", "hand.force=3.29 N"]
    done = inside(*part, "--reason", "four parts share it")
    assert "Still to predict" in done.stdout
    assert f"{PULL:.3g}" not in done.stdout
    assert read(record).trials == 0


def test_predictions_are_asked_for_one_by_one(tmp_path: Path) -> None:
    """Without --commit each quantity is asked for, a wrong answer is asked for again."""
    record = tmp_path / "a.jsonl"
    typed = "lots\nwhy not\n3.8 N\nwith friction\n4\nfour parts\n80 %\nbearings\n"
    done = inside("predict", TACKLE, "--record", record, input=typed)
    assert done.returncode == 0, done.stderr
    assert [e.text for e in read(record).of("prediction")] == ["3.8 N", "4", "80 %"]
    short = inside("predict", TACKLE, "--record", tmp_path / "b.jsonl", input="3.8 N\nfriction\n")
    assert short.returncode == 2
    assert "what was committed is in the record" in short.stderr
    assert [e.text for e in read(tmp_path / "b.jsonl").of("prediction")] == ["3.8 N"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--commit", "hand.force", "--reason", "because"], "QUANTITY=VALUE"),
        (["--commit", "hand.forse=3 N", "--reason", "because"], "hand.force"),
        (["--commit", "hand.force=three", "--reason", "because"], "a number with its unit"),
        (["--commit", "hand.force=3 N"], "one for each"),
        (["--commit", "hand.force=3 N", "--reason", ""], "a reason in words"),
        (["--commit", "hand.force=3,100 N", "--reason", "because"], "3.100 with a decimal point"),
        (["--commit", "hand.force=3 N", "--reason", "x" * 3000], "2000 characters"),
    ],
)
def test_bad_commitments_are_refused(tmp_path: Path, words: list[str], said: str) -> None:
    """A commitment that cannot stand is refused in one message, and nothing is recorded."""
    record = tmp_path / "a.jsonl"
    refused(inside("predict", TACKLE, "--record", record, *words), said)
    assert not record.exists() or read(record).entries == ()


def test_a_decimal_comma_is_read(tmp_path: Path) -> None:
    """A comma that can only be the decimal sign is read in predictions and readings, and the record
    has a point, as its format asks."""
    record = tmp_path / "a.jsonl"
    words = ["--commit", "Effort=3,1 N", "--commit", "Velocity ratio=4", "--commit"]
    done = inside(
        "predict", TACKLE, "--record", record, *words, "Efficiency=0,8", "--reason", "because"
    )
    assert done.returncode == 0, done.stderr
    assert inside("bench", TACKLE, "--record", record).returncode == 0
    done = inside("bench", TACKLE, "--record", record, "--read", "balance.reading=3,85 N")
    assert done.returncode == 0, done.stderr
    entries = read(record).entries
    assert [e.text for e in entries if e.text][:3] == ["3.1 N", "4", "0.8"]
    assert [e.text for e in read(record).of("reading")] == ["3.85 N"]


def test_the_record_keeps_the_scene_as_changed(tmp_path: Path) -> None:
    """With --set the record holds the changed scene, so that it can be rerun from the record."""
    record = tmp_path / "a.jsonl"
    done = inside(*commit(record, "--set", "ballast.mass=2 lb"))
    assert done.returncode == 0, done.stderr
    header = json.loads(record.read_text().split("\n")[0])
    assert 'mass = "2 lb"' in header["scene"]["text"]


def test_every_misconception_speaks_to_a_student() -> None:
    """Whatever can be named is said as what somebody does, in each language, behind "if"."""
    named = {each.what for each in misconceptions.MISCONCEPTIONS} | misconceptions.OMISSIONS
    named |= {facts.PARTS_COUNTED(count=3, parts=4), facts.MORE_OUT_THAN_IN()}
    for what in named:
        assert str(comes_of((what,))).startswith("You get this number if you ")
        spanish = Display("es").describe(comes_of((what,)))
        assert spanish.startswith("Este n\u00famero sale si ") and " you " not in spanish
