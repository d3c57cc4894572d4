"""What theory asks of each kind of part. What is solved for a whole machine is asked of none."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Generic, NamedTuple, TypeVar

from sandbox.facts import Fact
from sandbox.scene import Frame, Part, Pose, Scene, Vector, Waypoint
from sandbox.theory.constraints import Loaded, Support, SupportKey
from sandbox.theory.friction import FrameContact, Passing, RopeContact
from sandbox.theory.prediction import Prediction

SomePart = TypeVar("SomePart", bound=Part)


class Swing(NamedTuple):
    """How far a part may rotate, either way, from level, radians."""

    limit: float
    stopped: bool
    """Whether a stop ends it there; else it turns over."""


class First(NamedTuple):
    """Indices among a machine's own: of a frame, of its first support and its first contact; and
    gravity there, m/s^2."""

    frame: int
    support: int
    contact: int
    gravity: float


@dataclass(frozen=True)
class FrameTheory(Generic[SomePart]):
    """The answers of a kind of part that moves by itself, as a frame with coordinates. None where
    it has nothing to say. Indices are those of the frame among the machine's frames, and of
    supports and lines among the machine's own."""

    coordinates: int
    """2: the x and y of its origin; 3: its angle as well."""
    turn: str | None
    """The quantity that the change of its angle over the stroke is."""
    limited: int
    """How many of them, from the first, one step of Newton's method may change only a little."""
    apart: Callable[[SomePart, Frame], tuple[Frame, Frame, Frame]] | None
    """Of one that pushes two bodies apart along a floor: its frame without them, and theirs, of
    that to the left and that to the right. A rope's end that slides is on the one to whose side it
    goes."""
    supports: Callable[[SomePart, Frame, int, Collection[SupportKey]], Iterator[Support]] | None
    """What holds it, given its frame and that frame's index; without the supports of some keys."""
    stops: Callable[[SomePart, Frame, int], Iterator[Support]] | None
    """The stops that it is on as drawn."""
    support_label: Callable[[SomePart, Support], Fact] | None
    """What to call one of its supports."""
    support_lost: Callable[[SomePart, Support, Sequence[Loaded]], Fact] | None
    """Says that it leaves a support that only pushes, given all of its supports."""
    friction: Callable[[SomePart, Frame, First, bool], Iterator[FrameContact]] | None
    """The friction against its motion, given its frame and whether it slips where it would roll."""
    damping: Callable[[SomePart], float] | None
    """The damping moment for each radian a second, N m s."""
    drawn_amiss: Callable[[SomePart], Fact | None] | None
    """Why it cannot be as drawn, if it cannot."""
    rotation_end: Callable[[Scene, SomePart, Pose, float], Fact | None] | None
    """What ends its rotation before it comes to an angle, radians, from its pose as drawn."""
    leaves_track: Callable[[SomePart, Frame, Pose], Fact | None] | None
    """That it is beyond the ends of what it moves along."""
    pose_quantities: Callable[[SomePart, Pose], dict[str, float]] | None
    """The quantities of its pose, SI, and of supports that it may have left."""
    accelerates: bool
    """Whether its acceleration upward is a quantity."""
    friction_notes: (
        Callable[[Scene, SomePart, Frame, FrameContact, float, bool], Iterator[Fact]] | None
    )
    """Notes on its friction: that contact, the friction there, N, and whether it slips where it
    would roll."""
    tips: Callable[[SomePart, Sequence[Support]], Support | None] | None
    """The support that it tips about, given all that it still lies on; None where it does not."""
    level: Callable[[SomePart], dict[str, float]] | None
    """The "PART.KEY"s, SI, that set it as it is to balance."""
    rests_alone: Callable[[Scene, SomePart, Frame], Prediction | None] | None
    """Where it comes to rest by itself; None where that is as for any machine."""
    swing: Callable[[SomePart], Swing | None] | None
    """How far it may rotate, let go; None where theory does not say where it comes to rest."""
    on_stop: Callable[[SomePart, float, Vector, float], dict[str, float]] | None
    """Its quantities at rest on its stop: the angle, radians, what its pivot would bear, N, without
    the stop, and the moment, N m, that presses it on the stop. Raises Unanswerable."""


