"""What of a scene can be taken hold of: each number that may be changed, where on the sheet it is
taken hold of, and what a drag there makes of it. Knows geometry; draws nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from sandbox import units
from sandbox.scene import Pose, Scene, Vector, outward, upslope
from sandbox.scene.parts import (
    DRUMS,
    About,
    Anchor,
    Block,
    Body,
    Gauge,
    Hand,
    Key,
    Lever,
    On,
    Part,
    Pass,
    Ramp,
    Rope,
    Rule,
    Weight,
    Windlass,
    keys_of,
)
from sandbox.units import ANGLE, LENGTH, MASS, NUMBER, Dimension

Poses = Mapping[str, Pose]
UP, ACROSS, NOWHERE = Vector(0.0, 1.0), Vector(1.0, 0.0), Vector(0.0, 0.0)
DOUBLING = 0.25
"""Of the machine's extent: the drag upward that doubles a value with no length of its own."""


class Grip(NamedTuple):
    """Where a value is taken hold of on the sheet (metres), and which way a drag changes it."""

    at: Vector
    """The point to take hold of."""
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
            return self.rate * to.plus(origin, -1.0).dot(self.along)
        first, last = origin.plus(self.centre, -1.0), to.plus(self.centre, -1.0)
        return self.rate * math.atan2(first.cross(last), first.dot(last))


