"""A wedge under a guided follower: driven in, drawn out, held and let go."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import Unanswerable
from sandbox.theory import predict, solve, textbook
from tests.theory.scenes import G, answers, head, parsed, sentences
from tests.tolerance import near

KGF = 9.80665


def wedge(
    sense: str,
    *,
    angle: float = 10.0,
    face: float = 0.3,
    floor: float = 0.3,
    guide: float = 0.3,
    mass: float = 5.0,
    points: str = "right",
    end: str = "thin",
    more: str = "",
) -> str:
    """A wedge of 150 g and a metre under a follower of 200 g that carries a weight, its line level
    to a hand on the side of its thin or its thick end."""
    right = (points == "right") == (end == "thin")
    height = 2.0 - 1.9 + 0.25 / 6
    return head(sense, "keel") + (
        f'[wedge.wedge]\nat = ["0 m", "2 m"]\nangle = "{angle!r} deg"\nlength = "1 m"\n'
        f'points = "{points}"\ninitial_travel = "30 cm"\nabove_floor = "190 cm"\n'
        f"face_friction = {face!r}\nfloor_friction = {floor!r}\nguide_friction = {guide!r}\n{more}"
        f'[weight.keel]\nmass = "{mass!r} kg"\non = "wedge"\n'
        f'[rope.line]\nreeve = ["wedge.{end}", "hand"]\n'
        f'[hand.hand]\nat = ["{2.0 if right else -2.0} m", "{height!r} m"]\ntravel = "20 cm"\n'
    )


def effort(
    angle: float, face: float, floor: float, guide: float, load: float, sign: float
) -> float:
    """Solved from the components of each force, with no angle of friction: N on the face,
    N (cos a - m sin a) - g N (sin a + m cos a) = load for driving in, all frictions turned round
    for coming out."""
    a, m, f, g = math.radians(angle), sign * face, sign * floor, sign * guide
    up, aside = math.cos(a) - m * math.sin(a), math.sin(a) + m * math.cos(a)
    bearing = load / (up - g * abs(aside))
    return bearing * aside + f * (bearing * up + 0.15 * G)


CASES = [(10.0, 0.3, 0.3, 0.3), (15.0, 0.25, 0.25, 0.25), (20.0, 0.1, 0.05, 0.0), (8.0, 0, 0, 0)]


@pytest.mark.parametrize(("angle", "face", "floor", "guide"), CASES)
@pytest.mark.parametrize("points", ["right", "left"])
def test_what_drives_a_wedge_in_and_what_holds_it(
    angle: float, face: float, floor: float, guide: float, points: str
) -> None:
    """Steadily driven in it takes what the components of the forces give; held, any pull between
    that and what keeps it from coming out; it says whether it holds by itself."""
    keys = {"angle": angle, "face": face, "floor": floor, "guide": guide, "points": points}
    load = 5.2 * G
    up, down = (effort(angle, face, floor, guide, load, sign) for sign in (1.0, -1.0))
    found = answers(wedge("raising", **keys))
    assert near(found["hand.force"], up, rel=1e-9)
    assert near(found["machine.velocity_ratio"], 1 / math.tan(math.radians(angle)), rel=1e-9)
    assert near(found["wedge.driven"], 0.12, rel=1e-9)
    held = predict(parsed(wedge("held", **keys)))
    if face:
        assert near(held.quantities["hand.greatest_force"], up, rel=1e-9)
        assert near(held.quantities["hand.least_force"], max(0.0, down), rel=1e-9, abs=1e-9)
    said = [note for note in sentences(held.notes) if note.startswith("wedge")]
    if face:
        assert ("by itself" in said[0]) == textbook.wedge_holds(
            math.radians(angle), face, floor, guide
        )


def test_the_printed_wedges() -> None:
    """1500 kgf, 10 deg, mu 0.3 on all faces: 1417.5 kgf, drawn to scale (Bihar University,
    examination of 1974); 2000 N, 15 deg, mu 0.25: 1866.34 N, rounded on the way (an examination of
    2013 as worked on a homework site: an arithmetic check). A light wedge and follower."""
    light = 'follower_mass = "1 mg"\nwedge_mass = "1 mg"\n'
    for load, angle, friction, computed, printed in (
        (1500 * KGF, 10.0, 0.3, 1418.4 * KGF, 1417.5 * KGF),
        (2000.0, 15.0, 0.25, 1869.8, 1866.34),
    ):
        keys = {"angle": angle, "face": friction, "floor": friction, "guide": friction}
        text = wedge("raising", mass=load / G, more=light, **keys)
        found = answers(text)["hand.force"]
        assert near(found, computed, rel=5e-5) and near(found, printed, rel=2e-3)
        book = textbook.wedge_effort(load, math.radians(angle), friction, friction, friction)
        assert near(found, book, rel=1e-7)


def test_it_holds_by_itself_up_to_twice_the_angle_of_friction() -> None:
    """With the same friction on face and floor and a smooth guide a wedge holds where its angle is
    no more than 2 phi (a textbook rule, from memory)."""
    for friction in (0.05, 0.2, 0.4):
        limit = 2.0 * math.degrees(math.atan(friction))
        for angle, holds in ((0.99 * limit, True), (1.01 * limit, False)):
            a = math.radians(angle)
            assert textbook.wedge_holds(a, friction, friction) == holds
            light = 'wedge_mass = "1 mg"\n'
            text = wedge("held", angle=angle, face=friction, floor=friction, guide=0.0, more=light)
            least = predict(parsed(text)).quantities["hand.least_force"]
            assert (least == 0.0) == holds


@pytest.mark.parametrize("points", ["right", "left"])
def test_let_go_a_steep_one_is_squeezed_out(points: str) -> None:
    """By d'Alembert: the face's force from the load less what sets it in motion, the wedge by what
    that leaves over the floor's friction."""
    a, m, f, g = math.radians(30.0), 0.1, 0.08, 0.05
    text = wedge("released", angle=30.0, face=m, floor=f, guide=g, points=points)
    text = text[: text.index("[rope.line]")]
    found = answers(text)
    up, aside = math.cos(a) + m * math.sin(a), math.sin(a) - m * math.cos(a)
    # N (up + g aside) = M (gravity - t s), N aside - f (N up + w gravity) = w s, t = tan a.
    wedge_mass, load, t = 0.15, 5.2, math.tan(a)
    bears, drives = up + g * aside, aside - f * up
    out = (load * G * drives / bears - f * wedge_mass * G) / (
        wedge_mass + load * t * drives / bears
    )
    force = load * (G - t * out) / bears
    assert near(found["wedge.acceleration"], -t * out, rel=1e-9)
    assert near(found["wedge.face_force"], math.hypot(force, m * force), rel=1e-9)


