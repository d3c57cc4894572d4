"""The splitting wedge: driven down between two jaws, against friction of faces, floor and guide.

Wedge and jaws are three bodies. Each face bears on its jaw square to itself and rubs along itself;
the floor bears what presses each jaw down, and its weight; the guide bears what the two faces push
the wedge aside by. Each contact has Coulomb's law. The wedge's third coordinate is how far it is
driven; a rope that is made fast to a jaw only pulls it along the floor.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import Part, SplittingWedge
from sandbox.theory import facts, textbook
from sandbox.theory.constraints import Loaded, Support, SupportKey
from sandbox.theory.friction import Component, FaceContact, FrameContact, OneWayContact, Resisted
from sandbox.theory.parts.wedge import driven_end
from sandbox.theory.questions import First, FrameTheory, PartTheory, driven_frame, free_frame

_HERE, _ACROSS, _UP = Vector(0.0, 0.0), Vector(1.0, 0.0), Vector(0.0, 1.0)

_SIDES = {"left": -1.0, "right": 1.0}
"""Where each jaw is, and to which side it goes as the wedge is driven."""


@dataclass(frozen=True, kw_only=True)
class Jaw(Part):
    """One of its jaws."""

    kind = "jaw"

    side: str
    wedge: SplittingWedge


def _name(wedge: SplittingWedge, side: str) -> str:
    """Of a jaw's frame."""
    return f"{wedge.name}.{side}"


def _apart(wedge: SplittingWedge, frame: Frame) -> tuple[Frame, Frame, Frame]:
    left, right = (
        Frame(
            _name(wedge, side),
            "slider",
            Jaw(name=_name(wedge, side), side=side, wedge=wedge),
            Pose(0.0, 0.0),
            wedge.jaw_mass,
            _HERE,
            0.0,
        )
        for side in _SIDES
    )
    # What its jaws' inertia is for the angle of its frame, they have themselves.
    return replace(frame, moment_of_inertia=0.0), left, right


# The wedge.


def _supports(
    wedge: SplittingWedge, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    yield Support(wedge.name, "guide", index, _HERE, _ACROSS, frame.pose.x)
    # It is driven by as much as it goes down.
    yield Support(wedge.name, "guide", index, _HERE, _UP, frame.pose.y, arm=1.0)


def _friction(
    wedge: SplittingWedge, _frame: Frame, first: First, _slips: bool
) -> Iterator[FrameContact]:
    yield FrameContact(
        part=wedge.name,
        static=wedge.guide_friction,
        kinetic=wedge.guide_friction,
        resisted=(Resisted(first.frame, y=1.0),),
        pressing=(Component({first.support: 1.0}),),
    )


def _coupling(
    _scene: Scene, wedge: SplittingWedge, frames: Mapping[str, int], number: int
) -> Iterator[tuple[Support, FaceContact]]:
    """Its two faces, each against its jaw."""
    lean, steep = math.sin(wedge.half_angle), math.cos(wedge.half_angle)
    index = frames[wedge.name]
    for i, (side, way) in enumerate(_SIDES.items()):
        jaw = frames[_name(wedge, side)]
        square = Vector(-way * steep, lean)
        target = square.dot(wedge.at.point)
        yield (
            Support(wedge.name, "face", index, _HERE, square, target, i + 1, against=jaw),
            FaceContact(
                part=wedge.name,
                static=wedge.face_friction,
                kinetic=wedge.face_friction,
                resisted=(
                    Resisted(index, x=way * lean, y=steep),
                    Resisted(jaw, x=-way * lean, y=-steep),
                ),
                pressing=(Component({number + i: 1.0}),),
                quantity=f"{side}_face_force",
            ),
        )


def _support_label(wedge: SplittingWedge, support: Support) -> Fact:
    kinds = {
        ("guide", 0): facts.WEDGE_GUIDE,
        ("face", 1): facts.LEFT_FACE,
        ("face", 2): facts.RIGHT_FACE,
        ("floor", 1): facts.LEFT_FLOOR,
        ("floor", 2): facts.RIGHT_FLOOR,
    }
    return kinds[support.kind, support.number](wedge=wedge.name)


def _support_lost(wedge: SplittingWedge, support: Support, _loaded: Sequence[Loaded]) -> Fact:
    kinds = {1: facts.OFF_LEFT_JAW, 2: facts.OFF_RIGHT_JAW}
    return kinds[support.number](wedge=wedge.name)


def _friction_notes(
    _scene: Scene,
    wedge: SplittingWedge,
    _frame: Frame,
    contact: FrameContact,
    _friction: float,
    _slips: bool,
) -> Iterator[Fact]:
    """Whether it holds by itself: said of both faces at once."""
    if not isinstance(contact, FaceContact) or not contact.quantity.startswith("left"):
        return
    holds = textbook.splitting_wedge_holds(wedge.angle, wedge.face_friction)
    yield (facts.SPLITTING_WEDGE_HOLDS if holds else facts.SPLITTING_WEDGE_SPRINGS_BACK)(
        wedge=wedge.name,
        half=facts.angle(wedge.half_angle),
        friction=facts.angle(wedge.friction_angle),
    )


# Its jaws.


def _floor(
    jaw: Jaw, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    number = 1 + list(_SIDES).index(jaw.side)
    yield Support(jaw.wedge.name, "floor", index, _HERE, _UP, frame.pose.y, number)


def _floor_friction(jaw: Jaw, _frame: Frame, first: First, _slips: bool) -> Iterator[FrameContact]:
    yield OneWayContact(
        part=jaw.wedge.name,
        static=jaw.wedge.floor_friction,
        kinetic=jaw.wedge.floor_friction,
        resisted=(Resisted(first.frame, x=1.0),),
        pressing=(Component({first.support: 1.0}),),
    )


def _lifted(jaw: Jaw, support: Support, _loaded: Sequence[Loaded]) -> Fact:
    kinds = {1: facts.LEFT_JAW_LIFTED, 2: facts.RIGHT_JAW_LIFTED}
    return kinds[support.number](wedge=jaw.wedge.name)


JAW: FrameTheory[Jaw] = replace(
    free_frame(accelerates=False),
    supports=_floor,
    support_lost=_lifted,
    friction=_floor_friction,
)

THEORY: PartTheory[SplittingWedge] = PartTheory(
    frame=driven_frame(
        turn="driven",
        limited=3,
        apart=_apart,
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
    coupling=_coupling,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