def free_frame(*, accelerates: bool) -> FrameTheory[Any]:
    """The answers of a kind that nothing but ropes holds and that does not rotate."""
    return FrameTheory(
        coordinates=2,
        turn=None,
        limited=2,
        apart=None,
        supports=None,
        stops=None,
        support_label=None,
        support_lost=None,
        friction=None,
        damping=None,
        drawn_amiss=None,
        rotation_end=None,
        leaves_track=None,
        pose_quantities=None,
        accelerates=accelerates,
        friction_notes=None,
        tips=None,
        level=None,
        rests_alone=None,
        swing=None,
        on_stop=None,
    )


def spindle_frame(
    *,
    support_label: Callable[[Any, Support], Fact],
    friction: Callable[[Any, Frame, First, bool], Iterator[FrameContact]],
    rotation_end: Callable[[Scene, Any, Pose, float], Fact | None] | None,
) -> FrameTheory[Any]:
    """The answers of a kind that only turns, about its origin, in a fixed bearing."""
    return replace(
        free_frame(accelerates=False),
        coordinates=3,
        turn="turn",
        # To turn far is no leap to another solution.
        limited=0,
        supports=_in_bearing,
        support_label=support_label,
        friction=friction,
        rotation_end=rotation_end,
    )


def driven_frame(
    *,
    turn: str,
    limited: int,
    apart: Callable[[Any, Frame], tuple[Frame, Frame, Frame]] | None,
    supports: Callable[[Any, Frame, int, Collection[SupportKey]], Iterator[Support]],
    stops: Callable[[Any, Frame, int], Iterator[Support]] | None,
    support_label: Callable[[Any, Support], Fact],
    support_lost: Callable[[Any, Support, Sequence[Loaded]], Fact],
    friction: Callable[[Any, Frame, First, bool], Iterator[FrameContact]],
    rotation_end: Callable[[Scene, Any, Pose, float], Fact | None],
    friction_notes: Callable[[Scene, Any, Frame, FrameContact, float, bool], Iterator[Fact]],
) -> FrameTheory[Any]:
    """The answers of a kind that goes up or down in a guide as it is driven."""
    return replace(
        free_frame(accelerates=True),
        coordinates=3,
        turn=turn,
        limited=limited,
        apart=apart,
        supports=supports,
        stops=stops,
        support_label=support_label,
        support_lost=support_lost,
        friction=friction,
        rotation_end=rotation_end,
        friction_notes=friction_notes,
    )


def _in_bearing(
    part: Part, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    local = Vector(0.0, 0.0)
    yield Support(part.name, "pin", index, local, Vector(1.0, 0.0), frame.pose.x)
    yield Support(part.name, "pin", index, local, Vector(0.0, 1.0), frame.pose.y)


@dataclass(frozen=True)
class PartTheory(Generic[SomePart]):
    """The answers of one kind of part. None, or an empty tuple, where it has nothing to say."""

    frame: FrameTheory[SomePart] | None
    """None for what never moves by itself, and for the hand, whose motion is given."""
    rope_friction: Callable[[SomePart, int, int, Waypoint], RopeContact] | None
    """The friction of a rope that passes it: the index of the line, and that of the waypoint along
    it, with the waypoint."""
    rope_notes: Callable[[Scene, SomePart, Passing, float], Iterator[Fact]] | None
    """Notes on that friction: how the rope passes, and by how much its tension grows, N."""
    coupling: (
        Callable[[Scene, SomePart, Mapping[str, int], int], Iterator[tuple[Support, FrameContact]]]
        | None
    )
    """How it couples frames, two at a time, and the friction there, given the indices of all frames
    by their names and that of the first of these supports."""
    fixed_load: Callable[[Scene, SomePart], Vector | None] | None
    """What a fixed point bears apart from ropes, N; None where it is none."""
    strength: Callable[[SomePart], float | None] | None
    """The tension at which it parts, N, if it does."""
    reading: Callable[[Scene, SomePart, Mapping[str, float]], dict[str, float]] | None
    """What it reads, given the tensions of the ropes as quantities."""
    reading_note: Callable[[SomePart, Mapping[str, float]], Fact | None] | None
    """A note on its reading, given the quantities."""
    extent: Callable[[SomePart], float] | None
    """How far along it, m, another part may be placed."""
    own_distances: tuple[str, ...]
    """Its keys that are distances along itself."""
    counts: Mapping[str, Callable[[Scene, SomePart, float], Mapping[str, Part]]]
    """Its keys that hold whole numbers of which theory may take any between as well, each with what
    parts of a scene become with that number."""


SILENT: PartTheory[Any] = PartTheory(
    frame=None,
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
"""Of such a part there is nothing to say by itself."""

Registry = Mapping[type[Part], PartTheory[Any]]
