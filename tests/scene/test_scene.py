"""Scene files become sound scenes: the shipped ones, the geometry of ropes, and changes to them."""

from __future__ import annotations

import math
import re
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sandbox import shipped, units
from sandbox.scene import (
    Pose,
    Scene,
    SceneError,
    Vector,
    load,
    parse,
    revised,
    tangent,
    value_of,
)
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME, SCREWED_HOME, SCREWED_OUT
from sandbox.scene.model import Line
from sandbox.scene.parts import (
    About,
    Block,
    Body,
    Gauge,
    Lever,
    Ramp,
    Screw,
    SplittingWedge,
    Wedge,
    Weight,
    WheelAndAxle,
    keys_of,
)
from sandbox.scene.quantities import kind_of, names
from sandbox.theory import predict
from tests.tolerance import near

SCENES = [pytest.param(path, id=path.stem) for path in shipped.shipped_scenes()]


@pytest.fixture(params=SCENES)
def path(request: pytest.FixtureRequest) -> Path:
    """Each shipped scene file in turn."""
    found: Path = request.param
    return found


@pytest.fixture
def scene(path: Path) -> Scene:
    """Each shipped scene in turn."""
    return load(path)


# The shipped scenes.

FAMILIES = {
    "lever_first_class", "lever_second_class", "lever_third_class", "balanced_rule",
    "off_centre_pivot", "tipping_bar", "fixed_sheave", "movable_sheave", "two_part_tackle",
    "three_part_tackle", "four_part_tackle", "six_part_tackle", "tackle_on_tackle", "sled_held",
    "sled_drawn_up", "sled_let_slide", "sled_pulled_at_an_angle", "just_under_repose",
    "just_over_repose", "sled_and_hanging_weight", "tackle_up_a_ramp", "lever_hauling_a_fall",
    "hand_winch", "differential_winch",
}  # fmt: skip


def test_every_family_of_machine_is_shipped() -> None:
    """There is a scene of every kind that the program promises."""
    assert {path.stem for path in shipped.shipped_scenes()} >= FAMILIES


def test_a_scene_says_what_it_is_and_what_to_watch(path: Path, scene: Scene) -> None:
    """Every scene has a title, what to watch, something to predict, and a first line about it."""
    assert scene.about.title and scene.about.watch and scene.about.predict
    assert re.match(r"# \S.*\.\n\[scene\]\n", path.read_text(encoding="utf-8"))
    assert all(kind_of(name) for name in scene.about.predict)


def test_titles_are_not_shared() -> None:
    """No two scenes have one title."""
    titles = [load(path).about.title for path in shipped.shipped_scenes()]
    assert len(set(titles)) == len(titles)


def test_a_simple_machine_takes_few_lines(path: Path, scene: Scene) -> None:
    """A scene takes at most four lines for each part besides the [scene] table, of six at most,
    and besides what it says in other languages."""
    text = re.sub(
        r"(?m)^\[scene\.translations\.\w+(?:\.names)?\]\n(?:[^\[\n].*\n)+",
        "",
        path.read_text("utf-8"),
    )
    lines = [line for line in text.splitlines() if line.strip()]
    written = [line for line in lines if not line.startswith("#")]
    assert len(written) <= 40
    if len(scene.parts) <= 5:
        assert len(written) <= 27


def test_what_is_worth_predicting_has_an_answer(scene: Scene) -> None:
    """Theory has a finite value for every quantity that a scene asks to be predicted."""
    answers = predict(scene).quantities
    assert all(math.isfinite(answers[name]) for name in scene.about.predict)


def test_every_gauge_spans_its_reading(scene: Scene) -> None:
    """A shipped gauge reads from a fifth to nine tenths of its range, on 50 to 100 divisions."""
    for gauge in scene.of(Gauge):
        assert 50 <= gauge.range / gauge.graduation <= 100
        if scene.about.mode != "held" or scene.hand is None:
            reading = predict(scene).quantities[f"{gauge.name}.reading"]
            assert 0.2 <= reading / gauge.range <= 0.9


def test_no_machine_gives_more_than_it_takes(scene: Scene) -> None:
    """No shipped machine puts out more work than is put in, as a bar that helps the hand would."""
    assert predict(scene).quantities.get("machine.efficiency", 0.0) <= 1.0 + 1e-9


def test_every_quantity_has_a_kind(scene: Scene) -> None:
    """Every name that can be asked of a scene has a dimension and a unit."""
    assert len(set(names(scene))) == len(names(scene))
    for name in names(scene):
        assert kind_of(name).about


@pytest.mark.parametrize(
    ("name", "parts", "fixed_to"),
    [
        ("two_part_tackle", 2, "upper"),
        ("three_part_tackle", 3, "lower"),
        ("four_part_tackle", 4, "upper"),
        ("five_part_tackle", 5, "lower"),
        ("six_part_tackle", 6, "upper"),
    ],
)
def test_tackles_are_reeved_as_named(name: str, parts: int, fixed_to: str) -> None:
    """A tackle has at its moving block the parts of rope that its name says."""
    scene = load(shipped.find_scene(name))
    line = scene.lines[0]
    frames = [site.frame for site in line.waypoints]
    at_moving_block = sum((a == "lower") != (b == "lower") for a, b in pairwise(frames))
    assert at_moving_block == parts
    assert scene.parts["fall"].reeve[0].part == fixed_to  # type: ignore[attr-defined]


def test_plumb_parts_of_rope_are_vertical(scene: Scene) -> None:
    """Between blocks set plumb, and to a plumb hand, weight or anchor, the rope hangs vertical."""
    for line in scene.lines:
        for index, span in enumerate(scene.spans(line, scene.start)):
            assert span is not None
            ends = [_place_of(scene, line, i) for i in (index, index + 1)]
            if "plumb" in ends and "ramp" not in ends:
                assert abs(span.along.x) < 1e-12, (line.rope, index + 1)


def _place_of(scene: Scene, line: Line, index: int) -> str:
    entry = scene.parts[line.rope].reeve[index]  # type: ignore[attr-defined]
    part = scene.parts[entry.part]
    if getattr(part, "under", None):
        return "plumb"
    if getattr(part, "on", None) or isinstance(part, Body):
        return "ramp" if not entry.part.startswith("lead") else "fixed"
    place = getattr(part, "at", None)
    return "plumb" if place is not None and place.x is None else "fixed"


