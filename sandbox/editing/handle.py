"""Handles: what of a scene can be dragged, and what a drag makes of it.

A `Handle` is a number of the scene that may be changed; its `Grip` is where on the sheet it is
dragged and how a drag changes it. (A `Target` of the drawing is where a pointer finds a handle.) A
`HandleMaker` makes them for the modules in `editing/parts`. Knows geometry; draws nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from sandbox import units
from sandbox.scene import Line, Pose, Scene, SceneError, Vector
from sandbox.scene.parts import JAMS, About, Key, Mount, Part, Place, keys_of
from sandbox.units import ANGLE, LENGTH, MASS, NUMBER, Dimension

if TYPE_CHECKING:
    from sandbox.editing.questions import PlacingEdge, Registry

Poses = Mapping[str, Pose]
At = Callable[[Poses], Vector]
"""A point or a direction on the sheet, the frames being where `Poses` says."""
UP, ACROSS, NOWHERE = Vector(0.0, 1.0), Vector(1.0, 0.0), Vector(0.0, 0.0)
Way = Literal["move", "turn", "resize", "choose", ""]
"""What a change of a value does to its part, seen as a body: moves it, turns it, makes it longer or
wider, makes it one of few kinds; or none of these."""
DOUBLING = 0.25
"""Of the machine's extent: the drag upward that doubles a value with no length of its own."""


class Grip(NamedTuple):
    """Where on the sheet (metres) a handle is dragged, and how a drag changes its value."""

    at: Vector
    """The point that is dragged."""
    along: Vector = UP
    """The unit direction in which a drag makes the value greater."""
    rate: float = 1.0
    """SI value for each metre along; for each radian anticlockwise where there is a centre."""
    start: Vector | None = None
    end: Vector | None = None
    """The ends of the length that the value is, where it is one."""
    centre: Vector | None = None
    """What the drag of an angle turns about."""

    def change(self, origin: Vector, to: Vector) -> float:
        """By how much a drag from one point of the sheet to another changes the value."""
        if self.centre is None:
            return self.rate * (to - origin).dot(self.along)
        first, last = origin - self.centre, to - self.centre
        return self.rate * math.atan2(first.cross(last), first.dot(last))


class Alignment(NamedTuple):
    """Where a part that is dragged comes to stand so as to fit others."""

    at: Vector
    """On the sheet, m."""
    joins: tuple[str, str] | None = None
    """The "PART.KEY" that is to name another part for the two to be joined there, and that part."""


class Alternative(NamedTuple):
    """One of the few things that a key without a number may say."""

    written: object
    """As a file has it; None where it leaves the key out."""
    label: str
    """What it is called: a text of the catalogues."""
    of: Mapping[str, object]
    """The fields of that text: the name of a part."""
    along: Mapping[str, object] = {}
    """What other keys of its part have to say with it, in the same way."""


