"""Time in the window, the scenes, and the hand led with the mouse."""

from __future__ import annotations

import pygame

from sandbox.scene import Vector, value_of
from sandbox.sheet.timeline import FRAME
from tests.tolerance import near
from tests.windows import NAMES, drag, pass_time, post, press, release, spot

# Time.


def test_real_time_pause_step_slow_fast(open_window):
    """A second of frames is a second of the machine; paused it stands; a step is a frame; slow is a
    tenth and fast four times."""
    window = open_window("fixed_sheave")
    pass_time(window, 1.0)
    assert near(window.sheet.live.now.time, 1.0, abs=2e-3)
    press(window, pygame.K_SPACE)
    before = window.sheet.live.now.time
    pass_time(window, 0.5)
    assert window.sheet.live.now.time == before
    press(window, pygame.K_PERIOD)
    assert near(window.sheet.live.now.time - before, FRAME, abs=1.1e-3)
    press(window, pygame.K_s)
    before = window.sheet.live.now.time
    pass_time(window, 1.0)
    assert near(window.sheet.live.now.time - before, 0.1, abs=2e-3)
    press(window, pygame.K_f)
    before = window.sheet.live.now.time
    pass_time(window, 0.5)
    assert near(window.sheet.live.now.time - before, 2.0, abs=5e-3)
    press(window, pygame.K_r)
    assert window.sheet.live.now.time == 0.0


def test_scrubbing_shows_an_earlier_state(open_window):
    """Back through the recording the sheet shows the machine as it was; at the end it is live."""
    window = open_window("fixed_sheave")
    pass_time(window, 2.0)
    now = window.sheet.shown
    for _ in range(4):
        press(window, pygame.K_LEFT)
    window.draw()
    assert near(window.sheet.shown.time, now.time - 1.0, abs=2.1 * FRAME)
    assert window.sheet.shown.poses["bag"].y < now.poses["bag"].y
    told = window.sheet.display.say(
        "t = {time}", time=window.sheet.display.time(window.sheet.shown.time)
    )
    assert told in [text.text for text in window.drawing.texts]
    start = Vector(window.sheet.board.track.left, window.sheet.board.track.middle.y)
    drag(window, start + Vector(40.0, 0.0), start)
    release(window, start)
    assert window.sheet.shown is window.sheet.live.snapshots[0]
    press(window, pygame.K_END)
    assert window.sheet.shown is window.sheet.live.now
    press(window, pygame.K_HOME)
    press(window, pygame.K_SPACE)
    pass_time(window, 2.5)
    assert window.sheet.timeline.at is None
    assert window.sheet.live.now.time > now.time


def test_stepping_through_the_scenes(open_window):
    """Page Down and Page Up go through the list, round its ends."""
    window = open_window(NAMES[-1])
    press(window, pygame.K_PAGEDOWN)
    assert window.sheet.scene.name == NAMES[0]
    press(window, pygame.K_PAGEUP)
    assert window.sheet.scene.name == NAMES[-1]
    press(window, pygame.K_l)
    press(window, pygame.K_UP)
    press(window, pygame.K_RETURN)
    assert window.sheet.scene.name == NAMES[-2]


def test_one_press_is_one_scene(open_window):
    """A key's repeats, which pile up while a slow machine takes up a scene, step no further, answer
    no question and end no line; an arrow's go on, one a frame; two presses are two scenes."""

    def hold(key: int, mod: int = 0) -> None:
        for _ in range(5):
            post(window, pygame.KEYDOWN, key=key, mod=mod, unicode="", scancode=0)

    def release(key: int) -> None:
        post(window, pygame.KEYUP, key=key, mod=0, unicode="", scancode=0)

    window = open_window(NAMES[0])
    hold(pygame.K_PAGEDOWN)
    window.tick(FRAME)
    hold(pygame.K_PAGEDOWN)
    assert window.sheet.scene.name == NAMES[1]
    release(pygame.K_PAGEDOWN)
    for _ in range(2):
        press(window, pygame.K_PAGEDOWN)
    assert window.sheet.scene.name == NAMES[3]
    window = open_window("fixed_sheave")
    pass_time(window, 0.1)
    window.sheet.focus = "bag.mass"
    hold(pygame.K_RETURN)
    assert window.sheet.entry is not None
    release(pygame.K_RETURN)
    press(window, pygame.K_ESCAPE)
    window.tick(FRAME)
    hold(pygame.K_UP)
    once = value_of(window.sheet.scene, "bag.mass") - 0.5
    window.tick(FRAME)
    hold(pygame.K_UP)
    assert once > 0.0 and near(value_of(window.sheet.scene, "bag.mass") - 0.5, 1.5 * once, rel=1e-9)
    release(pygame.K_UP)
    hold(pygame.K_q, pygame.KMOD_CTRL)
    window.tick(FRAME)
    hold(pygame.K_q, pygame.KMOD_CTRL)
    assert window.sheet.open


# The hand.


def test_the_hand_is_led_with_the_mouse(open_window):
    """Dragged, the hand comes to the height of the mouse, hauls its rope and lifts the load;
    released, it holds."""
    window = open_window("fixed_sheave")
    pass_time(window, 0.2)
    before = window.sheet.live.now
    start = spot(window, "hand", "pull")
    end = start + Vector(0.0, -15.0)
    drag(window, start, end)
    pass_time(window, 1.0)
    lifted = window.sheet.live.now
    metres = before.hand.at.y - window.sheet.board.on_bench(end).y
    assert near(lifted.hand.travel - before.hand.travel, metres, rel=0.01)
    assert near(lifted.poses["bag"].y - before.poses["bag"].y, metres, rel=0.01)
    release(window, end)
    pass_time(window, 1.0)
    assert near(window.sheet.live.now.hand.travel, lifted.hand.travel, abs=1e-3)
    press(window, pygame.K_h)
    pass_time(window, 0.3)
    assert not window.sheet.live.now.hand.holding
    assert window.sheet.live.now.poses["bag"].y < lifted.poses["bag"].y - 0.1


def test_a_lever_is_pulled_at_its_end_and_let_go(open_window):
    """A bar's end dragged up tilts the bar; let go, it swings back; keys do the same."""
    window = open_window("balanced_rule")
    pass_time(window, 0.3)
    found = [s for s in window.sheet.board.targets if (s.what, s.kind) == ("stick", "pull")]
    start = found[-1].outline[-1]
    drag(window, start, start + Vector(0.0, 12.0))
    pass_time(window, 0.5)
    angle = window.sheet.live.now.poses["stick"].angle
    assert angle > 0.02
    assert any(f.kind == "effort" and f.part == "stick" for f in window.sheet.live.now.forces)
    release(window, start)
    assert window.sheet.live.machine.applied_force is None
    window.sheet.focus = "stick"
    press(window, pygame.K_UP)
    assert window.sheet.live.machine.applied_force is not None
    press(window, pygame.K_ESCAPE)
    assert window.sheet.live.machine.applied_force is None
