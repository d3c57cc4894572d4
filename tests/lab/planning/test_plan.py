"""The plan of an experiment: what it says of readings, limits and edges."""

from __future__ import annotations

import csv
import io
import math
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from sandbox import engine
from sandbox.drawing.plan_figure import _borders, chart
from sandbox.lab.planning.bench import Dial, Limits, Stand, readings_of, resolution, standard_share
from sandbox.lab.planning.plan import Plan, plan
from sandbox.lab.planning.report import table
from sandbox.lab.planning.search import HIGHEST, LOWEST, MORE_FRICTION, Point
from sandbox.lab.planning.sweeps import Sweep, default_sweeps, set_to
from sandbox.lab.planning.tackle import PARTS, rereeved
from sandbox.language.display import Display
from sandbox.scene import Scene, SceneError, load, parse
from sandbox.scene.parts import Block, Ramp
from sandbox.shipped import find_scene, shipped_scenes
from sandbox.theory import predict
from tests.commands import inside, refused
from tests.tolerance import near

FEW = (9, 3)


def scene(name: str) -> Scene:
    return load(find_scene(name))


def states(found: Plan, number: int = 0) -> dict[tuple[float, ...], Point]:
    return {point.values: point for point in found.points[number]}


@pytest.mark.parametrize(
    ("name", "dial", "sweeps"),
    [
        ("four_part_tackle", Dial(10, 0.1), (Sweep("ballast.mass", 0.2, 3.0), Sweep(PARTS, 3, 4))),
        ("lever_second_class", Dial(20, 0.2), (Sweep("plate.on", 0.05, 0.9),)),
        ("sled_drawn_up", Dial(20, 0.2), (Sweep("slip.angle", 0.05, 0.8),)),
        ("slung_spar", Dial(20, 0.2), (Sweep("bag.mass", 0.3, 3.0),)),
    ],
)
def test_the_engine_confirms_the_edges(name: str, dial: Dial, sweeps: tuple[Sweep, ...]):
    """At the edges of the usable ranges, the simulation reads what the plan says, to 0.1 %."""
    machine = scene(name)
    found = plan(machine, [dial], sweeps, counts=FEW)
    assert found.ranges
    edges = [point for stretch in found.ranges for point in (stretch.low, stretch.high)]
    for point in edges:
        there = set_to(machine, sweeps, point.values)
        measured = engine.measure(engine.run(there)).quantities
        readings = [measured[quantity] for quantity in readings_of(there)]
        assert point.reading is not None
        assert near(max(readings), point.reading, rel=1e-3)
        assert min(readings) >= LOWEST * dial.range * (1 - 1e-3)
        assert max(readings) <= HIGHEST * dial.range * (1 + 1e-3)


def test_edges_are_where_the_scale_says():
    """Where nothing else bounds a range, its ends read 40 % and 95 % of the scale, to 0.3 %."""
    found = plan(
        scene("two_part_tackle"), [Dial(10, 0.1)], [Sweep("ballast.mass", 0.1, 3.0)], counts=FEW
    )
    (stretch,) = found.ranges
    assert stretch.low.reading is not None and stretch.high.reading is not None
    assert near(stretch.low.reading, 4.0, rel=3e-3)
    assert near(stretch.high.reading, 9.5, rel=3e-3)
    assert stretch.low.reading >= 4.0 and stretch.high.reading <= 9.5


@pytest.mark.parametrize("name", [path.stem for path in shipped_scenes()])
def test_every_shipped_scene_has_a_plan_or_a_reason(name: str):
    """Every shipped scene that a gauge can read is planned by default; the others say why not."""
    machine = scene(name)
    if not readings_of(machine):
        with pytest.raises(SceneError, match=r"nothing in .* that a gauge reads"):
            plan(machine, [Dial(10, 0.1)], counts=(3, 2))
        assert not machine.lines and not any(".prop_" in q for q in predict(machine).quantities)
        return
    found = plan(machine, [Dial(10, 0.1)], counts=(3, 2), halvings=0)
    assert 1 <= len(found.sweeps) <= 2
    assert all(point.reason for point in found.points[0] if point.state != "usable")


