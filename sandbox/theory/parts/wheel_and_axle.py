"""The wheel and axle: a spindle in a fixed bearing; it rotates as far as its drums have rope."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene
from sandbox.scene.parts import WheelAndAxle
from sandbox.theory import facts
from sandbox.theory.constraints import Support
from sandbox.theory.friction import BearingContact
from sandbox.theory.questions import First, PartTheory, spindle_frame


def _support_label(winch: WheelAndAxle, _support: Support) -> Fact:
    return facts.BEARING(part=winch.name)


def _friction(
    winch: WheelAndAxle, _frame: Frame, first: First, _slips: bool
) -> Iterator[BearingContact]:
    loss = winch.bearing_friction * winch.pin_radius
    yield BearingContact.of(winch.name, loss, first.frame, first.support)


def _rotation_end(scene: Scene, winch: WheelAndAxle, drawn: Pose, angle: float) -> Fact | None:
    for limit in scene.rotation_limits(winch):
        if limit.exceeded_by(angle - drawn.angle):
            return limit.reason
    return None


THEORY: PartTheory[WheelAndAxle] = PartTheory(
    frame=spindle_frame(
        support_label=_support_label, friction=_friction, rotation_end=_rotation_end
    ),
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