def test_drawn_out_by_its_thick_end_it_takes_the_frictions_alone() -> None:
    """One that holds by itself is drawn out by the force that the formula gives with all frictions
    turned round; a line paid out at its thin end does nothing."""
    text = wedge("raising", angle=8.0, face=0.3, floor=0.3, guide=0.0, end="thick")
    found = answers(text)
    assert near(found["hand.force"], -effort(8.0, 0.3, 0.3, 0.0, 5.2 * G, -1.0), rel=1e-9)
    assert found["keel.rise"] < 0.0 and found["wedge.driven"] < 0.0
    with pytest.raises(Unanswerable, match="friction alone holds the load"):
        predict(parsed(wedge("lowering", angle=8.0, face=0.3, floor=0.3, guide=0.0)))


@pytest.mark.parametrize("key", ["angle", "face_friction", "floor_friction", "guide_friction"])
def test_each_of_its_keys_is_found_from_the_effort(key: str) -> None:
    """Asked for as the unknown, from the effort that its value gives, it is found again."""
    scene = parsed(wedge("raising", angle=12.0, face=0.2, floor=0.25, guide=0.15))
    right = {
        "angle": math.radians(12.0),
        "face_friction": 0.2,
        "floor_friction": 0.25,
        "guide_friction": 0.15,
    }[key]
    pull = predict(scene).quantities["hand.force"]
    found = solve(scene, f"wedge.{key}", {"hand.force": pull})
    assert any(near(value, right, rel=1e-5) for value in found.values)


def test_an_end_of_its_travel_ends_the_stroke() -> None:
    """Hauled further than its length allows it is driven home, and that is said."""
    text = wedge("raising").replace('initial_travel = "30 cm"', 'initial_travel = "75 cm"')
    with pytest.raises(Unanswerable, match="as far as it goes"):
        predict(parsed(text))
