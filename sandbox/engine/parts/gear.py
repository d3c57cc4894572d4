"""A gear: it rotates as a wheel and axle does, or with the one that it is fast on. Where it meshes,
the force of the teeth is part of the rope solution (sandbox.engine.rope_solver), and where it hands
that on to one other gear, so is its rotation, as a sheave's."""

from __future__ import annotations

from sandbox.engine.bodies import MovingBody, Planar
from sandbox.engine.parts import entry
from sandbox.engine.parts.wheel_and_axle import Spindle, TurningInPlace
from sandbox.engine.rope_solver import Ropes, meshes_of
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Scene
from sandbox.scene.parts import Gear


class GearBetween(TurningInPlace):
    """A gear on a spindle of its own between two others, in whose train it is a sheave."""

    def __init__(self, bench: Workbench, frame: Frame) -> None:
        super().__init__(bench, frame, frame.moment_of_inertia)
        self.is_passive = self.is_sheave = True

    def join(self, ropes: Ropes) -> None:
        """Find its sheave."""
        self._sheave = ropes.gear_sheave(self.name)

    def clamp(self) -> None:
        """Be held as drawn for a while, if it is to be."""
        super().clamp()
        self._sheave.clamped = self.clamped

    def unclamp(self) -> None:
        """Be free again after having been held as drawn."""
        super().unclamp()
        self._sheave.clamped = False

    def pull(self, force: Planar) -> None:
        """Be pulled at by somebody in the next step."""
        super().pull(force)
        self._sheave.pull(force, self.mass * self.gravity)

    def go_on_from(self, old: MovingBody) -> None:
        """Go on from where this frame had got to in a machine whose scene was changed since."""
        super().go_on_from(old)
        turned = self.position[2] + self.dt * self.velocity[2] - self.frame.pose.angle
        self._sheave.go_on(turned, self.velocity[2])

    def take_velocity(self, kept: float) -> None:
        """Follow its sheave."""
        sheave = self._sheave
        spin = sheave.turning * sheave.speed
        x, y, angle = self.position
        turned = sheave.turned + sheave.turning * sheave.feed
        angle = self.frame.pose.angle + turned - self.dt * spin
        self.velocity_before, self.velocity = self.velocity, (0.0, 0.0, kept * spin)
        self.position = (x, y, angle)

    @property
    def kinetic(self) -> float:
        """Its sheave has its kinetic energy."""
        return 0.0

    def _bearing_force(self) -> Planar:
        x, y = self._sheave.load()
        return -x, -y, -self._sheave.friction / self._sheave.turning


def _is_between(scene: Scene, frame: Frame) -> bool:
    """Whether a spindle hands on from one mesh to another, and no more."""
    roped = any(w.frame == frame.name for line in scene.lines for w in line.waypoints)
    return len(meshes_of(scene, frame.name)) == 2 and not roped


def _body(bench: Workbench, scene: Scene, frame: Frame) -> MovingBody:
    if _is_between(scene, frame):
        return GearBetween(bench, frame)
    return Spindle(bench, scene, frame)


def _rotating(_scene: Scene, gear: Gear) -> entry.Rotating:
    """Its spindle in its bearing, and its teeth where they lose work."""
    return entry.Rotating(
        (f"{gear.name}.0",) if gear.mesh_efficiency < 1.0 else (),
        (gear.name,) if gear.has_frame and gear.bearing_friction else (),
    )


ENTRY = entry.Entry[Gear](
    fixture=entry.no_fixture,
    body=_body,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="turn",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=entry.no_static_friction,
    rotating=_rotating,
    follows_stretch=True,
)
