"""A fixed post: a rope goes round it and slips on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.facts import NO_ROPE_TO
from sandbox.scene.keys import Mount, Place, ReeveEntry
from sandbox.scene.parts.base import Assembly, Part, check_one_place
from sandbox.scene.structure import Waypoint

if TYPE_CHECKING:
    from sandbox.scene.model import Scene


@dataclass(frozen=True, kw_only=True)
class Post(Part):
    """A post that does not turn. A rope that goes round it by the contact angle theta is held by
    friction: while it slips, the tension behind the post is e^(mu theta) times that before it, and
    while it sticks at most that (the capstan equation; Beer and Johnston, Vector Mechanics for
    Engineers: Statics, section 8.10). Theta is what the drawing shows, 0 to 2 pi, and 2 pi for
    each of the turns that it does not show."""

    at: Place | None = keys.plumb_place()
    on: Mount | None = keys.mount('the ramp it is on, as "slip@1 m"', None)
    height: float = keys.height("above the part it is on")
    radius: float = keys.length(
        label("radius of the post"), "of the post, to the middle of the rope", 0.03, high=5.0
    )
    static_friction: float = keys.coefficient(
        label("coefficient of static friction"),
        "static",
        "coefficient of static friction between rope and post",
        0.3,
    )
    kinetic_friction: float = keys.coefficient(
        label("coefficient of kinetic friction"),
        "kinetic",
        "coefficient of kinetic friction between rope and post",
        0.25,
    )
    turns: int = keys.key(
        "count",
        "whole turns of rope round it, besides the part turn that the drawing shows",
        0,
        labels=(label("whole turns of rope round the post"),),
        low=0,
        high=12,
    )
    winds: str | None = keys.key(
        "choice",
        "which way the rope goes round it, walked from the standing end; needed only where the "
        "drawing shows a rope that passes straight by",
        None,
        choices=("clockwise", "anticlockwise"),
        called=label("which way the rope goes round"),
        words=(label("clockwise"), label("anticlockwise")),
        left_out=label("as the rope lies"),
    )

    kind = "post"
    unjoined = NO_ROPE_TO
    carriers = ("ramp",)
    holds_ropes = True
    leads_ropes = True
    turned_at = 'a post at which the rope turns, or its key winds: "clockwise" or "anticlockwise"'

    @property
    def has_friction(self) -> bool:
        """Whether rope that slips on it is held back."""
        return self.static_friction > 0.0

    def check(self) -> None:
        """Raise SceneError unless it has one place and coefficients that go together."""
        check_one_place(self)
        if self.kinetic_friction > self.static_friction:
            allowed = stated(
                "at most the static coefficient, {static_friction}",
                static_friction=f"{self.static_friction:g}",
            )
            raise self.refusal("kinetic_friction", self.kinetic_friction, allowed)

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where no rope touches it."""
        if not any(point.block == self.name for line in scene.lines for point in line.waypoints):
            raise self.refusal("", NO_ROPE_TO(name=self.name), "a rope that passes it")
        line, index = scene.passing(self.name)
        if scene.contact_angle(line, index, scene.start) < 1e-6:
            raise self.refusal("turns", self.turns, "1 or more: the rope passes straight by")

    def check_entry(self, rope: Part, key: str, entry: ReeveEntry, end: bool) -> None:
        """A rope passes it, between its ends."""
        super().check_entry(rope, key, entry, end)
        if end:
            raise rope.refusal(key, self.name, "an end made fast: round a post a rope passes")

    def plumb_reach(self, entry: ReeveEntry) -> float:
        """Its radius."""
        return self.radius

    def waypoint(self, machine: Assembly, entry: ReeveEntry, first: bool) -> Waypoint:
        """The post, which does not turn."""
        winding = {"anticlockwise": 1, "clockwise": -1, None: 0}[self.winds]
        return (
            super()
            .waypoint(machine, entry, first)
            ._replace(radius=self.radius, winding=winding, block=self.name, turns=self.turns)
        )

    def quantities(self, scene: Scene) -> Iterable[str]:
        """What holds it, and how far the rope goes round it."""
        return ("reaction", "contact_angle")