@dataclass(frozen=True)
class Handle:
    """A number of a scene that may be changed, or which of few choices a key says."""

    where: str
    """As `Draft.set_value` takes it: "PART.KEY", or "PART.KEY[0]" for one entry of a list."""
    label: str
    """What it is called: a text of the catalogues."""
    of: Mapping[str, object]
    """The fields of that text: on which part, which number."""
    dimension: Dimension
    value: float
    low: float
    high: float
    step: float
    """By which it is nudged, SI."""
    us_step: float
    """The same for US customary units: a round number of them, in SI."""
    whole: bool
    """Whether only whole numbers do."""
    way: Way
    initial: bool
    """Whether it only says where its part is at the start, so that a change of it is seen when the
    machine begins again."""
    choices: tuple[Alternative, ...]
    """What it may say where it is no number; its value is then the place among these."""
    left_out: str
    """What it says where a file leaves it out, a text of the catalogues; "" where none may."""
    absent: bool
    """Whether the file does so; its value is then the one to begin with."""
    _grip: Callable[[Poses], Grip | None]
    _along: Callable[[float], Mapping[str, float]]
    _fit: Callable[[Vector, Vector, float], Alignment | None]

    def along(self, value: float) -> Mapping[str, float]:
        """What else has to change with it, SI, by "PART.KEY", where it is given this value."""
        return self._along(value)

    def fit(self, start: Vector, to: Vector, reach: float) -> Alignment | None:
        """Of a place that is dragged: where its part fits others within reach (m) of where that
        has come to; None where it fits nowhere better."""
        return self._fit(start, to, reach)

    def grip(self, poses: Poses) -> Grip | None:
        """Where it is dragged, the frames being where `poses` says.

        None for what has no place on the bench, such as gravity.
        """
        return self._grip(poses)

    def arm(self, poses: Poses) -> float | None:
        """Of a place along a lever or a ramp: how far it is from where the drawing measures it, the
        fulcrum or the foot; negative to the left. None for any other value."""
        key, grip = self.where.rpartition(".")[2], self.grip(poses)
        along = key == "on" or key.startswith("reeve")
        if not along or grip is None or grip.start is None or grip.end is None:
            return None
        return (grip.end - grip.start).dot(grip.along)

    def clipped(self, value: float) -> float:
        """The nearest value allowed."""
        value = round(value) if self.whole else value
        return min(max(value, self.low), self.high)

    def dragged(self, poses: Poses, origin: Vector, to: Vector) -> float:
        """The value that a drag from one point of the sheet to another gives it."""
        grip = self.grip(poses)
        return self.value if grip is None else self.clipped(self.value + grip.change(origin, to))

    def nudged(self, steps: int, us: bool = False) -> float:
        """The value so many steps on, at a round number of them."""
        if self.absent:
            return self.value
        step = self.us_step if us else self.step
        ahead = self.value / step
        # From between two round numbers the first nudge goes to the next.
        base = math.floor(ahead + 1e-6) if steps > 0 else math.ceil(ahead - 1e-6)
        return self.clipped((base + steps) * step)


_US: dict[Dimension, tuple[tuple[float, str], ...]] = {
    LENGTH: ((0.0, "in"),),
    MASS: ((0.4536, "lb"), (0.0, "oz")),
    units.FORCE: ((0.0, "lbf"),),
    units.SPEED: ((0.0, "in/s"),),
    units.ACCELERATION: ((0.0, "ft/s^2"),),
}
_SMALLEST = {LENGTH: 1e-4, MASS: 1e-4, NUMBER: 0.01, ANGLE: math.radians(0.1)}
_USUAL = {LENGTH: 0.01, MASS: 0.1, NUMBER: 0.1, ANGLE: math.radians(10.0)}
"""The value that one at zero is nudged as if it were."""


def _step(value: float, dimension: Dimension, unit: str | None) -> float:
    """A power of ten of some unit, between a tenth and a hundredth of the value."""
    one = 1.0 / units.convert(1.0, dimension, unit)
    size = max(abs(value), _SMALLEST.get(dimension, 0.0)) or 1.0
    if value == 0.0:
        size = _USUAL.get(dimension, 1.0)
    least = _SMALLEST.get(dimension, 0.0) if unit is None else 0.0
    return float(max(one * 10.0 ** math.floor(math.log10(size / one / 10.0 * 1.000001)), least))


def jamming(friction: float) -> float:
    """The angle, radians, at which a face with this coefficient of friction jams."""
    return math.atan2(JAMS, friction)


def _nothing(_: object) -> Mapping[str, object]:
    return {}


def _goes_with(holder: Part | About, key: str, choice: Any) -> bool:
    """Whether a choice goes with what else a part says of itself, as where a file says so."""
    if isinstance(holder, Part):
        try:
            replace(holder.before_change([key]), **{key: choice}).completed().check()
        except SceneError:
            return False
    return True


