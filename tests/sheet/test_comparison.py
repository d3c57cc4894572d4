"""What a changed machine is compared with: the machine as it was, at the same moment."""

from __future__ import annotations

import re

import pytest

from sandbox.drawing import charts
from sandbox.drawing.strokes import Box, Text
from sandbox.engine import Live
from sandbox.language.display import Display
from sandbox.scene import Vector
from sandbox.scene.parts import Block
from sandbox.sheet import edits, focus, looks
from sandbox.sheet.sheet import Sheet
from sandbox.sheet.timeline import FRAME
from sandbox.shipped import find_scene
from tests.sheets import Unasked, key, tick_on
from tests.tolerance import near


def sheet_on(name: str, **how: object) -> Sheet:
    sheet = Sheet([find_scene(name)], checker=Unasked(), **how)
    sheet.resize(1600, 900)
    return sheet


def test_a_change_during_a_haul_is_compared_at_the_same_moment() -> None:
    """A bearing loses its friction in mid-haul: from then on the pull now is the weight, and beside
    it, at the same time and travel, stands what it would be without the change, the weight times
    (1 + q) / (1 - q) by the closed form of the tension ratio; the same as in an undisturbed run."""
    sheet = sheet_on("fixed_sheave")
    tick_on(sheet, 2.0)
    block, scene = sheet.scene.parts["head"], sheet.scene
    assert isinstance(block, Block)
    q = 0.2 * block.pin_radius / block.radius
    edits.change(sheet, "head.bearing_friction", 0.0)
    weight = 0.5 * 9.80665
    tick_on(sheet, 1.0)
    now, before = sheet.shown, sheet.ghost.snapshot
    assert now.time > 2.9 and near(before.time, now.time, abs=1e-9)
    assert near(before.hand.travel, now.hand.travel, abs=1e-6)
    assert near(now.hand.force, weight, rel=1e-4)
    assert near(before.hand.force, weight * (1 + q) / (1 - q), rel=1e-3)
    undisturbed = Live(scene)
    undisturbed.advance(before.time)
    assert undisturbed.now.poses == before.poses
    # In the past as well.
    for moment in (2.5, 1.0):
        sheet.timeline.to_time(moment)
        assert near(sheet.shown.time, moment, abs=FRAME)
        assert near(sheet.ghost.snapshot.time, sheet.shown.time, abs=1e-9)


def test_what_hands_do_is_done_to_both() -> None:
    """The hand lets go and is led, and a part pulled at, of the machine as it was, too."""
    sheet = sheet_on("fixed_sheave")
    tick_on(sheet, 1.0)
    edits.change(sheet, "bag.mass", 0.6)
    hand = sheet.live.now.hand.at
    pull = focus.take_hold(sheet, "hand")
    pull.lead(hand + Vector(0.0, -0.3))
    tick_on(sheet, 1.0)
    now, before = sheet.shown, sheet.ghost.snapshot
    assert near(now.hand.at.y, hand.y - 0.3, abs=5e-3)
    assert near(before.hand.at.y, now.hand.at.y, abs=1e-6)
    sheet.let_go()
    key(sheet, "h")
    tick_on(sheet, 0.5)
    assert not sheet.shown.hand.holding and not sheet.ghost.snapshot.hand.holding
    sheet = sheet_on("balanced_rule")
    edits.change(sheet, "stick.mass", 0.2)
    start = sheet.shown.poses["stick"].angle
    pull = focus.take_hold(sheet, "stick")
    pull.lead(pull.to + Vector(0.0, -0.02))
    tick_on(sheet, 0.5)
    for shot in (sheet.shown, sheet.ghost.snapshot):
        assert abs(shot.poses["stick"].angle - start) > 1e-3


