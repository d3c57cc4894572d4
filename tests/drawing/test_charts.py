"""The charts: areas that are work, bars that are the ledger, round axes, legible, quick."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sandbox import units
from sandbox.drawing import balance, charts
from sandbox.drawing.strokes import Box, Drawing, Item, Path, Text
from sandbox.engine import Recording, run, watch
from sandbox.engine.snapshot import Energy, Snapshot
from sandbox.language.display import Display
from sandbox.painting import PAPERS, raster
from sandbox.scene import Vector, load, parse
from sandbox.units import ENERGY, FORCE, LENGTH
from tests.places import SCENES

HAULED = ["four_part_tackle", "sled_drawn_up", "lever_third_class", "lowering_a_barrel"]
OTHERS = ["sled_let_slide", "balanced_rule", "spar_on_two_props"]
WIDE, TALL = Box(4.0, 30.0, 316.0, 84.0), Box(210.0, 30.0, 316.0, 176.0)
PIXEL = 1.0 / 6.0
"""mm: of a sheet 180 mm high on a screen of 1080 lines."""
DISPLAYS = [Display(), Display("es", "US"), Display("en", "US"), Display("es")]


@cache
def recorded(name: str) -> Recording:
    return run(load(SCENES / f"{name}.toml"))


def area(points: tuple[Vector, ...]) -> float:
    """Of a polygon, by Gauss's formula; clockwise positive."""
    return sum(a.y * b.x - a.x * b.y for a, b in pairwise((*points, points[0]))) / 2


def filled(items: list[Item], role: str) -> list[tuple[Vector, ...]]:
    return [item.points for item in items if isinstance(item, Path) and item.fill == role]


def numbers(items: list[Item], box: Box) -> tuple[dict[float, float], dict[float, float]]:
    """The numbers at the axes, with where they stand: across (mm) and up (mm)."""
    found = [
        (float(item.text.replace("−", "-").replace(",", ".")), item.box.middle)
        for item in items
        if isinstance(item, Text) and re.fullmatch(r"−?\d+([.,]\d+)?", item.text)
    ]
    lowest = min(middle.y for _, middle in found)
    across = {value: at.x for value, at in found if at.y < lowest + 0.1}
    up = {value: at.y for value, at in found if at.y >= lowest + 0.1}
    assert box.holds(Box.around([at for _, at in found]))
    return across, up


def per_unit(at: dict[float, float]) -> float:
    """mm for each unit, read off the numbers at an axis."""
    low, high = min(at), max(at)
    return (at[high] - at[low]) / (high - low)


@pytest.mark.parametrize("display", DISPLAYS[:2], ids=["SI", "US"])
@pytest.mark.parametrize("name", HAULED)
def test_the_shaded_areas_are_the_work(name: str, display: Display) -> None:
    """Measured with the chart's own axes, the area under the effort is the trapezoid integral of
    what was recorded, and within a pixel the ledger's work in; the load's is weight times rise."""
    recording = recorded(name)
    scene, shots = recording.scene, recording.snapshots
    items = charts.work_chart(scene, shots, TALL, display)
    across, up = numbers(items, TALL)
    _, newton = display.unit(FORCE)
    _, metre = display.unit(LENGTH, max(abs(s.hand.travel) for s in shots if s.hand))
    mm, high = per_unit(across) / metre, per_unit(up) / newton
    (effort,), (load_area,) = filled(items, "effort area"), filled(items, "weight area")

    kept = charts.thinned(shots)
    assert scene.hand is not None
    travels = [s.readings[f"{scene.hand.name}.travel"] for s in kept]
    forces = [s.readings[f"{scene.hand.name}.force"] for s in kept]
    integral = float(np.trapezoid(forces, travels))
    assert area(effort) / (mm * high) == pytest.approx(integral, rel=1e-6)
    # A pixel too much or too little all along the curve.
    slack = PIXEL * (max(travels) - min(travels)) * mm / (mm * high)
    assert abs(area(effort) / (mm * high) - shots[-1].energy.work_in) < slack

    rise = shots[-1].readings[f"{scene.load}.rise"] - shots[0].readings[f"{scene.load}.rise"]
    lifted = scene.load_mass * scene.about.gravity * rise
    assert area(load_area) / (mm * high) == pytest.approx(lifted, rel=1e-6)


