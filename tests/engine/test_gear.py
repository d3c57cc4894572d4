"""A gear between two others is solved as a sheave of their train: it does what a gear does whose
motion is found as any body's."""

from __future__ import annotations

from unittest.mock import patch

import pytest

from sandbox import engine
from sandbox.engine.parts.gear import GearBetween
from sandbox.engine.parts.wheel_and_axle import Spindle
from sandbox.scene import Scene, Vector
from tests.ledger import build, closes
from tests.tolerance import near

WINCH = """
scene = { title = "Between", watch = "The gear in the middle.", mode = "MODE" }
wheel_and_axle.crank = { at = ["0 cm", "1 m"], wheel = "10 cm", axle = "1 cm", BEARING }
wheel_and_axle.drum = { at = ["AT cm", "1 m"], wheel = "8 cm", axle = "3 cm", BEARING }
gear.first = { on = "crank", teeth = 20, module = "4 mm" }
gear.middle = { meshes = "first", direction = "0 deg", teeth = 50, module = "4 mm", MESH, OWN }
MORE
gear.last = { on = "drum", meshes = "BEHIND", teeth = 40, module = "4 mm", MESH }
weight.stone = { mass = "4 kg", at = ["plumb", "50 cm"] }
rope.rode = { reeve = ["stone", "drum.axle"] }
rope.tail = { reeve = ["crank.wheel", "hand"] }
hand.hand = { at = ["plumb", "60 cm"], MOVES }
"""
PLAIN = {"MORE": "", "BEHIND": "middle", "AT": "32"}
STEPPED = {
    "MORE": 'gear.small = { on = "middle", teeth = 15, module = "4 mm" }',
    "BEHIND": "small",
    "AT": "25",
}
HAULED = {"MODE": "raising", "MOVES": 'travel = "20 cm"'}
LOWERED = {"MODE": "lowering", "MOVES": 'travel = "20 cm"'}
LET_GO = {"MODE": "released", "MOVES": 'moves = ["hold 0.3 s", "let go"]'}


def winch(gears: dict[str, str], work: dict[str, str], efficiency: float = 1.0) -> Scene:
    text = WINCH
    turns = 'hauls = "anticlockwise", initial_turns = 5, max_turns = 20'
    words = {
        "BEARING": f"bearing_friction = 0.2, {turns}",
        "MESH": f"mesh_efficiency = {efficiency}",
        "OWN": "bearing_friction = 0.3",
    }
    for word, value in (gears | work | words).items():
        text = text.replace(word, value)
    return build(text)


def as_any_body():
    """Has every gear found as a body of its own."""
    return patch("sandbox.engine.parts.gear._is_between", return_value=False)


def both_ways(machine: Scene, told) -> tuple[engine.Live, engine.Live]:
    """The machine with its middle gear as a sheave, and as a body: `told` runs it."""
    one = engine.Live(machine)
    with as_any_body():
        other = engine.Live(machine)
    assert isinstance(one.machine.body("middle"), GearBetween)
    assert isinstance(other.machine.body("middle"), Spindle)
    for live in (one, other):
        told(live)
    return one, other


def same(one: engine.Live, other: engine.Live, rel: float) -> None:
    """Every reading, angle and entry of the ledger is the same, by the greatest of its kind."""
    for a, b in zip(one.snapshots, other.snapshots, strict=True):
        force = max(map(abs, b.readings.values()))
        for name, value in b.readings.items():
            assert near(a.readings[name], value, abs=rel * max(force, 1.0)), (name, b.time)
        for name, pose in b.poses.items():
            turned = max(1.0, abs(pose.angle))
            assert near(a.poses[name].angle, pose.angle, abs=rel * turned), (name, b.time)
        heat = sum(b.energy.dissipated.values())
        for name, lost in b.energy.dissipated.items():
            assert near(a.energy.dissipated[name], lost, abs=rel * max(1.0, heat)), name
        assert near(a.energy.kinetic, b.energy.kinetic, abs=rel * max(1.0, b.energy.kinetic))
    assert not one.events
    assert not other.events
    assert closes(one.recording())


@pytest.mark.parametrize(
    ("gears", "work", "efficiency"),
    [
        (PLAIN, HAULED, 1.0),
        (PLAIN, LET_GO, 0.9),
        (STEPPED, LOWERED, 1.0),
        (STEPPED, HAULED, 0.9),
        (STEPPED, LET_GO, 0.9),
    ],
    ids=["hauled", "let go", "stepped, lowered", "stepped, hauled", "stepped, let go"],
)
def test_a_gear_between_two_others_moves_as_any_body(gears, work, efficiency):
    """Hauled, paid out, or held as drawn and let go; alone on its spindle or with a smaller gear
    that hands on; with and without loss in the teeth: all readings, turns, entries of the ledger
    and events are those of a gear found as a body. The directions of its bearing's load may be off
    by `LOAD_TURNED`, and its friction by as much in every step."""

    def run(live: engine.Live) -> None:
        for _ in range(12):
            live.advance(0.05)

    same(*both_ways(winch(gears, work, efficiency), run), rel=1e-6)


def test_somebody_pulls_at_a_gear_between_two_others():
    """A pull at its rim loads its bearing and drives its train, as it does any body's."""

    def run(live: engine.Live) -> None:
        live.advance(0.3)
        live.pull("middle", Vector(0.05, 0.0), Vector(0.2, 0.8))
        for _ in range(6):
            live.advance(0.02)
        live.release_pull()
        live.advance(0.3)

    one, other = both_ways(winch(PLAIN, HAULED), run)
    same(one, other, rel=1e-6)
    assert one.now.energy.work_in != 0.0


def test_free_bodies_of_a_train_are_in_balance():
    """Freed of its bearing a gear between two others obeys Newton and Euler, as those beside it."""
    live = engine.Live(winch(STEPPED, HAULED, 0.9))
    live.with_free_bodies = True
    bodies = live.advance(0.4).free_bodies
    for name in ("crank", "middle", "drum"):
        body = bodies[name]
        scale = max(load.force.norm for load in body.loads)
        assert near((body.sum - body.inertia).norm, 0.0, abs=1e-6 * scale), name
        moment = body.moment(body.pivot) - body.rate(body.pivot)
        assert near(moment, 0.0, abs=1e-6 * scale * 0.1), name


@pytest.mark.parametrize("first", [PLAIN, STEPPED], ids=["plain", "stepped"])
def test_a_train_goes_on_when_its_gears_are_changed(first):
    """With other gears, or a third at the middle one, so that it is a body of its own, and back
    again, it turns on from where it was as fast."""
    third = 'gear.third = { meshes = "middle", direction = "90 deg", teeth = 30, module = "4 mm" }'
    more = PLAIN | {"MORE": third}
    live = engine.Live(winch(first, HAULED))
    live.advance(0.6)
    kinds = []
    for gears in (more, PLAIN, PLAIN, more):
        before = live.now
        live.change(winch(gears, HAULED))
        after = live.advance(0.002)
        kinds.append(type(live.machine.body("middle")))
        spin = live.machine.body("middle").velocity[2]
        turned = after.poses["middle"].angle - before.poses["middle"].angle
        assert near(turned, 0.002 * spin, rel=0.05)
        assert near(after.energy.unaccounted, before.energy.unaccounted, abs=1e-4)
    assert kinds == [Spindle, GearBetween, GearBetween, Spindle]