class HandleMaker:
    """Makes the handles of one scene; the modules in `editing/parts` say which there are."""

    def __init__(self, scene: Scene, registry: Registry) -> None:
        self.scene = scene
        self._registry = registry
        points = [Vector(pose.x, pose.y) for pose in scene.start.values()]
        points += scene.fixed.values()
        for part in scene.parts.values():
            if edge := self.edge(part, scene.start):
                points += [edge.start, edge.start + edge.length * edge.along]
        for line in scene.lines:
            points += [scene.centre_of(waypoint, scene.start) for waypoint in line.waypoints]
        points = points or [NOWHERE]
        across, up = [p.x for p in points], [p.y for p in points]
        self.lowest = min(up)
        """The height of its lowest point, roughly."""
        self.extent = max(max(across) - min(across), max(up) - min(up), 0.1)
        """The greater of the machine's width and height at the start, m."""

    def edge(self, part: Part, poses: Poses) -> PlacingEdge | None:
        """The straight edge of a part, None where it has none."""
        edge = self._registry[type(part)].edge
        return edge(part, poses) if edge else None

    def own_place(self, part: Part) -> At:
        """Where a part is, as `Scene.place_of` says."""
        return lambda poses: self.scene.place_of(part.name, poses)

    def middle(self, part: Part, poses: Poses) -> Vector:
        """The middle of a part without an edge, on the sheet."""
        middle = self._registry[type(part)].middle
        return middle(part, poses) if middle else self.scene.place_of(part.name, poses)

    def make(
        self,
        holder: Part | About,
        key: str,
        grip: Callable[[Poses], Grip | None] | None,
        value: float | None = None,
        **more: Any,
    ) -> Handle:
        """The handle of one key; `more` narrows what the key allows.

        For a key with neither length nor angle to show, `grip` is just where it is dragged.
        """
        name, _, entry = key.partition("[")
        spec: Key = keys_of(type(holder))[name][0]
        called = spec.labels[min(int(entry.rstrip("]") or 0), len(spec.labels) - 1)]
        whole = spec.form == "count"
        dimension = spec.dimension if spec.form in ("value", "count") else LENGTH
        if value is None:
            value = getattr(holder, name)
        assert value is not None
        low, high = (
            max(spec.low, more.get("low", spec.low)),
            min(spec.high, more.get("high", spec.high)),
        )
        if spec.form not in ("value", "count"):
            low, high = more.get("low", 0.0), more.get("high", 100.0)
        size = more.get("size", value)
        step = 1.0 if whole else _step(size, dimension, None)
        us_step = step
        if dimension in _US:
            unit = next(u for least, u in _US[dimension] if abs(size) >= least)
            us_step = _step(size, dimension, unit)
        if spec.above is not None:
            low = max(low, spec.above + 1e-3 * step)
        part = "scene" if isinstance(holder, About) else holder.name
        way = more.get("way", _usual_way(spec, self.scene.start, grip))
        return Handle(
            f"{part}.{key}",
            called,
            more.get("of", {}),
            dimension,
            value,
            low,
            max(low, high),
            step,
            us_step,
            whole,
            way,
            more.get("initial", way == "move" and part in self.scene.frames),
            (),
            spec.left_out,
            bool(spec.left_out) and getattr(holder, name) is None,
            grip or (lambda _: None),
            more.get("along", lambda _: {}),
            more.get("fit", lambda *_: None),
        )

    def plain(self, holder: Part, key: str, at: At, **more: Any) -> Handle:
        """A value with no length on the sheet: a drag upward makes it greater."""
        value = getattr(holder, key) if more.get("value") is None else more.pop("value")
        spec = keys_of(type(holder))[key][0]
        size = max(abs(value), 10 * _step(value, spec.dimension, None))
        rate = size / (DOUBLING * self.extent)
        more.setdefault("way", "")
        return self.make(holder, key, lambda poses: Grip(at(poses), UP, rate), value, **more)

    def choice(
        self,
        holder: Part | About,
        key: str,
        along: Callable[[Any], Mapping[str, object]] = _nothing,
    ) -> Iterator[Handle]:
        """Which of its choices a key says, where there are any; `along` tells what other keys of
        the part have to say with each."""
        spec, default = keys_of(type(holder))[key]
        words: tuple[str, ...] = spec.words
        now = getattr(holder, key)
        written: tuple[object, ...] = (False, True) if spec.form == "flag" else spec.choices
        if spec.form == "name":
            written = tuple(self._may_be_named(holder, key))
            words = ("{name}",) * len(written)
            if isinstance(holder, About) and len(written) == 1:
                return
        if default is None:
            written, words = (None, *written), (spec.left_out, *words)
        choices = tuple(
            Alternative(one, word, {"name": one}, along(one))
            for one, word in zip(written, words, strict=True)
            if spec.form == "name" or one == now or _goes_with(holder, key, one)
        )
        said = [choice.written for choice in choices]
        if len(choices) < 2 or now not in said:
            return
        yield Handle(
            where=f"{'scene' if isinstance(holder, About) else holder.name}.{key}",
            label=spec.called,
            of={},
            dimension=NUMBER,
            value=float(said.index(now)),
            low=0.0,
            high=len(said) - 1.0,
            step=1.0,
            us_step=1.0,
            whole=True,
            way="choose",
            initial=True,
            choices=choices,
            left_out="",
            absent=False,
            _grip=lambda _: None,
            _along=lambda _: {},
            _fit=lambda *_: None,
        )

    def optional(
        self, holder: Part | About, key: str, first: float | None = None
    ) -> Iterator[Handle]:
        """A value that a file leaves out, with what it is offered to begin with."""
        if first is None:
            first = keys_of(type(holder))[key][0].first
        if getattr(holder, key) is None and first is not None:
            yield self.make(holder, key, None, first)

    def _may_be_named(self, holder: Part | About, key: str) -> Iterator[str]:
        """The parts that a key may name."""
        for other in self.scene.parts.values():
            if isinstance(holder, About):
                if other.can_be_load:
                    yield other.name
            elif other is not holder:
                named = replace(holder, **{key: other.name}).references()
                if any(r.key == key and r.allows(type(other)) for r in named):
                    yield other.name

    def place(
        self,
        holder: Part,
        place: Place | None,
        at: At,
        along: Callable[[int], Callable[[float], Mapping[str, float]]] | None = None,
        **more: Any,
    ) -> Iterator[Handle]:
        """The coordinates of a part, where it has a place of its own; `along` tells for each of
        them what the other has to be with it."""
        if place is None:
            return
        for index, (value, axis) in enumerate(((place.x, ACROSS), (place.y, UP))):
            if value is not None:
                if along:
                    more["along"] = along(index)
                yield self.make(
                    holder,
                    f"at[{index}]",
                    lambda poses, axis=axis: Grip(at(poses), axis),  # type: ignore[misc]
                    value,
                    low=-100.0,
                    size=max(abs(value), 0.1),
                    way="move",
                    **more,
                )

    def on_carrier(self, holder: Part, on: Mount | None, at: At) -> Iterator[Handle]:
        """How far along another part a part is, and how far off it, where it is on another."""
        if on is not None:
            carrier = self.scene.parts[on.part]
            if carries := self._registry[type(carrier)].carries:
                yield from carries(self, carrier, holder, on, at)

    def height(self, holder: Part, at: At, normal: At) -> Handle:
        """How far off its carrier a part is, `normal` being the direction square to that."""
        grip = lambda poses: Grip(at(poses), normal(poses))  # noqa: E731
        return self.make(holder, "height", grip, way="move")


def _usual_way(spec: Key, start: Poses, grip: Callable[[Poses], Grip | None] | None) -> Way:
    """What a change of a key does to its part, where nothing else is said."""
    found = grip(start) if grip else None
    if found is None or spec.form != "value":
        return "move" if spec.form == "on" else ""
    if spec.dimension is ANGLE:
        return "turn"
    return "resize" if spec.dimension is LENGTH and found.start is not None else ""


def middle_of_span(scene: Scene, line: Line, span: int, poses: Poses) -> Vector:
    """The point half-way along one span of a rope, on the sheet."""
    one, other = (scene.centre_of(waypoint, poses) for waypoint in line.waypoints[span : span + 2])
    return Vector((one.x + other.x) / 2, (one.y + other.y) / 2)
