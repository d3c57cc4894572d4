"""Parts by name -> one assembled scene: who carries whom, where everything is, how ropes turn."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Literal

from sandbox import units
from sandbox.scene import quantities
from sandbox.scene.errors import Plain, SceneError, nearest
from sandbox.scene.geometry import Pose, Vector, tangent
from sandbox.scene.model import Frame, Line, PointMass, Scene, Waypoint
from sandbox.scene.parts import (
    DRUMS,
    KINDS,
    About,
    Anchor,
    Block,
    Body,
    Gauge,
    Hand,
    Lever,
    Mount,
    Part,
    Place,
    Ramp,
    ReeveEntry,
    Rope,
    Rule,
    Weight,
    WheelAndAxle,
)

NOWHERE = Vector(0.0, 0.0)
PLACED: tuple[type[Part], ...] = (Block, Weight, Body, Lever, Anchor, Hand, WheelAndAxle)
"""What has a place to which a rope can be made fast."""


def assemble(about: About, parts: Mapping[str, Part], name: str) -> Scene:
    """The scene made of these parts. Raises SceneError where they do not fit together."""
    return _Assembly(about, dict(parts), name).scene()


class _Assembly:
    def __init__(self, about: About, parts: dict[str, Part], name: str) -> None:
        self.about = about
        self.parts = parts
        self.name = name
        self.kind = {kind: word for word, kind in KINDS.items()}

    def scene(self) -> Scene:
        self._finish_ramps()
        hands = self._of(Hand)
        if len(hands) > 1:
            self._fail(hands[1], "", Plain("a second hand"), "one hand in a scene")
        self.carriers = {part.name: self._carrier(part) for part in self.parts.values()}
        for weight in self._of(Weight):
            if self._host(weight.name) is None:
                self._fail(weight, "on", weight.on.part, "something that moves")
        self._check_connected()
        self.places = self._plumb_places()
        self._check_sheaves()
        frames = {f.name: f for f in map(self._frame, self.parts.values()) if f is not None}
        lines = tuple(self._line(rope, frames) for rope in self._of(Rope))
        self._check_reeving(lines, frames)
        hand = hands[0] if hands else None
        scene = Scene(
            about=self.about,
            parts=self.parts,
            frames=frames,
            lines=lines,
            hand=hand,
            heading=self._heading(hand, lines, frames) if hand else NOWHERE,
            load=self._load(),
            carriers={n: self._host_frame(n) for n, (on, _) in self.carriers.items() if on},
            carried={
                part.name: self._lump_place(part, host)
                for part in self.parts.values()
                if isinstance(part, Weight | Block)
                and (host := self._host(part.name)) is not None
                and host is not part
            },
            name=self.name,
            fixed={
                part.name: self._fixed_place(part)
                for part in self.parts.values()
                if isinstance(part, Block | Anchor) and self._host(part.name) is None
            },
        )
        self._check_instruments(scene)
        self._check_worked(scene)
        self._check_floor(scene)
        return scene

    # Finding parts and saying what is wrong with them.

    def _of(self, kind: type[Any]) -> list[Any]:
        return [part for part in self.parts.values() if isinstance(part, kind)]

    def _where(self, part: Part, key: str) -> str:
        return f"{self.kind[type(part)]}.{part.name}" + (f".{key}" if key else "")

    def _fail(self, part: Part, key: str, found: object, allowed: str, **more: Any) -> None:
        raise SceneError(self._where(part, key), found, allowed, **more)

    def _find(self, part: Part, key: str, name: str, kinds: tuple[type[Part], ...]) -> Any:
        found = self.parts.get(name)
        if found is None or not isinstance(found, kinds):
            names = [p.name for p in self.parts.values() if isinstance(p, kinds)]
            words = " or ".join(self.kind[kind] for kind in kinds)
            listed = f" ({', '.join(names[:12])})" if names else " (there is none)"
            self._fail(
                part, key, name, f"the name of a {words}{listed}", nearest=nearest(name, names)
            )
        return found

    # What each part is fixed to.

    def _finish_ramps(self) -> None:
        """Fill in the one of length, rise and angle that was not written."""
        for ramp in self._of(Ramp):
            given = [key for key in ("length", "rise", "angle") if getattr(ramp, key) is not None]
            if len(given) != 2:
                self._fail(
                    ramp,
                    "",
                    Plain(", ".join(given) or "none of them"),
                    "two of length, rise and angle",
                )
            length, rise, angle = ramp.length, ramp.rise, ramp.angle
            if angle is None:
                if rise >= length:
                    self._fail(
                        ramp,
                        "rise",
                        Plain(f"{_told(rise)} on a length of {_told(length)}"),
                        "a rise less than the length",
                    )
                angle = math.asin(rise / length)
            elif length is None:
                if angle == 0.0:
                    self._fail(ramp, "angle", Plain("0"), "a length instead of the rise")
                length = rise / math.sin(angle)
            if ramp.kinetic_friction > ramp.static_friction:
                self._fail(
                    ramp,
                    "kinetic_friction",
                    ramp.kinetic_friction,
                    f"at most the static coefficient, {ramp.static_friction:g}",
                )
            if not 1e-4 <= length <= 100.0:
                self._fail(
                    ramp,
                    "rise",
                    Plain(f"a slope {_told(length)} long"),
                    "a slope of 0.0001 to 100 m",
                )
            self.parts[ramp.name] = replace(
                ramp, length=length, angle=angle, rise=length * math.sin(angle)
            )

    def _carrier(self, part: Part) -> tuple[Mount | None, Part | None]:
        """What `part` is on, checked; None for a part with a place of its own."""
        on = getattr(part, "on", None)
        if isinstance(part, Block):
            ways = [way for way in ("at", "on", "under") if getattr(part, way) is not None]
            if len(ways) != 1:
                self._fail(
                    part,
                    "",
                    Plain(" and ".join(ways) or "no place"),
                    "one of at, on, and under with drop",
                )
            if (part.under is None) != (part.drop is None):
                self._fail(part, "drop", Plain("one of them"), "under and drop together")
            if part.moves and part.on:
                self._fail(part, "moves", True, "a block that moves has at or under, not on")
            sheaves = part.sheaves * part.sheave_mass
            if part.total_mass < sheaves * (1.0 - 1e-9):
                whole, own = _told(part.mass, units.MASS), _told(sheaves, units.MASS)
                found = Plain(f"{whole} in all, with sheaves of {own}")
                self._fail(part, "mass", found, "at least the mass of its sheaves (sheave_mass)")
            if part.pin_radius >= part.radius:
                found = Plain(_told(part.pin_radius))
                self._fail(part, "pin_radius", found, "less than the sheave's radius")
            if part.under:
                self._find(part, "under", part.under, (Block,))
        elif isinstance(part, WheelAndAxle):
            self._check_wheel_and_axle(part)
        elif isinstance(part, Weight | Anchor | Hand) and (part.at is None) == (part.on is None):
            self._fail(
                part, "", Plain("both" if part.on else "neither"), "at or on, one of the two"
            )
        if on is None:
            return None, None
        carriers: tuple[type[Part], ...] = {
            Block: (Ramp, Body, Weight, Lever),
            Weight: (Lever, Block, Body, Weight),
            Body: (Ramp,),
            Anchor: (Ramp,),
            Hand: (Ramp,),
        }[type(part)]
        carrier = self._find(part, "on", on.part, carriers)
        if isinstance(carrier, Lever | Ramp):
            if on.distance is None:
                self._fail(part, "on", on.part, f'how far along, as in "{on.part}@20 cm"')
            most = carrier.length if isinstance(carrier, Lever) else carrier.surface
            loose = isinstance(part, Hand | Block | Anchor) and isinstance(carrier, Ramp)
            if on.distance > most and not loose:
                self._fail(
                    part, "on", Plain(f"{_told(on.distance)} along"), f"at most {_told(most)}"
                )
            if isinstance(part, Body):
                # A toe board at the foot keeps bodies on the ramp; none may start in it.
                half = (part.height if part.rolls else part.width) / 2
                if on.distance < half:
                    found = Plain(f"{_told(on.distance)} along, to its middle")
                    self._fail(part, "on", found, f"at least half its size along, {_told(half)}")
        elif on.distance is not None:
            self._fail(part, "on", Plain(f"{on.part}@{_told(on.distance)}"), f'just "{on.part}"')
        return on, carrier

    def _check_wheel_and_axle(self, part: WheelAndAxle) -> None:
        least = part.axle if part.small is None else part.small
        for key, most, words in (
            ("axle", part.wheel, "the wheel's radius"),
            ("small", part.axle, "the radius of the rest of the axle"),
            ("pin_radius", least, "the axle's radius"),
        ):
            if (value := getattr(part, key)) is not None and value >= most:
                self._fail(part, key, Plain(_told(value)), f"less than {words}, {_told(most)}")
        if part.initial_turns > part.max_turns:
            self._fail(
                part,
                "initial_turns",
                part.initial_turns,
                f"at most the turns there is room for, {part.max_turns:g}",
            )

    def _host(self, name: str) -> Part | None:
        """The part whose frame carries the part called `name` (itself, if it has one)."""
        seen: set[str] = set()
        part = self.parts[name]
        while True:
            if part.name in seen:
                self._fail(part, "on", part.name, "no circle of parts on one another")
            seen.add(part.name)
            on, carrier = self.carriers.get(part.name) or self._carrier(part)
            if isinstance(part, Body | Hand | Lever | WheelAndAxle):
                return part
            if on is None:
                moving = isinstance(part, Weight) or (isinstance(part, Block) and part.moves)
                return part if moving else None
            assert carrier is not None
            part = carrier

    def _host_frame(self, name: str) -> str | None:
        host = self._host(name)
        return host.name if host else None

    # Where everything is.

    def _plumb_places(self) -> dict[str, Place]:
        """The place of every part that has one, with each "plumb" worked out along the ropes.

        A rope is laid from left to right: it leaves a sheave on the right and meets the next on the
        left (the other way about on a block turned to face left).
        """
        places: dict[str, Place] = {
            p.name: place
            for p in self.parts.values()
            if (place := getattr(p, "at", None)) is not None
        }
        for block in self._of(Block):
            chain = [block]
            while chain[-1].under is not None:
                above = self.parts[chain[-1].under]
                assert isinstance(above, Block)
                if above in chain:
                    self._fail(block, "under", block.under, "no circle of blocks under one another")
                chain.append(above)
            if len(chain) > 1:
                top = self._anchorage(chain[-1]) or places.get(chain[-1].name)
                if top is None:
                    raise SceneError(
                        self._where(block, "under"), block.under, "a block with a place of its own"
                    )
                places[block.name] = Place(None, top.y - sum(b.drop or 0.0 for b in chain[:-1]))
        pairs = [
            (first, second)
            for rope in self._of(Rope)
            for first, second in zip(rope.reeve, rope.reeve[1:], strict=False)
            if first.part in self.parts and second.part in self.parts
        ]
        changed = True
        while changed:
            changed = False
            for first, second in pairs:
                for this, other, side in ((second, first, 1.0), (first, second, -1.0)):
                    place = places.get(this.part)
                    if place is None or place.x is not None:
                        continue
                    start = self._across(other, places)
                    if start is not None:
                        lean = self._lean(other, place)
                        # A sheave in a rope off a drum hangs on the spindle's side of it.
                        way = math.copysign(1.0, -lean) if lean else side
                        x = start + lean + way * (self._reach(other) + self._reach(this))
                        x -= self._offset_of(this).x
                        places[this.part] = Place(x, place.y)
                        changed = True
        for name, place in places.items():
            if place.x is None:
                self._fail(
                    self.parts[name],
                    "at",
                    Plain("plumb"),
                    "a place across: no rope leads from this part to one that has it",
                )
        return places

    def _across(self, entry: ReeveEntry, places: Mapping[str, Place]) -> float | None:
        """The x of what a rope passes at the start, where it is known."""
        part = self.parts[entry.part]
        place = places.get(part.name)
        # A lever's place is its fulcrum's, not that of the point a rope is made fast to.
        if place is not None and not isinstance(part, Lever):
            return None if place.x is None else place.x + self._offset_of(entry).x
        fixed = self._anchorage(part, entry.distance)
        if fixed is None:
            host = self._host(part.name)
            if host is None or (at := places.get(host.name)) is None or at.x is None:
                return None
            fixed = Vector(at.x, at.y)
        return fixed.x + self._offset_of(entry).x

    def _anchorage(self, part: Part, distance: float | None = None) -> Vector | None:
        """Where a part on a ramp or a lever, or a point along a lever, is at the start."""
        on, carrier = self.carriers[part.name]
        if isinstance(part, Lever):
            return self._lever_pose(part).point(Vector(distance or 0.0, 0.0))
        if on is None or carrier is None:
            return None
        if isinstance(carrier, Ramp):
            assert on.distance is not None
            foot = carrier.at.point
            along = foot + on.distance * carrier.upslope
            return along + _tie_height(part) * carrier.normal
        if isinstance(carrier, Body):
            return self._body_pose(carrier).point(self._on_body(carrier, part))
        if isinstance(carrier, Lever):
            local = Vector(on.distance or 0.0, getattr(part, "height", 0.0))
            return self._lever_pose(carrier).point(local)
        return self._anchorage(carrier)

    def _offset_of(self, entry: ReeveEntry) -> Vector:
        """From a part's own place to the sheave or becket that a rope passes there."""
        part = self.parts[entry.part]
        return part.offset_to(entry) if isinstance(part, Block) else NOWHERE

    def _reach(self, entry: ReeveEntry) -> float:
        """How far to the right of what it passes a rope laid from left to right leaves it."""
        part = self.parts[entry.part]
        if not isinstance(part, Block) or not entry.sheave:
            return 0.0
        return math.copysign(part.radius, math.cos(part.orientation))

    def _lean(self, entry: ReeveEntry, place: Place) -> float:
        """How far to the right of a drum's middle a rope that leads plumb to `place` leaves it."""
        part = self.parts[entry.part]
        if not isinstance(part, WheelAndAxle) or not entry.drum:
            return 0.0
        # Anticlockwise, the left side goes down.
        way = part.unwinding_direction(entry.drum) * (-1 if place.y < part.at.y else 1)
        return way * (getattr(part, entry.drum) or 0.0)

    def _lever_pose(self, lever: Lever) -> Pose:
        at = lever.at.point
        pivot = Vector(
            lever.fulcrum or 0.0, lever.pivot_height if lever.fulcrum is not None else 0.0
        )
        origin = at - pivot.rotated(lever.tilt)
        return Pose(origin.x, origin.y, lever.tilt)

    def _body_pose(self, body: Body) -> Pose:
        ramp = self.parts[body.on.part]
        assert isinstance(ramp, Ramp) and body.on.distance is not None
        foot = ramp.at.point + body.on.distance * ramp.upslope
        if body.rolls:
            foot = foot + body.height / 2 * ramp.normal
        return Pose(foot.x, foot.y, ramp.slope if ramp.rises == "right" else -ramp.slope)

    def _on_body(self, body: Body, part: Part) -> Vector:
        return Vector(0.0, 0.0 if body.rolls else getattr(part, "height", 0.0))

    # The frames.

    def _frame(self, part: Part) -> Frame | None:
        if self._host(part.name) is not part:
            return None
        lumps = tuple(
            PointMass(p.name, _own_mass(p), self._lump_place(p, part))
            for p in self.parts.values()
            if isinstance(p, Weight | Block) and p is not part and self._host(p.name) is part
        )
        if isinstance(part, Lever):
            return self._lever_frame(part, lumps)
        if isinstance(part, Body):
            ramp = self.parts[part.on.part]
            assert isinstance(ramp, Ramp)
            mass = part.mass + sum(lump.mass for lump in lumps)
            kind: Literal["roller", "slider"] = "roller" if part.rolls else "slider"
            moment = 0.5 * part.mass * (part.height / 2) ** 2 if part.rolls else 0.0
            centre = NOWHERE if part.rolls else Vector(0.0, part.height / 2)
            return Frame(
                part.name, kind, part, self._body_pose(part), mass, centre, moment, lumps, ramp
            )
        if isinstance(part, Hand):
            if part.on is None:
                place = self.places[part.name]
                start = place.point
            else:
                start = self._anchorage(part) or NOWHERE
            return Frame(part.name, "hand", part, Pose(*start), 0.0, NOWHERE, 0.0)
        if isinstance(part, WheelAndAxle):
            pose = Pose(*part.at.point)
            return Frame(
                part.name, "spindle", part, pose, part.mass, NOWHERE, part.moment_of_inertia
            )
        assert isinstance(part, Block | Weight)
        place = self.places[part.name]
        mass = _own_mass(part) + sum(lump.mass for lump in lumps)
        return Frame(
            part.name, "free", part, Pose(place.x or 0.0, place.y), mass, NOWHERE, 0.0, lumps
        )

    def _lump_place(self, part: Part, host: Part) -> Vector:
        """Where on its host's axes a part bears: its own `on`, or that of what it is on in turn."""
        on, carrier = self.carriers[part.name]
        assert on is not None and carrier is not None
        if carrier is not host:
            return self._lump_place(carrier, host)
        if isinstance(host, Lever):
            return Vector(on.distance or 0.0, getattr(part, "height", 0.0))
        return self._on_body(host, part) if isinstance(host, Body) else NOWHERE

    def _lever_frame(self, lever: Lever, point_masses: tuple[PointMass, ...]) -> Frame:
        for key in ("fulcrum", "centre"):
            value = getattr(lever, key)
            if value is not None and value > lever.length:
                self._fail(
                    lever,
                    key,
                    Plain(_told(value)),
                    f"at most the length, {_told(lever.length)}",
                )
        for index, prop in enumerate(lever.supports):
            if prop > lever.length:
                self._fail(
                    lever,
                    f"supports[{index}]",
                    Plain(_told(prop)),
                    f"at most the length, {_told(lever.length)}",
                )
        if len(set(lever.supports)) < len(lever.supports):
            self._fail(lever, "supports", Plain("two in one place"), "props in different places")
        if lever.supports and lever.tilt != 0.0:
            self._fail(
                lever,
                "tilt",
                Plain(_told(lever.tilt, units.ANGLE)),
                "no tilt for a bar on props",
            )
        masses = [
            (lever.mass, lever.centre_of_mass),
            *((each.mass, each.local) for each in point_masses),
        ]
        mass = sum(m for m, _ in masses)
        centre = Vector(
            sum(m * p.x for m, p in masses) / mass, sum(m * p.y for m, p in masses) / mass
        )
        # A uniform thin bar's own moment, and each mass's about the common centre (Steiner).
        moment = lever.mass * lever.length**2 / 12 + sum(
            m * ((p.x - centre.x) ** 2 + (p.y - centre.y) ** 2) for m, p in masses
        )
        return Frame(
            lever.name, "lever", lever, self._lever_pose(lever), mass, centre, moment, point_masses
        )

    # The ropes.

    def _line(self, rope: Rope, frames: Mapping[str, Frame]) -> Line:
        last = len(rope.reeve) - 1
        sites = [
            self._site(rope, f"reeve[{i}]", entry, i in (0, last))
            for i, entry in enumerate(rope.reeve)
        ]
        start = {name: frame.pose for name, frame in frames.items()}

        def centre(site: Waypoint) -> Vector:
            if site.frame is None:
                return site.offset
            return start[site.frame].point(site.local) + site.offset

        centres = [centre(site) for site in sites]
        points = list(centres)
        for end, beside in ((0, 1), (last, last - 1)):
            # Of a drum: where a rope to the middle of what is next would leave it.
            away = (1 if end == 0 else -1) * sites[end].signed_radius
            span = tangent(centres[end], away, centres[beside], 0.0)
            points[end] = span.start if span else centres[end]
        for i in range(1, last):
            before = points[i] - points[i - 1]
            after = points[i + 1] - points[i]
            cross = before.cross(after)
            if abs(cross) <= 1e-9 * before.norm * after.norm:
                self._fail(
                    rope,
                    f"reeve[{i}]",
                    Plain("a rope that passes straight by"),
                    "a sheave at which the rope turns",
                )
            sites[i] = sites[i]._replace(winding=1 if cross > 0 else -1)
        for i in range(last):
            span = tangent(
                centres[i], sites[i].signed_radius, centres[i + 1], sites[i + 1].signed_radius
            )
            if span is None or span.length < 1e-4:
                self._fail(
                    rope,
                    f"reeve[{i + 1}]",
                    Plain("no room for a span of rope"),
                    "parts further from one another",
                )
        return Line(rope.name, tuple(sites))

    def _site(self, rope: Rope, key: str, entry: ReeveEntry, end: bool) -> Waypoint:
        part = self._find(rope, key, entry.part, PLACED if end else (Block,))
        if isinstance(part, Block):
            if entry.sheave is not None:
                if not 1 <= entry.sheave <= part.sheaves:
                    self._fail(
                        rope,
                        key,
                        f"{part.name}.{entry.sheave}",
                        f"sheave 1 to {part.sheaves} of {part.name}",
                    )
                if end:
                    self._fail(
                        rope,
                        key,
                        f"{part.name}.{entry.sheave}",
                        f'an end made fast, as "{part.name}.becket" or "{part.name}"',
                    )
            elif not end:
                self._fail(rope, key, part.name, f'a sheave, as "{part.name}.1"')
            if entry.becket and not part.becket:
                self._fail(rope, key, f"{part.name}.becket", f"{part.name} has no becket")
        elif entry.sheave or entry.becket:
            self._fail(rope, key, entry.part, f"{entry.part} is no block")
        if isinstance(part, WheelAndAxle):
            drums = [drum for drum in DRUMS if getattr(part, drum) is not None]
            if entry.drum not in drums:
                words = ", ".join(f'"{part.name}.{drum}"' for drum in drums)
                self._fail(rope, key, entry.part, f"a drum of {part.name}: {words}")
        elif entry.drum:
            self._fail(rope, key, entry.part, f"{entry.part} is no wheel and axle")
        if isinstance(part, Lever) != (entry.distance is not None):
            self._fail(
                rope,
                key,
                entry.part,
                f'how far along the lever, as "{entry.part}@20 cm"'
                if isinstance(part, Lever)
                else f'just "{entry.part}"',
            )
        if isinstance(part, Lever) and (entry.distance or 0.0) > part.length:
            self._fail(
                rope,
                key,
                Plain(f"{_told(entry.distance)} along"),
                f"at most {_told(part.length)}",
            )
        host = self._host(part.name)
        offset = self._offset_of(entry)
        if host is None:
            local = NOWHERE
            offset = self._fixed_place(part) + offset
        elif isinstance(part, Lever):
            local = Vector(entry.distance or 0.0, 0.0)
        elif isinstance(part, Body):
            local = NOWHERE if part.rolls else Vector(0.0, _tie_height(part))
        else:
            local = NOWHERE if host is part else self._lump_place(part, host)
        if isinstance(part, WheelAndAxle):
            # A rope that begins on a drum runs off it as it is walked.
            turn = part.unwinding_direction(entry.drum) * (1 if key == "reeve[0]" else -1)
            return Waypoint(
                part.name, NOWHERE, NOWHERE, part.drum_radius(entry.drum), turn, part=part.name
            )
        return Waypoint(
            host.name if host else None,
            local,
            offset,
            part.radius if entry.sheave else 0.0,
            0,
            part.name if entry.sheave else None,
            entry.sheave or 0,
            part.name,
        )

    def _fixed_place(self, part: Part) -> Vector:
        """Where a part that is fixed to the bench is."""
        on_ramp = self._anchorage(part)
        if on_ramp is not None:
            return on_ramp
        place = self.places[part.name]
        return place.point

    def _heading(self, hand: Hand, lines: tuple[Line, ...], frames: Mapping[str, Frame]) -> Vector:
        if hand.heading is not None:
            return Vector(1.0, 0.0).rotated(hand.heading)
        if hand.on is not None:
            ramp = self.parts[hand.on.part]
            assert isinstance(ramp, Ramp)
            return ramp.upslope
        start = {name: frame.pose for name, frame in frames.items()}
        for line in lines:
            first, second, *_ = line.waypoints
            *_, next_to_last, last = line.waypoints
            ends = ((last, next_to_last), (first, second))
            for end, neighbour in ends:
                if end.frame == hand.name:
                    at = start[hand.name].point(end.local)
                    base = (
                        NOWHERE
                        if neighbour.frame is None
                        else start[neighbour.frame].point(neighbour.local)
                    )
                    # The span's own direction does not depend on which way it is walked.
                    sign = 1 if end is last else -1
                    span = tangent(base + neighbour.offset, sign * neighbour.signed_radius, at, 0.0)
                    assert span is not None
                    return span.along
        raise AssertionError("a connected hand has a rope")

    # What must hold of the whole.

    def _check_connected(self) -> None:
        links: dict[str, set[str]] = {name: set() for name in self.parts}

        def link(part: Part, key: str, name: str, kinds: tuple[type[Part], ...]) -> None:
            self._find(part, key, name, kinds)
            links[part.name].add(name)
            links[name].add(part.name)

        for part in self.parts.values():
            on, carrier = self.carriers[part.name]
            if on and carrier:
                link(part, "on", carrier.name, (type(carrier),))
            if isinstance(part, Rope):
                if part.rod and (len(part.reeve) > 2 or any(entry.drum for entry in part.reeve)):
                    allowed = "no rod: only a rope passes sheaves or is wound on a drum"
                    self._fail(part, "rod", True, allowed)
                for index, entry in enumerate(part.reeve):
                    link(part, f"reeve[{index}]", entry.part, PLACED)
            elif isinstance(part, Gauge):
                link(part, "rope", part.rope, (Rope,))
            elif isinstance(part, Rule):
                link(part, "along", part.along, (*PLACED, Ramp))
        if not any(
            isinstance(part, Lever | Body | Weight | WheelAndAxle)
            or (isinstance(part, Block) and part.moves)
            for part in self.parts.values()
        ):
            allowed = "a lever, wheel and axle, body, weight or moving block"
            raise SceneError("", Plain("no part that could move"), allowed)
        seen, queue = set(), [next(iter(self.parts))]
        while queue:
            name = queue.pop()
            if name not in seen:
                seen.add(name)
                queue += links[name]
        for name, part in self.parts.items():
            if name not in seen:
                self._fail(
                    part,
                    "",
                    Plain("a part joined to nothing else in the machine"),
                    "parts joined by ropes or on one another",
                )

    def _check_sheaves(self) -> None:
        passed: dict[ReeveEntry, str] = {}
        for rope in self._of(Rope):
            for index, entry in enumerate(rope.reeve):
                if (entry.sheave or entry.drum) and entry in passed:
                    what = (
                        "sheave that no rope passes" if entry.sheave else "drum that no rope takes"
                    )
                    self._fail(
                        rope,
                        f"reeve[{index}]",
                        f"{entry.part}.{entry.sheave or entry.drum}",
                        f"a {what} yet ({passed[entry]} does)",
                    )
                passed[entry] = rope.name

    def _check_reeving(self, lines: tuple[Line, ...], frames: Mapping[str, Frame]) -> None:
        tied: set[str] = set()
        held: set[str] = set()
        for line in lines:
            rope = self.parts[line.rope]
            assert isinstance(rope, Rope)
            tied |= {site.frame for site in line.waypoints if site.frame is not None}
            ends = [line.waypoints[0].frame, line.waypoints[-1].frame]
            if all(site.frame is None for site in line.waypoints):
                self._fail(
                    rope,
                    "reeve",
                    Plain("a rope from one fixed point to another"),
                    "a rope that leads to something that moves",
                )
            for index, entry in ((0, rope.reeve[0]), (line.spans, rope.reeve[-1])):
                if isinstance(self.parts[entry.part], Hand):
                    if entry.part in held:
                        self._fail(
                            rope, f"reeve[{index}]", entry.part, "one rope's end in the hand"
                        )
                    held.add(entry.part)
            if len(line.waypoints) == 2 and ends[0] == ends[1]:
                self._fail(rope, "reeve", Plain("a rope from a part to itself"), "two parts")
        for name, frame in frames.items():
            loose = frame.kind in ("free", "hand") or (
                isinstance(frame.part, Lever)
                and frame.part.fulcrum is None
                and not frame.part.supports
            )
            if loose and name not in tied:
                self._fail(
                    self.parts[name],
                    "",
                    Plain("nothing that holds it"),
                    "a rope made fast to it, or passing it",
                )

    def _check_instruments(self, scene: Scene) -> None:
        for gauge in self._of(Gauge):
            line, span = scene.gauge_span(gauge)
            if span >= line.spans:
                self._fail(
                    gauge, "part", gauge.part, f"1 to {line.spans}, the parts of {line.rope}"
                )
            if gauge.graduation > gauge.range:
                self._fail(
                    gauge,
                    "graduation",
                    Plain(_told(gauge.graduation, units.FORCE)),
                    f"at most the range, {_told(gauge.range, units.FORCE)}",
                )
        known = quantities.names(scene)
        for index, name in enumerate(self.about.predict):
            if name not in known:
                raise SceneError(
                    f"scene.predict[{index}]",
                    name,
                    "a quantity of this scene, such as " + ", ".join(known[:6]),
                    nearest=nearest(name, known),
                )

    def _load(self) -> str | None:
        if self.about.load is not None:
            loads = {p.name for p in self._of(Weight) + self._of(Body)}
            loads |= {p.name for p in self._of(Block) if p.moves} | {
                p.name for p in self._of(Lever)
            }
            if self.about.load not in loads:
                raise SceneError(
                    "scene.load",
                    self.about.load,
                    "a weight, body, lever or moving block",
                    nearest=nearest(self.about.load, loads),
                )
            return self.about.load
        found = self._of(Body) or self._of(Weight)
        # Weights on one hook, or on one another, are one load.
        hooks = {
            (host.name, self._lump_place(part, host) if host is not part else NOWHERE)
            for part in found
            if (host := self._host(part.name)) is not None
        }
        return found[0].name if len(hooks) == 1 and found else None

    def _check_floor(self, scene: Scene) -> None:
        floor = self.about.floor
        for frame in scene.frames.values():
            # What comes to a micrometre of it stands on it.
            if floor is not None and frame.kind == "free" and frame.pose.y < floor - 1e-6:
                raise SceneError(
                    "scene.floor",
                    Plain(_told(floor)),
                    f"at most at the height of {frame.name}, {_told(frame.pose.y)}",
                )

    def _check_worked(self, scene: Scene) -> None:
        sense = self.about.mode
        if sense in ("raising", "lowering"):
            hauled = sum(move.distance for move in scene.moves)
            if scene.hand is None:
                raise SceneError("scene.mode", sense, "held or released, in a scene without a hand")
            if scene.load is None:
                loads = [part.name for part in self._of(Body) or self._of(Weight)]
                either = " or ".join(f'load = "{name}"' for name in loads[:12])
                raise SceneError(
                    "scene.load",
                    Plain(f"none named of {', '.join(loads[:12])}") if loads else None,
                    f"{either} in [scene]: the one that is raised"
                    if loads
                    else "the weight, body, lever or moving block that is raised",
                )
            way = "haul in more than they pay out" if sense == "raising" else "pay out the more"
            if abs(hauled) < units.SMALLEST or (hauled > 0.0) != (sense == "raising"):
                self._fail(
                    scene.hand,
                    "moves",
                    Plain(f"{_told(hauled)} hauled in all"),
                    f"moves that {way}, the sense being {sense}",
                )


def _own_mass(part: Weight | Block) -> float:
    return part.total_mass if isinstance(part, Block) else part.mass


def _told(value: float | None, dimension: units.Dimension = units.LENGTH) -> str:
    """An SI value in its unit, a length unless another is said."""
    assert value is not None
    return units.handy_plain(value, dimension, 6, dimension.display)


def _tie_height(part: Part) -> float:
    """How far above a ramp a rope leaves what stands on it."""
    if isinstance(part, Body):
        return (
            part.height / 2
            if part.attachment_height is None or part.rolls
            else part.attachment_height
        )
    return float(getattr(part, "height", 0.0))