def test_the_painted_area_is_the_work() -> None:
    """Counted in pixels on the screen, the effort's area is the ledger's work in, to a pixel along
    its edge."""
    recording = recorded("four_part_tackle")
    display = Display()
    items = charts.work_chart(recording.scene, recording.snapshots, TALL, display)
    across, up = numbers(items, TALL)
    (effort,) = filled(items, "effort area")
    alone = Drawing(320.0, 180.0, (Path(effort, None, closed=True, fill="effort area"),))
    picture = raster.still(alone, PAPERS["white"], (1920, 1080))
    ground = np.array(PAPERS["white"].ground)
    shade = np.array(PAPERS["white"]["effort area"]) - ground
    share = (raster.pixels(picture).astype(float) - ground) @ shade / (shade @ shade)
    joules = share.sum() * PIXEL**2 / (per_unit(across) / 0.01 * per_unit(up))
    box = Box.around(effort)
    edge = PIXEL**2 * 2 * (box.width + box.height) / PIXEL
    allowed = edge / (per_unit(across) / 0.01 * per_unit(up))
    assert abs(joules - recording.snapshots[-1].energy.work_in) < allowed
    assert allowed < 0.03 * joules


@pytest.mark.parametrize("name", HAULED + OTHERS[:2])
@pytest.mark.parametrize("share", [0.5, 1.0])
def test_the_bars_are_the_ledger(name: str, share: float) -> None:
    """The last bar's bands measure on the axis what the ledger holds at that time, and together,
    those below nought counted so, reach the mark of the work in."""
    shots = recorded(name).snapshots
    now = shots[round(share * (len(shots) - 1))]
    display = Display()
    items = charts.ledger_chart(shots, TALL, display, now.time)
    _, up = numbers(items, TALL)
    most = max(max(abs(v) for v in (s.energy.potential, s.energy.work_in)) for s in shots)
    _, joule = display.unit(ENERGY, most)
    mm = per_unit(up) / joule
    # The line through nought, not its number, which is centred by the eye.
    lines = [i.points for i in items if isinstance(i, Path) and i.style == "edge"]
    (zero,) = {a.y for a, b in lines if a.y == b.y}
    assert zero == pytest.approx(up[0.0], abs=0.2)
    heights = dict.fromkeys(charts.BANDS, 0.0)
    bars = [i for i in items if isinstance(i, Path) and i.fill in charts.BANDS]
    right = max(bar.points[1].x for bar in bars)
    for bar in bars:
        box = Box.around(bar.points)
        if abs(box.right - right) < 1e-6:
            heights[str(bar.fill)] = math.copysign(box.height, box.middle.y - zero)
    entries = dict(zip(charts.BANDS, charts._entries(now.energy), strict=True))
    for band, height in heights.items():
        assert height / mm == pytest.approx(entries[band], abs=0.06 / mm), band
    marks = [i.points for i in items if isinstance(i, Path) and i.style == "effort"]
    if name in OTHERS:
        assert marks == [] and sum(heights.values()) == pytest.approx(0.0, abs=4 * 0.06)
        return
    assert (marks[-1][0].y - zero) / mm == pytest.approx(now.energy.work_in, abs=1e-6 / mm)
    assert marks[-1][0].y - zero == pytest.approx(sum(heights.values()), abs=4 * 0.06)


