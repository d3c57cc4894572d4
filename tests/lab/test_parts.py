"""What the lab is told by keys and by the registry of kinds: nothing is left unsaid of any kind."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from sandbox.lab.analysis.effects import RANGES
from sandbox.lab.analysis.inputs import DIVISIONS, losses, measured_inputs, with_friction_scaled
from sandbox.lab.class_work.misconceptions import without_friction
from sandbox.lab.class_work.virtual_bench import instruments
from sandbox.lab.parts import ENTRIES, entry_of
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    PartEntry,
    no_stand,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import KINDS, Part, Scene, load, quantities, revised, value_of
from sandbox.scene.parts import COEFFICIENTS, FRICTION, About, Hand, Lever, Ramp, keys_of, losses_of
from sandbox.shipped import find_scene, shipped_scenes
from sandbox.units import LENGTH, MASS, NUMBER
from tests.tolerance import near

QUESTIONS = [field.name for field in dataclasses.fields(PartEntry)]
WORDS = {"reaction": "reaction", "forward": "acceleration"}
"""The questions answered in words, and the quantity that each is asked for."""

ELSEWHERE = {"frictions", "least_mass", "varied", "moving"}
"""The questions whose answers have tests of their own."""

SILENT = {"apparatus": ["hand"], "cautions": ["body", "hand", "rule", "stopwatch"]}
"""The kinds that need not be set out, and those that hurt nobody, or that others warn of."""


@cache
def benches() -> tuple[Scene, ...]:
    """Every shipped scene, as it is and held."""
    shipped = [load(path) for path in shipped_scenes()]
    held = [
        dataclasses.replace(s, about=dataclasses.replace(s.about, mode="held")) for s in shipped
    ]
    return (*shipped, *held)


def answers(kind: type[Part], ask: Callable[[PartEntry[Any], Scene, Any], Any]) -> list[Any]:
    """What a kind's entry answers for each such part of every bench."""
    return [ask(ENTRIES[kind], scene, part) for scene in benches() for part in scene.of(kind)]


def test_every_kind_has_an_entry_of_its_own() -> None:
    """The registry has an entry for each kind a scene file may write, and for no other."""
    assert list(ENTRIES) == list(KINDS.values())
    assert len({id(entry) for entry in ENTRIES.values()}) == len(KINDS)


def test_no_answer_goes_without_saying() -> None:
    """An entry that leaves a question out cannot be made."""
    answered: dict[str, Any] = dict.fromkeys(QUESTIONS, nothing)
    for question in QUESTIONS:
        with pytest.raises(TypeError, match=question):
            PartEntry(**{name: answer for name, answer in answered.items() if name != question})


@pytest.mark.parametrize("question", sorted({*QUESTIONS} - {*WORDS, *ELSEWHERE}))
@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_answers_each_question(kind: str, question: str) -> None:
    """A kind either says that it has nothing to say, where it may, or says something on a shipped
    bench."""
    part = KINDS[kind]
    function = getattr(ENTRIES[part], question)
    if question in SILENT:
        assert (function is nothing) == (kind in SILENT[question])
    if function in (nothing, no_stand):
        assert (function is no_stand) == (question == "stand")
    elif question == "stand":
        found = answers(part, lambda entry, scene, each: entry.stand(scene, each))
        assert any(weight is not None for weight in found)
    else:
        reader = (Display(),) if question in SILENT else ()
        found = answers(part, lambda _, scene, each: list(function(scene, each, *reader)))
        assert any(found)


@pytest.mark.parametrize("kind", KINDS)
def test_each_friction_has_a_name_and_a_range(kind: str) -> None:
    """Each friction that a kind's keys measure is named on some bench, with a range to seek it in;
    a kind without one says so, and no kind names what is no friction."""
    part = KINDS[kind]
    own = losses_of(part).values()
    for loss in own:
        found = answers(
            part, lambda entry, scene, each, of=loss: [*entry.frictions(scene, each, of)]
        )
        assert any(found) == (loss in FRICTION) and (loss in RANGES) == (loss in FRICTION)
        assert all(isinstance(each, Friction) and each.name for line in found for each in line)
    assert (ENTRIES[part].frictions is nothing) == (not set(own) & set(FRICTION))


@pytest.mark.parametrize("question", WORDS)
@pytest.mark.parametrize("kind", KINDS)
def test_words_go_with_quantities(kind: str, question: str) -> None:
    """A kind has words for the way of its acceleration just where it has one, and for what bears
    its reaction only where it has one."""
    asked = any(
        f"{part.name}.{WORDS[question]}" in quantities.names(scene)
        for scene in benches()
        for part in scene.of(KINDS[kind])
    )
    words = getattr(ENTRIES[KINDS[kind]], question)
    assert asked or not words
    assert words or not asked or question == "reaction"


def test_a_default_plan_varies_what_the_load_stands_on() -> None:
    """On a lever the load's place is varied, from the load's own side of the fulcrum; on a ramp its
    angle; on nothing else anything."""
    for scene in benches():
        for part in scene.parts.values():
            if (on := getattr(part, "on", None)) is None:
                continue
            carrier = scene.parts[on.part]
            found = list(entry_of(carrier).varied(scene, carrier, part.name, on))
            key = {Lever: f"{part.name}.on", Ramp: f"{carrier.name}.angle"}.get(type(carrier))
            assert [each for each, _, _ in found] == ([key] if key else [])
            for where, low, high in found:
                now = value_of(scene, where)
                assert now is not None and low <= now <= high, (scene.name, where)
                fulcrum = getattr(carrier, "fulcrum", None)
                assert fulcrum is None or not low <= fulcrum <= high


