"""Values and parts changed in the window, by keys and by the mouse."""

from __future__ import annotations

import pygame
import pytest

from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS
from sandbox.scene import Vector, value_of
from sandbox.sheet.edits import nudge
from sandbox.sheet.focus import on_sheet
from tests.tolerance import near
from tests.windows import (
    at_bench,
    choose,
    click,
    drag,
    painted,
    pass_time,
    pixel,
    post,
    press,
    release,
    spot,
    type_value,
    write,
)

# Changing.


def test_a_typed_value_changes_the_scene_and_the_machine(open_window):
    """A heavier load, typed with its unit, is felt by the hand; undo takes it back."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    before = window.sheet.live.now.readings["hand.force"]
    type_value(window, "bag.mass", "750 g")
    assert value_of(window.sheet.scene, "bag.mass") == 0.75
    pass_time(window, 1.0)
    assert near(window.sheet.live.now.readings["hand.force"], 1.5 * before, rel=5e-3)
    assert window.sheet.ghost is not None
    assert near(window.sheet.ghost.snapshot.readings["hand.force"], before, rel=1e-6)
    shown = [text.text for text in window.drawing.texts]
    assert window.sheet.display.force(before) in shown
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert value_of(window.sheet.scene, "bag.mass") == 0.5
    press(window, pygame.K_y, pygame.KMOD_CTRL)
    assert value_of(window.sheet.scene, "bag.mass") == 0.75


@pytest.mark.parametrize("name", ["balanced_rule", "fixed_sheave"])
def test_a_value_undone_leaves_the_machine_running(open_window, name):
    """Undoing a value changes the machine where it has got to, with a hand or without; undoing what
    the hand does begins from rest, and says so."""
    window = open_window(name)
    pass_time(window, 1.0)
    nudge(window.sheet, next(h for h in window.sheet.handles if h.endswith(".mass")), 1)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert not window.sheet.draft.changed and window.sheet.live.now.time > 1.0
    if window.sheet.scene.hand:
        type_value(window, "hand.travel", "15 cm")
        pass_time(window, 0.5)
        press(window, pygame.K_z, pygame.KMOD_CTRL)
        assert not window.sheet.draft.changed and window.sheet.live.now.time == 0.0
        told = window.sheet.say("undone: {what}", what="change of hand, how far it hauls")
        assert window.sheet.message == window.sheet.say(
            "{what}; it starts again from rest", what=told
        )


@pytest.mark.parametrize("text", ["750", "3 cm", "-1 kg", "heavy", "1e99 kg", ""])
def test_a_wrong_value_shows_a_message_and_changes_nothing(open_window, text):
    """What is not allowed is told in the line of messages, and the scene stays as it was."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.5)
    scene = window.sheet.scene
    window.sheet.focus = "bag.mass"
    press(window, pygame.K_RETURN)
    write(window, text)
    if not text:
        press(window, pygame.K_BACKSPACE)
        for _ in range(20):
            press(window, pygame.K_BACKSPACE)
    press(window, pygame.K_RETURN)
    window.draw()
    assert window.sheet.scene is scene
    assert window.sheet.live.scene is scene
    assert window.sheet.loud and "allowed" in window.sheet.message
    assert any("bag, mass" in text.text for text in window.drawing.texts)


def test_a_value_is_typed_with_the_decimal_sign_that_is_shown(open_window):
    """In Spanish a comma begins the decimals and the file has its point; what may be a thousand is
    refused, and nothing is changed."""
    window = open_window("fixed_sheave")
    window.sheet.display = Display("es")
    pass_time(window, 0.1)
    type_value(window, "bag.mass", "1,25 kg")
    assert window.sheet.draft.written("bag.mass") == "1.25 kg"
    type_value(window, "bag.mass", "1.250 kg")
    assert window.sheet.loud and "1250" in window.sheet.message
    assert value_of(window.sheet.scene, "bag.mass") == 1.25


def test_an_arm_is_typed_as_it_is_shown(open_window):
    """A length typed for an arm is the arm, from the fulcrum, on its own side of it."""
    window = open_window("lever_first_class")
    pass_time(window, 0.1)
    fulcrum = value_of(window.sheet.scene, "spike.fulcrum")
    type_value(window, "bracket.on", "15 cm")
    assert near(value_of(window.sheet.scene, "bracket.on"), fulcrum - 0.15, abs=1e-9)
    window.sheet.focus = "bracket.on"
    press(window, pygame.K_UP)
    assert value_of(window.sheet.scene, "bracket.on") < fulcrum - 0.15


