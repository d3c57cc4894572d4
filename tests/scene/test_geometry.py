"""What the scene says of where things are, which both engines take on trust, worked out here."""

from __future__ import annotations

import cmath
import math
import tomllib
from collections.abc import Callable
from itertools import pairwise

import pytest

from sandbox import scene
from sandbox.scene.parts import Lever, Place, WheelAndAxle
from tests.closed_forms.bench import (
    Bench,
    Machine,
    Tables,
    drawn,
    toml,
)
from tests.closed_forms.compound import lever_by_a_runner, lever_on_a_fall
from tests.closed_forms.ramps import sled_and_weight, two_slopes
from tests.closed_forms.sheaves import hauled_over_a_sheave, tackle_hauled
from tests.closed_forms.wheels import differential_wheel_and_axle
from tests.tolerance import near


@pytest.mark.parametrize(
    "family",
    [hauled_over_a_sheave, tackle_hauled, sled_and_weight, two_slopes, lever_on_a_fall,
     lever_by_a_runner, differential_wheel_and_axle],
    ids=lambda family: family.__name__,
)  # fmt: skip
def test_spans(family: Callable[[Bench], Machine]) -> None:
    """Every straight part of a rope touches both its sheaves: each end is a radius from the middle,
    square to the rope, on the side round which the rope turns."""
    for number in range(4):
        machine = scene.parse(tomllib.loads(drawn(family, number).text))
        for line in machine.lines:
            spans = machine.spans(line, machine.start)
            for (first, second), span in zip(pairwise(line.waypoints), spans, strict=True):
                assert span is not None
                start, end = complex(*span.start), complex(*span.end)
                assert near(abs(end - start), span.length, rel=1e-12)
                way = (end - start) / abs(end - start)
                assert near(abs(way - complex(*span.along)), 0.0, abs=1e-9)
                for site, point in ((first, start), (second, end)):
                    middle = complex(*machine.centre_of(site, machine.start))
                    # A rope that turns anticlockwise has the sheave on its left.
                    off = point + site.winding * site.radius * 1j * way
                    assert near(abs(off - middle), 0.0, abs=1e-9)
                    assert (site.winding == 0) == (site.radius == 0.0)


@pytest.mark.parametrize("rises", ["right", "left"])
def test_places(rises: str) -> None:
    """Each part is where the file puts it: so far along a ramp and out from it, on a sled, or along
    a bar and above it."""
    side = 1.0 if rises == "right" else -1.0
    up = complex(0.8 * side, 0.6)
    out = complex(-0.6 * side, 0.8)
    tilt = cmath.exp(0.1j)
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "ramp.slip": {"at": ["1 m", "2 m"], "length": "2 m", "rise": "1.2 m", "rises": rises},
        "body.sled": {"mass": "1 kg", "on": "slip@50 cm"},
        "block.aboard": {"on": "sled", "height": "20 cm"},
        "anchor.post": {"on": "slip@1 m", "height": "20 cm"},
        "block.head": {"on": "slip@180 cm", "height": "-4 cm"},
        "lever.bar": {
            "length": "1 m",
            "mass": "1 kg",
            "at": ["-1 m", "1 m"],
            "fulcrum": "30 cm",
            "pivot_height": "2 cm",
            "tilt": "0.1 rad",
        },
        "weight.end": {"mass": "1 kg", "on": "bar@0 cm", "height": "-3 cm"},
        "weight.more": {"mass": "1 kg", "on": "end"},
        "block.runner": {"on": "bar@80 cm", "height": "5 cm"},
        "rope.one": {"reeve": ["post", "aboard.1", "head.becket"]},
        "rope.two": {"reeve": ["sled", "runner"]},
        "weight.left": {"mass": "1 kg", "at": ["plumb", "0 m"]},
        "rope.three": {"reeve": ["left", "bar@0 cm"]},
        "block.beam": {"on": "slip@190 cm", "radius": "2 cm", "sheaves": 2},
        "weight.right": {"mass": "1 kg", "at": ["plumb", "0 m"]},
        "rope.four": {"reeve": ["right", "beam.becket"]},
        "block.tip": {"on": "bar@0 cm", "height": "4 cm", "radius": "2 cm"},
        "weight.far": {"mass": "1 kg", "at": ["plumb", "0 m"]},
        "rope.five": {"reeve": ["far", "tip.becket"]},
    }
    machine = scene.parse(tomllib.loads(toml(tables)))
    foot, pivot = 1 + 2j, -1 + 1j
    for name, place in {
        "sled": foot + 0.5 * up,
        "aboard": foot + 0.5 * up + 0.2 * out,
        "post": foot + 1.0 * up + 0.2 * out,
        "head": foot + 1.8 * up - 0.04 * out,
        "end": pivot + (-0.3 - 0.05j) * tilt,
        "more": pivot + (-0.3 - 0.05j) * tilt,
        "runner": pivot + (0.5 + 0.03j) * tilt,
        "left": complex((pivot + (-0.3 - 0.02j) * tilt).real, 0.0),
        # Two sheaves stand four radii apart, the becket three radii from the first.
        "far": complex((pivot + (-0.3 + 0.02j) * tilt).real - 3 * 0.02, 0.0),
        "right": complex((foot + 1.9 * up).real - 5 * 0.02, 0.0),
    }.items():
        assert near(abs(complex(*machine.place_of(name, machine.start)) - place), 0.0, abs=1e-12)
    # A rope made fast to a block by its name alone ends at its middle.
    end = machine.centre_of(machine.lines[1].waypoints[1], machine.start)
    assert end == machine.place_of("runner", machine.start)


