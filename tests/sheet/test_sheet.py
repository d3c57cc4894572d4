"""The sheet driven by plain values, as any host would."""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from pathlib import Path

from sandbox import scene
from sandbox.scene.parts import Block
from sandbox.sheet import edits, leaving
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME, MOST_SNAPSHOTS
from sandbox.shipped import find_scene
from tests.sheets import Unasked, key, tick_on
from tests.tolerance import near

SCRIPT = """
import sys
sys.modules["pygame"] = None  # importing it is an error from here on

from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene


class Unasked:
    def ask(self, scene): pass
    def result(self): return None
    def close(self): pass


def press(key, **held):
    sheet.key_down(key, **held)
    sheet.key_up(key)


def pointed(what, kind):
    spot = next(s for s in sheet.board.targets if (s.what, s.kind) == (what, kind))
    x = sum(p.x for p in spot.outline) / len(spot.outline)
    y = sum(p.y for p in spot.outline) / len(spot.outline)
    return x / sheet.board.width, 1.0 - y / sheet.board.height


sheet = Sheet([find_scene("fixed_sheave")], checker=Unasked())
sheet.resize(1600, 900)
sheet.compose()
sheet.pointer_to(*pointed("bag.mass", "value"))
assert sheet.pointing
sheet.pointer_down(*pointed("bag.mass", "value"))
sheet.pointer_up()
press("Enter")
sheet.tick(0.0)
sheet.text("750 g")
press("Enter")
assert sheet.scene.parts["bag"].mass == 0.75, sheet.message
press("z", ctrl=True)
assert sheet.scene.parts["bag"].mass == 0.5
for _ in range(30):
    sheet.tick(1 / 60)
assert abs(sheet.shown.time - 0.5) < 0.02
across, down = pointed("hand", "pull")
before = sheet.shown.hand.travel
sheet.pointer_down(across, down)
sheet.pointer_to(across, down + 0.1)
for _ in range(60):
    sheet.tick(1 / 60)
assert sheet.shown.hand.travel > before + 0.02
sheet.pointer_up()
under, over = sheet.compose()
assert under.items and over.items
sheet.close()
assert not sheet.open
"""


