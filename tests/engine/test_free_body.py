"""The forces on each part, freed of its supports: Newton's and Euler's laws hold of what the
simulation applied, and statics by hand gives the same forces."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache

import pytest

from sandbox.engine import FreeBody, Live, Load, Snapshot, length_of
from sandbox.scene import Scene, Vector, load
from sandbox.shipped import find_scene, shipped_scenes
from tests.every_scene import few_of_each
from tests.outcomes import LONG
from tests.small_scenes import about, bar, build, hand, sled, two_bags
from tests.tolerance import near

G = 9.80665
ROUNDING = 1e-9
"""Of the largest force, or of that times how far it acts. Forces, places and accelerations all
belong to the middle of the same step, so nothing is left of pymunk's half step but rounding, which
is some 1e-15 for what hangs or slides and 1e-13 where two contacts share a load."""
NAMES = [path.stem for path in (shipped_scenes() if LONG else few_of_each())]
"""Scenes with each two kinds of parts; all of them where a campaign is asked for."""


@cache
def shots(name: str) -> tuple[Scene, tuple[Snapshot, ...]]:
    """A shipped scene and its run, a snapshot each tenth of a second."""
    scene = load(find_scene(name))
    live = Live(scene)
    while live.now.time < length_of(scene) and not live.machine.jammed and len(live.snapshots) < 45:
        live.advance(0.1)
    return scene, tuple(live.snapshots)


def bodies_of(name: str) -> Iterator[tuple[Snapshot, FreeBody]]:
    for shot in shots(name)[1]:
        for body in shot.free_bodies.values():
            yield shot, body


@pytest.mark.parametrize("name", NAMES)
def test_forces_come_to_mass_times_acceleration(name):
    """Of every part that moves, all through a scene's run, the forces that the simulation applied
    add up to mass times the acceleration that pymunk gave it (Newton's second law), and their
    moments to the rate of change of angular momentum (Euler's)."""
    scene, run = shots(name)
    moving = {frame.name for frame in scene.frames.values() if frame.kind != "hand"}
    started = run[1:] if scene.about.mode == "released" else run
    assert all(moving <= shot.free_bodies.keys() for shot in started)
    for _, body in bodies_of(name):
        largest = max(load.force.norm for load in body.loads)
        residual = (body.sum - body.inertia).norm
        assert near(residual, 0.0, abs=ROUNDING * largest)
        if body.rotates:
            reach = max((load.at - body.pivot).norm for load in body.loads)
            for point in (body.pivot, body.centre, Vector(-0.3, 1.7)):
                far = reach + (point - body.pivot).norm
                turning = body.moment(point) - body.rate(point)
                assert near(turning, 0.0, abs=ROUNDING * largest * far)


@pytest.mark.parametrize("name", NAMES)
def test_they_are_what_the_instruments_show(name):
    """The forces of a free-body drawing are those that the instruments of the same moment show:
    every tension acts at the points where that part of rope ends."""
    for shot, body in bodies_of(name):
        for one in body.loads:
            if one.name.kind.code != "load_tension":
                continue
            rope, number = one.name["rope"], one.name["number"]
            span = next(s for s in shot.spans if (s.rope, s.number) == (rope, number))
            assert near(one.force.norm, abs(span.tension), rel=1e-9, abs=1e-9)
            if not body.rotates:
                # Half a step apart, in which nothing here goes further than a millimetre.
                away = min((one.at - span.start).norm, (one.at - span.end).norm)
                assert away < 1.5e-3


def test_a_force_left_out_is_missed():
    """The sum is no formality: without any one of the forces it does not close."""
    for name in ("lever_first_class", "four_part_tackle", "sled_drawn_up"):
        for shot, body in bodies_of(name):
            if shot.time < 1.0 or not body.moves:
                continue
            for left_out in body.loads:
                if left_out.force.norm > 0.0:
                    rest = body._replace(loads=tuple(x for x in body.loads if x is not left_out))
                    assert (rest.sum - rest.inertia).norm > 1e-4 * left_out.force.norm


def after(tables: object, seconds: float) -> dict[str, FreeBody]:
    """The free bodies of a small machine after it has run for so long."""
    live = Live(build(tables))  # type: ignore[arg-type]
    live.advance(seconds)
    return dict(live.now.free_bodies)


def named(body: FreeBody, code: str) -> list[Load]:
    return [one for one in body.loads if one.name.kind.code == f"load_{code}"]


def test_lever_by_plain_statics():
    """A bar of 200 g and 1 m on a fulcrum at 40 cm is held level by a hand that pulls straight
    down at its left end against 300 g hung at its right end. Moments about the fulcrum:
    F 0.4 = 0.2 g 0.1 + 0.3 g 0.6; the fulcrum bears the sum of what pulls down."""
    tables = bar("held", fulcrum="40 cm", bearing_friction=0.0) | {
        "weight.load": {"mass": "300 g", "on": "bar@100 cm"},
        **hand("bar@0 cm"),
    }
    tables["hand.hand"] = {"at": ["-40 cm", "10 cm"]}
    body = after(tables, 0.5)["bar"]
    effort = (0.2 * 0.1 + 0.3 * 0.6) * G / 0.4
    (pull,), (bearing,) = named(body, "tension"), named(body, "fulcrum")
    # The rope's stretch lets the bar tilt by less than a milliradian, whose cosine is 1 - 5e-7.
    assert near(-pull.force.y, effort, rel=1e-5)
    assert near(bearing.force.y, 0.5 * G + effort, rel=1e-5)
    assert near(abs(pull.moment(body.pivot)), 0.4 * effort, rel=1e-5)
    assert near(body.moment(body.pivot), 0.0, abs=1e-9)


@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_block_of_a_tackle_by_plain_statics(friction):
    """A moving block with its load hangs from two parallel parts. Raised steadily,
    T1 + T2 = (M + m) g, and over a bearing with friction T2 / T1 = (1 + q) / (1 - q) with
    q = mu x pin radius / sheave radius, if the sheave itself weighs nothing."""
    tables = about("raising", load="bag") | {
        "block.runner": {
            "at": ["plumb", "40 cm"],
            "moves": True,
            "mass": "120 g",
            "sheave_mass": "0.001 g",
            "radius": "40 mm",
            "pin_radius": "8 mm",
            "bearing_friction": friction,
        },
        "anchor.hook": {"at": ["0 m", "2 m"]},
        "weight.bag": {"mass": "2 kg", "on": "runner"},
        "rope.fall": {"reeve": ["hook", "runner.1", "hand"]},
        "hand.hand": {"at": ["plumb", "1.6 m"], "heading": "90 deg", "travel": "20 cm"},
    }
    body = after(tables, 1.0)["runner"]
    one, other = sorted(abs(pull.force.y) for pull in named(body, "tension"))
    q = friction * 8.0 / 40.0
    assert near(one + other, 2.12 * G, rel=1e-6)
    assert near(other / one, (1.0 + q) / (1.0 - q), rel=1e-6)


def test_almost_massless_block_has_forces_that_cancel():
    """A block of a milligram that moves bears no more than its ropes bring: they cancel."""
    tables = about("raising", load="bag") | {
        "block.runner": {
            "at": ["plumb", "40 cm"],
            "moves": True,
            "mass": "0.001 g",
            "sheave_mass": "0.001 g",
        },
        "anchor.hook": {"at": ["0 m", "2 m"]},
        "weight.bag": {"mass": "1 kg", "at": ["plumb", "10 cm"]},
        "rope.sling": {"reeve": ["runner", "bag"]},
        "rope.fall": {"reeve": ["hook", "runner.1", "hand"]},
        "hand.hand": {"at": ["plumb", "1.6 m"], "heading": "90 deg", "travel": "20 cm"},
    }
    body = after(tables, 1.0)["runner"]
    pulls = [pull.force for pull in named(body, "tension")]
    assert len(pulls) == 3
    assert near(sum(pull.y for pull in pulls), 0.0, abs=1e-4)
    assert near(min(pull.y for pull in pulls), -G, rel=1e-4)


def test_body_on_a_ramp_by_plain_statics():
    """A sled of 1 kg that slides down a ramp of 30 degrees with mu = 0.2: N = m g cos a,
    friction = mu N up the slope, and a = g (sin a - mu cos a)."""
    body = after(sled(angle=30.0, place=60.0, friction=(0.25, 0.2)), 0.2)["sled"]
    (normal,), (friction,) = named(body, "normal"), named(body, "friction")
    a = math.radians(30.0)
    upslope = Vector(math.cos(a), math.sin(a))
    # pymunk's contact rests at a slop of 1e-5 m: its forces are good to 1e-6.
    assert near(normal.force.norm, G * math.cos(a), rel=1e-6)
    assert near(friction.force.dot(upslope), 0.2 * G * math.cos(a), rel=1e-6)
    assert near(body.sum.dot(upslope), -G * (math.sin(a) - 0.2 * math.cos(a)), rel=1e-6)
    assert near(body.sum.cross(upslope), 0.0, abs=1e-6)


@pytest.mark.parametrize("rises", ["right", "left"])
def test_roller_bears_on_its_ramp_below_its_middle(rises):
    """A solid roller let go on a slope rolls with a = 2/3 g sin a (I = m r^2 / 2): friction is
    m g sin a / 3 up the slope, and its moment about the middle is I alpha. However far it has
    rolled, it bears on the ramp below its middle."""
    tables = sled(
        angle=10.0,
        place=60.0,
        friction=(0.5, 0.5),
        rises=rises,
        rolls=True,
        width="10 cm",
        height="10 cm",
    )
    live = Live(build(tables))
    live.advance(0.5)
    body = live.now.free_bodies["sled"]
    (normal,), (friction,) = named(body, "normal"), named(body, "friction")
    a = math.radians(10.0)
    assert near(friction.force.norm, G * math.sin(a) / 3.0, rel=1e-4)
    assert near(body.inertia.norm, 2.0 / 3.0 * G * math.sin(a), rel=1e-4)
    turning = 0.5 * 0.05**2 * body.angular_acceleration
    assert near(friction.moment(body.centre), turning, rel=1e-6)
    for at, middle in (
        (normal.at, body.centre),
        *((f.at, live.now.poses["sled"].point(Vector(0.0, 0.0))) for f in live.now.forces[1:2]),
    ):
        assert near((at - middle).norm, 0.05, rel=1e-9)
        assert near((at - middle).dot(normal.force), -0.05 * normal.force.norm, rel=1e-9)


def test_falling_weights_by_newtons_law():
    """Two weights over one sheave: each has its tension less its weight to accelerate it, the
    same for both but for the sign."""
    bodies = after(two_bags("700 g", "500 g"), 0.2)
    one, other = bodies["one"], bodies["other"]
    assert one.acceleration.y < -0.1
    # But for the rope, which still creeps over the sheave by as much as its tension changes.
    assert near(one.acceleration.y, -other.acceleration.y, rel=1e-5)
    for body, mass in ((one, 0.7), (other, 0.5)):
        (pull,) = named(body, "tension")
        assert near(pull.force.y - mass * G, mass * body.acceleration.y, rel=1e-9)


def test_what_is_fixed_is_held_up():
    """A block fixed to the bench over which 700 g and 500 g hang still is held by what carries
    both and the block itself, by plain statics."""
    tables = two_bags("500 g", "500 g", "held")
    body = after(tables, 0.2)["head"]
    (fixing,) = named(body, "fixing")
    (weight,) = named(body, "weight")
    assert not body.moves
    assert near(fixing.force.y, 1.0 * G - weight.force.y, rel=1e-6)
    assert near(fixing.force.x, 0.0, abs=1e-9)


def test_pull_by_hand_is_one_of_the_forces():
    """Somebody's pull at a part is among its forces, and the sum still closes."""
    live = Live(load(find_scene("lever_first_class")))
    live.pull("spike", Vector(0.1, 0.0), Vector(0.3, 1.0))
    for _ in range(20):
        live.advance(0.02)
        body = live.now.free_bodies["spike"]
        largest = max(one.force.norm for one in body.loads)
        assert (body.sum - body.inertia).norm <= ROUNDING * largest
        turning = body.moment(body.pivot) - body.rate(body.pivot)
        assert near(turning, 0.0, abs=ROUNDING * largest)
    assert named(body, "applied")


def test_nothing_is_shown_before_a_released_machine_has_moved():
    """What holds a machine until it is released is no part of it, so that at the start there are
    no forces to show; after the first step there are."""
    live = Live(load(find_scene("sled_let_slide")))
    assert not live.now.free_bodies
    assert live.advance(0.002).free_bodies
    apart = Live(load(find_scene("sled_let_slide")), free_bodies=False)
    assert not apart.advance(0.002).free_bodies