def test_dragging_changes_it_while_it_runs(open_window):
    """Dragged along its lever, a weight goes with the mouse, and the machine answers: one step to
    undo."""
    window = open_window("balanced_rule")
    pass_time(window, 0.5)
    where = next(w for w in on_sheet(window.sheet) if w.endswith(".on"))
    before = value_of(window.sheet.scene, where)
    start = spot(window, where)
    end = start + Vector(20.0, 0.0)
    drag(window, start, end)
    release(window, end)
    moved = value_of(window.sheet.scene, where) - before
    assert near(moved * window.sheet.board.view.scale, 20.0, abs=2.0)
    pass_time(window, 1.0)
    assert abs(window.sheet.live.now.poses["stick"].angle) > 1e-3
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert near(value_of(window.sheet.scene, where), before, abs=1e-12)


def test_the_wheel_nudges_what_the_mouse_is_on(open_window):
    """Over a value the wheel changes it by steps; hovering draws a ring."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.2)
    at = spot(window, "bag.mass")
    post(window, pygame.MOUSEMOTION, pos=pixel(window, at), rel=(0, 0), buttons=(0, 0, 0))
    assert window.sheet.hover == "bag.mass"
    before = value_of(window.sheet.scene, "bag.mass")
    post(window, pygame.MOUSEWHEEL, x=0, y=2, flipped=False)
    assert value_of(window.sheet.scene, "bag.mass") > before
    post(window, pygame.MOUSEWHEEL, x=0, y=-2, flipped=False)
    assert near(value_of(window.sheet.scene, "bag.mass"), before, abs=1e-9)


@pytest.mark.parametrize("paper", ["dark", "white"])
def test_the_focus_is_seen(open_window, paper):
    """Tab goes round everything that can be taken hold of, and each time a ring in the colour of
    focus is painted about it; without focus there is none."""
    window = open_window("four_part_tackle")
    window.sheet.dark = paper == "dark"
    pass_time(window, 0.5)
    ring = PAPERS[paper]["focus"]
    window.draw()
    assert not painted(window, ring)
    whole = on_sheet(window.sheet)
    assert {"ballast.mass", "upper.bearing_friction", "hand", "scene.gravity"} <= set(whole)
    visited = []
    for _ in whole:
        press(window, pygame.K_TAB)
        window.draw()
        visited.append(window.sheet.focus)
        assert painted(window, ring), window.sheet.focus
    assert sorted(visited) == sorted(whole)
    press(window, pygame.K_TAB, pygame.KMOD_SHIFT)
    assert window.sheet.focus == visited[-2]
    press(window, pygame.K_ESCAPE)
    assert window.sheet.focus == ""


# Parts and files.


def test_parts_are_added_and_removed(open_window):
    """A weight typed in hangs on the lever; deleted, it is gone; undo brings it back."""
    window = open_window("lever_first_class")
    pass_time(window, 0.2)
    press(window, pygame.K_INSERT)
    choose(window, "add weight")
    write(window, "weight extra on = spike@40 cm; mass = 200 g")
    press(window, pygame.K_RETURN)
    assert "extra" in window.sheet.live.scene.parts
    pass_time(window, 0.3)
    window.sheet.focus = "extra.mass"
    press(window, pygame.K_DELETE)
    assert "extra" not in window.sheet.live.scene.parts
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert "extra" in window.sheet.live.scene.parts
    pass_time(window, 0.2)


def test_a_rope_is_reeved_anew(open_window):
    """A reeving typed in is the rope's; one that cannot be is told and changes nothing."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.1)
    press(window, pygame.K_x)
    assert window.sheet.entry is not None
    reeve = window.sheet.entry.text
    write(window, "nothing.1, hand")
    press(window, pygame.K_RETURN)
    assert window.sheet.loud
    assert window.sheet.draft.written(f"{window.sheet.scene.lines[0].rope}.reeve") == reeve


def test_a_weight_is_hung_on_a_lever_by_the_mouse(open_window):
    """The right button on a bar, a row, and a click on the prompt hang a weight just there; the
    run starts again from rest and says so; undo takes it off, redo hangs it again."""
    window = open_window("lever_first_class")
    pass_time(window, 0.5)
    place = window.sheet.live.now.poses["spike"].point(Vector(0.6, 0.0))
    click(window, at_bench(window, place), button=3)
    assert window.sheet.overlay == "parts" and window.sheet.focus == "spike"
    click(window, spot(window, "add weight", "row"))
    assert window.sheet.entry is not None and "on = spike@" in window.sheet.entry.text
    click(window, spot(window, "help", "mark"))
    (added,) = set(window.sheet.live.scene.parts) - {"spike", "bracket", "line", "hand", "balance"}
    assert near(value_of(window.sheet.scene, f"{added}.on"), 0.6, abs=2e-3)
    assert window.sheet.live.now.time < 0.1
    assert window.sheet.message == window.sheet.say(
        "{what}; it starts again from rest", what=window.sheet.say("added {name}", name=added)
    )
    assert window.sheet.message in [text.text for text in window.drawing.texts]
    pass_time(window, 0.3)
    assert any(f.part == added and f.kind == "weight" for f in window.sheet.live.now.forces)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert added not in window.sheet.live.scene.parts
    assert window.sheet.live.now.time == 0.0 and window.sheet.loud
    press(window, pygame.K_y, pygame.KMOD_CTRL)
    assert added in window.sheet.live.scene.parts