@pytest.mark.parametrize("box", [WIDE, TALL], ids=["below", "beside"])
@pytest.mark.parametrize("display", DISPLAYS, ids=["en SI", "es US", "en US", "es SI"])
@pytest.mark.parametrize("name", HAULED + OTHERS)
def test_texts_of_charts_are_apart_and_within(name: str, display: Display, box: Box) -> None:
    """At the start, midway and at the end no text of the strip meets another or leaves it."""
    recording = recorded(name)
    last = recording.snapshots[-1].time
    for now in (0.0, 0.3 * last, last):
        items = charts.strip(recording.scene, recording.snapshots, box, display, now)
        texts = [item for item in items if isinstance(item, Text)]
        for one, other in combinations(texts, 2):
            assert not one.box.meets(other.box), (one.text, other.text)
        for text in texts:
            assert box.holds(text.box), text.text


def test_both_curves_and_every_band_have_names() -> None:
    """Nothing is told by colour alone: effort and load, and each band of any size, have a label
    with its value, and a leader ends on it."""
    recording = recorded("sled_drawn_up")
    items = charts.strip(recording.scene, recording.snapshots, WIDE, Display())
    words = [item.text for item in items if isinstance(item, Text)]
    last = recording.snapshots[-1].energy
    for label in (
        "effort",
        "load",
        f"potential {last.potential:.2f} J",
        f"heat {sum(last.dissipated.values()):.2f} J",
    ):
        assert label in words
    assert words.count(f"work in {last.work_in:.2f} J") == 2
    leaders = [i for i in items if isinstance(i, Path) and i.style == "leader"]
    assert len(leaders) == 5


def test_what_is_still_to_come_is_not_drawn() -> None:
    """Up to a moment, curves and bars end there, while the axes reach over the whole run."""
    recording = recorded("four_part_tackle")
    scene, shots = recording.scene, recording.snapshots
    half = shots[len(shots) // 2]
    items = charts.work_chart(scene, shots, TALL, Display(), half.time)
    across, _ = numbers(items, TALL)
    assert across == numbers(charts.work_chart(scene, shots, TALL, Display()), TALL)[0]
    (effort,) = filled(items, "effort area")
    assert half.hand is not None
    reached = max(p.x for p in effort) - across[0.0]
    assert reached / per_unit(across) == pytest.approx(100 * half.hand.travel, rel=1e-6)


def test_a_machine_that_does_not_move_says_so() -> None:
    """Where nothing has moved yet, each chart says that in words in place of a curve, on no
    line."""
    recording = recorded("just_under_repose")
    items = charts.strip(recording.scene, recording.snapshots[:1], WIDE, Display())
    texts = [item for item in items if isinstance(item, Text)]
    assert len(texts) == 2
    assert {text.text for text in texts} <= {"nothing is hauled", "nothing has moved"}
    lines = [pair for i in items if isinstance(i, Path) for pair in pairwise(i.points)]
    assert not any(text.box.cut_by(*line) for text in texts for line in lines)


def test_a_machine_that_is_held_shows_what_balances() -> None:
    """Of a spar on two trestles the moments about its left end and the upright forces stand in
    place of work and energy, each with a sum of nothing; the weights' as m g x and m g say."""
    recording = recorded("spar_on_two_props")
    held = balance.balances(recording.scene, recording.snapshots[-1])
    moments, upward = ({a.part: s for a, s in each.shares} for each in held)
    # bag 1.5 kg at 35 cm, spar 900 g at 70 cm
    assert moments["bag"] == pytest.approx(-1.5 * 9.80665 * 0.35, rel=1e-6)
    assert moments["spar"] == pytest.approx(-0.9 * 9.80665 * 0.70, rel=1e-6)
    assert upward["bag"] == pytest.approx(-1.5 * 9.80665)
    for each in held:
        assert sum(share for _, share in each.shares) == pytest.approx(0.0, abs=1e-6)
    items = charts.strip(recording.scene, recording.snapshots, WIDE, Display())
    texts = [item.text for item in items if isinstance(item, Text)]
    assert "moments about the left end (N·m)" in texts and "upward (N)" in texts
    assert texts.count("sum") == 2 and texts.count("0") == 2
    assert not any("moved" in text for text in texts)


def test_a_sled_that_is_held_shows_the_forces_along_its_ramp() -> None:
    """Along the slope pull and friction hold m g sin a, square to it the normal force holds
    m g cos a."""
    recording = recorded("sled_held")
    scene = recording.scene
    along, square = balance.balances(scene, recording.snapshots[-1])
    weight = 1.12 * 9.80665
    (slope,) = (frame.ramp.slope for frame in scene.frames.values() if frame.ramp)
    shares = {(a.kind, a.part): s for a, s in along.shares}
    assert shares["weight", "sled"] == pytest.approx(-weight * math.sin(slope), rel=1e-6)
    assert sum(shares.values()) == pytest.approx(0.0, abs=1e-5)
    shares = {a.kind: s for a, s in square.shares}
    assert shares["normal"] == pytest.approx(weight * math.cos(slope), rel=1e-4)


@given(
    low=st.floats(-50.0, 0.0),
    high=st.floats(0.01, 50.0),
    first=st.floats(-30.0, 0.0),
    last=st.floats(0.1, 30.0),
    height=st.floats(44.0, 90.0),
)
def test_numbers_of_the_axes_are_apart(
    low: float, high: float, first: float, last: float, height: float
) -> None:
    """Whatever the axes reach over, and however low the chart, no two of their texts meet."""
    box = Box(0.0, 0.0, 96.0, height)
    names, limits = ("force (N)", "distance (cm)"), (first, last, low, high)
    _, items = charts.axes_in(box, Display(), names, limits, 36.0)
    texts = [item for item in items if isinstance(item, Text)]
    assert len(texts) >= 6
    for one, other in combinations(texts, 2):
        assert not one.box.meets(other.box), (one.text, other.text)


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.floats(1.0, 20.0))
def test_ticks_are_round_and_reach_over_all(low: float, span: float, most: float) -> None:
    """Ticks are whole multiples of 1, 2 or 5 times a power of ten, from below to above all that is
    shown, with nought among them where it lies between, and not many more than asked for."""
    high = low + span
    found = charts.ticks(low, high, most)
    step = found[1] - found[0]
    mantissa = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - nice) for nice in (1, 2, 5, 10)) < 1e-3
    slack = 1e-6 * (abs(low) + abs(high) + step)
    assert found[0] <= low + slack and found[-1] >= high - slack
    assert len(found) <= most + 3
    if found[0] < 0.0 < found[-1]:
        assert 0.0 in found


