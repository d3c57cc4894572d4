"""Nothing leaves its field, and the effort is seen."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sandbox import engine
from sandbox.drawing import layout
from sandbox.drawing.dimensioning import LEAST_EFFORT
from sandbox.drawing.mechanism import View, draw_machine
from sandbox.drawing.parts.hand import GRIP, HALF, THICK
from sandbox.drawing.pen import unit
from sandbox.drawing.strokes import Arc, Box, Circle, Path, Text, bounds, within
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector, load
from sandbox.shipped import find_scene, shipped_scenes

FIELD = Box(0.0, 0.0, 100.0, 60.0)
PLACES = st.builds(Vector, st.floats(-150.0, 250.0), st.floats(-150.0, 250.0))


@given(points=st.lists(PLACES, min_size=2, max_size=6), closed=st.booleans())
def test_what_reaches_out_of_a_field_is_cut_off(points: list[Vector], closed: bool) -> None:
    """Of any chain or area, what is left lies in the field; what lies in it is left alone."""
    item = Path(tuple(points), "outline", closed, "metal" if closed else None)
    for piece in within([item], FIELD):
        assert FIELD.grown(1e-6).holds(bounds(piece))
    if FIELD.holds(bounds(item)):
        assert list(within([item], FIELD)) == [item]


def test_a_square_is_cut_at_the_edge() -> None:
    """Of a square that lies half outside half its area is left, and its three sides inside; a text
    that has no room goes, and so does what lies outside."""
    square = Path(Box(90.0, 10.0, 110.0, 30.0).corners, "outline", True, "metal")
    area, *lines = within([square], FIELD)
    assert isinstance(area, Path) and bounds(area) == Box(90.0, 10.0, 100.0, 30.0)
    assert sum((b.points[1] - b.points[0]).norm for b in lines) == pytest.approx(10 + 20 + 10)
    out = [Circle(Vector(150.0, 30.0), 5.0, "edge"), Text(Vector(95.0, 30.0), "far away", "text")]
    assert not list(within(out, FIELD))
    arc = Arc(Vector(100.0, 30.0), 10.0, 0.0, math.tau, "dimension")
    assert all(FIELD.grown(1e-9).holds(bounds(piece)) for piece in within([arc], FIELD))


def at_first(name: str) -> tuple[Scene, Snapshot]:
    scene = load(find_scene(name))
    return scene, next(engine.watch(scene))


def shafts(items: list, kind: str) -> list[Path]:
    return [i for i in items if isinstance(i, Path) and i.style == kind]


def test_an_arrow_too_long_ends_at_the_edge_with_the_sign_of_a_break() -> None:
    """A weight whose arrow would leave the field has one that ends in it, broken in two with two
    strokes across; one with room has none."""
    scene, now = at_first("spar_on_two_props")
    view = View(100.0, Vector(20.0, 60.0), force=10.0)
    free = draw_machine(scene, now, view)
    cut = draw_machine(scene, now, replace(view, field=Box(0.0, 60.0, 200.0, 140.0)))
    for item in shafts(cut.items, "weight"):
        assert bounds(item).bottom > 60.0
    assert len(shafts(free.items, "weight")) == 2
    assert len(shafts(cut.items, "weight")) == 2 * 4


@pytest.mark.parametrize("path", shipped_scenes(), ids=lambda path: path.stem)
def test_the_effort_is_seen_and_starts_outside_the_grip(path) -> None:
    """In every shipped scene with a hand that pulls, at the scale that the sheet would take, the
    arrow of the effort is 6 mm long at least and begins outside the grip."""
    scene = load(path)
    now = next(engine.watch(scene))
    efforts = [f for f in now.forces if f.kind == "effort" and f.force.norm > 0.01]
    if not efforts:
        return
    newtons = layout.force_scale([now], 26.0, Display())
    view = View(100.0, force=10.0 / newtons)
    sketch = draw_machine(scene, now, view)
    (shaft,) = shafts(sketch.items, "effort")
    head = sketch.items[sketch.items.index(shaft) + 1]
    assert isinstance(head, Path)
    length = (head.points[0] - shaft.points[0]).norm
    assert length >= LEAST_EFFORT - 1e-9
    (pull,) = [t for t in sketch.targets if t.kind == "pull" and t.what == scene.hand.name]
    grip = 0.5 * (pull.outline[0] + pull.outline[-1])
    bar = unit(pull.outline[-1] - pull.outline[0])
    tail = shaft.points[0]
    beyond = max(abs((tail - grip).dot(bar)) - HALF, 0.0)
    assert math.hypot(beyond, (tail - grip).cross(bar)) > THICK
    assert (tail - view(efforts[0].at)).norm < GRIP + HALF + THICK + 1.0


def test_the_force_scale_is_chosen_for_the_effort_too() -> None:
    """Where the effort would hardly be seen the scale is a step finer, the longest arrow up to
    1.6 times as long; where that is not enough the scale stays."""
    hand = engine.Force("effort", "hand", Vector(0.0, 0.0), Vector(0.0, -3.4))
    for weight, newtons in ((14.7, 5.0), (45.0, 20.0), (12.0, 5.0)):
        _, now = at_first("fixed_sheave")
        load_weight = engine.Force("weight", "bag", Vector(0.0, 0.0), Vector(0.0, -weight))
        now = replace(now, forces=(hand, load_weight))
        assert layout.force_scale([now], 26.0, Display()) == pytest.approx(newtons)