def test_a_block_is_added_and_a_rope_reeved_over_it_by_keys(open_window):
    """Insert puts a block in the rope; X and a typed reeving make the rope fast to its becket
    instead; each is a step to undo, and the rope runs so."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.3)
    press(window, pygame.K_INSERT)
    choose(window, "add block")
    press(window, pygame.K_RETURN)
    assert "block" in window.sheet.live.scene.parts
    with_block = window.sheet.draft.written("fall.reeve")
    assert [site.block for site in window.sheet.live.scene.lines[0].waypoints][3] == "block"
    press(window, pygame.K_x)
    write(window, "block.becket, lower.1, upper.1, hand")
    press(window, pygame.K_RETURN)
    assert len(window.sheet.live.scene.lines[0].waypoints) == 4
    assert window.sheet.message == window.sheet.say(
        "{what}; it starts again from rest",
        what=window.sheet.say("reeved {name} anew", name="fall"),
    )
    pass_time(window, 0.3)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert window.sheet.draft.written("fall.reeve") == with_block
    assert len(window.sheet.live.scene.lines[0].waypoints) == 5
    pass_time(window, 0.5)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert "block" not in window.sheet.live.scene.parts


def test_a_rope_is_reeved_by_clicks(open_window):
    """With a rope being reeved, each click names what it passes, the standing end first; a click
    on the prompt reeves it so."""
    window = open_window("two_part_tackle")
    pass_time(window, 0.3)
    window.sheet.draft.add_part("block", "third", at=["30 cm", "110 cm"])
    window.sheet.take_up(restart=True)
    window.draw()
    press(window, pygame.K_INSERT)
    choose(window, "reeve fall")
    window.draw()
    scene, poses = window.sheet.scene, window.sheet.live.now.poses
    sites = {site.block or site.part: site for site in scene.lines[0].waypoints[1:]}
    becket = scene.fixed["third"] + Vector(-3 * 0.025, 0.0)
    for place in (becket, *(scene.centre_of(sites[n], poses) for n in ("lower", "upper", "hand"))):
        click(window, at_bench(window, place))
    assert window.sheet.entry is not None
    assert window.sheet.entry.text == "third.becket, lower.1, upper.1, hand"
    click(window, spot(window, "help", "mark"))
    assert [s.block for s in window.sheet.live.scene.lines[0].waypoints[1:3]] == ["lower", "upper"]
    assert window.sheet.live.scene.lines[0].waypoints[0].part == "third"
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert len(window.sheet.live.scene.lines[0].waypoints) == 5


def test_a_part_is_removed_by_the_mouse(open_window):
    """The right button on a weight and a click on "remove" take it out; undo brings it back."""
    window = open_window("lever_first_class")
    pass_time(window, 0.3)
    press(window, pygame.K_INSERT)
    choose(window, "add weight")
    press(window, pygame.K_RETURN)
    pass_time(window, 0.1)
    name = "weight"
    click(window, spot(window, name, "part"), button=3)
    click(window, spot(window, f"remove {name}", "row"))
    assert name not in window.sheet.live.scene.parts
    assert window.sheet.message == window.sheet.say(
        "{what}; it starts again from rest", what=window.sheet.say("removed {name}", name=name)
    )
    pass_time(window, 0.2)
    press(window, pygame.K_z, pygame.KMOD_CTRL)
    assert name in window.sheet.live.scene.parts


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_mechanics_does_not_answer_is_told(open_window, language):
    """A prop too many is refused in words, in the language spoken, and nothing is changed."""
    window = open_window("spar_on_two_props")
    window.sheet.display = Display(language)
    pass_time(window, 0.2)
    scene = window.sheet.scene
    (lever,) = [part for part in scene.parts if hasattr(scene.parts[part], "supports")]
    window.sheet.draft.set(f"{lever}.supports", "10 cm, 50 cm, 90 cm")
    assert not window.sheet.take_up()
    assert window.sheet.loud
    assert window.sheet.message.startswith(
        {"en": "statically indeterminate", "es": "estáticamente indeterminada"}[language]
    )
    assert window.sheet.live.scene.parts == scene.parts
    pass_time(window, 0.2)
