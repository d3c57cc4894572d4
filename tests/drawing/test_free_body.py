"""The free-body drawing: what it shows is what the simulation applied, and nothing else."""

from __future__ import annotations

import math

import pytest

from sandbox.drawing.free_body import FreeBodyField, points_about
from sandbox.drawing.strokes import Box, Drawing, Path, bounds
from sandbox.engine import Live
from sandbox.language.display import Display
from sandbox.scene import load
from sandbox.shipped import find_scene, shipped_scenes
from tests.tolerance import near

FIELD = Box(130.0, 38.0, 303.0, 167.0)
"""mm. As beside a machine on a sheet of 16:9."""
NAMES = [path.stem for path in shipped_scenes()]


def run(name: str, seconds: float) -> Live:
    live = Live(load(find_scene(name)))
    live.advance(seconds)
    return live


def drawn(live: Live, part: str, language: str = "en", about: int = 0) -> Drawing:
    shot = live.now
    field = FreeBodyField()
    found = field.draw(live.scene, shot, part, FIELD, Display(language), about)
    return Drawing(400.0, 180.0, tuple(found.items))


@pytest.mark.parametrize("name", NAMES)
def test_every_part_has_room_for_its_drawing(name):
    """In Spanish, whose words are the longer, the free-body drawing of every part of every shipped
    scene stays within its field, no text lies upon another, and each force has a row."""
    live = run(name, 0.6)
    for part, body in live.now.free_bodies.items():
        drawing = drawn(live, part, "es")
        for item in drawing.items:
            assert FIELD.grown(0.6).holds(bounds(item)), (part, item)
        texts = drawing.texts
        for i, text in enumerate(texts):
            for other in texts[:i]:
                assert not text.box.grown(-0.7).meets(other.box), (part, text, other)
        numbers = {text.text for text in texts}
        assert {str(i) for i in range(1, len(body.loads) + 1)} <= numbers


def arrows(drawing: Drawing, kind: str) -> list[float]:
    """The lengths of the shafts in one colour, mm."""
    return sorted(
        math.dist(*item.points)
        for item in drawing.items
        if isinstance(item, Path) and item.style == kind and len(item.points) == 2
    )


def test_arrows_are_to_the_stated_scale():
    """Each force's arrow is as long on the part as in the polygon, in proportion to its size: to
    the one force scale that is stated, 10 mm for so many newtons."""
    live = run("lever_first_class", 2.0)
    drawing = drawn(live, "spike")
    (fulcrum,) = (f for f in live.now.free_bodies["spike"].loads if f.kind == "reaction")
    text = next(t.text for t in drawing.texts if t.text.startswith("force "))
    newtons = float(text.split()[1])
    first, second = arrows(drawing, "reaction")
    assert near(first, second, rel=1e-9)
    # The shaft ends within the arrowhead, of at most 3.4 mm.
    length = 10.0 * fulcrum.force.norm / newtons
    assert near(first, length - 0.9 * 3.4, abs=1e-6)


def test_sum_and_mass_times_acceleration_stand_side_by_side():
    """A sled that slides down freely: the sum of its forces is written beside mass times
    acceleration, and both are m g (sin a - mu cos a)."""
    live = run("sled_let_slide", 0.3)
    texts = [text.text for text in drawn(live, "sled").texts]
    scene = live.scene
    ramp = next(iter(scene.frames.values())).ramp
    assert ramp is not None
    a = math.atan2(ramp.upslope.y, ramp.upslope.x)
    mass = scene.frames["sled"].mass
    pull = mass * scene.about.gravity * (math.sin(a) - ramp.kinetic_friction * math.cos(a))
    written = Display().force(pull)
    assert f"sum of forces {written}" in texts
    assert any(text.startswith("m a = ") and text.endswith(written) for text in texts)
    assert "sum = m a" in texts


def test_a_sum_that_does_not_close_is_shown_open():
    """Where forces and acceleration do not fit each other, the drawing does not hide it: sum and
    mass times acceleration are two arrows with two values."""
    live = run("sled_let_slide", 0.3)
    shot = live.now
    body = shot.free_bodies["sled"]
    wrong = body._replace(acceleration=2.0 * body.acceleration)
    shot.free_bodies["sled"] = wrong  # type: ignore[index]
    texts = [text.text for text in drawn(live, "sled").texts]
    assert "sum = m a" not in texts
    assert texts.count("sum") == 2 and texts.count("m a") == 2


def test_moments_are_taken_about_any_of_the_points():
    """About each of a lever's points the table's moments add up to what it says is their sum, and
    the force that acts there has none."""
    live = run("lever_first_class", 2.0)
    body = live.now.free_bodies["spike"]
    said = set()
    for about in range(len(points_about(body))):
        drawing = drawn(live, "spike", about=about)
        said.add(next(t.text for t in drawing.texts if t.text.startswith("moments about")))
        right = max(t.box.right for t in drawing.texts)
        column = [t for t in drawing.texts if abs(t.box.right - right) < 0.1][1:]
        values = [float(t.text.replace("−", "-")) for t in column if t.text[-1].isdigit()]
        *moments, total, rate = values
        # Each is rounded to at most half a unit of its last digit.
        assert near(sum(moments), total, abs=0.005 * (len(moments) + 1))
        assert near(total, rate, abs=0.0101)
        if about >= 2:
            assert moments[about - 2] == 0.0
    assert len(said) == len(points_about(body))


def test_a_part_is_drawn_without_what_holds_it():
    """Neither fulcrum nor ground is left of a lever's, nor the hanger of a fixed block's."""
    for name, part in (("lever_first_class", "spike"), ("four_part_tackle", "upper")):
        live = run(name, 0.5)
        # Ground is hatched by strokes that go aslant.
        for item in drawn(live, part).items:
            if isinstance(item, Path) and item.style == "hatch" and part == "spike":
                raise AssertionError(item)


def test_a_released_machine_says_why_it_has_no_forces_yet():
    """At its start a released machine has no forces to show, and the drawing says so."""
    live = Live(load(find_scene("sled_let_slide")))
    drawing = drawn(live, "sled")
    assert len(drawing.texts) == 2
    assert "not yet moved" in drawing.texts[1].text
