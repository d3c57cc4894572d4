"""A gear: a spur wheel that meshes with others."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import keys
from sandbox.scene.errors import Plain
from sandbox.scene.geometry import Pose, Vector
from sandbox.scene.keys import Mount, Place
from sandbox.scene.parts.base import Assembly, Part, PinnedPart, Reference, shown
from sandbox.scene.structure import ORIGIN, Frame, PointMass

if TYPE_CHECKING:
    from sandbox.scene.model import Scene

TOUCHING = 1e-3
"""Share of their distance by which the pitch circles of two gears that mesh may miss each other."""


@dataclass(frozen=True, kw_only=True)
class Gear(PinnedPart):
    """A spur gear on a spindle of its own, or fast on that of a wheel and axle or another gear.

    Gears that mesh roll on one another by their pitch circles, of radius module x teeth / 2: their
    turns are inversely as their teeth, one each way. The tooth force acts along the common tangent
    of these circles (the pressure angle is left out), and the driven gear gets a share of it, the
    efficiency of the mesh: work is lost as motion passes. Which gear drives follows from the
    motion; at rest the force on one is between this share of, and its inverse times, that on the
    other.
    """

    at: Place | None = keys.place(keys.PLACE, None)
    on: Mount | None = keys.mount(
        'the wheel and axle or gear on whose spindle it is fast, as "winch"', None
    )
    meshes: str | None = keys.key(
        "name",
        "the gear it meshes with",
        None,
        called=label("what it meshes with"),
        left_out=label("nothing"),
    )
    direction: float | None = keys.value(
        label("direction from the gear it meshes with"),
        units.ANGLE,
        "in which its middle stands from that of the gear it meshes with",
        None,
        low=-6.3,
        high=6.3,
    )
    teeth: int = keys.key(
        "count", "how many teeth", 20, labels=(label("number of teeth"),), low=6, high=400
    )
    module: float = keys.length(
        label("module of the teeth"),
        "of its teeth: the diameter of the pitch circle for each tooth",
        0.002,
        high=1.0,
    )
    mesh_efficiency: float = keys.value(
        label("efficiency of the mesh"),
        units.NUMBER,
        "share of the work that the mesh with the gear named by meshes passes on",
        1.0,
        low=0.5,
        high=1.0,
        loss="mesh",
    )
    pin_radius: float = keys.length(
        label("radius of the spindle in its bearing"),
        "radius of the spindle in its bearing",
        0.003,
        low=0.0,
        high=5.0,
    )
    bearing_friction: float = keys.coefficient(
        label("friction coefficient of its bearing"),
        "bearing",
        "coefficient of friction between spindle and bearing",
    )
    mass: float = keys.mass(label("mass of the gear"), "its mass", 0.1)
    radius_of_gyration: float | None = keys.length(
        label("radius of gyration"),
        "its radius of gyration; by default that of a solid disc as large as its pitch circle",
        None,
        left_out=label("as of a solid disc"),
        first=0.05,
    )

    kind = "gear"
    carriers = ("wheel_and_axle", "gear")
    rotation_scale = 10 * math.tau

    @property
    def has_frame(self) -> bool:
        """Whether it has a spindle of its own."""
        return self.on is None

    @property
    def has_friction(self) -> bool:
        """Whether its bearing has a friction moment, or its mesh loses work."""
        return super().has_friction or self.mesh_efficiency < 1.0

    @property
    def point_mass(self) -> float:
        """Its mass, kg."""
        return self.mass

    @property
    def pitch_radius(self) -> float:
        """The radius of its pitch circle, m."""
        return self.module * self.teeth / 2

    @property
    def moment_of_inertia(self) -> float:
        """Its own about its spindle, kg m^2."""
        radius = self.radius_of_gyration
        return self.mass * (self.pitch_radius**2 / 2 if radius is None else radius**2)

    def value(self, key: str) -> Any:
        """The value of a key; None of those of a bearing or mesh that it has not."""
        if key in ("pin_radius", "bearing_friction") and self.on is not None:
            return None
        if key == "mesh_efficiency" and self.meshes is None:
            return None
        return super().value(key)

    def check(self) -> None:
        """Raise SceneError unless it has one place, and its keys go together."""
        places = [key for key in ("at", "on", "direction") if getattr(self, key) is not None]
        if len(places) != 1:
            found = Plain(" and ".join(places) or "no place")
            raise self.refusal("", found, "one of at, on, and meshes with direction")
        if self.meshes is None and self.direction is not None:
            raise self.refusal("meshes", Plain("nothing"), "meshes and direction together")
        if self.meshes is not None and self.at is not None:
            raise self.refusal("at", Plain("both at and meshes"), "direction instead of at")
        if self.meshes is None and self.mesh_efficiency != 1.0:
            alone = label("no efficiency of a mesh without meshes")
            raise self.refusal("mesh_efficiency", self.mesh_efficiency, alone)
        if self.on is not None:
            for key in ("pin_radius", "bearing_friction"):
                value, usual = getattr(self, key), keys.keys_of(type(self))[key][1]
                if value != usual:
                    allowed = stated(
                        "no {key}: it has no bearing of its own, {part} has",
                        key=key,
                        part=self.on.part,
                    )
                    raise self.refusal(key, value, allowed)
        elif self.pin_radius >= self.pitch_radius:
            allowed = stated(
                "less than the radius of its pitch circle, {radius}",
                radius=shown(self.pitch_radius),
            )
            raise self.refusal("pin_radius", Plain(shown(self.pin_radius)), allowed)

    def references(self) -> Iterable[Reference]:
        """The gear it meshes with."""
        if self.meshes is not None:
            yield Reference("meshes", self.meshes, (self.kind,))

    def check_assembled(self, scene: Scene) -> None:
        """Raise SceneError where it does not fit the gear that it meshes with, or where a ring of
        meshes would lock the machine."""
        if self.meshes is None:
            return
        other = scene.part(self.meshes, Gear)
        if abs(self.module - other.module) > 1e-9 * other.module:
            allowed = stated(
                "the module of {name}, {module}", name=other.name, module=shown(other.module)
            )
            raise self.refusal("module", Plain(shown(self.module)), allowed)
        apart = (scene.middle_of(self) - scene.middle_of(other)).norm
        wanted = self.pitch_radius + other.pitch_radius
        if abs(apart - wanted) > TOUCHING * wanted:
            found = Plain(stated("spindles {distance} apart", distance=shown(apart)))
            raise self.refusal(
                "meshes",
                found,
                stated("spindles {distance} apart, as the teeth ask", distance=shown(wanted)),
            )
        joined: dict[str, set[str]] = {}
        for mesh in scene.meshes:
            one = joined.setdefault(mesh.frame, {mesh.frame})
            two = joined.setdefault(mesh.other_frame, {mesh.other_frame})
            if one is two and mesh.gear == self.name:
                raise self.refusal("meshes", self.meshes, "no ring of gears: it could not turn")
            one |= two
            joined |= dict.fromkeys(one, one)

    def given_place(self, machine: Assembly) -> Place | None:
        """Its `at`, or beside the gear that it meshes with."""
        return self.at if self.direction is None else Place(*self._middle(machine, ()))

    def mount_point(self, part: Part, distance: float, machine: Assembly) -> Vector:
        """On its spindle."""
        return self._middle(machine, ())

    def _middle(self, machine: Assembly, asking: tuple[Gear, ...]) -> Vector:
        """The place of its middle, for these gears that stand beside one another."""
        if self in asking:
            raise self.refusal("meshes", self.meshes, "no circle of gears beside one another")
        if self.direction is not None and self.meshes is not None:
            other = machine.part(self.meshes, Gear)
            apart = Vector(self.pitch_radius + other.pitch_radius, 0.0).rotated(self.direction)
            return other._middle(machine, (*asking, self)) + apart
        if self.on is not None:
            carrier = machine.part(self.on.part, Part)
            if isinstance(carrier, Gear):
                return carrier._middle(machine, (*asking, self))
            place = carrier.mount_point(self, 0.0, machine)
            assert place is not None
            return place
        assert self.at is not None
        return self.at.point

    def frame(self, machine: Assembly, point_masses: tuple[PointMass, ...]) -> Frame:
        """It only turns, about its spindle, with the gears that are fast on it."""
        return on_spindle(self, machine, self.moment_of_inertia, point_masses)

    def quantities(self, scene: Scene) -> Iterable[str]:
        """The angle of its spindle and what its bearing carries; the tooth force of its mesh."""
        if self.on is None:
            yield from ("turn", "reaction")
        if self.meshes is not None:
            yield "tooth_force"


def on_spindle(
    part: Part, machine: Assembly, inertia: float, point_masses: tuple[PointMass, ...]
) -> Frame:
    """What turns about the spindle of a part whose own moment of inertia is given, kg m^2, with the
    gears that are fast on it."""
    own = part.mass  # type: ignore[attr-defined]
    mass = own + sum(each.mass for each in point_masses)
    inertia += sum(machine.part(each.part, Gear).moment_of_inertia for each in point_masses)
    pose = Pose(*machine.place(part))
    return Frame(part.name, "spindle", part, pose, mass, ORIGIN, inertia, point_masses)
