"""A block: sheaves on one pin in a shell."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.facts import NO_ROPE_TO
from sandbox.scene.geometry import Vector
from sandbox.scene.keys import Mount, Place, ReeveEntry
from sandbox.scene.parts.base import Assembly, Part, PinnedPart, Reference, shown
from sandbox.scene.structure import Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

BECKET_GAP, SHEAVE_GAP = 3.0, 4.0
"""In sheave radii: from the becket to the first sheave, and from each sheave to the next. With
these, two blocks set plumb have all their parts of rope parallel."""


@dataclass(frozen=True, kw_only=True)
class Block(PinnedPart):
    """Sheaves side by side on one pin in a shell that does not turn; drawn laid open, four radii
    apart, with the becket three radii to the left of the first."""

    sheaves: int = keys.key(
        "count", "how many sheaves", 1, labels=(label("number of sheaves"),), low=1, high=12
    )
    radius: float = keys.length(
        label("radius of a sheave"), "of a sheave, to the middle of the rope", 0.025, high=5.0
    )
    pin_radius: float = keys.length(
        label("radius of the pin"), "of the pin", 0.004, low=0.0, high=5.0
    )
    bearing_friction: float = keys.coefficient(
        label("friction coefficient of its pin"),
        "bearing",
        "coefficient of friction between sheave and pin",
    )
    mass: float | None = keys.mass(
        label("mass of the block"),
        "of the whole block, sheaves included; by default that of its sheaves",
        None,
    )
    sheave_mass: float = keys.mass(
        label("mass of a sheave"), "of one sheave, taken as a solid disc", 0.005, None
    )
    moves: bool = keys.key(
        "flag",
        "true for a block that the ropes carry",
        False,
        called=label("whether the ropes carry it"),
    )
    becket: bool = keys.key(
        "flag", "false for a block without a becket", True, called=label("whether it has a becket")
    )
    at: Place | None = keys.plumb_place()
    on: Mount | None = keys.mount('what it is fixed to, as "slip@90 cm" or "sled"', None, "rule")
    height: float = keys.height("above the part it is on")
    under: str | None = keys.key(
        "name",
        "the block it hangs below, plumb",
        None,
        called=label("what it hangs below"),
        left_out=label("nothing"),
    )
    drop: float | None = keys.length(
        label("how far below"), "how far below, centre to centre", None
    )
    orientation: float = keys.value(
        label("angle at which it is laid"),
        units.ANGLE,
        "of its row of sheaves, from horizontal",
        0.0,
        low=-6.3,
        high=6.3,
    )

    kind = "block"
    unjoined = NO_ROPE_TO
    carriers = ("ramp", "body", "weight", "lever")
    holds_ropes = True
    leads_ropes = True

    @property
    def has_frame(self) -> bool:
        """Whether it moves by itself, carried by ropes."""
        return self.moves and self.on is None

    @property
    def can_move(self) -> bool:
        """Whether ropes carry it."""
        return self.moves

    @property
    def can_be_load(self) -> bool:
        """Whether ropes carry it."""
        return self.moves

    @property
    def needs_rope(self) -> bool:
        """Whether ropes carry it."""
        return self.moves

    @property
    def total_mass(self) -> float:
        """The mass of the whole block, kg: its sheaves' where none is given."""
        return self.least("mass") if self.mass is None else self.mass

    @property
    def point_mass(self) -> float:
        """The mass of the whole block, kg."""
        return self.total_mass

    def value(self, key: str) -> Any:
        """The value of a key; its mass is by default that of its sheaves."""
        return self.total_mass if key == "mass" else super().value(key)

    def least(self, key: str) -> float:
        """It has at least the mass of its sheaves."""
        return self.sheaves * self.sheave_mass if key == "mass" else super().least(key)

    def check(self) -> None:
        """Raise SceneError unless it has one place, and its masses and radii go together."""
        places = [key for key in ("at", "on", "under") if getattr(self, key) is not None]
        if len(places) != 1:
            found = Plain(", ".join(places) or label("no place"))
            raise self.refusal("", found, "one of at, on, and under with drop")
        if (self.under is None) != (self.drop is None):
            raise self.refusal("drop", Plain("one of them"), "under and drop together")
        if self.moves and self.on:
            raise self.refusal("moves", True, "a block that moves has at or under, not on")
        least = self.least("mass")
        if self.total_mass < least * (1.0 - 1e-9):
            whole, own = shown(self.total_mass, units.MASS), shown(least, units.MASS)
            found = Plain(stated("{whole} in all, with sheaves of {own}", whole=whole, own=own))
            raise self.refusal("mass", found, "at least the mass of its sheaves (sheave_mass)")
        if self.pin_radius >= self.radius:
            found = Plain(shown(self.pin_radius))
            raise self.refusal("pin_radius", found, "less than the sheave's radius")

    def references(self) -> Iterable[Reference]:
        """The block it hangs below."""
        if self.under is not None:
            yield Reference("under", self.under, (self.kind,), joins=False)

    def given_place(self, machine: Assembly) -> Place | None:
        """Its `at`; or below another block, which may itself hang below one, plumb."""
        if self.under is None:
            return self.at
        above, drop = [self], 0.0
        while above[-1].under is not None:
            drop += above[-1].drop or 0.0
            block = machine.part(above[-1].under, Block)
            if block in above:
                raise self.refusal("under", self.under, "no circle of blocks under one another")
            above.append(block)
        top = machine.mounted_at(above[-1]) or above[-1].at
        if top is None:
            raise self.refusal("under", self.under, "a block with a place of its own")
        return Place(None, top.y - drop)

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """A rope passes a sheave, or is made fast to the becket or to the block as a whole."""
        if entry.sheave is not None:
            found = f"{self.name}.{entry.sheave}"
            if not 1 <= entry.sheave <= self.sheaves:
                allowed = stated(
                    "sheave 1 to {sheaves} of {name}", sheaves=self.sheaves, name=self.name
                )
                raise rope.refusal(key, found, allowed)
            if end:
                allowed = stated('an end made fast, as "{name}.becket" or "{name}"', name=self.name)
                raise rope.refusal(key, found, allowed)
        elif not end:
            raise rope.refusal(key, self.name, stated('a sheave, as "{name}.1"', name=self.name))
        if entry.becket and not self.becket:
            raise rope.refusal(
                key, f"{self.name}.becket", stated("{name} has no becket", name=self.name)
            )
        super().check_entry(rope, key, entry._replace(sheave=None, becket=False), end)

    def offset_to(self, entry: ReeveEntry) -> Vector:
        """From the middle of its sheaves to the sheave or becket that a rope passes, m."""
        first = -(self.sheaves - 1) / 2 * SHEAVE_GAP
        if entry.becket:
            along = first - BECKET_GAP
        elif entry.sheave:
            along = first + SHEAVE_GAP * (entry.sheave - 1)
        else:
            return Vector(0.0, 0.0)
        return Vector(along * self.radius, 0.0).rotated(self.orientation)

    def plumb_reach(self, entry: ReeveEntry) -> float:
        """The sheave's radius; to the left on a block that faces left."""
        return math.copysign(self.radius, math.cos(self.orientation)) if entry.sheave else 0.0

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """The sheave that a rope passes, or where it is made fast."""
        found = super().waypoint(machine, entry, first)
        if not entry.sheave:
            return found
        return found._replace(radius=self.radius, block=self.name, sheave=entry.sheave)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """The load on each pin, and what holds a fixed block."""
        yield from (f"pin_load_{i + 1}" for i in range(self.sheaves))
        if self.name in scene.fixed:
            yield "reaction"
