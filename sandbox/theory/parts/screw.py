"""The screw: it turns and rises in a fixed nut, against the friction of its thread and its collar.

The thread bears on it along the normal of its helix, N, and its friction acts along the helix. With
lambda its lead angle, the axial force is N cos lambda - friction x sin lambda: all the load, with
the screw's own weight. It presses the collar as well.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import Screw
from sandbox.theory import facts, textbook
from sandbox.theory.constraints import STOP_NUMBER, TOUCHING, Loaded, Support, SupportKey
from sandbox.theory.friction import (
    CollarContact,
    Component,
    FrameContact,
    Resisted,
    ThreadContact,
)
from sandbox.theory.questions import First, PartTheory, driven_frame

_HERE, _UP = Vector(0.0, 0.0), Vector(0.0, 1.0)


def _helix(jack: Screw) -> tuple[float, float]:
    """The cosine and the sine of its lead angle."""
    angle = math.atan(jack.lead / (math.tau * jack.mean_radius))
    return math.cos(angle), math.sin(angle)


def _supports(
    jack: Screw, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    along, rise = _helix(jack)
    yield Support(jack.name, "guide", index, _HERE, Vector(1.0, 0.0), frame.pose.x)
    yield Support(
        jack.name,
        "thread",
        index,
        _HERE,
        along * _UP,
        along * frame.pose.y,
        arm=-rise * jack.mean_radius,
    )


def _stops(jack: Screw, frame: Frame, index: int) -> Iterator[Support]:
    if jack.initial_rise <= TOUCHING:
        yield Support(jack.name, "stop", index, _HERE, _UP, frame.pose.y, STOP_NUMBER)


def _support_label(jack: Screw, support: Support) -> Fact:
    kinds = {"guide": facts.GUIDE, "thread": facts.THREAD, "stop": facts.NUT}
    return kinds[support.kind](jack=jack.name)


def _support_lost(jack: Screw, _support: Support, _loaded: Sequence[Loaded]) -> Fact:
    return facts.OFF_STOP(part=jack.name)


def _friction(jack: Screw, _frame: Frame, first: First, _slips: bool) -> Iterator[FrameContact]:
    along, rise = _helix(jack)
    thread = first.support + 1
    coefficient = jack.thread_friction / math.cos(jack.flank_angle)
    yield ThreadContact(
        part=jack.name,
        static=coefficient,
        kinetic=coefficient,
        resisted=(Resisted(first.frame, y=rise, angle=along * jack.mean_radius),),
        pressing=(Component({thread: 1.0}),),
    )
    collar = jack.collar_friction * jack.collar_radius
    yield CollarContact(
        part=jack.name,
        static=collar,
        kinetic=collar,
        resisted=(Resisted(first.frame, angle=1.0),),
        pressing=(Component({thread: along}, {first.contact: -rise}),),
    )


def _rotation_end(_scene: Scene, jack: Screw, drawn: Pose, angle: float) -> Fact | None:
    turned = angle - drawn.angle
    within = max(0.0, abs(turned) - TOUCHING * math.tau / jack.lead)
    return jack.end_reached(math.copysign(within, turned))


def _friction_notes(
    _scene: Scene,
    jack: Screw,
    _frame: Frame,
    contact: FrameContact,
    _friction: float,
    _slips: bool,
) -> Iterator[Fact]:
    """Whether it holds by itself."""
    if not isinstance(contact, ThreadContact):
        return
    thread = jack.mean_radius, jack.lead, jack.thread_friction, jack.flank_angle
    collar = jack.collar_friction * jack.collar_radius
    if textbook.screw_holds(*thread):
        said = facts.SCREW_HOLDS
    elif textbook.screw_holds(*thread, collar):
        said = facts.SCREW_HELD_BY_COLLAR
    else:
        said = facts.SCREW_RUNS_DOWN
    along, rise = _helix(jack)
    yield said(
        jack=jack.name,
        friction=facts.angle(math.atan(contact.static)),
        lead=facts.angle(math.atan2(rise, along)),
    )


THEORY: PartTheory[Screw] = PartTheory(
    frame=driven_frame(
        turn="turn",
        # To turn far is no leap to another solution.
        limited=2,
        apart=None,
        supports=_supports,
        stops=_stops,
        support_label=_support_label,
        support_lost=_support_lost,
        friction=_friction,
        rotation_end=_rotation_end,
        friction_notes=_friction_notes,
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