def test_low_and_over_readings():
    """A point reads low below 40 % and over above 95 %, as its own prediction says."""
    machine = scene("two_part_tackle")
    sweep = Sweep("ballast.mass", 0.1, 4.0)
    for values, point in states(plan(machine, [Dial(10, 0.1)], [sweep], counts=FEW)).items():
        force = predict(set_to(machine, [sweep], values)).quantities["hand.force"]
        wanted = "low" if force < 4.0 else "over" if force > 9.5 else "usable"
        assert point.state == wanted


def test_two_gauges_are_compared_at_the_same_points():
    """With two gauges every point is judged for both, by the same prediction."""
    found = plan(
        scene("two_part_tackle"),
        [Dial(10, 0.1), Dial(5, 0.05)],
        [Sweep("ballast.mass", 0.2, 3.0)],
        counts=FEW,
    )
    one, two = states(found, 0), states(found, 1)
    assert one.keys() == two.keys()
    assert all(one[v].reading == two[v].reading for v in one)
    assert any(one[v].state == "usable" and two[v].state == "over" for v in one)


@pytest.mark.parametrize("name", ["four_part_tackle", "three_part_tackle", "five_part_tackle"])
def test_a_tackle_rereeved_has_the_parts_asked_for(name: str):
    """A plain tackle rereeved for n parts has velocity ratio n, and as drawn its own."""
    machine = scene(name)
    own = round(predict(machine).quantities["machine.velocity_ratio"])
    for parts in range(3, 8):
        again = rereeved(machine, parts)
        assert near(predict(again).quantities["machine.velocity_ratio"], parts, rel=1e-9)
    same = predict(rereeved(machine, own)).quantities
    assert same == pytest.approx(predict(machine).quantities, rel=1e-12)


def test_a_block_that_is_the_load_is_varied_down_to_its_sheaves():
    """A block weighs no less than its sheaves, by default just as much: so it does rereeved, and
    no less is planned for."""
    document = tomllib.loads(find_scene("four_part_tackle").read_text())
    document["scene"]["load"] = "lower"
    del document["block"]["lower"]["mass"]
    machine = parse(document)
    mass = default_sweeps(machine)[0]
    assert (mass.key, mass.low) == ("lower.mass", 2 * 0.005)
    assert near(mass.high, 3 * 2 * 0.005, rel=1e-12)
    again = rereeved(machine, 6).part("lower", Block)
    assert again.mass is None and near(again.total_mass, 3 * 0.005, rel=1e-12)


def test_what_is_no_plain_tackle_is_not_rereeved():
    """Parts are not varied where the scene is not one plain tackle."""
    for name in ("tackle_on_tackle", "movable_sheave", "tackle_up_a_ramp", "sled_drawn_up"):
        assert PARTS not in [sweep.key for sweep in default_sweeps(scene(name))]
        with pytest.raises(SceneError, match="plain tackle"):
            rereeved(scene(name), 3)


def test_safe_loads_bound_the_range():
    """No usable point loads a rope or a fixed block above its stated safe load."""
    machine = scene("two_part_tackle")
    sweep = Sweep("ballast.mass", 0.2, 3.0)
    for safe in ({"fall": 7.0}, {"upper": 18.0}):
        found = plan(machine, [Dial(10, 0.1)], [sweep], Limits(safe=safe), counts=FEW)
        ((name, most),) = safe.items()
        (stretch,) = found.ranges
        q = predict(set_to(machine, [sweep], stretch.high.values)).quantities
        load = q["upper.reaction"] if name == "upper" else q["fall.tension_3"]
        assert most * (1 - 3e-3) <= load <= most
        assert any(p.state == "unsafe" and "safe load" in str(p.reason) for p in found.points[0])


def test_a_rope_that_parts_is_unsafe():
    """Where the scene's own rope would part, the point is unsafe, with theory's reason."""
    machine = load(find_scene("two_part_tackle"), {"fall.breaking_load": "6 N"})
    found = plan(machine, [Dial(10, 0.1)], [Sweep("ballast.mass", 0.5, 2.0)], counts=FEW)
    parted = [p for p in found.points[0] if p.state == "unsafe"]
    assert parted and all("parts" in str(p.reason) for p in parted)