def test_the_speed_of_the_hand_at_a_place() -> None:
    """The hand's speed where it has hauled so much is that of the move that takes it there."""
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "raising"},
        "block.head": {"at": ["0 m", "2 m"]},
        "weight.bag": {"mass": "1 kg", "at": ["plumb", "1 m"]},
        "rope.whip": {"reeve": ["bag", "head.1", "hand"]},
        "hand.hand": {
            "at": ["plumb", "1 m"],
            "moves": ["hold 1 s", "haul 10 cm at 2 cm/s", "haul 20 cm at 5 cm/s"],
        },
    }
    machine = scene.parse(tomllib.loads(toml(tables)))
    for hauled, speed in ((0.05, 0.02), (0.2, 0.05), (0.4, 0.0)):
        assert near(machine.speed_at(hauled), speed, rel=1e-12, abs=1e-12)
    assert near(machine.stroke[0], 0.3 * 0.3, rel=1e-12)
    assert near(machine.stroke[1], 0.9 * 0.3, rel=1e-12)


@pytest.mark.parametrize(
    ("fulcrum", "distance", "direction", "along", "push"),
    [
        (0.4, None, 1, 0.15, 1),
        (0.4, None, -1, 0.65, 1),
        (0.4, 0.5, 1, 0.0, 1),
        (0.4, 0.5, -1, 0.9, 1),
        (0.06, None, 1, 0.0, 1),
        (0.02, None, 1, 0.27, -1),
        (0.02, None, -1, 0.27, 1),
        (0.98, None, -1, 0.73, -1),
    ],
)
def test_where_a_peg_stands(
    fulcrum: float, distance: float | None, direction: int, along: float, push: int
) -> None:
    """A peg stands a quarter of a 1 m bar from its pin, or as far as told and the bar reaches,
    below the side that sinks; above the other where the bar reaches less than 5 cm past its pin."""
    bar = Lever(
        name="bar",
        length=1.0,
        mass=1.0,
        at=Place(0.0, 1.0),
        fulcrum=fulcrum,
        stop_distance=distance,
    )
    peg = bar.stop_peg(direction)
    assert near(peg.local.x, along, abs=1e-12)
    assert (peg.local.y, peg.sign) == (0.0, push)


def test_the_moment_of_inertia_of_a_loaded_bar() -> None:
    """Bar and weights turn about their common centre of mass as a thin bar and points would:
    m L^2 / 12, and each mass times its distance squared (Steiner)."""
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "lever.bar": {
            "length": "1.2 m",
            "mass": "2 kg",
            "at": ["0 m", "1 m"],
            "fulcrum": "30 cm",
            "centre": "50 cm",
            "centre_height": "7 cm",
        },
        "weight.one": {"mass": "3 kg", "on": "bar@110 cm", "height": "-20 cm"},
        "weight.two": {"mass": "1 kg", "on": "bar@10 cm", "height": "30 cm"},
    }
    frame = scene.parse(tomllib.loads(toml(tables))).frames["bar"]
    masses = {0.5 + 0.07j: 2.0, 1.1 - 0.2j: 3.0, 0.1 + 0.3j: 1.0}
    centre = sum(m * at for at, m in masses.items()) / 6
    inertia = 2 * 1.2**2 / 12 + sum(m * abs(at - centre) ** 2 for at, m in masses.items())
    assert near(abs(complex(*frame.centre) - centre), 0.0, abs=1e-12)
    assert near(frame.moment_of_inertia, inertia, rel=1e-12)