def test_hauls_at_two_speeds_are_compared_at_the_same_travel() -> None:
    """A hand that goes three times as fast begins again, and is compared with the slower one where
    that has hauled as much."""
    sheet = sheet_on("fixed_sheave")
    tick_on(sheet, 1.0)
    speed = next(h for h in sheet.handles if h.startswith("hand.") and "speed" in h)
    edits.change(sheet, speed, 3.0 * sheet.handles[speed].value)
    assert sheet.shown.time == 0.0
    tick_on(sheet, 1.5)
    now, before = sheet.shown, sheet.ghost.snapshot
    assert now.hand.travel > 0.1 and before.time > 2.0 * now.time
    assert near(before.hand.travel, now.hand.travel, abs=2.0 * FRAME * 0.05)


@pytest.mark.parametrize("scene", ["fixed_sheave", "balanced_rule"])
def test_what_is_kept_to_compare_with_outlasts_a_restart(scene: str) -> None:
    """Kept, the machine goes on beside the one that is changed, and a restart begins both again:
    they are compared at the same moment, and the kept one is as it was."""
    sheet = sheet_on(scene)
    tick_on(sheet, 0.5)
    looks.keep_ghost(sheet)
    kept = sheet.scene
    tick_on(sheet, 0.2)
    for name, pose in sheet.shown.poses.items():
        # What goes on apart has new contacts, whose impulses are found anew.
        kept_at = sheet.ghost.snapshot.poses[name]
        assert all(near(a, b, abs=1e-6) for a, b in zip(kept_at, pose, strict=True))
    where = next(h for h in sheet.handles if h.endswith(".mass"))
    edits.nudge(sheet, where, 3)
    for restarted in (False, True):
        if restarted:
            key(sheet, "r")
        tick_on(sheet, 0.4)
        assert sheet.ghost.scene is kept is not sheet.scene
        assert near(sheet.ghost.snapshot.time, sheet.shown.time, abs=1e-9)
    undisturbed = Live(kept)
    undisturbed.advance(sheet.shown.time)
    assert undisturbed.now.poses == sheet.ghost.snapshot.poses
    key(sheet, "k")
    assert sheet.ghost is None


@pytest.mark.parametrize("display", [Display(), Display("es", "US")])
def test_work_and_energies_count_from_a_stated_zero(display: Display) -> None:
    """After a change, and when it is undone, the sheet says since when work and energy count, and
    what went in is what is stored and lost; undone, the change leaves nothing in the ledger. After
    a restart, or in another mode, there is nothing to be said."""
    since = display.say("{state}; work and energy since t = 0", state=display.say("running"))
    sheet = sheet_on("lowering_a_barrel", display=display)
    where = f"{sheet.scene.load}.mass"
    words = (charts.WORK_IN, charts.WORK_AND_CHANGES)
    put_in = [display.say(word, energy="").strip() for word in words]

    def closes() -> None:
        tick_on(sheet, 1.0)
        energy = sheet.shown.energy
        assert near(energy.unaccounted, 0.0, abs=1e-5)
        # And so do the numbers on the chart, each to 3 digits.
        chart = charts.ledger_chart(sheet.live.snapshots, Box(0.0, 0.0, 200.0, 60.0), display)
        written = [item.text for item in chart if isinstance(item, Text)]
        found = [re.search(r"(.*) ([−\d.,]+) ?(\S+)$", text) for text in written]
        said = {m[1]: float(m[2].replace(",", ".").replace("−", "-")) for m in found if m}
        total = [value for words, value in said.items() if words in put_in]
        assert len(total) == 1, said
        bands = sum(said.values()) - total[0]
        assert near(bands, total[0], abs=0.02 * max(map(abs, said.values()))), said

    closes()
    assert sheet.show().state == display.say("running")
    edits.change(sheet, where, 1.2 * sheet.handles[where].value)
    closes()
    assert sheet.show().state == since
    assert abs(sheet.shown.energy.changes) > 1e-3
    edits.undo(sheet)
    closes()
    assert sheet.show().state == since
    key(sheet, "r")
    closes()
    assert sheet.shown.energy.changes == 0.0
    assert sheet.show().state == display.say("running")
    edits.change(sheet, where, 1.2 * sheet.handles[where].value)
    while sheet.scene.about.mode != "raising":
        edits.next_mode(sheet)
    closes()
    assert sheet.shown.energy.changes == 0.0
    assert sheet.show().state == display.say("running")
