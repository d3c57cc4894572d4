"""What the simulation is told by the registry of kinds: nothing is left unsaid of any kind, and
what concerns the whole machine asks the registry."""

from __future__ import annotations

import ast
import dataclasses
import inspect
from functools import cache
from pathlib import Path

import pytest

from sandbox.engine import parts
from sandbox.engine.bodies import MovingBody
from sandbox.engine.parts import ENTRIES, entry, entry_of
from sandbox.engine.simulation import Simulation
from sandbox.scene import KINDS, Part, Scene, load
from sandbox.scene.parts import (
    Block,
    Body,
    Gauge,
    Gear,
    Lever,
    Post,
    Ramp,
    Screw,
    SplittingWedge,
    Stopwatch,
    Wedge,
    Weight,
    WheelAndAxle,
    losses_of,
)
from sandbox.shipped import shipped_scenes

QUESTIONS = [field.name for field in dataclasses.fields(entry.Entry)]
SAID: dict[str, set[type[Part]]] = {
    "fixture": {Ramp},
    "body": {Lever, Block, WheelAndAxle, Gear, Screw, Wedge, SplittingWedge, Body, Weight},
    "meter": {Gauge, Stopwatch},
    "fixed_mass": {Block},
    "acceleration": {Screw, Wedge, SplittingWedge, Body, Weight},
    "swings": {Lever},
    "rotation_is": {Lever, WheelAndAxle, Gear, Screw, Wedge, SplittingWedge},
    "is_displaced": {Lever, Block, Weight},
    "has_friction": {
        Lever,
        Block,
        WheelAndAxle,
        Gear,
        Screw,
        Wedge,
        SplittingWedge,
        Post,
        Ramp,
        Body,
    },
    "must_break_loose": {Post, Body},
    "rotating": {Lever, Block, WheelAndAxle, Gear, Screw, Wedge, SplittingWedge, Post, Body},
    "follows_stretch": {WheelAndAxle, Gear},
}
"""By question, the kinds of which there is something to say."""

NOTHING = {
    None,
    False,
    "",
    entry.no_fixture,
    entry.no_meter,
    entry.no_mass,
    entry.never_displaced,
    entry.no_friction,
    entry.no_static_friction,
    entry.nothing_rotating,
}
ROPE_WORK = {"Rope", "Block", "Post", "Gauge", "Hand", "Move"}
"""What ropes are made of, what measures and works them: the machine as a whole solves for these."""


@cache
def benches() -> tuple[Scene, ...]:
    return tuple(map(load, shipped_scenes()))


def test_every_kind_has_a_module_and_an_entry():
    """Each kind that a scene file may name has its entry in the registry, from a module of its
    name."""
    assert set(ENTRIES) == set(KINDS.values())
    for name, kind in KINDS.items():
        module = getattr(parts, name)
        assert inspect.ismodule(module) and ENTRIES[kind] is module.ENTRY


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_question_is_answered_for_every_kind(question):
    """No question has an answer by default, and each kind says something or says that there is
    nothing to say."""
    (field,) = (f for f in dataclasses.fields(entry.Entry) if f.name == question)
    assert field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    said = {kind for kind, found in ENTRIES.items() if getattr(found, question) not in NOTHING}
    assert said == SAID[question]


def test_what_moves_has_a_body():
    """In every shipped scene each frame but the hand's has one body, of the class its kind names,
    and no other."""
    for bench in benches():
        machine = Simulation(bench)
        moving = {name for name, frame in bench.frames.items() if frame.kind != "hand"}
        assert {body.name for body in machine.bodies} == moving
        assert len(machine.bodies) == len(moving)
        for body in machine.bodies:
            assert entry_of(body.frame.part).body is not None
            assert type(body) is not MovingBody


def test_a_kind_with_a_friction_key_is_known_to_have_friction():
    """What loses work through friction by its keys is asked for its friction when the trials look
    for the edges of what holds."""
    for kind in ENTRIES:
        if set(losses_of(kind).values()) & {"bearing", "face", "static", "rolling arm"}:
            assert ENTRIES[kind].has_friction is not entry.no_friction
        else:
            assert ENTRIES[kind].has_friction is entry.no_friction


def test_the_whole_machine_knows_no_kind():
    """The modules beside `parts` name no kind of part but those of which ropes are made and by
    which they are worked."""
    room = Path(inspect.getfile(entry)).parent.parent
    kinds = {kind.__name__ for kind in KINDS.values()}
    for path in sorted(room.glob("*.py")):
        names = {
            alias.name
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
            if isinstance(node, ast.ImportFrom) and node.module == "sandbox.scene.parts"
            for alias in node.names
        }
        assert names & kinds <= ROPE_WORK, path.name