@given(st.integers(1, 5000))
def test_thinning_keeps_the_ends_and_is_steady(count: int) -> None:
    """Whatever the length, few moments are kept, the first and last among them, and those kept of
    a run are among those kept of its beginning."""
    shots = [_moment(i) for i in range(count)]
    kept = [s.time for s in charts.thinned(shots)]
    assert kept[0] == 0.0 and kept[-1] == count - 1
    assert len(kept) <= charts.MOST + 1
    longer = [s.time for s in charts.thinned([*shots, *(_moment(count + i) for i in range(400))])]
    assert {t for t in longer if t < count} <= {*kept, count - 1}


def _moment(time: float) -> Snapshot:
    return Snapshot(time, {}, {}, (), None, {}, (), Energy(0.0, 0.0, 0.0, 0.0, {}))


@pytest.mark.parametrize(
    ("name", "more"),
    [("sled_drawn_up", ""), ("movable_sheave", '[weight.disc]\nmass = "300 g"\non = "runner"\n')],
    ids=["laid on a sled", "on one hook"],
)
def test_a_load_of_several_parts_counts_whole(name: str, more: str) -> None:
    """What is laid on a sled or hung on one hook is raised together: in the load's curve there is
    the weight of it all, whose mass is written out here."""
    document = tomllib.loads((SCENES / f"{name}.toml").read_text() + "\n" + more)
    scene = parse(document)
    moment = next(watch(scene))
    (curve,) = [c for c in charts.curves(scene, [moment]) if c.kind == "weight"]
    mass = sum(
        units.read(part["mass"], units.MASS)
        for kind in ("body", "weight")
        for part in document.get(kind, {}).values()
    )
    ((_, force),) = curve.points
    assert force == pytest.approx(mass * scene.about.gravity)