@pytest.mark.parametrize(
    "name", ["sled_drawn_up", "sled_held", "sled_paid_out", "roller_up_a_ramp", "tackle_up_a_ramp"]
)
def test_parts_along_the_slope_are_parallel_to_it(name: str) -> None:
    """In the scenes hauled along a slope, every part of rope lies along it."""
    scene = load(shipped.find_scene(name))
    up = scene.of(Ramp)[0].upslope
    for line in scene.lines:
        for span in scene.spans(line, scene.start):
            assert span is not None
            assert abs(span.along.cross(up)) < 1e-12
    assert scene.heading.cross(up) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("hauls", "side"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
def test_the_winch_winds_as_it_says(hauls: str, side: float) -> None:
    """A winch that hauls clockwise has its wheel's rope hanging on the right and the axle's on the
    left, each at its drum's radius and plumb; the other way about, mirrored. A rope that leads up
    leaves its drum on the other side."""
    changes = {"winch.hauls": f'"{hauls}"'}
    scene = load(shipped.find_scene("hand_winch"), changes)
    rode, tail = (scene.spans(line, scene.start)[0] for line in scene.lines)
    assert rode is not None and tail is not None
    assert near(rode.end.x, -side * 0.04, abs=1e-12) and near(rode.start.x, rode.end.x, abs=1e-12)
    assert near(tail.start.x, side * 0.16, abs=1e-12) and near(tail.end.x, tail.start.x, abs=1e-12)
    up = load(shipped.find_scene("hand_winch"), changes | {"hand.at": '["plumb", "150 cm"]'})
    (led,) = up.spans(up.lines[1], up.start)
    assert led is not None and near(led.end.x, -side * 0.16, abs=1e-12)
    assert near(led.start.x, led.end.x, abs=1e-12)


def test_the_lead_sheave_turns_the_line_from_slope_to_plumb() -> None:
    """The hanging weight's line lies along the slope as far as the sheave and plumb beyond it."""
    scene = load(shipped.find_scene("sled_and_hanging_weight"))
    along, down = scene.spans(scene.lines[0], scene.start)
    assert along is not None and down is not None
    assert along.along.cross(scene.of(Ramp)[0].upslope) == pytest.approx(0.0, abs=1e-12)
    assert down.along == pytest.approx((0.0, -1.0), abs=1e-12)


def test_the_lifted_line_rises_at_the_angle_of_friction() -> None:
    """The angled pull's line leaves the slope at the angle whose tangent is the kinetic
    coefficient, which is the angle of the least pull."""
    scene = load(shipped.find_scene("sled_pulled_at_an_angle"))
    ramp = scene.of(Ramp)[0]
    (span,) = scene.spans(scene.lines[0], scene.start)
    assert span is not None
    lifted = span.along.dot(ramp.normal) / span.along.dot(ramp.upslope)
    assert lifted == pytest.approx(ramp.kinetic_friction, rel=1e-12)


@pytest.mark.parametrize(("name", "side"), [("just_under_repose", -1), ("just_over_repose", 1)])
def test_the_angle_of_repose_is_half_a_degree_away(name: str, side: int) -> None:
    """The two repose scenes stand half a degree to either side of arctan of the coefficient."""
    ramp = load(shipped.find_scene(name)).of(Ramp)[0]
    past = math.degrees(ramp.slope - math.atan(ramp.static_friction))
    assert past == pytest.approx(0.5 * side, abs=0.01)


def test_the_stone_balances_the_shot() -> None:
    """The balanced rule's two weights have equal moments about its fulcrum, worked by hand:
    220 g at 25 cm and 275 g at 20 cm are both 55 g m."""
    scene = load(shipped.find_scene("balanced_rule"))
    frame, lever = scene.frames["stick"], scene.of(Lever)[0]
    assert sum(lump.mass * (lump.local.x - 0.30) for lump in frame.point_masses) == pytest.approx(
        0.0
    )
    assert frame.centre.x == pytest.approx(lever.fulcrum)
    assert frame.mass == pytest.approx(0.12 + 0.22 + 0.275)
    # 120 g as a bar of 60 cm about its middle, and the two weights.
    by_hand = 0.12 * 0.60**2 / 12 + 0.22 * 0.25**2 + 0.275 * 0.20**2
    assert frame.moment_of_inertia == pytest.approx(by_hand, rel=1e-12)


# Finding scenes.


def test_a_shipped_scene_is_found_by_its_bare_name(path: Path) -> None:
    """A bare name finds the shipped scene, a path finds itself."""
    assert shipped.find_scene(path.stem) == path
    assert shipped.find_scene(str(path)) == path


def test_a_file_in_the_way_comes_before_a_shipped_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A path that exists is that path, whatever it is called."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "fixed_sheave").touch()
    assert shipped.find_scene("fixed_sheave") == Path("fixed_sheave")


@pytest.mark.parametrize("text", ["four_part_tackel", "", "a\0b", "x" * 5000, "no such scene"])
def test_a_name_that_is_no_scene_is_refused(text: str) -> None:
    """An unknown name is refused with the shipped names, and the nearest where one is near."""
    with pytest.raises(SceneError, match="four_part_tackle") as refusal:
        shipped.find_scene(text)
    assert ("Did you mean" in str(refusal.value)) == text.startswith("four")


# Geometry.

coordinates = st.floats(-2.0, 2.0)
radii = st.floats(0.0, 0.5)
turns = st.sampled_from([1, -1])


@given(coordinates, coordinates, coordinates, coordinates, radii, turns, radii, turns)
def test_a_tangent_touches_both_circles_on_the_right_side(
    x1: float, y1: float, x2: float, y2: float, r1: float, turn1: int, r2: float, turn2: int
) -> None:
    """A span starts on one circle and ends on the other, square to both radii, each centre on the
    side that the rope's turn there asks for."""
    a, b = Vector(x1, y1), Vector(x2, y2)
    span = tangent(a, turn1 * r1, b, turn2 * r2)
    reach = abs(turn2 * r2 - turn1 * r1)
    distance = math.hypot(x2 - x1, y2 - y1)
    if span is None:
        assert distance <= reach + 1e-12
        return
    assume(distance > reach + 1e-3)
    assert span.along.norm == pytest.approx(1.0, abs=1e-12)
    for centre, point, radius, turn in ((a, span.start, r1, turn1), (b, span.end, r2, turn2)):
        spoke = centre - point
        assert spoke.norm == pytest.approx(radius, abs=1e-12)
        assert span.along.dot(spoke) == pytest.approx(0.0, abs=1e-11)
        assert span.along.cross(spoke) == pytest.approx(turn * radius, abs=1e-11)
    assert span.start + span.length * span.along == pytest.approx(span.end, abs=1e-12)


@given(coordinates, coordinates, radii, turns, radii, turns)
def test_a_tangent_is_what_a_search_by_halving_finds(
    x: float, y: float, r1: float, turn1: int, r2: float, turn2: int
) -> None:
    """The closed form agrees with a blind search for the direction that leaves each centre at its
    offset."""
    first, second = turn1 * r1, turn2 * r2
    distance = math.hypot(x, y)
    assume(distance > r1 + r2 + 1e-2)
    span = tangent(Vector(0.0, 0.0), first, Vector(x, y), second)
    assert span is not None
    bearing = math.atan2(y, x)

    def miss(angle: float) -> float:
        """How far off the second centre's offset is, the first being right."""
        return math.cos(angle) * y - math.sin(angle) * x - (second - first)

    low, high = bearing - math.pi / 2, bearing + math.pi / 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if miss(middle) > 0 else (low, middle)
    assert span.along == pytest.approx((math.cos(low), math.sin(low)), abs=1e-9)


@given(st.floats(-3.0, 3.0), coordinates, coordinates)
def test_a_pose_is_a_turn_and_a_shift(angle: float, x: float, y: float) -> None:
    """A pose keeps lengths, and carries the origin to its place."""
    pose = Pose(x, y, angle)
    p, q = pose.point(Vector(0.3, -0.4)), pose.point(Vector(0.0, 0.0))
    assert q == (x, y)
    assert (p - q).norm == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize("rises", ["right", "left"])
def test_a_ramp_has_its_own_axes(rises: str) -> None:
    """Up the slope and square to it are unit vectors, upward, at right angles, on either hand."""
    scene = parse(_ramp_document(rises=rises, length="1 m", rise="30 cm"))
    up, out = scene.of(Ramp)[0].upslope, scene.of(Ramp)[0].normal
    assert up.norm == pytest.approx(1.0) and out.norm == pytest.approx(1.0)
    assert up.dot(out) == pytest.approx(0.0, abs=1e-15)
    assert up.y == pytest.approx(0.3) and out.y > 0
    assert (up.x > 0) == (rises == "right")
    # A point of the body's own axes straight above its foot stands square to the slope.
    body = scene.frames["sled"]
    tip = body.pose.point(Vector(0.0, 1.0)) - body.pose.point(Vector(0.0, 0.0))
    assert tip == pytest.approx(out, abs=1e-15)


def _length(scene: Scene, line: Line, poses: dict[str, Pose]) -> float:
    """The whole length of a rope: its straight parts and what lies on its sheaves."""
    spans = scene.spans(line, poses)
    total = 0.0
    for span in spans:
        assert span is not None
        total += span.length
    for site, before, after in zip(line.waypoints[1:-1], spans, spans[1:], strict=False):
        assert before is not None and after is not None
        swept = math.atan2(before.along.cross(after.along), before.along.dot(after.along))
        if swept * site.winding < -1e-9:
            swept += site.winding * 2 * math.pi
        total += site.radius * abs(swept)
    return total


@pytest.mark.parametrize(
    ("name", "ratio"),
    [
        ("fixed_sheave", 1),
        ("movable_sheave", 2),
        ("two_part_tackle", 2),
        ("three_part_tackle", 3),
        ("four_part_tackle", 4),
        ("five_part_tackle", 5),
        ("six_part_tackle", 6),
        ("lowering_a_barrel", 3),
    ],
)
def test_the_rope_keeps_its_length(name: str, ratio: int) -> None:
    """When the load rises by a centimetre and the hand hauls as many as the tackle has parts, the
    rope, sheaves and all, is as long as before."""
    scene = load(shipped.find_scene(name))
    (line,) = scene.lines
    load_frame, hand = scene.load_frame, scene.hand
    assert load_frame is not None and hand is not None
    before = scene.start
    after = dict(before)
    lifted = before[load_frame.name]
    after[load_frame.name] = Pose(lifted.x, lifted.y + 0.01)
    at = Vector(before[hand.name].x, before[hand.name].y) + 0.01 * ratio * scene.heading
    after[hand.name] = Pose(*at)
    assert _length(scene, line, after) == pytest.approx(_length(scene, line, before), rel=1e-13)


def test_the_clapped_tackles_multiply() -> None:
    """Two parts on two: for a rise of 1 cm the traveller drops 2 cm and the hand hauls 4 cm."""
    scene = load(shipped.find_scene("tackle_on_tackle"))
    after = {
        name: Pose(pose.x, pose.y + {"lower": 0.01, "traveller": -0.02, "hand": 0.04}[name])
        for name, pose in scene.start.items()
    }
    for line in scene.lines:
        lengths = [_length(scene, line, poses) for poses in (scene.start, after)]
        assert lengths[1] == pytest.approx(lengths[0], rel=1e-13)


# Assembly.


def _ramp_document(**ramp: Any) -> dict[str, Any]:
    return {
        "scene": {"title": "t", "watch": "w", "mode": "released"},
        "ramp": {"slip": {"at": ["0 m", "0 m"], **ramp}},
        "body": {"sled": {"mass": "1 kg", "on": "slip@20 cm"}},
    }


@pytest.mark.parametrize(
    "measures",
    [
        {"length": "1 m", "rise": "60 cm"},
        {"length": "1 m", "angle": "36.86989764584402 deg"},
        {"rise": "60 cm", "angle": "36.86989764584402 deg"},
    ],
)
def test_any_two_measures_make_a_ramp(measures: dict[str, str]) -> None:
    """Length, rise and angle: any two give the third (the 3-4-5 triangle)."""
    ramp = parse(_ramp_document(**measures)).of(Ramp)[0]
    assert (ramp.length, ramp.rise) == pytest.approx((1.0, 0.6))
    assert ramp.slope == pytest.approx(math.atan2(3, 4))


def test_weights_count_where_they_hang() -> None:
    """A weight on a weight on a moving block belongs to the block's frame."""
    scene = load(shipped.find_scene("four_part_tackle"))
    frame, ballast = scene.frames["lower"], scene.part("ballast", Weight)
    assert frame.mass == pytest.approx(scene.part("lower", Block).mass + ballast.mass)
    assert [lump.part for lump in frame.point_masses] == ["ballast"]
    assert scene.load == "ballast" and scene.load_mass == ballast.mass
    assert scene.carriers["ballast"] == "lower"


def test_a_lever_carries_its_weights_as_points() -> None:
    """A lever's mass, centre and moment are those of bar and weights together, worked by hand."""
    path = shipped.find_scene("lever_first_class")
    frame = load(path, {"spike.centre": "50 cm"}).frames["spike"]
    assert frame.mass == pytest.approx(2.4)
    assert frame.centre.x == pytest.approx((0.4 * 0.5 + 2.0 * 0.05) / 2.4)  # 0.125 m
    assert frame.moment_of_inertia == pytest.approx(0.4 / 12 + 0.4 * 0.375**2 + 2.0 * 0.075**2)


# What both engines are told of a machine, each by what mechanics or drawing says of it.

ABOUT = {"title": "A test", "watch": "What is where.", "mode": "released"}
# 3, 4, 5: up the slope (0.8, 0.6), square to it (-0.6, 0.8).
STEEP = {"at": ["1 m", "2 m"], "length": "5 m", "rise": "3 m"}


def test_a_block_weighs_what_its_sheaves_do() -> None:
    """Without a mass of its own a block weighs its sheaves; with one, that is all it weighs, and
    less than its sheaves it cannot."""
    parts: dict[str, Any] = {
        "anchor": {"beam": {"at": ["0 m", "2 m"]}},
        "block": {"low": {"at": ["2.5 cm", "1 m"], "sheaves": 1, "sheave_mass": "40 g"}},
        "rope": {"line": {"reeve": ["beam", "low.1", "hand"]}},
        "hand": {"hand": {"at": ["plumb", "2 m"]}},
    }
    parts["block"]["low"]["moves"] = True
    assert near(parse({"scene": ABOUT} | parts).frames["low"].mass, 0.04, rel=1e-12)
    parts["block"]["low"]["mass"] = "100 g"
    assert near(parse({"scene": ABOUT} | parts).frames["low"].mass, 0.1, rel=1e-12)
    parts["block"]["low"]["mass"] = "39 g"
    with pytest.raises(SceneError, match=r"block\.low\.mass.*at least the mass of its sheaves"):
        parse({"scene": ABOUT} | parts)


@pytest.mark.parametrize("rises", ["right", "left"])
def test_what_stands_on_a_ramp_stands_square_to_it(rises: str) -> None:
    """A body 2 m up a 3-4-5 ramp, its tie 10 cm above the surface; a roller's middle its radius
    above; an anchor and the hand at their heights; and the hand heads up the slope."""
    side = 1.0 if rises == "right" else -1.0
    scene = parse(
        {
            "scene": ABOUT,
            "ramp": {"slip": STEEP | {"rises": rises}},
            "body": {
                "sled": {"mass": "1 kg", "on": "slip@2 m", "attachment_height": "10 cm"},
                "drum": {"mass": "1 kg", "on": "slip@1 m", "rolls": True, "height": "20 cm"},
            },
            "anchor": {"post": {"on": "slip@4 m", "height": "10 cm"}},
            "rope": {
                "line": {"reeve": ["sled", "post"]},
                "tow": {"reeve": ["drum", "hand"]},
            },
            "hand": {"hand": {"on": "slip@3 m", "height": "10 cm"}},
        }
    )
    poses = scene.start

    def at(along: float, above: float) -> Vector:
        return Vector(1.0 + side * (0.8 * along - 0.6 * above), 2.0 + 0.6 * along + 0.8 * above)

    (tie, post), (axle, hand) = (
        [scene.centre_of(site, poses) for site in line.waypoints] for line in scene.lines
    )
    for found, expected in (
        (Vector(*poses["sled"][:2]), at(2.0, 0.0)),
        (tie, at(2.0, 0.1)),
        (axle, at(1.0, 0.1)),
        (post, at(4.0, 0.1)),
        (hand, at(3.0, 0.1)),
    ):
        assert near((found - expected).norm, 0.0, abs=1e-12)
    assert near((scene.heading - Vector(side * 0.8, 0.6)).norm, 0.0, abs=1e-12)
    assert near(poses["sled"].angle, side * math.asin(0.6), rel=1e-12)


def test_what_rides_on_a_roller_s_axle_does_not_turn_with_it() -> None:
    """A solid roller's moment is M r^2/2 of its own mass alone, though all moves with it: with as
    much again on its axle it rolls down with a = 2 g sin a / (2 + 1/2)."""
    text = {
        "scene": ABOUT,
        "ramp": {"slip": STEEP | {"static_friction": 1.0, "kinetic_friction": 1.0}},
        "body": {"drum": {"mass": "2 kg", "on": "slip@3 m", "rolls": True, "height": "20 cm"}},
        "weight": {"can": {"mass": "2 kg", "on": "drum"}},
    }
    frame = parse(text).frames["drum"]
    assert near(frame.mass, 4.0, rel=1e-12)
    assert near(frame.moment_of_inertia, 2.0 * 0.1**2 / 2, rel=1e-12)
    found = predict(parse(text)).quantities
    assert near(found["drum.acceleration"], -9.80665 * 0.6 * 2 / 2.5, rel=1e-10)


def test_a_wheel_and_axle_is_a_disc_unless_told_otherwise() -> None:
    """I = m R^2/2 with the wheel's radius, or m k^2 with the radius of gyration."""
    winch = {"at": ["0 m", "1 m"], "wheel": "20 cm", "axle": "4 cm", "mass": "3 kg"}
    hung: dict[str, Any] = {
        "weight": {"bag": {"mass": "1 kg", "at": ["plumb", "0 m"]}},
        "rope": {"rode": {"reeve": ["winch.axle", "bag"]}},
    }
    disc = parse({"scene": ABOUT, "wheel_and_axle": {"winch": winch}} | hung).frames["winch"]
    assert near(disc.moment_of_inertia, 3 * 0.2**2 / 2, rel=1e-12)
    ring = parse(
        {"scene": ABOUT, "wheel_and_axle": {"winch": winch | {"radius_of_gyration": "15 cm"}}}
        | hung
    )
    assert near(ring.frames["winch"].moment_of_inertia, 3 * 0.15**2, rel=1e-12)
    # Hauling turns it clockwise, which winds on to the axle: five turns run off anticlockwise.
    (off, full) = scene_ends = ring.rotation_limits(ring.of(WheelAndAxle)[0])
    assert len(scene_ends) == 2
    assert near(off.angle, 5 * math.tau, rel=1e-12) and off.direction == 1
    assert near(full.angle, -5 * math.tau, rel=1e-12) and full.direction == -1


@pytest.mark.parametrize(
    ("end", "keys", "degrees"),
    [
        # From plumb on the left over the top: to plumb on the right, level, and 30 degrees up.
        (("3 cm", "0 m"), {}, 180.0),
        (("1 m", "1.03 m"), {}, 90.0),
        (("3 cm", "0 m"), {"turns": 2}, 900.0),
        # Round the other way the rope leaves on the left of the bag's part.
        (("-3 cm", "2 m"), {"winds": "clockwise", "turns": 1}, 360.0),
        (("1 m", "0.97 m"), {"winds": "anticlockwise"}, 270.0),
    ],
)
def test_how_far_a_rope_goes_round_a_post(
    end: tuple[str, str], keys: dict[str, Any], degrees: float
) -> None:
    """What the drawing shows of a turn, and 360 degrees for each turn that it does not show."""
    x = "3 cm" if keys.get("winds") == "anticlockwise" else "-3 cm"
    scene = parse(
        {
            "scene": ABOUT,
            "post": {"pile": {"at": ["0 m", "1 m"]} | keys},
            "weight": {"bag": {"mass": "1 kg", "at": [x, "0 m"]}},
            "rope": {"line": {"reeve": ["bag", "pile", "hand"]}},
            "hand": {"hand": {"at": list(end)}},
        }
    )
    line, index = scene.passing("pile")
    found = scene.contact_angle(line, index, scene.start)
    assert near(math.degrees(found), degrees, abs=1e-9)
    # It is followed as the hand moves, the same round a whole turn's end.
    hand = scene.start["hand"]
    moved = scene.start | {"hand": Pose(hand.x + 1e-3, hand.y + 2e-3)}
    assert 0.0 < abs(scene.contact_angle(line, index, moved) - found) < 0.1


def test_where_gears_stand_and_what_turns_with_them() -> None:
    """A gear stands r1 + r2 from the one that it meshes with; its mass and moment of inertia are
    those of the spindle that it is fast on, or of its own."""
    winch = {"at": ["0 m", "1 m"], "wheel": "20 cm", "axle": "4 cm", "mass": "3 kg"}
    scene = parse(
        {
            "scene": ABOUT,
            "wheel_and_axle": {"winch": winch},
            "gear": {
                "pinion": {"on": "winch", "teeth": 20, "mass": "200 g"},
                "wheel": {"meshes": "pinion", "direction": "30 deg", "teeth": 60, "mass": "2 kg"},
                "small": {"on": "wheel", "teeth": 10, "radius_of_gyration": "1 cm"},
                "top": {"meshes": "small", "direction": "90 deg", "mesh_efficiency": 0.9},
            },
            "weight": {"bag": {"mass": "1 kg", "at": ["plumb", "0 m"]}},
            "rope": {"rode": {"reeve": ["winch.axle", "bag"]}},
        }
    )
    assert set(scene.frames) == {"winch", "wheel", "top", "bag"}
    places = {"winch": (0.0, 1.0), "wheel": (0.08 * math.sqrt(0.75), 1.04)}
    places |= {"top": (places["wheel"][0], 1.04 + 0.03)}
    for name, (x, y) in places.items():
        pose = scene.start[name]
        assert near(pose.x, x, abs=1e-12) and near(pose.y, y, abs=1e-12)
    frame = scene.frames["winch"]
    assert near(frame.mass, 3.2, rel=1e-12)
    assert near(frame.moment_of_inertia, 3 * 0.2**2 / 2 + 0.2 * 0.02**2 / 2, rel=1e-12)
    frame = scene.frames["wheel"]
    assert near(frame.mass, 2.1, rel=1e-12)
    assert near(frame.moment_of_inertia, 2 * 0.06**2 / 2 + 0.1 * 0.01**2, rel=1e-12)
    first, second = scene.meshes
    assert (first.frame, first.other_frame) == ("wheel", "winch")
    assert (second.gear, second.other, second.frame) == ("top", "small", "top")
    assert near(second.efficiency, 0.9, rel=1e-12)
    # Where they touch, in one line with their middles; the teeth run square to that.
    assert near((second.at - Vector(places["wheel"][0], 1.05)).norm, 0.0, abs=1e-12)
    assert near((second.along - Vector(-1.0, 0.0)).norm, 0.0, abs=1e-12)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_post_stands_on_a_ramp_and_plumb_things_hang_beside_it(side: str) -> None:
    """So far up the slope and above it; what hangs plumb is a radius from its middle."""
    reeve = ["bag", "pile", "sled"]
    text = {
        "scene": ABOUT | {"load": "bag"},
        "ramp": {"slip": {"at": ["0 m", "0 m"], "length": "1 m", "rise": "60 cm", "rises": side}},
        "body": {"sled": {"mass": "1 kg", "on": "slip@20 cm"}},
        "post": {"pile": {"on": "slip@1 m", "height": "5 cm", "radius": "2 cm"}},
        "weight": {"bag": {"mass": "1 kg", "at": ["plumb", "0 m"]}},
        "rope": {"line": {"reeve": reeve[::-1] if side == "right" else reeve}},
    }
    scene = parse(text)
    sign = 1.0 if side == "right" else -1.0
    assert near((scene.fixed["pile"] - Vector(sign * 0.77, 0.64)).norm, 0.0, abs=1e-12)
    assert near(scene.start["bag"].x, sign * 0.79, abs=1e-12)


@pytest.mark.parametrize(
    ("fulcrum", "distance", "direction", "along", "push"),
    [
        # Below the end that sinks, a quarter of the bar from the fulcrum or as far as is told.
        ("50 cm", None, 1, 0.25, 1),
        ("50 cm", None, -1, 0.75, 1),
        ("50 cm", "40 cm", -1, 0.9, 1),
        # No further than the arm.
        ("10 cm", None, 1, 0.0, 1),
        # Hardly an arm there: above the other.
        ("4 cm", None, 1, 0.29, -1),
        ("97 cm", "90 cm", -1, 0.07, -1),
    ],
)
def test_where_the_peg_stands(
    fulcrum: str, distance: str | None, direction: int, along: float, push: int
) -> None:
    """A peg stops a bar from below where it sinks, or from above where it rises."""
    keys: dict[str, Any] = {"length": "1 m", "mass": "1 kg", "at": ["0 m", "0 m"]}
    keys |= {"fulcrum": fulcrum} | ({"stop_distance": distance} if distance else {})
    lever = parse({"scene": ABOUT, "lever": {"bar": keys}}).part("bar", Lever)
    peg = lever.stop_peg(direction)
    assert near(peg.local.x, along, abs=1e-12) and peg.local.y == 0.0 and peg.sign == push
    # So pushed it turns the other way than it was turning.
    assert (peg.local.x - units.read(fulcrum, units.LENGTH)) * peg.sign * direction < 0.0


@pytest.mark.parametrize(
    ("hand", "heading"),
    [
        # From the right of a sheave of 25 mm, straight down; aside, along the tangent.
        ({"at": ["plumb", "0 m"]}, (0.0, -1.0)),
        ({"at": ["1 m", "1.025 m"]}, (1.0, 0.0)),
        ({"at": ["plumb", "0 m"], "heading": "30 deg"}, (math.sqrt(0.75), 0.5)),
    ],
)
def test_a_hand_heads_straight_on_along_its_rope(
    hand: dict[str, Any], heading: tuple[float, float]
) -> None:
    """Unless it is told, a hand hauls the way its rope leads to it, from whichever end named."""
    for turned in (False, True):
        reeve = ["bag", "head.1", "hand"]
        scene = parse(
            {
                "scene": ABOUT,
                "block": {"head": {"at": ["0 m", "1 m"]}},
                "weight": {"bag": {"mass": "1 kg", "at": ["-2.5 cm", "0 m"]}},
                "rope": {"line": {"reeve": reeve[::-1] if turned else reeve}},
                "hand": {
                    "hand": {"at": [hand["at"][0].replace("plumb", "2.5 cm"), hand["at"][1]]}
                    | {key: hand[key] for key in hand if key != "at"}
                },
            }
        )
        assert near((scene.heading - Vector(*heading)).norm, 0.0, abs=1e-12)


def test_the_stroke_lies_within_all_that_is_hauled() -> None:
    """Work is taken from 30 % to 90 % of the way, however the moves add up, and the speed is that
    of the move that is made there."""
    path = shipped.find_scene("four_part_tackle")
    text = tomllib.loads(path.read_text(encoding="utf-8"))
    text["hand"]["hand"]["moves"] = [
        "haul 20 cm at 5 cm/s", "hold 1 s", "pay out 10 cm at 2 cm/s", "haul 30 cm at 10 cm/s"
    ]  # fmt: skip
    scene = parse(text)
    assert scene.stroke == pytest.approx((0.12, 0.36))
    assert scene.speed_at(0.15) == pytest.approx(0.05)
    assert scene.speed_at(0.30) == pytest.approx(0.10)
    assert scene.speed_at(0.5) == 0.0


@pytest.mark.parametrize(
    ("load", "mass", "parts"),
    [
        (None, 2.0, {"sled", "can", "head"}),
        ("sled", 2.0, {"sled", "can", "head"}),
        ("can", 0.5, {"can"}),
    ],
)
def test_a_body_is_a_load_with_what_is_on_it(
    load: str | None, mass: float, parts: set[str]
) -> None:
    """A sled of 1 kg with a can of 500 g on it and a block of 500 g: all of it is drawn up; the
    can alone is the load where it is named."""
    scene = parse(
        {
            "scene": ABOUT | ({"load": load} if load else {}),
            "ramp": {"slip": STEEP},
            "body": {"sled": {"mass": "1 kg", "on": "slip@2 m"}},
            "weight": {"can": {"mass": "500 g", "on": "sled"}},
            "block": {"head": {"mass": "500 g", "on": "sled", "height": "5 cm"}},
            "anchor": {"post": {"on": "slip@4 m"}},
            "rope": {"line": {"reeve": ["post", "head.1", "hand"]}},
            "hand": {"hand": {"on": "slip@4 m", "height": "8 cm"}},
        }
    )
    assert near(scene.load_mass, mass, rel=1e-12) and set(scene.load_parts) == parts


SPAR = {"length": "1 m", "mass": "1 kg", "at": ["0 m", "1 m"], "fulcrum": "50 cm", "tilt": "9 deg"}
SLIP = {"at": ["0 m", "0 m"], "length": "1 m", "angle": "20 deg"}
SLED = {"mass": "1 kg", "on": "slip@50 cm"}


@pytest.mark.parametrize(
    ("entry", "parts"),
    [
        ("stone", {"lever": {"spar": SPAR}, "weight": {"stone": {"on": "spar@20 cm"}}}),
        (
            "can",
            {
                "lever": {"spar": SPAR},
                "weight": {"stone": {"on": "spar@20 cm"}, "can": {"on": "stone"}},
            },
        ),
        ("spar@30 cm", {"lever": {"spar": SPAR}}),
        ("head.1", {"lever": {"spar": SPAR}, "block": {"head": {"on": "spar@20 cm"}}}),
        (
            "head.1",
            {
                "ramp": {"slip": SLIP},
                "body": {"sled": SLED},
                "block": {"head": {"on": "sled", "height": "8 cm"}},
            },
        ),
        (
            "head",
            {
                "ramp": {"slip": SLIP},
                "body": {"sled": SLED},
                "block": {"head": {"on": "slip@90 cm", "orientation": "180 deg"}},
            },
        ),
        (
            "can",
            {
                "block": {"lower": {"at": ["40 cm", "1 m"], "moves": True, "mass": "1 kg"}},
                "weight": {"can": {"on": "lower"}},
                "anchor": {"hook": {"at": ["40 cm", "2 m"]}},
                "rope": {"sling": {"reeve": ["hook", "lower"]}},
            },
        ),
    ],
    ids=[
        "weight on a bar", "weight on that", "point of a bar", "block on a bar",
        "block on a body", "block on a ramp", "weight on a moving block",
    ],
)  # fmt: skip
def test_a_plumb_hand_hangs_straight_below(entry: str, parts: dict[str, Any]) -> None:
    """Whatever carries what a rope comes from, the part of rope that leads on to a plumb hand is
    vertical, and the hand's heading goes with it."""
    document = {
        "scene": {"title": "t", "watch": "w", "mode": "held"},
        **parts,
        "hand": {"hand": {"at": ["plumb", "-1 m"]}},
    }
    for weight in document.get("weight", {}).values():
        weight["mass"] = "200 g"
    reeve = ["post", entry, "hand"] if entry.endswith(".1") else [entry, "hand"]
    if len(reeve) == 3:
        document["anchor"] = {"post": {"at": ["-3 m", "0 m"]}}
    document["rope"] = {**document.get("rope", {}), "line": {"reeve": reeve}}
    scene = parse(document)
    line = next(line for line in scene.lines if line.rope == "line")
    span = scene.spans(line, scene.start)[-1]
    assert span is not None
    assert span.along == pytest.approx((0.0, -1.0), abs=1e-12)
    assert scene.heading == pytest.approx((0.0, -1.0), abs=1e-12)


def test_a_fulcrum_stays_where_it_is_put(scene: Scene) -> None:
    """However a lever is tilted at the start, its fulcrum is at its `at`."""
    for lever in scene.of(Lever):
        if lever.fulcrum is not None:
            at = scene.start[lever.name].point(Vector(lever.fulcrum, lever.pivot_height))
            assert at == pytest.approx((lever.at.x, lever.at.y), abs=1e-12)


def test_every_sheave_of_a_shipped_scene_is_reeved(scene: Scene) -> None:
    """No sheave is left without a rope."""
    reeved = {(s.block, s.sheave) for line in scene.lines for s in line.waypoints if s.block}
    for block in scene.of(Block):
        for sheave in range(1, block.sheaves + 1):
            assert (block.name, sheave) in reeved


# Changes.


def _single_values(scene: Scene) -> dict[str, float]:
    """Every "PART.KEY" of a scene that has one value."""
    found = {}
    for name, holder in {"scene": scene.about, **scene.parts}.items():
        for key in keys_of(type(holder)):
            try:
                value = value_of(scene, f"{name}.{key}")
            except SceneError:
                continue
            if isinstance(value, float):
                found[f"{name}.{key}"] = value
    return found


def test_revising_nothing_changes_nothing(scene: Scene) -> None:
    """A scene revised by the values it has is the same scene."""
    values = _single_values(scene)
    assert values
    for where, value in values.items():
        again = revised(scene, {where: value})
        assert _single_values(again) == pytest.approx(values, rel=1e-12)
        for name, frame in again.frames.items():
            assert frame.pose == pytest.approx(scene.frames[name].pose, abs=1e-12)


def test_revised_values_can_be_put_back(scene: Scene) -> None:
    """A value changed and changed back leaves the scene as it was; the first is untouched."""
    for where, value in _single_values(scene).items():
        if where.endswith(".module"):
            continue  # that of gears that mesh is one and the same
        # A block weighs at least what its sheaves do; at rest no less is held than sliding.
        block = isinstance(scene.parts.get(where.partition(".")[0]), Block)
        bound = (block and where.endswith(".mass")) or where.endswith(".static_friction")
        less = value * (1.001 if bound else 0.999)
        other = revised(scene, {where: less})
        assert value_of(other, where) == pytest.approx(less)
        assert value_of(scene, where) == value
        assert value_of(revised(other, {where: value}), where) == pytest.approx(value)


def test_a_revised_ramp_keeps_its_length() -> None:
    """Changing a ramp's angle leaves its length and moves its head; so does changing its rise."""
    scene = load(shipped.find_scene("sled_drawn_up"))
    length = value_of(scene, "slip.length")
    assert length is not None
    steeper = revised(scene, {"slip.angle": math.radians(30.0)})
    assert value_of(steeper, "slip.length") == pytest.approx(length)
    assert value_of(steeper, "slip.rise") == pytest.approx(length / 2)
    again = revised(steeper, {"slip.rise": 0.2 * length})
    assert value_of(again, "slip.angle") == pytest.approx(math.asin(0.2))


def test_changes_from_the_command_line_are_read_like_the_file() -> None:
    """A change is a value of the key as the file would write it, quotation marks optional."""
    path = shipped.find_scene("four_part_tackle")
    for text in ("2.5 kg", '"2.5 kg"', "'2.5 kg'"):
        assert value_of(load(path, {"ballast.mass": text}), "ballast.mass") == 2.5
    changed = load(
        path, {"upper.bearing_friction": "0.3", "scene.gravity": "9.8 m/s^2", "lower.sheaves": "3"}
    )
    assert value_of(changed, "upper.bearing_friction") == 0.3
    assert changed.about.gravity == 9.8
    assert changed.part("lower", Block).sheaves == 3


def test_a_weight_is_moved_along_by_its_on() -> None:
    """`on` counts as the distance along, in a value asked for and in one revised."""
    scene = load(shipped.find_scene("balanced_rule"))
    assert value_of(scene, "shot.on") == pytest.approx(0.05)
    moved = revised(scene, {"shot.on": 0.10})
    assert [lump.local.x for lump in moved.frames["stick"].point_masses if lump.part == "shot"] == [
        0.10
    ]


@pytest.mark.parametrize(
    ("where", "hint"),
    [
        ("ballst.mass", "ballast"),
        ("ballast.mas", "mass"),
        ("ballast", "key"),
        ("fall.reeve", "key"),
    ],
)
def test_a_key_that_is_not_there_is_refused(where: str, hint: str) -> None:
    """Asking for, or revising, what is no single value is refused with the nearest name."""
    scene = load(shipped.find_scene("four_part_tackle"))
    for attempt in (lambda: value_of(scene, where), lambda: revised(scene, {where: 1.0})):
        with pytest.raises(SceneError, match=hint):
            attempt()


@pytest.mark.parametrize(
    "changes",
    [
        {"shot.on": -0.1},
        {"shot.on": 0.7},
        {"shot.mass": -1.0},
        {"shot.mass": math.nan},
        {"stick.rotational_damping": math.inf},
        {"stick.fulcrum": 2.0},
    ],
)
def test_a_value_that_is_not_allowed_is_refused(changes: dict[str, float]) -> None:
    """A scene is revised only by values that its file could hold."""
    scene = load(shipped.find_scene("balanced_rule"))
    with pytest.raises(SceneError, match=next(iter(changes)).replace(".", r"\.")):
        revised(scene, changes)


def test_a_value_that_is_not_allowed_is_told_without_rounding_s_digits() -> None:
    """What was found is shown as one writes it, 0.1 + 0.2 + 0.3 being 0.6, with its unit if any."""
    scene = load(shipped.find_scene("balanced_rule"))
    with pytest.raises(SceneError, match="found -60 cm; "):
        revised(scene, {"shot.on": -(0.1 + 0.2 + 0.3)})
    with pytest.raises(SceneError, match=r"found -0\.6; "):
        revised(scene, {"stick.bearing_friction": -(0.1 + 0.2 + 0.3)})


def test_the_hands_moves_follow_the_sense() -> None:
    """Raising hauls in, lowering pays out, held holds, released lets go."""
    for name, total in (("four_part_tackle", 0.36), ("lowering_a_barrel", -0.36), ("sled_held", 0)):
        scene = load(shipped.find_scene(name))
        assert sum(move.distance for move in scene.moves) == pytest.approx(total)
        assert scene.stroke == pytest.approx((0.3 * total, 0.9 * total))
    released = load(shipped.find_scene("four_part_tackle"), {"scene.mode": "released"})
    assert [move.kind for move in released.moves] == ["let go"]
    assert released.stroke == (0.0, 0.0)


def test_no_load_is_guessed_among_several() -> None:
    """The load is the only weight there is; of two, neither, until the scene names one."""
    path = shipped.find_scene("balanced_rule")
    text = path.read_text(encoding="utf-8")
    unnamed = parse(tomllib.loads(text.replace('load = "stone"\n', "")))
    assert len(unnamed.of(Weight)) == 2
    assert unnamed.load is None and unnamed.load_frame is None
    named = load(path)
    assert named.load_frame is named.frames["stick"]


def test_the_default_gravity_is_the_standard_one() -> None:
    """g is 9.80665 m/s^2 unless a scene says otherwise (standard acceleration of free fall, CGPM
    1901)."""
    assert keys_of(About)["gravity"][1] == 9.80665


JACK = {
    "scene": ABOUT,
    "screw": {"jack": {"at": ["0 m", "30 cm"], "lead": "8 mm", "drum": "5 cm", "mass": "2 kg"}},
    "weight": {"hull": {"mass": "20 kg", "on": "jack"}},
    "rope": {"walk": {"reeve": ["jack.bar", "hand"]}},
    "hand": {"hand": {"at": ["40 cm", "27 cm"]}},
}


def test_a_rope_off_a_jack_leaves_its_axis_level() -> None:
    """The rope runs from the middle of the jack, at the bar's height, to the hand, while the jack
    turns by all the rope that is pulled over the bar's radius."""
    jack = parse(JACK)
    (span,) = jack.spans(jack.lines[0], jack.start)
    assert span is not None and near(span.start.x, 0.0, abs=1e-12)
    assert near(span.start.y, 0.27, rel=1e-12) and near(span.along.x, 1.0, rel=1e-12)
    point = jack.lines[0].waypoints[0]
    assert point.upright and point.is_drum and point.signed_radius == 0.0
    assert near(point.turning_radius, 0.25, rel=1e-12)


def test_what_stands_on_a_jack_is_carried_by_it() -> None:
    """The frame of a jack has the mass of all that stands on it, one weight on another too, and
    the moment of inertia of what turns: here a third of the bar's 25 cm is its arm."""
    more = JACK["weight"] | {"can": {"mass": "3 kg", "on": "hull"}}
    frame = parse(JACK | {"weight": more}).frames["jack"]
    assert frame.kind == "screw" and frame.turns and near(frame.mass, 25.0, rel=1e-12)
    assert near(frame.moment_of_inertia, 2.0 * (0.25 / 3) ** 2, rel=1e-12)


def test_a_jack_knows_its_ends() -> None:
    """It stands 2 cm out and can rise 10 cm more: at a lead of 8 mm 2.5 turns down and 12.5 up."""
    jack = parse(JACK).part("jack", Screw)
    for turns, kind in ((12.4, None), (12.6, SCREWED_OUT), (-2.4, None), (-2.6, SCREWED_HOME)):
        end = jack.end_reached(math.tau * turns)
        assert (end and end.kind) == kind


CHOCK = {
    "scene": ABOUT,
    "wedge": {"chock": {"at": ["0 m", "30 cm"], "above_floor": "20 cm"}},
    "weight": {"keel": {"mass": "20 kg", "on": "chock"}},
    "rope": {"line": {"reeve": ["chock.thin", "hand"]}},
    "hand": {"hand": {"at": ["40 cm", "11 cm"]}},
}


def test_an_end_of_a_wedge_goes_along_its_floor() -> None:
    """The rope is made fast a quarter of the follower's foot (4 cm) above the floor; as the wedge
    is driven 5 cm its end is 5 cm nearer, and no higher, while the follower rises by 5 cm tan a."""
    wedge = parse(CHOCK)
    point, start = wedge.lines[0].waypoints[0], wedge.start
    pose = start["chock"]
    there = {**start, "chock": Pose(pose.x, pose.y + 0.05 * math.tan(math.radians(12)), 0.05)}
    assert near(point.centre(start).y, 0.11, rel=1e-12)
    assert near((point.centre(there) - point.centre(start)).x, 0.05, rel=1e-12)
    assert near(point.centre(there).y, 0.11, rel=1e-12)


def test_what_stands_on_a_wedge_is_carried_by_its_follower() -> None:
    """The frame of a wedge has the mass of follower and weights, and beside it that of the wedge,
    which does not rise."""
    frame = parse(CHOCK).frames["chock"]
    assert frame.kind == "wedge" and frame.upright and near(frame.mass, 20.2, rel=1e-12)
    assert near(frame.moment_of_inertia, 0.15, rel=1e-12)


def test_a_wedge_knows_its_ends() -> None:
    """Of 24 cm less a foot of 4 cm it is 2 cm in: it can be driven 18 cm further."""
    chock = parse(CHOCK).part("chock", Wedge)
    for driven, kind in ((0.179, None), (0.181, DRIVEN_HOME), (-0.019, None), (-0.021, DRAWN_OUT)):
        end = chock.end_reached(driven)
        assert (end and end.kind) == kind


SPLITTER = {
    "scene": ABOUT,
    "splitting_wedge": {"splitter": {"at": ["0 m", "40 cm"], "angle": "24 deg"}},
    "weight": {
        "maul": {"mass": "2 kg", "on": "splitter"},
        "bag": {"mass": "3 kg", "at": ["plumb", "-9 cm"]},
    },
    "block": {"right": {"at": ["30 cm", "5.7 cm"], "radius": "2 cm"}},
    "rope": {"line": {"reeve": ["splitter.left", "right.1", "bag"]}},
}


def test_the_jaws_of_a_splitting_wedge_go_apart_as_it_goes_down() -> None:
    """Driven down by 5 cm it moves each jaw 5 cm tan 12 deg outwards, level; its head goes down."""
    scene = parse(SPLITTER)
    left, start = scene.lines[0].waypoints[0], scene.start
    pose = start["splitter"]
    there = {**start, "splitter": Pose(pose.x, pose.y - 0.05, 0.05)}
    assert near(left.centre(start).y, 0.077, rel=1e-12)
    assert near(
        (left.centre(there) - left.centre(start)).x, -0.05 * math.tan(math.radians(12)), rel=1e-12
    )
    assert near(left.centre(there).y, 0.077, rel=1e-12)


def test_what_stands_on_a_splitting_wedge_drives_it() -> None:
    """The frame has the mass of the wedge, 0.3 kg, and of what stands on its head; its jaws, 0.5 kg
    each, go tan 12 deg as fast."""
    frame = parse(SPLITTER).frames["splitter"]
    assert frame.upright and frame.turns and near(frame.mass, 2.3, rel=1e-12)
    assert near(frame.moment_of_inertia, math.tan(math.radians(12)) ** 2, rel=1e-12)


def test_a_splitting_wedge_knows_its_ends() -> None:
    """Of 20 cm it is 2 cm in: it can be driven 18 cm further."""
    splitter = parse(SPLITTER).part("splitter", SplittingWedge)
    for driven, kind in ((0.179, None), (0.181, DRIVEN_HOME), (-0.019, None), (-0.021, DRAWN_OUT)):
        end = splitter.end_reached(driven)
        assert (end and end.kind) == kind
