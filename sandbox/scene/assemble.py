"""Parts by name -> one assembled scene: who carries whom, where everything is, how ropes wind.

What differs from kind to kind the parts themselves answer (`parts.base`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import quantities
from sandbox.scene.about import About
from sandbox.scene.errors import Plain, SceneError, nearest
from sandbox.scene.facts import (
    HANGS_ON_NOTHING,
    JOINED_TO_NOTHING,
    MOVES_NOTHING,
    NO_HAND,
    NO_LOAD,
    NOTHING_MOVES,
)
from sandbox.scene.geometry import Vector, tangent
from sandbox.scene.keys import Place, ReeveEntry
from sandbox.scene.model import Scene
from sandbox.scene.parts import KINDS, Hand, Part, Rope
from sandbox.scene.parts.base import SomePart, shown
from sandbox.scene.structure import ORIGIN, Frame, Line, PointMass

MOST_NAMED = 12
"""Names of parts that a message lists."""


def assemble(about: About, parts: Mapping[str, Part], name: str, unfinished: bool = False) -> Scene:
    """The scene made of these parts. Raises SceneError where they do not fit together.

    An `unfinished` one may have no parts at all, and of parts that are not joined the largest
    machine is the one that the others are refused beside.
    """
    return _Assembly(about, parts, name, unfinished).scene()


class _Assembly:
    """The `parts.base.Assembly` that parts ask."""

    def __init__(
        self, about: About, parts: Mapping[str, Part], name: str, unfinished: bool
    ) -> None:
        self.about = about
        self.parts = dict(parts)
        self.name = name
        self.unfinished = unfinished

    def scene(self) -> Scene:
        self.parts = {name: part.completed() for name, part in self.parts.items()}
        self._check_single()
        for part in self.parts.values():
            part.check()
        self.carriers = {
            part.name: carrier
            for part in self.parts.values()
            if (carrier := self._carrier(part)) is not None
        }
        self.hosts = {part.name: self._host(part) for part in self.parts.values()}
        for part in self.parts.values():
            if part.carrier_must_move and part.mount and self.hosts[part.name] is None:
                raise part.refusal("on", part.mount.part, "something that moves")
        self._check_connected()
        self.places = self._places()
        self._check_waypoints_free()
        frames = {part.name: self._frame(part) for part in self.parts.values() if part.has_frame}
        lines = tuple(self._line(rope, frames) for rope in self._of(Rope))
        self._check_reeving(lines, frames)
        hand = next(iter(self._of(Hand)), None)
        scene = Scene(
            about=self.about,
            parts=self.parts,
            frames=frames,
            lines=lines,
            hand=hand,
            heading=hand.hauling_direction(self, lines, frames) if hand else ORIGIN,
            load=self._load(),
            carriers={
                name: host.name if (host := self.hosts[name]) else None for name in self.carriers
            },
            carried={
                part.name: self.local_place(part, host)
                for part in self.parts.values()
                if part.point_mass is not None
                and (host := self.hosts[part.name]) is not None
                and host is not part
            },
            name=self.name,
            fixed={
                part.name: self.place(part)
                for part in self.parts.values()
                if part.holds_ropes and self.hosts[part.name] is None
            },
        )
        self._check_instruments(scene)
        self._check_mode(scene)
        self._check_floor(scene)
        return scene

    # Finding parts.

    def _of(self, kind: type[SomePart]) -> list[SomePart]:
        return [part for part in self.parts.values() if isinstance(part, kind)]

    def part(self, name: str, kind: type[SomePart]) -> SomePart:
        part = self.parts[name]
        assert isinstance(part, kind)
        return part

    def _find(self, part: Part, key: str, name: str, allowed: Callable[[type[Part]], bool]) -> Part:
        """The part that a key names. Raises SceneError where there is none of an allowed kind."""
        found = self.parts.get(name)
        if found is not None and allowed(type(found)):
            return found
        names = [each.name for each in self.parts.values() if allowed(type(each))]
        kinds = ", ".join(word for word, kind in KINDS.items() if allowed(kind))
        wanted = stated("the name of a {kinds} (there is none)", kinds=kinds)
        if names:
            listed = ", ".join(names[:MOST_NAMED])
            wanted = stated("the name of a {kinds} ({names})", kinds=kinds, names=listed)
        raise part.refusal(key, name, wanted, nearest=nearest(name, names))

    def _check_single(self) -> None:
        seen: set[str] = set()
        for part in self.parts.values():
            if part.one_in_a_scene and part.kind in seen:
                raise part.refusal(
                    "",
                    Plain(stated("a second {kind}", kind=part.kind)),
                    stated("one {kind} in a scene", kind=part.kind),
                )
            seen.add(part.kind)

    # Who carries whom.

    def _carrier(self, part: Part) -> Part | None:
        """What a part is on; None for one with a place of its own. Raises SceneError."""
        mount = part.mount
        if mount is None:
            return None
        carrier = self._find(part, "on", mount.part, lambda kind: kind.kind in part.carriers)
        reach = carrier.reach_of_mounts()
        if reach is None:
            if mount.distance is not None:
                found = Plain(
                    stated("{part}@{distance}", part=mount.part, distance=shown(mount.distance))
                )
                raise part.refusal("on", found, stated('just "{part}"', part=mount.part))
            return carrier
        if mount.distance is None:
            raise part.refusal(
                "on", mount.part, stated('how far along, as in "{part}@20 cm"', part=mount.part)
            )
        if mount.distance > reach:
            raise part.refusal(
                "on",
                Plain(stated("{distance} along", distance=shown(mount.distance))),
                stated("at most {reach}", reach=shown(reach)),
            )
        part.check_mount(carrier, mount.distance)
        return carrier

    def _host(self, part: Part) -> Part | None:
        seen: set[str] = set()
        while not part.has_frame:
            if part.name in seen:
                raise part.refusal("on", part.name, "no circle of parts on one another")
            seen.add(part.name)
            if part.name not in self.carriers:
                return None
            part = self.carriers[part.name]
        return part

    def host(self, part: Part) -> Part | None:
        return self.hosts[part.name]

    # Where everything is.

    def _places(self) -> dict[str, Place]:
        """The place of every part that has one, with each "plumb" worked out along the ropes.

        A rope is laid from left to right: it leaves a sheave on the right and meets the next on the
        left (the other way about on a block rotated to face left).
        """
        places: dict[str, Place] = {
            part.name: place
            for part in self.parts.values()
            if (place := part.given_place(self)) is not None
        }
        pairs = [
            pair
            for rope in self._of(Rope)
            for pair in zip(rope.reeve, rope.reeve[1:], strict=False)
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
                        here, there = self.parts[this.part], self.parts[other.part]
                        lean = there.plumb_lean(other, place)
                        reach = side * (there.plumb_reach(other) + here.plumb_reach(this))
                        if lean:
                            # A sheave in a rope off a drum hangs on the spindle's side of it.
                            reach = math.copysign(reach, -lean)
                        x = start + lean + reach - here.offset_to(this).x
                        places[this.part] = Place(x, place.y)
                        changed = True
        for name, place in places.items():
            if place.x is None:
                part = self.parts[name]
                raise part.refusal(
                    "at",
                    part.unjoined(name=name) if self.unfinished else Plain("plumb"),
                    "a place across: no rope leads from this part to one that has it",
                )
        return places

    def _across(self, entry: ReeveEntry, places: Mapping[str, Place]) -> float | None:
        """The x of what a rope passes at the start, where it is known."""
        part = self.parts[entry.part]
        at = part.point_along(entry.distance or 0.0)
        if at is None and part.name not in places:
            at = self.mounted_at(part)
        if at is None:
            host = self.host(part)
            place = places.get(part.name) or (places.get(host.name) if host else None)
            if place is None or place.x is None:
                return None
            at = place.point
        return at.x + part.offset_to(entry).x

    def mounted_at(self, part: Part) -> Vector | None:
        carrier, mount = self.carriers.get(part.name), part.mount
        if carrier is None or mount is None:
            return None
        return carrier.mount_point(part, mount.distance or 0.0, self)

    def place(self, part: Part) -> Vector:
        return self.mounted_at(part) or self.places[part.name].point

    def local_place(self, part: Part, host: Part) -> Vector:
        carrier, mount = self.carriers[part.name], part.mount
        assert mount is not None
        if carrier is not host:
            return self.local_place(carrier, host)
        return host.local_point(part, mount.distance or 0.0)

    # The frames.

    def _frame(self, part: Part) -> Frame:
        point_masses = tuple(
            PointMass(each.name, each.point_mass, self.local_place(each, part))
            for each in self.parts.values()
            if each.point_mass is not None and each is not part and self.host(each) is part
        )
        return part.frame(self, point_masses)

    # The ropes.

    def _line(self, rope: Rope, frames: Mapping[str, Frame]) -> Line:
        last = len(rope.reeve) - 1
        waypoints = []
        for index, entry in enumerate(rope.reeve):
            key, is_end = f"reeve[{index}]", index in (0, last)
            part = self._find(rope, key, entry.part, _holds_ropes if is_end else _leads_ropes)
            part.check_entry(rope, key, entry, is_end)
            waypoints.append(part.waypoint(self, entry, first=index == 0))
        start = {name: frame.pose for name, frame in frames.items()}
        centres = [waypoint.centre(start) for waypoint in waypoints]
        points = list(centres)
        for end, beside in ((0, 1), (last, last - 1)):
            # Of a drum: where a rope to the middle of what is next would leave it.
            away = (1 if end == 0 else -1) * waypoints[end].signed_radius
            span = tangent(centres[end], away, centres[beside], 0.0)
            points[end] = span.start if span else centres[end]
        for i in range(1, last):
            if waypoints[i].winding:
                continue
            before = points[i] - points[i - 1]
            after = points[i + 1] - points[i]
            cross = before.cross(after)
            if abs(cross) <= 1e-9 * before.norm * after.norm:
                found = Plain("a rope that passes straight by")
                raise rope.refusal(f"reeve[{i}]", found, self.parts[waypoints[i].part].turned_at)
            waypoints[i] = waypoints[i]._replace(winding=1 if cross > 0 else -1)
        for i in range(last):
            here, there = waypoints[i].signed_radius, waypoints[i + 1].signed_radius
            span = tangent(centres[i], here, centres[i + 1], there)
            if span is None or span.length < 1e-4:
                found = Plain("no room for a span of rope")
                raise rope.refusal(f"reeve[{i + 1}]", found, "parts further from one another")
        return Line(rope.name, tuple(waypoints))

    # What must hold of the whole.

    def _check_connected(self) -> None:
        links: dict[str, set[str]] = {name: set() for name in self.parts}
        pairs = [(name, carrier.name) for name, carrier in self.carriers.items()]
        for part in self.parts.values():
            for ref in part.references():
                self._find(part, ref.key, ref.name, ref.allows)
                if ref.joins:
                    pairs.append((part.name, ref.name))
        for one, other in pairs:
            links[one].add(other)
            links[other].add(one)
        machines = self._machines(links)
        moving = [names for names in machines if any(self.parts[n].can_move for n in names)]
        if not moving and (self.parts or not self.unfinished):
            if self.unfinished:
                part = next(iter(self.parts.values()))
                raise part.refusal("", part.unjoined(name=part.name), "parts joined to what moves")
            allowed = label("a lever, wheel and axle, gear, body, weight or moving block")
            raise SceneError("", NOTHING_MOVES(), allowed)
        roped = {rope.name for rope in self._of(Rope)}
        kept = max(moving, key=len, default=set()) if self.unfinished else machines[0]
        for name, part in self.parts.items():
            if name not in kept:
                kind = part.unjoined if {name} in machines else JOINED_TO_NOTHING
                if part.needs_rope and part.has_frame and part.can_move and not links[name] & roped:
                    kind = HANGS_ON_NOTHING
                raise part.refusal("", kind(name=name), "parts joined by ropes or on one another")

    @staticmethod
    def _machines(links: Mapping[str, set[str]]) -> list[set[str]]:
        """The names of the parts that are joined to one another, in the order of the file."""
        found: list[set[str]] = []
        for first in links:
            if not any(first in names for names in found):
                seen, queue = set(), [first]
                while queue:
                    name = queue.pop()
                    if name not in seen:
                        seen.add(name)
                        queue += links[name]
                found.append(seen)
        return found

    def _check_waypoints_free(self) -> None:
        """Raise SceneError where a second rope passes a sheave or post or is wound on a drum."""
        passed: dict[ReeveEntry, str] = {}
        for rope in self._of(Rope):
            for index, entry in enumerate(rope.reeve):
                between = 0 < index < len(rope.reeve) - 1
                if (between or entry.drum) and entry in passed:
                    free = label("a sheave that no rope passes yet ({rope} does)")
                    if entry.drum:
                        free = label("a drum that no rope takes yet ({rope} does)")
                    elif not entry.sheave:
                        free = label("a post that no rope passes yet ({rope} does)")
                    raise rope.refusal(
                        f"reeve[{index}]",
                        ".".join(filter(None, (entry.part, str(entry.sheave or entry.drum)))),
                        stated(free, rope=passed[entry]),
                    )
                if between or entry.drum:
                    passed[entry] = rope.name

    def _check_reeving(self, lines: tuple[Line, ...], frames: Mapping[str, Frame]) -> None:
        tied: set[str] = set()
        held: set[str] = set()
        for line in lines:
            rope = self.part(line.rope, Rope)
            tied |= {point.frame for point in line.waypoints if point.frame is not None}
            ends = [line.waypoints[0].frame, line.waypoints[-1].frame]
            if all(point.frame is None for point in line.waypoints):
                found = MOVES_NOTHING(name=rope.name)
                raise rope.refusal("reeve", found, "a rope that leads to something that moves")
            for index, entry in ((0, rope.reeve[0]), (line.spans, rope.reeve[-1])):
                part = self.parts[entry.part]
                if part.takes_one_rope and part.name in held:
                    allowed = stated("one rope's end in the {kind}", kind=part.kind)
                    raise rope.refusal(f"reeve[{index}]", part.name, allowed)
                held.add(part.name)
            if len(line.waypoints) == 2 and ends[0] == ends[1]:
                raise rope.refusal("reeve", Plain("a rope from a part to itself"), "two parts")
        for name in frames:
            part = self.parts[name]
            if part.needs_rope and name not in tied:
                found = HANGS_ON_NOTHING(name=name)
                raise part.refusal("", found, "a rope made fast to it, or passing it")

    def _check_instruments(self, scene: Scene) -> None:
        for part in self.parts.values():
            part.check_assembled(scene)
        known = quantities.names(scene)
        for index, name in enumerate(self.about.predict):
            if name not in known:
                raise SceneError(
                    f"scene.predict[{index}]",
                    name,
                    stated("a quantity of this scene, such as {names}", names=", ".join(known[:6])),
                    nearest=nearest(name, known),
                )

    def _loads(self) -> list[Part]:
        """What the load may be where the file does not say."""
        rank = max((part.load_rank for part in self.parts.values()), default=0)
        return [part for part in self.parts.values() if part.load_rank == rank > 0]

    def _load(self) -> str | None:
        if self.about.load is not None:
            loads = [part.name for part in self.parts.values() if part.can_be_load]
            if self.about.load not in loads:
                raise SceneError(
                    "scene.load",
                    self.about.load,
                    "a weight, body, lever or moving block",
                    nearest=nearest(self.about.load, loads),
                )
            return self.about.load
        found = self._loads()
        # Weights on one hook, or on one another, are one load.
        hooks = {
            (host.name, self.local_place(part, host) if host is not part else ORIGIN)
            for part in found
            if (host := self.host(part)) is not None
        }
        return found[0].name if len(hooks) == 1 else None

    def _check_floor(self, scene: Scene) -> None:
        floor = self.about.floor
        for frame in scene.frames.values():
            # What comes to a micrometre of it stands on it.
            if floor is not None and frame.kind == "free" and frame.pose.y < floor - 1e-6:
                raise SceneError(
                    "scene.floor",
                    Plain(shown(floor)),
                    stated(
                        "at most at the height of {name}, {y}",
                        name=frame.name,
                        y=shown(frame.pose.y),
                    ),
                )

    def _check_mode(self, scene: Scene) -> None:
        mode = self.about.mode
        if mode not in ("raising", "lowering"):
            return
        hauled = sum(move.distance for move in scene.moves)
        if scene.hand is None:
            raise SceneError("scene.mode", NO_HAND(), "held or released, in a scene without a hand")
        if scene.load is None:
            loads = [part.name for part in self._loads()][:MOST_NAMED]
            either = ", ".join(f'load = "{name}"' for name in loads)
            raise SceneError(
                "scene.load",
                Plain(stated("none named of {names}", names=", ".join(loads)))
                if loads
                else NO_LOAD(),
                stated("the one that is raised, in [scene]: {either}", either=either)
                if loads
                else "the weight, body, lever or moving block that is raised",
            )
        wanted = label("moves that haul in more than they pay out, the mode being raising")
        if mode == "lowering":
            wanted = label("moves that pay out more than they haul in, the mode being lowering")
        if abs(hauled) < units.SMALLEST or (hauled > 0.0) != (mode == "raising"):
            raise scene.hand.refusal(
                "moves",
                Plain(stated("{hauled} hauled in all", hauled=shown(hauled))),
                wanted,
            )


def _holds_ropes(kind: type[Part]) -> bool:
    return kind.holds_ropes


def _leads_ropes(kind: type[Part]) -> bool:
    return kind.leads_ropes