def test_stands_tip_as_their_moments_say():
    """A stand with a level pull at its top tips where pull x height exceeds weight x half foot."""
    machine = scene("sled_and_hanging_weight")
    sweep = Sweep("bag.mass", 0.8, 1.2)
    q = predict(set_to(machine, [sweep], (0.8,))).quantities
    slope = machine.of(Ramp)[0].slope
    across = q["line.tension_1"] * math.cos(slope)
    down = q["line.tension_1"] * math.sin(slope) + q["line.tension_2"]
    for foot, stands in ((0.05, False), (3.0, True)):
        limits = Limits(stands={"lead": Stand(foot, 1.0, 2.0)})
        found = plan(machine, [Dial(20, 0.2)], [sweep], limits, counts=FEW)
        tips = "tip" in str(found.points[0][0].reason)
        assert tips is not stands
        assert tips == (across * 1.0 * 1.5 > (down + 2.0 * 9.80665) * foot / 2)


def test_points_near_repose_or_locked_are_not_usable():
    """Paying a sled out, slopes on which it sticks have theory's reason, and slopes just beyond
    are marked as near sticking."""
    machine = scene("sled_paid_out")
    ramp = machine.of(Ramp)[0]
    coefficients = (
        ramp.kinetic_friction,
        ramp.static_friction,
        MORE_FRICTION * ramp.static_friction,
    )
    kinetic, static, more = (math.atan(mu) for mu in coefficients)
    found = plan(machine, [Dial(5, 0.05)], [Sweep("slip.angle", 0.05, 0.9)])
    for (slope,), point in states(found).items():
        if slope < kinetic:
            assert point.state == "no answer" and "friction alone holds" in str(point.reason)
        elif static < slope < more:
            assert point.state == "sticking", (math.degrees(slope), point)
    assert any(static < slope < more for (slope,) in states(found))


def test_a_lever_at_its_stop_has_that_reason():
    """Where the lever would meet its stop within the stroke, the point says so."""
    machine = scene("lever_first_class")
    found = plan(machine, [Dial(10, 0.1)], [Sweep("hand.travel", 0.02, 0.9)], counts=FEW)
    assert any("stop" in str(p.reason) for p in found.points[0] if p.state == "no answer")


def test_blocks_that_meet_have_that_reason():
    """Where the blocks would come together within the stroke, the point says so."""
    machine = scene("two_part_tackle")
    limits = Limits(rule=10.0)
    found = plan(machine, [Dial(10, 0.1)], [Sweep("hand.travel", 0.1, 2.0)], limits, counts=FEW)
    assert any(
        "come together" in str(p.reason) or "no equilibrium" in str(p.reason)
        for p in found.points[0]
        if p.state == "no answer"
    )


def test_off_the_rule():
    """A hand that hauls further than the rule reaches, or a rise of few divisions, is not used."""
    machine = scene("two_part_tackle")
    sweep = [Sweep("hand.travel", 0.005, 0.5)]
    found = plan(machine, [Dial(10, 0.1)], sweep, Limits(rule=0.4), counts=FEW)
    for (travel,), point in states(found).items():
        rise = 0.6 * travel / 2
        assert (point.state == "off the rule") == (travel > 0.4 or rise < 0.005)


def test_resolution_is_the_guides():
    """0.1 N in 5 N is 2 %, and its standard uncertainty 0.29 of that (JCGM 100:2008, F.2.2.1)."""
    assert resolution(Dial(10, 0.1), 5.0) == 0.02
    assert near(standard_share(Dial(10, 0.1), 5.0), 0.2887 * 0.02, rel=1e-4)


def test_the_table_holds_every_point():
    """The CSV has a row for each gauge and point, units in its header."""
    machine = scene("four_part_tackle")
    found = plan(machine, [Dial(10, 0.1), Dial(5, 0.1)], counts=(4, 3), halvings=0)
    rows = list(csv.DictReader(io.StringIO(table(found, machine))))
    assert len(rows) == sum(map(len, found.points))
    assert "ballast.mass (kg)" in rows[0] and "reading (N)" in rows[0]
    spanish = table(found, machine, Display("es")).splitlines()
    assert spanish[0].startswith("alcance del dinamómetro (N),graduación del dinamómetro (N),")
    said = found.points[0][0].reason
    assert said and Display("es").describe(said) in spanish[1] and str(said) not in spanish[1]
    english = csv.reader(table(found, machine).splitlines())
    both = list(zip(csv.reader(spanish), english, strict=True))
    assert all(here[:-1] == there[:-1] for here, there in both[1:])
    assert near(float(rows[0]["reading (N)"]), found.points[0][0].reading or 0.0, rel=1e-6)


