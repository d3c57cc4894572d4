"""What a new part needs to fit a machine: somewhere to be, usual sizes, a rope to join it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from sandbox import units
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Anchor, Block, Body, Gauge, Lever, Ramp, Rope, Rule, Weight

Keys = dict[str, Any]
ROOM = 0.2
"""How far from what is there a new part is put, metres."""
USUAL: dict[str, Keys] = {
    "lever": {"length": "1 m", "mass": "400 g", "fulcrum": "50 cm"},
    "block": {"bearing": 0.2},
    "ramp": {"length": "1 m", "angle": "20 deg", "static": 0.35, "kinetic": 0.3},
    "body": {"mass": "1 kg"},
    "weight": {"mass": "500 g"},
    "windlass": {"bearing": 0.2},
}


@dataclass
class Fitting:
    """What is to be written so that a part fits."""

    tables: list[tuple[str, str, Keys]] = field(default_factory=list)
    """New parts: kind, name and keys."""
    passes: list[tuple[str, str]] = field(default_factory=list)
    """Ropes, and what each is to pass besides, just before its last end."""


def fit(scene: Scene, kind: str, name: str, keys: Mapping[str, Any], join: bool) -> Fitting:
    """What adds a part of that kind and name to a scene.

    `keys` are as a file has them, and go before any guess. Without `join` no rope is touched.
    """
    return _Fitter(scene, join).fit(kind, name, dict(keys))


class _Fitter:
    def __init__(self, scene: Scene, join: bool) -> None:
        self.scene = scene
        self.join = join
        self.fitting = Fitting()
        self.taken = set(scene.parts)
        points = [Vector(p.x, p.y) for p in scene.start.values()] + list(scene.fixed.values())
        self.right = max((p.x for p in points), default=0.0)
        self.low = min((p.y for p in points), default=0.0)

    def fit(self, kind: str, name: str, keys: Keys) -> Fitting:
        self.taken.add(name)
        guess = dict(USUAL.get(kind, {}))
        if kind == "ramp" and sum(key in keys for key in ("length", "rise", "angle")) >= 2:
            guess = {key: guess[key] for key in ("static", "kinetic")}
        elif kind == "ramp" and "rise" in keys:
            del guess["angle"]
        if kind == "ramp" and "static" in keys and "kinetic" not in keys:
            del guess["kinetic"]
        placed = bool({"at", "on", "under"} & set(keys))
        getattr(self, f"_{kind}")(name, guess | keys, placed)
        return self.fitting

    def _add(self, kind: str, name: str, keys: Keys) -> None:
        self.taken.add(name)
        self.fitting.tables.append((kind, name, keys))

    # What there is to join on to.

    def _first(self, kinds: Iterable[type[Any]], without: Iterable[str] = ()) -> Any:
        """The first part of the first of these kinds that there is."""
        left_out = set(without)
        for kind in kinds:
            for part in self.scene.of(kind):
                if part.name not in left_out:
                    return part
        return None

    def _mover(self, without: Iterable[str] = ()) -> str:
        """Something that moves, as a rope's end is made fast to it."""
        left_out = set(without)
        for lever in self.scene.of(Lever):
            if lever.name not in left_out:
                return f"{lever.name}@{_cm(0.95 * lever.length)}"
        moving = [p.name for p in self.scene.of(Block) if p.moves]
        moving += [part.name for part in self.scene.of(Body)]
        moving += [part.name for part in self.scene.of(Weight) if part.name in self.scene.frames]
        return next((part for part in moving if part not in left_out), "")

    def _place(self, entry: str) -> Vector:
        name, _, distance = entry.partition("@")
        pose = self.scene.start[name]
        along = units.read(distance, units.LENGTH) if distance else 0.0
        return pose.point(Vector(along, 0.0))

    def _rope_between(self, *entries: str) -> None:
        if self.join and all(entries):
            self._add("rope", free_name("rope", self.taken), {"reeve": list(entries)})

    # Each kind of part.

    def _weight(self, name: str, keys: Keys, placed: bool) -> None:
        if not placed:
            lever = self._first([Lever])
            keys["on"] = (
                f"{lever.name}@{_cm(min(0.3, lever.length / 2))}"
                if lever
                else self._mover().partition("@")[0]
            )
        self._add("weight", name, keys)
        if "at" in keys:
            self._rope_between(name, self._mover())

    def _body(self, name: str, keys: Keys, placed: bool) -> None:
        ramp = self._first([Ramp])
        if not placed and ramp is None:
            self._ramp(free_name("ramp", self.taken), dict(USUAL["ramp"]), False, (name, keys))
            return
        if not placed:
            keys["on"] = f"{ramp.name}@{_cm(ramp.surface / 2)}"
        self._add("body", name, keys)

    def _ramp(
        self, name: str, keys: Keys, placed: bool, body: tuple[str, Keys] | None = None
    ) -> None:
        if not placed:
            keys["at"] = [_cm(self.right + 2 * ROOM), _cm(self.low)]
        self._add("ramp", name, keys)
        if self.join:
            body_name, body_keys = body or (free_name("body", self.taken), dict(USUAL["body"]))
            self._add("body", body_name, {**body_keys, "on": f"{name}@{_cm(2 * ROOM)}"})
            self._rope_between(body_name, self._mover())

    def _lever(self, name: str, keys: Keys, placed: bool) -> None:
        if not placed:
            keys["at"] = [_cm(self.right + 4 * ROOM), _cm(self.low + ROOM)]
        if "props" in keys:
            keys.pop("fulcrum")
        self._add("lever", name, keys)
        self._rope_between(f"{name}@5 cm", self._mover())

    def _windlass(self, name: str, keys: Keys, placed: bool) -> None:
        mover = self._mover()
        if not placed:
            keys["at"] = [_cm(self.right + 2 * ROOM), _cm(self.low + 4 * ROOM)]
        self._add("windlass", name, keys)
        self._rope_between(f"{name}.axle", mover)

    def _anchor(self, name: str, keys: Keys, placed: bool) -> None:
        mover = self._mover()
        ramp = self._first([Ramp])
        if placed or ramp is None:
            if not placed:
                keys["at"] = ["plumb", _cm(self._place(mover).y + 2 * ROOM)]
            self._rope_between(name, mover)
        else:
            keys |= {"on": f"{ramp.name}@{_cm(ramp.surface)}", "height": "3 cm"}
        self._add("anchor", name, keys)

    def _hand(self, name: str, keys: Keys, placed: bool) -> None:
        mover = self._mover()
        body = self._first([Body])
        if body is not None and not placed:
            keys |= {"on": f"{body.on.part}@{_cm(body.on.distance + 2 * ROOM)}", "height": "3 cm"}
            mover = body.name
        elif not placed:
            side = -1.0 if "@" in mover else 1.0
            keys["at"] = ["plumb", _cm(self._place(mover).y + side * 1.5 * ROOM)]
        self._add("hand", name, keys)
        self._rope_between(mover, name)

    def _rope(self, name: str, keys: Keys, _placed: bool) -> None:
        if "reeve" not in keys:
            used = {entry.part for rope in self.scene.of(Rope) for entry in rope.reeve}
            hand, anchor = self.scene.hand, self._first([Anchor], used)
            mover = self._mover()
            if hand is not None and hand.name not in used:
                keys["reeve"] = [mover, hand.name]
            elif anchor is not None:
                keys["reeve"] = [anchor.name, mover]
            elif other := self._mover([mover.partition("@")[0]]):
                keys["reeve"] = [mover, other]
            elif self.scene.fixed:
                keys["reeve"] = [next(iter(self.scene.fixed)), mover]
            else:
                self.join = False
                self._anchor(hook := free_name("anchor", self.taken), {}, False)
                keys["reeve"] = [hook, mover]
        self._add("rope", name, keys)

    def _gauge(self, name: str, keys: Keys, _placed: bool) -> None:
        used = [gauge.rope for gauge in self.scene.of(Gauge)]
        rope = self._first([Rope], used) or self._first([Rope])
        if rope is not None:
            keys = {"rope": rope.name} | keys
        weight = self.scene.about.gravity * sum(f.mass for f in self.scene.frames.values())
        full = next(r for r in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1e3, 1e9) if r >= weight)
        self._add("gauge", name, {"range": f"{full:g} N", "graduation": f"{full / 50:g} N"} | keys)

    def _rule(self, name: str, keys: Keys, _placed: bool) -> None:
        along = self._first([Lever, Ramp], [rule.along for rule in self.scene.of(Rule)])
        guess: Keys = {"along": self._mover().partition("@")[0], "length": "1 m"}
        if along is not None:
            length = along.length if isinstance(along, Lever) else along.surface
            guess = {"along": along.name, "length": _cm(length)}
        self._add("rule", name, guess | keys)

    def _block(self, name: str, keys: Keys, placed: bool) -> None:
        if "under" in keys:
            keys.setdefault("drop", _cm(2 * ROOM))
        if keys.get("moves"):
            keys.setdefault("mass", "80 g")
        rope = self._free_rope()
        if rope is None and not placed:
            carrier = self._first([Ramp, Body, Lever, Weight])
            far = {Ramp: "surface", Lever: "length"}.get(type(carrier))
            along = f"@{_cm(getattr(carrier, far))}" if far else ""
            if carrier is not None:
                keys["on"] = f"{carrier.name}{along}"
        elif rope is not None and not placed:
            sites = next(line.sites for line in self.scene.lines if line.rope == rope.name)
            before, after = (self.scene.centre_of(s, self.scene.start) for s in sites[-2:])
            x = max(before.x, after.x) + ROOM
            up, down = max(before.y, after.y) + ROOM, min(before.y, after.y) - ROOM
            keys["at"] = ["plumb", _cm(down)] if keys.get("moves") else [_cm(x), _cm(up)]
        self._add("block", name, keys)
        if rope is not None and "on" not in keys and self.join:
            self.fitting.passes.append((rope.name, f"{name}.1"))

    def _free_rope(self) -> Rope | None:
        """The rope a block is put in: the one the hand hauls, or else the first."""
        ropes = self.scene.of(Rope)
        hand = self.scene.hand.name if self.scene.hand else None
        return next((r for r in ropes if r.reeve[-1].part == hand), ropes[0] if ropes else None)


def free_name(stem: str, taken: Iterable[str]) -> str:
    """`stem`, with a number after it where that name is taken."""
    names, number = set(taken), 1
    while (name := stem if number == 1 else f"{stem}_{number}") in names:
        number += 1
    return name


def _cm(length: float) -> str:
    return f"{units.plain(100 * length, 5)} cm"