@pytest.mark.parametrize("kind", KINDS)
def test_what_moves_can_be_worked_out(kind: str) -> None:
    """A kind that moves on a shipped bench, but the hand, says what of it weighs, how the forces on
    it balance, and how it may raise a load; any other kind says that there is nothing to say."""
    part = KINDS[kind]
    moves = part is not Hand and any(
        each.name in scene.frames for scene in benches() for each in scene.of(part)
    )
    assert (ENTRIES[part].moving is not None) == moves


def test_what_weighs_is_the_frame() -> None:
    """What weighs of a part and of what it carries comes to the mass of its frame, at its centre,
    as the scene has them; but a body's own centre is not at the foot from which it is drawn."""
    for scene in benches():
        for frame in scene.frames.values():
            moving = entry_of(frame.part).moving
            if moving is None:
                continue
            own = moving.own_mass(frame.part)
            parts = [
                (own.mass, own.local),
                *((lump.mass, lump.local) for lump in frame.point_masses),
            ]
            assert near(sum(mass for mass, _ in parts), frame.mass, rel=1e-12)
            if isinstance(frame.part, Lever):
                moment = sum(mass * at.x for mass, at in parts)
                assert near(moment, frame.mass * frame.centre.x, rel=1e-12)


def test_only_what_has_sheaves_has_a_least_mass() -> None:
    """A block may be made no lighter than its sheaves; nothing else has such a bound."""
    for scene in benches():
        for part in scene.parts.values():
            least = entry_of(part).least_mass(part)
            assert least == getattr(part, "sheaves", 0) * getattr(part, "sheave_mass", 0.0)


def test_a_stand_holds_what_has_a_reaction() -> None:
    """A stand holds just those parts of a shipped bench that have a `reaction`."""
    for scene in benches():
        names = quantities.names(scene)
        for part in scene.parts.values():
            weight = entry_of(part).stand(scene, part)
            assert (weight is not None) == (f"{part.name}.reaction" in names), part


def test_cautions_come_in_one_order_and_once() -> None:
    """A danger has one caution on a bench, whatever its parts, and each danger some caution."""
    seen = set()
    for scene in benches():
        found: set[Caution] = set()
        for part in scene.parts.values():
            found.update(entry_of(part).cautions(scene, part, Display()))
        assert len({caution.danger for caution in found}) == len(found)
        seen |= {caution.danger for caution in found}
    assert seen == set(Danger)


@pytest.mark.parametrize("kind", KINDS)
def test_keys_say_what_they_measure(kind: str) -> None:
    """A key of a coefficient or of rolling resistance says which loss it is; coefficients
    are plain numbers; what is measured is of the instrument's dimension, and all masses that stand
    alone are weighed."""
    for name, (key, _) in keys_of(KINDS[kind]).items():
        speaks = "coefficient of" in key.about or "resistance" in key.about
        assert speaks == (key.loss in FRICTION), name
        assert (key.loss in COEFFICIENTS) <= (key.dimension is NUMBER), name
        if key.measured_with is not None:
            dimension = key.dimension if key.form == "value" else LENGTH
            assert dimension is DIVISIONS[key.measured_with][1], name
        if name == "mass":
            assert key.dimension is MASS and key.measured_with == "balance"


def test_the_scene_table_loses_nothing() -> None:
    """No key of the [scene] table is a loss or measured with an instrument: the lab asks parts."""
    assert not any(key.loss or key.measured_with for key, _ in keys_of(About).values())


def rough() -> list[Scene]:
    """The shipped scenes in which something rubs."""
    return [scene for scene in benches() if any(losses(scene, *FRICTION).values())]


def test_friction_is_left_out_or_scaled_by_losses() -> None:
    """Without friction every friction is zero and drag is kept; scaled, coefficients alone are,
    and nothing else of the scene changes."""
    assert len(rough()) >= 10
    for scene in rough():
        dry = without_friction(scene)
        assert dry is not None
        assert not any(losses(dry, *FRICTION).values())
        assert losses(dry, "drag") == losses(scene, "drag")
        half = with_friction_scaled(scene, 0.5)
        for key, value in losses(half, *COEFFICIENTS).items():
            assert near(value, 0.5 * losses(scene, *COEFFICIENTS)[key], rel=1e-12)
        assert losses(half, "rolling arm") == losses(scene, "rolling arm")
        assert revised(half, losses(scene, *COEFFICIENTS)).parts == scene.parts


@pytest.mark.parametrize(
    ("name", "measured"),
    [
        (
            "lever_hauling_a_fall",
            "lower.mass ballast.mass fall@bar bar.mass bar.fulcrum bar.centre line@bar",
        ),
        (
            "lever_first_class",
            "spike.mass spike.fulcrum spike.centre bracket.mass bracket.on line@spike",
        ),
        ("tackle_up_a_ramp", "slip.length slip.rise sled.mass moving.mass"),
        ("hand_winch", "winch.wheel winch.axle winch.mass grapnel.mass"),
    ],
)
def test_what_is_measured(name: str, measured: str) -> None:
    """Written out by hand: masses, arms, drums, and a ramp's length and rise, but neither where
    parts merely stand, nor pins, sheaves and coefficients."""
    assert set(measured_inputs(load(find_scene(name)))) == set(measured.split())


def test_instruments_are_listed_by_form() -> None:
    """Dials come before rules, and those before protractors."""
    order = ["dial", "rule", "protractor", "stopwatch"]
    for scene in benches():
        forms = [order.index(each.form) for each in instruments(scene).values()]
        assert forms == sorted(forms)
