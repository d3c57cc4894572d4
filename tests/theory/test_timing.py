"""What a stopwatch shows: the time from rest, where the acceleration stays what it was."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import load
from sandbox.shipped import find_scene
from sandbox.theory import predict
from tests.theory.scenes import EXACT, G
from tests.tolerance import near


@pytest.mark.parametrize(("distance", "degrees"), [("50 cm", 28.0), ("20 cm", 35.0)])
def test_a_sled_is_timed_down_its_ramp(distance: str, degrees: float) -> None:
    """From rest s = 1/2 a t^2 with a = g (sin - mu cos): Newton's second law on a ramp."""
    changes = {"watch.distance": distance, "slip.angle": f"{degrees} deg"}
    found = predict(load(find_scene("sled_let_slide"), changes)).quantities
    angle, way = math.radians(degrees), float(distance.split()[0]) / 100
    acceleration = G * (math.sin(angle) - 0.3 * math.cos(angle))
    assert near(found["watch.time"], math.sqrt(2 * way / acceleration), rel=EXACT)


def test_smooth_wedges_are_timed() -> None:
    """Without friction what falls gains all energy: m g s = m v^2 / 2 + M (v / tan a)^2 / 2 for a
    wedge of 350 g under 2.6 kg, m v^2 / 2 + 2 M (v tan a/2)^2 / 2 for one of 2.52 kg between jaws
    of 2.4 kg (Newton's second law); and the time is sqrt(2 s / a), a = v^2 / 2 s."""
    smooth = dict.fromkeys(("chock.face_friction", "chock.floor_friction"), "0")
    smooth["chock.guide_friction"] = "0"
    found = predict(load(find_scene("wedge_squeezed_out"), smooth)).quantities
    acceleration = 2.6 * G / (2.6 + 0.35 / math.tan(math.radians(27)) ** 2)
    assert near(found["timer.time"], math.sqrt(0.12 / acceleration), rel=EXACT)
    smooth = dict.fromkeys(("splitter.face_friction", "splitter.floor_friction"), "0")
    found = predict(load(find_scene("wedge_between_two_planks"), smooth)).quantities
    acceleration = 2.52 * G / (2.52 + 2 * 2.4 * math.tan(math.radians(22)) ** 2)
    assert near(found["timer.time"], math.sqrt(0.12 / acceleration), rel=EXACT)


@pytest.mark.parametrize(
    ("name", "changes", "why"),
    [
        ("sled_let_slide", {"slip.angle": "15 deg"}, "not_timed_stays"),
        ("sled_let_slide", {"watch.distance": "110 cm"}, "not_timed_ends"),
        ("sled_and_hanging_weight", {"watch.distance": "98 cm"}, "not_timed_ends"),
        ("sled_and_hanging_weight", {"lead.height": "25 cm"}, "not_timed_changes"),
        ("wedge_squeezed_out", {"timer.distance": "7.7 cm"}, "not_timed_ends"),
        ("wedge_between_two_planks", {"timer.distance": "17 cm"}, "not_timed_ends"),
    ],
)
def test_where_no_time_is_predicted_the_reason_is_said(
    name: str, changes: dict[str, str], why: str
) -> None:
    """What stays, what meets its end before the mark and what is drawn along a line that turns on
    the way have no time by the formula of constant acceleration."""
    found = predict(load(find_scene(name), changes))
    assert not any(name.endswith(".time") for name in found.quantities)
    assert why in [note.kind.code for note in found.notes]