def test_the_chart_is_drawn():
    """The chart is the same SVG each time, and a PNG, for one variable and for two."""
    machine = scene("sled_drawn_up")
    for sweeps in ((), default_sweeps(machine)[:1]):
        found = plan(machine, [Dial(20, 0.2)], sweeps, counts=(4, 3), halvings=2)
        drawn = chart(found, machine, "svg", Display())
        assert drawn == chart(found, machine, "svg", Display())
        assert ET.fromstring(drawn).tag.endswith("svg")
        assert chart(found, machine, "png", Display()).startswith(b"\x89PNG")


def test_the_chart_changes_colour_at_the_edges_of_the_ranges():
    """A cell of the chart ends where its range does, also where that is a point of the sweep."""
    machine = scene("sled_drawn_up")
    found = plan(machine, [Dial(10, 0.1)], counts=(8, 4), halvings=1)
    ends = []
    for each in found.ranges:
        row = [p for p in found.points[0] if p.values[1] == each.beside]
        borders = _borders(found, each.dial, row, each.beside)
        for edge, last in ((each.low, row[0]), (each.high, row[-1])):
            assert (edge.values[0] in borders) == (edge is not last)
            ends.append(edge in row and edge is not last)
    assert any(ends) and not all(ends)


def test_the_command_prints_ranges_and_writes_files(tmp_path: Path):
    """`plan` prints a table of usable ranges and remarks, and writes chart and points."""
    picture, points = tmp_path / "plan.svg", tmp_path / "plan.csv"
    result = inside(
        "plan", "two_part_tackle", "--gauge", "10N/0.1N", "--vary", "ballast.mass=200g..2kg",
        "--safe", "fall=8N", "--stand", "upper=20cm/1m/2kg", "--chart", picture, "--csv", points,
    )  # fmt: skip
    assert result.returncode == 0, result.stderr
    assert "0.661 to 1.40" in result.stdout and "the scale; fall bears" in result.stdout
    assert picture.read_text().startswith("<?xml") and points.read_text().count("\n") == 26


def test_nothing_usable_exits_1():
    """`plan` exits 1 where no setting is usable."""
    result = inside("plan", "two_part_tackle", "--gauge", "1kN/1N", "--vary", "parts=2..3")
    assert result.returncode == 1
    assert "No setting swept is usable" in result.stdout


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--gauge", "10N"], "RANGE/GRADUATION"),
        (["--gauge", "10kg/1N"], "force"),
        (["--gauge", "1N/2N"], "no larger than the range"),
        (["--vary", "ballast.mass=1kg"], "KEY=LOW..HIGH"),
        (["--vary", "balast.mass=1kg..2kg"], "Did you mean 'ballast'"),
        (["--vary", "ballast.mass=1m..2m"], "mass"),
        (["--vary", "ballast.mass=2kg..1kg"], "LOW below HIGH"),
        (["--vary", "parts=2..99"], "whole number from 2 to 8"),
        (["--vary", "parts=2.5..4"], "whole numbers"),
        (["--safe", "fal=3N"], "Did you mean 'fall'"),
        (["--safe", "fall"], "NAME=FORCE"),
        (["--stand", "upper=1m/1m"], "NAME=BASE/HEIGHT/MASS"),
        (["--stand", "fall=1m/1m/1kg"], "one of upper"),
        (["--rule", "1m"], "LENGTH/DIVISION"),
        (["--chart", "plan.jpg"], ".svg or .png"),
    ],
)
def test_bad_input_is_one_message(words: list[str], message: str):
    """Bad input ends with exit code 2 and one message, no traceback."""
    refused(inside("plan", "two_part_tackle", *words), message)