def test_a_sheet_needs_no_window() -> None:
    """Where pygame cannot be imported, a sheet takes keys, letters and the pointer as plain values:
    a value is typed and undone, the hand is dragged and hauls, and a frame is composed."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr


def opened(*paths: Path) -> Sheet:
    sheet = Sheet(paths, checker=Unasked())
    sheet.resize(1600, 900)
    sheet.compose()
    return sheet


def shipped(*names: str) -> Sheet:
    return opened(*(find_scene(name) for name in names))


def test_a_change_after_the_haul_is_seen_in_another_haul() -> None:
    """A bearing without friction given to a whip whose haul is done: it hauls again from rest, and
    is compared with the run before at the same travel of the hand, where the pull was the weight
    times (1 + q) / (1 - q) by the closed form of the tension ratio, and is now the weight."""
    sheet = shipped("fixed_sheave")
    tick_on(sheet, 9.0)
    assert sheet.timeline.stopped
    block = sheet.scene.parts["head"]
    assert isinstance(block, Block)
    q = 0.2 * block.pin_radius / block.radius
    edits.change(sheet, "head.bearing_friction", 0.0)
    assert sheet.shown.time == 0.0
    assert sheet.message == sheet.say(
        "changed after its run: it runs again from rest, compared with before at the same moment"
    )
    weight = 0.5 * 9.80665
    for seconds in (3.0, 1.5):
        tick_on(sheet, seconds)
        now, before = sheet.shown, sheet.ghost.snapshot
        assert now.hand.travel > 0.05
        assert near(before.hand.travel, now.hand.travel, abs=FRAME * 0.05)
        assert near(now.hand.force, weight, rel=1e-4)
        assert near(before.hand.force, weight * (1 + q) / (1 - q), rel=1e-3)
    key(sheet, "k")
    sheet.tick(FRAME)
    assert sheet.ghost is None


def test_a_change_in_mid_haul_goes_on_from_there() -> None:
    """While the hand hauls a change does not begin again, and the sheet says that work and energy
    count from the start of the run."""
    sheet = shipped("fixed_sheave")
    tick_on(sheet, 3.0)
    assert "t = 0" not in sheet.show().state
    edits.change(sheet, "head.bearing_friction", 0.0)
    assert sheet.shown.time > 3.0
    assert sheet.show().state == sheet.say(
        "{state}; work and energy since t = 0", state=sheet.say("running")
    )
    energy = sheet.shown.energy
    assert energy.work_in > 0.0 and near(energy.unaccounted, 0.0, abs=1e-5)


def test_a_run_that_is_over_says_so_and_stands_still() -> None:
    """A sled that comes over the head of its ramp ends the run: the sheet says what happened and
    when, its clock stands, it is painted no more; a change runs it again from rest."""
    sheet = shipped("sled_and_hanging_weight")
    tick_on(sheet, 2.0)
    assert sheet.message.startswith("sled reaches the head of slip at 1.28 s: the run is over")
    assert sheet.loud and sheet.show().state == sheet.say("run over; R: again")
    moment = sheet.shown.time
    tick_on(sheet, 7.0 + 27.0)
    sheet.compose()
    tick_on(sheet, 1.5)
    assert sheet.shown.time == moment and not sheet.altered
    key(sheet, "h")
    edits.change(sheet, "slip.kinetic_friction", 0.2)
    assert sheet.shown.time == 0.0 and sheet.altered
    tick_on(sheet, 0.5)
    former = sheet.ghost.snapshot
    assert near(former.time, sheet.shown.time, abs=FRAME)
    now, before = (shot.readings["sled.acceleration"] for shot in (sheet.shown, former))
    assert now > before
    key(sheet, "r")
    tick_on(sheet, 0.1)
    assert near(sheet.shown.time, 0.1, abs=2e-3)


def test_a_load_that_is_let_go_falls_and_ends_the_run() -> None:
    """Let go, a load without a floor falls out of the machine, and the sheet does not follow it."""
    sheet = shipped("fixed_sheave")
    tick_on(sheet, 2.0)
    key(sheet, "h")
    tick_on(sheet, 5.0)
    assert "bag has fallen" in sheet.message and sheet.shown.time < 3.0
    key(sheet, "h")
    assert sheet.message == sheet.say("the run is over; R starts it again")


def test_what_is_recorded_is_bounded(tmp_path: Path) -> None:
    """Of a lever that swings for ever no more is kept than `MOST_SNAPSHOTS`: its start, the last
    twenty seconds whole, and what lies between evenly spaced, so that any moment of it is shown."""
    text = find_scene("off_centre_pivot").read_text(encoding="utf-8")
    path = tmp_path / "swing.toml"
    path.write_text(text.replace('"0.07 N m s"', '"0 N m s"'), encoding="utf-8")
    sheet = opened(path)
    for _ in range(round(120.0 / FRAME)):
        sheet.tick(FRAME)
        assert len(sheet.live.snapshots) <= MOST_SNAPSHOTS
    times = [shot.time for shot in sheet.live.snapshots]
    assert times[0] == 0.0 and near(times[-1], 120.0, abs=0.02)
    apart = [(b, b - a) for a, b in pairwise(times)]
    assert max(gap for _, gap in apart) < 0.5
    assert max(gap for b, gap in apart if b > times[-1] - 20.0) < 2.0 * FRAME


def test_a_paused_sheet_is_painted_only_when_something_changes() -> None:
    """Paused, a sheet says after a second that it need not be painted, until the pointer, a key, a
    change or the clock alters what is seen."""
    sheet = shipped("four_part_tackle")
    tick_on(sheet, 0.5)
    key(sheet, " ")
    tick_on(sheet, 40.0)
    sheet.compose()
    tick_on(sheet, 1.5)
    assert not sheet.altered
    target = next(t for t in sheet.board.targets if t.kind == "value")
    x = sum(p.x for p in target.outline) / len(target.outline)
    y = sum(p.y for p in target.outline) / len(target.outline)
    for what in (
        lambda: sheet.pointer_to(x / sheet.board.width, 1.0 - y / sheet.board.height),
        lambda: key(sheet, "Tab"),
        lambda: key(sheet, "ArrowUp"),
        lambda: key(sheet, "p"),
        lambda: key(sheet, "p"),
        lambda: key(sheet, "d"),
        lambda: key(sheet, "u"),
        lambda: key(sheet, "t"),
        lambda: key(sheet, "i"),
        lambda: sheet.resize(1200, 900),
        lambda: key(sheet, "."),
        lambda: key(sheet, " "),
    ):
        what()
        assert sheet.altered
        sheet.compose()
        sheet.timeline.running = False
        tick_on(sheet, 9.0)
        sheet.compose()
        tick_on(sheet, 1.5)
        assert not sheet.altered


def test_two_requests_to_close_are_one_question() -> None:
    """However far apart on a slow machine the two events of one click on a window's cross come, one
    question is asked; a click after it could be read closes."""
    sheet = shipped("fixed_sheave")
    edits.change(sheet, "bag.mass", 0.6)
    for seconds in (0.0, FRAME, 3.0):
        sheet.tick(seconds)
        sheet.ask_to_close()
        assert sheet.open and "not saved" in sheet.message
    tick_on(sheet, leaving.READ)
    sheet.ask_to_close()
    assert not sheet.open


def test_a_slow_machine_takes_one_step_for_one_press() -> None:
    """What a key repeated while a frame took seconds, before its release could be seen, is neither
    a second step back nor a second scene; held on, it goes on once frames are quick again."""
    sheet = shipped("fixed_sheave", "four_part_tackle", "balanced_rule")
    for mass in (0.6, 0.7, 0.8):
        edits.change(sheet, "bag.mass", mass)
    sheet.key_down("z", ctrl=True)
    sheet.tick(2.0)
    for _ in range(30):
        sheet.key_down("z", ctrl=True)
    assert scene.value_of(sheet.scene, "bag.mass") == 0.7
    sheet.tick(FRAME)
    sheet.key_down("z", ctrl=True)
    assert scene.value_of(sheet.scene, "bag.mass") == 0.6
    sheet.key_up("z")
    key(sheet, "z", ctrl=True)
    sheet.key_down("PageDown")
    sheet.tick(2.0)
    for _ in range(30):
        sheet.key_down("PageDown")
    assert sheet.scene.name == "four_part_tackle"