def test_blocks_one_under_another() -> None:
    """A block under a block under a block hangs by both drops below the first."""
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "block.top": {"at": ["1 m", "3 m"]},
        "block.middle": {"under": "top", "drop": "70 cm", "moves": True},
        "block.low": {"under": "middle", "drop": "40 cm", "moves": True},
        "weight.bag": {"mass": "1 kg", "on": "low"},
        "rope.one": {"reeve": ["top.becket", "middle.1", "top.1", "hook"]},
        "rope.two": {"reeve": ["middle.becket", "low.1", "peg"]},
        "anchor.hook": {"at": ["plumb", "1 m"]},
        "anchor.peg": {"at": ["plumb", "3 m"]},
    }
    machine = scene.parse(tomllib.loads(toml(tables)))
    assert near(machine.frames["middle"].pose.y, 2.3, rel=1e-12)
    assert near(machine.frames["low"].pose.y, 1.9, rel=1e-12)


@pytest.mark.parametrize("orientation", ["0 deg", "180 deg"])
@pytest.mark.parametrize(("hauls", "side"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
def test_a_hook_between_two_drums(hauls: str, side: float, orientation: str) -> None:
    """The sheave in the bight of a stepped axle hangs plumb below both drums' ropes, whichever way
    its block faces: that of the thick part leaves it on the side away from the hauling, that of the
    thin part on the other."""
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "wheel_and_axle.winch": {
            "at": ["1 m", "2 m"],
            "wheel": "20 cm",
            "axle": "6 cm",
            "small": "4 cm",
            "hauls": hauls,
        },
        "block.hook": {"at": ["plumb", "1 m"], "radius": "5 cm", "mass": "1 kg", "moves": True}
        | {"orientation": orientation},
        "rope.bight": {"reeve": ["winch.axle", "hook.1", "winch.small"]},
    }
    machine = scene.parse(tomllib.loads(toml(tables)))
    assert near(machine.frames["hook"].pose.x, 1 - side * 0.01, abs=1e-12)
    first, second = machine.spans(machine.lines[0], machine.start)
    assert first is not None and near(first.start.x, 1 - side * 0.06, abs=1e-9)
    assert second is not None and near(second.end.x, 1 + side * 0.04, abs=1e-9)


@pytest.mark.parametrize("hauls", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("turns", [{"initial_turns": 3.0, "max_turns": 7.5}, {}])
def test_where_drums_end(hauls: str, turns: dict[str, float]) -> None:
    """A drum that starts with n turns of rope and has room for m runs off after n turns one way and
    is full after m - n the other; by default with 5 and 10."""
    tables: Tables = {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "wheel_and_axle.winch": {"at": ["0 m", "2 m"], "hauls": hauls, **turns},
        "weight.bag": {"mass": "1 kg", "at": ["plumb", "1 m"]},
        "weight.can": {"mass": "100 g", "at": ["plumb", "1 m"]},
        "rope.rode": {"reeve": ["bag", "winch.axle"]},
        "rope.tail": {"reeve": ["winch.wheel", "can"]},
    }
    machine = scene.parse(tomllib.loads(toml(tables)))
    off = 1 if hauls == "anticlockwise" else -1
    wound, room = turns.get("initial_turns", 5.0), turns.get("max_turns", 10.0)
    expected = {
        ("tail", True): off * wound,
        ("tail", False): -off * (room - wound),
        ("rode", True): -off * wound,
        ("rode", False): off * (room - wound),
    }
    ends = machine.rotation_limits(machine.part("winch", WheelAndAxle))
    assert {(end.rope, end.empty) for end in ends} == set(expected)
    for end in ends:
        turn = expected[end.rope, end.empty]
        assert near(end.angle, math.tau * turn, rel=1e-12)
        assert end.direction == math.copysign(1, turn)
        assert end.exceeded_by(end.angle * 1.001) and not end.exceeded_by(end.angle * 0.999)
