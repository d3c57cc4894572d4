"""Charts chosen on the sheet, and a quantity measured point by point."""

from __future__ import annotations

import math

import pytest

from sandbox.drawing import chosen_charts
from sandbox.drawing.chosen_charts import CHARTS, MOST, chart
from sandbox.drawing.strokes import Box, Path, bounds
from sandbox.engine import Live
from sandbox.language.display import Display
from sandbox.scene import load
from sandbox.sheet.checking import check_scene
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene
from tests.sheets import key_seen, pass_time, press, sheet_on
from tests.tolerance import near

COLUMN = Box(207.0, 39.0, 303.0, 167.0)


def texts(sheet: Sheet) -> set[str]:
    under, over = sheet.compose()
    return {text.text for text in (*under.texts, *over.texts)}


class AtOnce:
    """A checker that checks when it is asked for its answer."""

    def ask(self, scene):
        self.scene, self.found = scene, None

    def result(self):
        self.found = self.found or check_scene(self.scene)
        return self.found

    def close(self):
        pass


def run(name: str, seconds: float) -> Live:
    live = Live(load(find_scene(name)))
    while live.now.time < seconds:
        live.advance(0.02)
    return live


@pytest.mark.parametrize("name", [each for each in CHARTS if each != "points"])
def test_each_chart_stays_within_its_third_of_the_column(name):
    """In both languages each chart has its axes' names with units and stays within a third of the
    column, of a machine that is hauled and of one that slides down by itself."""
    third = COLUMN._replace(top=COLUMN.bottom + COLUMN.height / MOST)
    for scene, language in (("four_part_tackle", "en"), ("sled_let_slide", "es")):
        live = run(scene, 0.8)
        shots = live.snapshots
        items = chart(name, live.scene, shots, None, third, Display(language), math.inf)
        for item in items:
            assert third.grown(1.0).holds(bounds(item)), (name, item)


def test_speed_and_acceleration_are_those_of_the_slope():
    """A sled let go has the acceleration g (sin a - mu cos a) at every moment, and as its speed
    that times the time, the chart's lines being those values to scale."""
    live = run("sled_let_slide", 0.6)
    ramp = live.scene.frames["sled"].ramp
    assert ramp is not None
    a = math.atan2(ramp.upslope.y, ramp.upslope.x)
    gain = live.scene.about.gravity * (math.sin(a) - ramp.kinetic_friction * math.cos(a))
    for time, value in chosen_charts._speed(live.scene, live.snapshots)[1:]:
        assert near(value, gain * time, rel=1e-4)
    for _, value in chosen_charts._acceleration(live.scene, live.snapshots)[1:]:
        assert near(abs(value), gain, rel=1e-4)


def test_what_is_past_is_drawn_up_to_the_moment_shown():
    """Back in the recording a line ends where the machine then was, in the same axes."""
    live = run("four_part_tackle", 1.6)
    ends = []
    for now in (0.8, math.inf):
        items = chart("rise", live.scene, live.snapshots, None, COLUMN, Display(), now)
        (line,) = (i for i in items if isinstance(i, Path) and i.style == "weight")
        ends.append(line.points[-1])
    start = min(p.x for p in line.points)
    assert near((ends[0].x - start) / (ends[1].x - start), 0.8 / live.now.time, rel=0.03)


def test_charts_are_chosen_by_pointer_and_by_keys():
    """The table of charts is opened by its mark or J; a row shows a chart or no longer, by a click
    or Enter, at most three at a time and at least one; the table stays open meanwhile."""
    sheet = sheet_on("four_part_tackle")
    press(sheet, "choose_charts")
    press(sheet, "chart rise", "row")
    assert sheet.charting.chosen == ("work", "ledger", "rise") and sheet.overlay == "charts"
    press(sheet, "chart speed", "row")
    assert sheet.charting.chosen == ("ledger", "rise", "speed")
    key_seen(sheet, "j")
    pass_time(sheet, 0.6)
    assert {"rise (cm)", "speed (cm/s)", "time (s)"} <= texts(sheet) or "rise (m)" in texts(sheet)
    key_seen(sheet, "j")
    for _ in range(2):
        key_seen(sheet, "Enter")
        key_seen(sheet, "ArrowDown")
    assert sheet.charting.chosen == ("speed", "work", "ledger")
    for name in ("ledger", "speed", "work"):
        press(sheet, f"chart {name}", "row")
    assert sheet.charting.chosen == ("work",)


def test_points_are_measured_kept_and_taken_back():
    """At each value of the mass a click adds the effort measured there: points of a lever, by plain
    statics F b = m g a for a bar that balances by itself. Through three a straight line is laid,
    which says its slope, g a / b. They are listed with their values and can be taken back; one
    asked for before it is measured comes when it is."""
    sheet = sheet_on("lever_first_class", checker=AtOnce())
    key_seen(sheet, "a")
    assert "focus" in sheet.show().message
    sheet.focus = "bracket.mass"
    for mass in (1.0, 2.0, 3.0):
        sheet.draft.set("bracket.mass", f"{mass} kg")
        sheet.take_up()
        press(sheet, "add_point")
        assert sheet.charting.awaited
        pass_time(sheet, 1.2)
        assert not sheet.charting.awaited
        point = sheet.charting.points[-1]
        assert near(point.value, mass, rel=1e-9)
        assert near(point.measured, mass * 9.80665 * 20.0 / 70.0, rel=1e-3)
    assert sheet.charting.chosen[-1] == "points"
    shown = sheet.show().points
    assert shown is not None and len(shown.values) == 3 and shown.varied.endswith("(kg)")
    assert {"effort (N)", "bracket, mass (kg)"} <= texts(sheet)
    key_seen(sheet, "j")
    assert any("take back: bracket, mass 2 kg" in text for text in texts(sheet))
    press(sheet, "fit", "row")
    key_seen(sheet, "j")
    pass_time(sheet, 0.6)
    (line,) = (text for text in texts(sheet) if text.startswith("line:"))
    slope, unit = line.partition("slope ")[2].partition(",")[0].split()
    assert line.endswith("at zero 0 N")
    assert near(float(slope), 9.80665 * 20.0 / 70.0, rel=1e-3) and unit == "N/kg"
    key_seen(sheet, "j")
    press(sheet, "drop 1", "row")
    assert [point.value for point in sheet.charting.points] == [1.0, 3.0]
    key_seen(sheet, "j")
    pass_time(sheet, 0.6)
    assert not any(text.startswith("line:") for text in texts(sheet))


def test_a_value_changed_before_it_is_measured_gives_no_point():
    """What is asked for at one value is never entered at another."""
    sheet = sheet_on("lever_first_class")
    sheet.focus = "bracket.mass"
    key_seen(sheet, "a")
    sheet.draft.set("bracket.mass", "1 kg")
    sheet.take_up()
    pass_time(sheet, 0.1)
    assert not sheet.charting.awaited and not sheet.charting.points
    assert "no point" in sheet.show().message
