"""The wedge: driven along its floor under a follower, against friction of face, floor and guide.

The third coordinate is how far it is driven. Its face bears on the follower square to itself, N,
and rubs along itself; what the follower is pushed aside by, its guide bears; the floor bears the
vertical component of both and the wedge's own weight. Each contact has Coulomb's law.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import SplittingWedge, Wedge
from sandbox.theory import facts, textbook
from sandbox.theory.constraints import TOUCHING, Loaded, Support, SupportKey
from sandbox.theory.friction import Component, FaceContact, FrameContact, Resisted
from sandbox.theory.questions import First, PartTheory, driven_frame

_HERE = Vector(0.0, 0.0)


def _supports(
    wedge: Wedge, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    across, up = math.sin(wedge.angle), math.cos(wedge.angle)
    square = Vector(wedge.way * across, up)
    place = Vector(frame.pose.x, frame.pose.y)
    yield Support(wedge.name, "guide", index, _HERE, Vector(1.0, 0.0), place.x)
    yield Support(wedge.name, "face", index, _HERE, square, square.dot(place), arm=-across)


def _support_label(wedge: Wedge, support: Support) -> Fact:
    kinds = {"guide": facts.WEDGE_GUIDE, "face": facts.WEDGE_FACE}
    return kinds[support.kind](wedge=wedge.name)


def _support_lost(wedge: Wedge, _support: Support, _loaded: Sequence[Loaded]) -> Fact:
    return facts.LIFTS_OFF_WEDGE(wedge=wedge.name)


def _friction(wedge: Wedge, _frame: Frame, first: First, _slips: bool) -> Iterator[FrameContact]:
    across, up = math.sin(wedge.angle), math.cos(wedge.angle)
    guide, face = first.support, first.support + 1
    yield FaceContact(
        part=wedge.name,
        static=wedge.face_friction,
        kinetic=wedge.face_friction,
        resisted=(Resisted(first.frame, x=-wedge.way * up, y=across, angle=up),),
        pressing=(Component({face: 1.0}),),
    )
    yield FrameContact(
        part=wedge.name,
        static=wedge.guide_friction,
        kinetic=wedge.guide_friction,
        resisted=(Resisted(first.frame, y=1.0),),
        pressing=(Component({guide: 1.0}),),
    )
    weight = wedge.wedge_mass * first.gravity
    yield FrameContact(
        part=wedge.name,
        static=wedge.floor_friction,
        kinetic=wedge.floor_friction,
        resisted=(Resisted(first.frame, angle=1.0),),
        pressing=(Component({face: up}, {first.contact: -across}, weight),),
    )


def driven_end(
    _scene: Scene, wedge: Wedge | SplittingWedge, drawn: Pose, driven: float
) -> Fact | None:
    """What ends its travel before it has been driven so far, m."""
    by = driven - drawn.angle
    return wedge.end_reached(math.copysign(max(0.0, abs(by) - TOUCHING), by))


def _friction_notes(
    _scene: Scene,
    wedge: Wedge,
    _frame: Frame,
    contact: FrameContact,
    _friction: float,
    _slips: bool,
) -> Iterator[Fact]:
    """Whether it holds by itself."""
    if not isinstance(contact, FaceContact):
        return
    rough = wedge.face_friction, wedge.floor_friction, wedge.guide_friction
    if textbook.wedge_holds(wedge.angle, *rough):
        yield facts.WEDGE_HOLDS(wedge=wedge.name)
    else:
        yield facts.WEDGE_SPRINGS_BACK(
            wedge=wedge.name,
            angle=facts.angle(wedge.angle),
            friction=facts.angle(wedge.friction_angle),
        )


THEORY: PartTheory[Wedge] = PartTheory(
    frame=driven_frame(
        turn="driven",
        limited=3,
        apart=None,
        supports=_supports,
        stops=None,
        support_label=_support_label,
        support_lost=_support_lost,
        friction=_friction,
        rotation_end=driven_end,
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