@dataclass(frozen=True)
class Handle:
    """A number of a scene that may be changed."""

    where: str
    """As `Draft.set_value` takes it: "PART.KEY", or "PART.KEY[0]" for one entry of a list."""
    key: str
    """What it is: its key in the catalogue, "KIND.KEY"."""
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
    _grip: Callable[[Poses], Grip | None]

    def grip(self, poses: Poses) -> Grip | None:
        """Where it is taken hold of, the frames being where `poses` says.

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
        return grip.end.plus(grip.start, -1.0).dot(grip.along)

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
        step = self.us_step if us else self.step
        ahead = self.value / step
        # From between two round numbers the first nudge goes to the next.
        base = math.floor(ahead + 1e-6) if steps > 0 else math.ceil(ahead - 1e-6)
        return self.clipped((base + steps) * step)


def handles(scene: Scene) -> tuple[Handle, ...]:
    """Everything in a scene that can be taken hold of, part by part."""
    return tuple(_Finder(scene).all())


def handle_of(scene: Scene, where: str) -> Handle | None:
    """The handle of one "PART.KEY", None where there is none."""
    return next((handle for handle in handles(scene) if handle.where == where), None)


_US: dict[Dimension, tuple[tuple[float, str], ...]] = {
    LENGTH: ((0.0, "in"),),
    MASS: ((0.4536, "lb"), (0.0, "oz")),
    units.FORCE: ((0.0, "lbf"),),
    units.SPEED: ((0.0, "in/s"),),
    units.ACCELERATION: ((0.0, "ft/s^2"),),
}
_SMALLEST = {LENGTH: 1e-4, MASS: 1e-4, NUMBER: 0.01, ANGLE: math.radians(0.1)}
_USUAL = {LENGTH: 0.01, MASS: 0.1, NUMBER: 0.1, ANGLE: math.radians(10.0)}
"""The size a value at nought is nudged as if it had."""


def _step(value: float, dimension: Dimension, unit: str | None) -> float:
    """A power of ten of some unit, between a tenth and a hundredth of the value."""
    one = 1.0 / units.convert(1.0, dimension, unit)
    size = max(abs(value), _SMALLEST.get(dimension, 0.0)) or 1.0
    if value == 0.0:
        size = _USUAL.get(dimension, 1.0)
    least = _SMALLEST.get(dimension, 0.0) if unit is None else 0.0
    return float(max(one * 10.0 ** math.floor(math.log10(size / one / 10.0 * 1.000001)), least))


class _Finder:
    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        start = scene.start
        points = [Vector(pose.x, pose.y) for pose in start.values()]
        points += scene.fixed.values()
        for lever in scene.of(Lever):
            points.append(start[lever.name].point(Vector(lever.length, 0.0)))
        for ramp in scene.of(Ramp):
            points += [ramp.at.point, ramp.at.point.plus(upslope(ramp), ramp.surface)]
        for line in scene.lines:
            points += [scene.centre_of(site, start) for site in line.sites]
        across, up = [p.x for p in points], [p.y for p in points]
        self.extent = max(max(across) - min(across), max(up) - min(up), 0.1)

    def all(self) -> Iterator[Handle]:
        """Every handle of the scene."""
        yield from self._about()
        for part in self.scene.parts.values():
            find: Callable[[Any], Iterator[Handle]] = getattr(self, f"_{type(part).__name__}")
            yield from find(part)

    # Making one.

    def _make(
        self,
        holder: Part | About,
        key: str,
        grip: Callable[[Poses], Grip | None] | None,
        value: float | None = None,
        **more: Any,
    ) -> Handle:
        """The handle of one key; `more` narrows what the key allows.

        For a key with neither length nor angle to show, `grip` is just where it is taken hold of.
        """
        name = key.partition("[")[0]
        spec: Key = keys_of(type(holder))[name][0]
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
        kind = "scene" if isinstance(holder, About) else type(holder).__name__.lower()
        return Handle(
            f"{part}.{key}",
            f"{kind}.{key if name == 'at' else name}",
            more.get("of", {}),
            dimension,
            value,
            low,
            max(low, high),
            step,
            us_step,
            whole,
            grip or (lambda _: None),
        )

    def _plain(self, holder: Part, key: str, at: Callable[[Poses], Vector], **more: Any) -> Handle:
        """A value with no length on the sheet: a drag upward makes it greater."""
        value = getattr(holder, key) if more.get("value") is None else more.pop("value")
        spec = keys_of(type(holder))[key][0]
        size = max(abs(value), 10 * _step(value, spec.dimension, None))
        rate = size / (DOUBLING * self.extent)
        return self._make(holder, key, lambda poses: Grip(at(poses), UP, rate), value, **more)

    def _place(self, holder: Any, at: Callable[[Poses], Vector]) -> Iterator[Handle]:
        """The coordinates of a part that has a place of its own."""
        place = holder.at
        if place is None:
            return
        for index, (value, along) in enumerate(((place.x, ACROSS), (place.y, UP))):
            if value is not None:
                yield self._make(
                    holder,
                    f"at[{index}]",
                    lambda poses, along=along: Grip(at(poses), along),  # type: ignore[misc]
                    value,
                    low=-100.0,
                    size=max(abs(value), 0.1),
                )

    def _along(self, holder: Any, at: Callable[[Poses], Vector]) -> Iterator[Handle]:
        """How far along a lever or a ramp a part is, and how far off it."""
        on: On | None = holder.on
        if on is None:
            return
        carrier = self.scene.parts[on.part]
        if isinstance(carrier, Lever):
            lever = carrier
            start = lever.fulcrum or 0.0
            across: Callable[[Poses], Vector] = self._square(lever)
            if on.distance is not None:
                yield self._on_bar(holder, "on", lever, on.distance, start, at)
        elif isinstance(carrier, Ramp):
            ramp = carrier
            across = lambda _: outward(ramp)  # noqa: E731
            most = 100.0 if isinstance(holder, Hand | Block | Anchor) else ramp.surface
            low = 0.0
            if isinstance(holder, Body):
                low = (holder.height if holder.rolls else holder.width) / 2
            yield self._make(
                holder,
                "on",
                lambda poses: Grip(at(poses), upslope(ramp), 1.0, ramp.at.point, at(poses)),
                on.distance,
                low=low,
                high=most,
                of={"part": ramp.name},
            )
        else:
            if not isinstance(carrier, Body) or carrier.rolls:
                return
            board = self.scene.part(carrier.on.part, Ramp)
            across = lambda _: outward(board)  # noqa: E731
        if hasattr(holder, "height") and not isinstance(holder, Body):
            yield self._make(holder, "height", lambda poses: Grip(at(poses), across(poses)))

    def _on_bar(
        self,
        holder: Part,
        key: str,
        lever: Lever,
        value: float,
        start: float,
        at: Callable[[Poses], Vector] | None = None,
        **more: Any,
    ) -> Handle:
        """A distance along a lever, shown from `start`."""

        def grip(poses: Poses) -> Grip:
            pose = poses[lever.name]
            end = pose.point(Vector(value, 0.0))
            along = ACROSS.turned(pose.angle)
            return Grip(at(poses) if at else end, along, 1.0, pose.point(Vector(start, 0.0)), end)

        more = {"high": lever.length, "of": {"part": lever.name}} | more
        return self._make(holder, key, grip, value, **more)

    @staticmethod
    def _square(lever: Lever) -> Callable[[Poses], Vector]:
        return lambda poses: UP.turned(poses[lever.name].angle)

    # The kinds of part.

    def _about(self) -> Iterator[Handle]:
        about = self.scene.about
        yield self._make(about, "gravity", None)
        if about.floor is not None:
            level = about.floor
            yield self._make(about, "floor", lambda _: Grip(Vector(0.0, level)))
        if about.duration is not None:
            yield self._make(about, "duration", None)

    def _Lever(self, lever: Lever) -> Iterator[Handle]:  # noqa: N802
        name, square = lever.name, self._square(lever)

        def bar(along: float, up: float = 0.0) -> Callable[[Poses], Vector]:
            return lambda poses: poses[name].point(Vector(along, up))

        pivot = (lever.fulcrum or 0.0, lever.pivot_height if lever.fulcrum is not None else 0.0)
        centre = lever.own_centre.x
        taken = [lever.fulcrum, lever.centre, *lever.props]
        taken += [e.distance for r in self.scene.of(Rope) for e in r.reeve if e.part == name]
        carried: tuple[Weight | Block, ...] = (*self.scene.of(Weight), *self.scene.of(Block))
        taken += [part.on.distance for part in carried if part.on and part.on.part == name]
        least = max((along for along in taken if along is not None), default=0.0)
        yield self._on_bar(lever, "length", lever, lever.length, 0.0, low=least, high=100.0)
        yield self._plain(lever, "mass", bar(centre, lever.centre_height))
        yield from self._place(lever, bar(*pivot))
        if lever.fulcrum is not None:
            yield self._on_bar(lever, "fulcrum", lever, lever.fulcrum, 0.0, bar(*pivot))
            yield self._make(
                lever, "pivot_height", lambda poses: Grip(bar(*pivot)(poses), square(poses))
            )
        yield self._on_bar(
            lever,
            "centre",
            lever,
            centre,
            0.0,
            bar(centre, lever.centre_height),
        )
        yield self._make(
            lever,
            "centre_height",
            lambda poses: Grip(bar(centre, lever.centre_height)(poses), square(poses)),
        )
        if not lever.props:
            tip = lever.length if pivot[0] < lever.length / 2 else 0.0

            def tilt(poses: Poses) -> Grip:
                at, about = bar(tip)(poses), bar(*pivot)(poses)
                return Grip(at, UP, 1.0, centre=about)

            yield self._make(lever, "tilt", tilt)
        if lever.fulcrum is not None:
            reach = max(lever.length - pivot[0], pivot[0])

            def stop(poses: Poses) -> Grip:
                about = bar(*pivot)(poses)
                at = about.plus(ACROSS.turned(lever.stop), reach)
                return Grip(at, UP, 1.0, centre=about)

            yield self._make(lever, "stop", stop)
            peg = lever.stop_peg(-1).local.x
            turn = 0.0 if peg > pivot[0] else math.pi
            distance = lever.length / 4 if lever.stop_distance is None else lever.stop_distance
            yield self._make(
                lever,
                "stop_distance",
                lambda poses: Grip(bar(peg)(poses), ACROSS.turned(poses[name].angle + turn)),
                distance,
            )
            for key in ("bearing", "pin_radius", "drag"):
                yield self._plain(lever, key, bar(*pivot))
        for index, prop in enumerate(lever.props):
            yield self._on_bar(lever, f"props[{index}]", lever, prop, 0.0, of={"number": index + 1})

    def _Block(self, block: Block) -> Iterator[Handle]:  # noqa: N802
        scene, name = self.scene, block.name

        def middle(poses: Poses) -> Vector:
            return _where(scene, name, poses)

        def side(of: float, way: float) -> Callable[[Poses], Grip]:
            axis = ACROSS.turned(block.turned + way)

            def grip(poses: Poses) -> Grip:
                first = middle(poses).plus(block.laid_open(Pass(name, 1)))
                return Grip(first.plus(axis, of), axis, 1.0, first, first.plus(axis, of))

            return grip

        yield from self._place(block, middle)
        yield from self._along(block, middle)
        if block.under is not None and block.drop is not None:
            above = block.under
            yield self._make(
                block,
                "drop",
                lambda poses: Grip(
                    middle(poses),
                    Vector(0.0, -1.0),
                    1.0,
                    _where(scene, above, poses),
                    middle(poses),
                ),
            )
        used = [e.sheave or 1 for r in scene.of(Rope) for e in r.reeve if e.part == name]
        yield self._make(
            block, "sheaves", lambda poses: Grip(middle(poses), UP, 20.0), low=max(used, default=1)
        )
        yield self._make(
            block, "radius", side(block.radius, math.pi / 2), low=block.pin_radius + 1e-4
        )
        yield self._make(
            block, "pin_radius", side(block.pin_radius, math.pi), high=block.radius - 1e-4
        )
        yield self._plain(block, "bearing", middle)
        sheaves = block.sheaves * block.sheave_mass
        yield self._plain(block, "mass", middle, value=block.total_mass, low=sheaves)
        most = {} if block.mass is None else {"high": block.mass / block.sheaves}
        yield self._plain(block, "sheave_mass", middle, **most)
        yield self._make(
            block,
            "turned",
            lambda poses: Grip(
                middle(poses)
                .plus(block.laid_open(Pass(name, block.sheaves)))
                .plus(ACROSS.turned(block.turned), block.radius),
                centre=middle(poses),
            ),
        )

    def _Windlass(self, windlass: Windlass) -> Iterator[Handle]:  # noqa: N802
        at = windlass.at.point

        def side(way: Vector, radius: float) -> Callable[[Poses], Grip]:
            end = at.plus(way, radius)
            return lambda _: Grip(end, way, 1.0, at, end)

        yield from self._place(windlass, lambda _: at)
        # Each radius on the side on which a rope that hangs from its drum leaves it.
        limits = {
            "wheel": (windlass.axle, 5.0),
            "axle": (windlass.small or windlass.pin_radius, windlass.wheel),
            "small": (windlass.pin_radius, windlass.axle),
            "pin_radius": (-1e-4, windlass.small or windlass.axle),
        }
        for key, (low, high) in limits.items():
            radius = getattr(windlass, key)
            if radius is not None:
                way = Vector(float(-windlass.off(key)), 0.0)
                yield self._make(windlass, key, side(way, radius), low=low + 1e-4, high=high - 1e-4)
        yield self._plain(windlass, "bearing", lambda _: at)
        yield self._plain(windlass, "mass", lambda _: at)
        if windlass.gyration is not None:
            yield self._plain(windlass, "gyration", lambda _: at)
        yield self._plain(windlass, "wound", lambda _: at, high=windlass.room)
        yield self._plain(windlass, "room", lambda _: at, low=windlass.wound)

    def _Rope(self, rope: Rope) -> Iterator[Handle]:  # noqa: N802
        scene = self.scene
        line = next(line for line in scene.lines if line.rope == rope.name)
        for index, entry in enumerate(rope.reeve):
            lever = scene.parts[entry.part]
            if entry.distance is not None and isinstance(lever, Lever):
                yield self._on_bar(
                    rope, f"reeve[{index}]", lever, entry.distance, lever.fulcrum or 0.0
                )

        def middle(poses: Poses) -> Vector:
            return _middle(scene, line.sites[-2:], poses)

        for key in ("stiffness", "damping", "strength"):
            if getattr(rope, key) is not None:
                yield self._plain(rope, key, middle)

    def _Ramp(self, ramp: Ramp) -> Iterator[Handle]:  # noqa: N802
        foot, up = ramp.at.point, upslope(ramp)
        head, surface = foot.plus(up, ramp.surface), ramp.surface
        below = Vector(head.x, foot.y)
        turn = 1.0 if ramp.rises == "right" else -1.0
        yield from self._place(ramp, lambda _: foot)
        yield self._make(
            ramp, "length", lambda _: Grip(foot.plus(up, 0.8 * surface), up, 1.0, foot, head)
        )
        yield self._make(
            ramp,
            "rise",
            lambda _: Grip(head, UP, 1.0, below, head),
            high=surface * math.sin(math.radians(89.9)),
        )
        yield self._make(
            ramp, "angle", lambda _: Grip(foot.plus(up, 0.4 * surface), UP, turn, centre=foot)
        )
        middle = foot.plus(up, 0.6 * surface)
        yield self._plain(ramp, "static", lambda _: middle, low=ramp.kinetic)
        yield self._plain(ramp, "kinetic", lambda _: middle, high=ramp.static)

    def _Body(self, body: Body) -> Iterator[Handle]:  # noqa: N802
        frame = self.scene.frames[body.name]
        ramp = frame.ramp
        assert ramp is not None
        up, off = upslope(ramp), outward(ramp)
        half = body.height / 2

        def foot(poses: Poses) -> Vector:
            pose = poses[body.name]
            return Vector(pose.x, pose.y).plus(off, -half if body.rolls else 0.0)

        def middle(poses: Poses) -> Vector:
            return foot(poses).plus(off, half)

        yield from self._along(body, foot)
        yield self._plain(body, "mass", middle)
        most = 2 * body.on.distance if body.on.distance else 10.0
        yield self._make(
            body,
            "height",
            lambda poses: Grip(
                foot(poses).plus(off, body.height),
                off,
                1.0,
                foot(poses),
                middle(poses).plus(off, half),
            ),
            high=most if body.rolls else 10.0,
        )
        if body.rolls:
            yield self._plain(body, "rolling_arm", foot)
            return
        yield self._make(
            body,
            "width",
            lambda poses: Grip(
                middle(poses).plus(up, body.width / 2),
                up,
                2.0,
                middle(poses).plus(up, -body.width / 2),
                middle(poses).plus(up, body.width / 2),
            ),
            high=most,
        )
        tie = half if body.tie is None else body.tie
        yield self._make(
            body,
            "tie",
            lambda poses: Grip(
                foot(poses).plus(off, tie), off, 1.0, foot(poses), foot(poses).plus(off, tie)
            ),
            tie,
        )

    def _Weight(self, weight: Weight) -> Iterator[Handle]:  # noqa: N802
        def at(poses: Poses) -> Vector:
            return _where(self.scene, weight.name, poses)

        yield self._plain(weight, "mass", at)
        yield from self._place(weight, at)
        yield from self._along(weight, at)

    def _Anchor(self, anchor: Anchor) -> Iterator[Handle]:  # noqa: N802
        def at(poses: Poses) -> Vector:
            return _where(self.scene, anchor.name, poses)

        yield from self._place(anchor, at)
        yield from self._along(anchor, at)

    def _Hand(self, hand: Hand) -> Iterator[Handle]:  # noqa: N802
        scene = self.scene
        start = scene.frames[hand.name].pose.point(NOWHERE)
        heading = scene.heading

        def at(poses: Poses) -> Vector:
            return _where(scene, hand.name, poses)

        yield from self._place(hand, at)
        yield from self._along(hand, at)
        angle = math.atan2(heading.y, heading.x) if hand.heading is None else hand.heading
        reach = max(hand.travel, 0.1 * self.extent)
        yield self._make(
            hand,
            "heading",
            lambda poses: Grip(at(poses).plus(heading, reach), centre=at(poses)),
            angle,
        )
        if not hand.moves:
            yield self._plain(hand, "speed", at)
            way = 1.0 if scene.about.sense != "lowering" else -1.0
            end = start.plus(heading, way * hand.travel)
            along = Vector(way * heading.x, way * heading.y)
            yield self._make(hand, "travel", lambda _: Grip(end, along, 1.0, start, end))

    def _Gauge(self, gauge: Gauge) -> Iterator[Handle]:  # noqa: N802
        scene = self.scene
        line, span = scene.gauge_span(gauge)

        def at(poses: Poses) -> Vector:
            return _middle(scene, line.sites[span : span + 2], poses)

        yield self._plain(gauge, "range", at, low=gauge.graduation)
        yield self._plain(gauge, "graduation", at, high=gauge.range)
        yield self._plain(gauge, "zero", at, size=gauge.graduation * 10)
        yield self._make(
            gauge,
            "part",
            lambda poses: Grip(at(poses), UP, 20.0),
            span + 1,
            high=line.spans,
        )

    def _Rule(self, rule: Rule) -> Iterator[Handle]:  # noqa: N802
        part = self.scene.parts[rule.along]

        def ends(poses: Poses) -> tuple[Vector, Vector]:
            if isinstance(part, Lever):
                return poses[part.name].point(NOWHERE), ACROSS.turned(poses[part.name].angle)
            if isinstance(part, Ramp):
                return part.at.point, upslope(part)
            return _where(self.scene, part.name, poses), UP

        def length(poses: Poses) -> Grip:
            start, along = ends(poses)
            end = start.plus(along, rule.length)
            return Grip(end, along, 1.0, start, end)

        yield self._make(rule, "length", length)
        yield self._plain(rule, "graduation", lambda poses: ends(poses)[0], high=rule.length)


def pass_at(scene: Scene, poses: Poses, place: Vector, reach: float) -> str:
    """What a rope could pass or be made fast to at a place, as a reeving names it: "upper.1",
    "spar@20 cm"; "" where there is nothing within `reach`, metres."""
    found: list[tuple[float, str]] = []
    for part in scene.parts.values():
        name = part.name
        if isinstance(part, Block):
            from_middle = place.plus(scene.place_of(name, poses), -1.0)
            for number in range(1, part.sheaves + 1):
                away = from_middle.plus(part.laid_open(Pass(name, number)), -1.0).size
                found.append((away - part.radius, f"{name}.{number}"))
            if part.becket:
                becket = part.laid_open(Pass(name, becket=True))
                found.append((from_middle.plus(becket, -1.0).size, f"{name}.becket"))
        elif isinstance(part, Windlass):
            away = place.plus(part.at.point, -1.0).size
            radii = [(drum, getattr(part, drum)) for drum in DRUMS]
            found += [(abs(away - r), f"{name}.{drum}") for drum, r in radii if r is not None]
        elif isinstance(part, Lever):
            pose = poses[name]
            local = place.plus(Vector(pose.x, pose.y), -1.0).turned(-pose.angle)
            along = min(max(local.x, 0.0), part.length)
            text = f"{name}@{units.plain(100.0 * round(along, 3), 5)} cm"
            found.append((local.plus(Vector(along, 0.0), -1.0).size, text))
        elif isinstance(part, Anchor | Hand | Body) or name in scene.frames:
            found.append((place.plus(_where(scene, name, poses), -1.0).size, name))
    away, text = min(found, default=(math.inf, ""))
    return text if away <= reach else ""


def _where(scene: Scene, name: str, poses: Poses) -> Vector:
    """Where on the sheet to take hold of a part: a rope by the middle of its last span, a slider
    by its own."""
    part = scene.parts[name]
    if isinstance(part, Rope):
        line = next(line for line in scene.lines if line.rope == name)
        return _middle(scene, line.sites[-2:], poses)
    if isinstance(part, Body) and not part.rolls:
        return poses[name].point(Vector(0.0, part.height / 2))
    return scene.place_of(name, poses)


def _middle(scene: Scene, sites: Any, poses: Poses) -> Vector:
    """The point half-way along a span."""
    one, other = (scene.centre_of(site, poses) for site in sites)
    return Vector((one.x + other.x) / 2, (one.y + other.y) / 2)
