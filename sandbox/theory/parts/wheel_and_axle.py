"""The wheel and axle: a spindle in a fixed bearing; it rotates as far as its drums have rope."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import WheelAndAxle
from sandbox.theory import facts
from sandbox.theory.constraints import Support, SupportKey
from sandbox.theory.friction import BearingContact
from sandbox.theory.questions import First, FrameTheory, PartTheory


def _supports(
    winch: WheelAndAxle, _frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    at, local = winch.at.point, Vector(0.0, 0.0)
    yield Support(winch.name, "pin", index, local, Vector(1.0, 0.0), at.x)
    yield Support(winch.name, "pin", index, local, Vector(0.0, 1.0), at.y)


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
    frame=FrameTheory(
        coordinates=3,
        # To turn far is no leap to another solution.
        limited=0,
        supports=_supports,
        stops=None,
        support_label=_support_label,
        support_lost=None,
        friction=_friction,
        damping=None,
        drawn_amiss=None,
        rotation_end=_rotation_end,
        leaves_track=None,
        pose_quantities=None,
        accelerates=False,
        friction_notes=None,
        tips=None,
        level=None,
        rests_alone=None,
        swing=None,
        on_stop=None,
    ),
    rope_friction=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
)
