"""A machine in one pose with every force on it: what is read off it, and whether it can be."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Unanswerable, Vector
from sandbox.theory import facts
from sandbox.theory.constraints import Loaded
from sandbox.theory.equations import Array, Geometry, Machine, rope_force
from sandbox.theory.friction import SurfaceContact
from sandbox.theory.parts import answers, frame_theory

ROUNDING = 1e-9
"""Of the machine's weight: forces this small are rounding."""


@dataclass(frozen=True)
class State:
    """A machine in one pose with every force on it. Shapes: n coordinates, r ropes, s supports, c
    friction contacts."""

    machine: Machine
    q: Array
    """n: the coordinates, m and radians."""
    geometry: Geometry
    last_tensions: Array
    """r: the tension of every rope's last part, N."""
    reactions: Array
    """s: of every support, N."""
    resistances: Array
    """c: the force or moment that resists motion at every contact, N or N m: of a sheave, by how
    much the tension grows over it, what its inertia takes included."""
    acceleration: Array
    """n: of every coordinate."""

    @cached_property
    def tensions(self) -> list[list[float]]:
        """The tension of every part of every rope, N."""
        return self.machine.tensions(self.last_tensions, self.resistances)

    @property
    def least_tension(self) -> float:
        """The least tension of any part of any rope, N; a rod pushes as well and does not count."""
        ropes = zip(self.machine.tension_only.tolist(), self.tensions, strict=True)
        return min((t for only, parts in ropes if only for t in parts), default=math.inf)

    @property
    def loaded(self) -> list[Loaded]:
        """Every support with its reaction."""
        pairs = zip(self.machine.supports, self.reactions.tolist(), strict=True)
        return [Loaded(*pair) for pair in pairs]

    def pose(self, frame: Frame) -> Pose:
        """Where a frame is."""
        return self.geometry.poses[frame.name]

    def rope_stretch(self) -> Array:
        """r: by how much each rope has stretched, m: the sum of T L / EA (Hooke's law) over its
        parts, with what drums have wound on, which takes its stretch along."""
        machine, geometry = self.machine, self.geometry
        return np.array(
            [
                sum(
                    tensions[i] * (span.length + machine.wound(geometry, number, i))
                    for i, span in enumerate(geometry.spans[number])
                )
                / machine.ropes[number].stiffness
                for number, tensions in enumerate(self.tensions)
            ]
        )


def hand_pull(state: State) -> Vector:
    """The force of the hand on the ropes made fast to it, N."""
    pull, tensions = Vector(0.0, 0.0), state.tensions
    for line, waypoint in state.machine.hand_ends:
        pull = pull - rope_force(state.geometry.spans[line], tensions[line], waypoint)
    return pull


def effort(state: State, heading: Vector | None = None) -> float:
    """The pull of the hand, N: the vector sum of the ropes made fast to it. With a rod in the hand,
    that force's component along `heading`, a unit vector, by default the scene's own."""
    pull, machine = hand_pull(state), state.machine
    if all(machine.tension_only[line] for line, _ in machine.hand_ends):
        return pull.norm
    return pull.dot(heading or machine.scene.heading)


def measured(state: State) -> dict[str, float]:
    """Every force and tilt of a state, under the names of `scene.quantities`, SI."""
    machine, scene, geometry = state.machine, state.machine.scene, state.geometry
    tensions = state.tensions
    found: dict[str, float] = {}
    if machine.hand_ends:
        assert scene.hand is not None
        found[f"{scene.hand.name}.force"] = effort(state)
    fixed: dict[str, Vector] = {}
    for part, theory in answers(scene):
        load = theory.fixed_load(scene, part) if theory.fixed_load else None
        if load is not None:
            fixed[part.name] = load
    for number, line in enumerate(machine.lines):
        for i, tension in enumerate(tensions[number], 1):
            found[f"{line.rope}.tension_{i}"] = tension
        for i, entry in enumerate(machine.ropes[number].reeve):
            if entry.part in fixed:
                pull = rope_force(geometry.spans[number], tensions[number], i)
                fixed[entry.part] = fixed[entry.part] + pull
    found |= {f"{name}.reaction": load.norm for name, load in fixed.items()}
    speeds = geometry.friction_jacobian @ state.acceleration
    for _, contact in machine.rope_contacts:
        passing, j = machine.passing(geometry, contact, state.acceleration), contact.waypoint
        found |= contact.quantities(passing, *tensions[contact.line][j - 1 : j + 1])
    for k, frame_contact in machine.frame_contacts:
        resistance = float(state.resistances[k] + frame_contact.inertia * speeds[k])
        found |= frame_contact.quantities(state.reactions, state.resistances, resistance)
    for frame in machine.frames:
        if quantities := frame_theory(frame.part).pose_quantities:
            found |= quantities(frame.part, state.pose(frame))
    for support, reaction in state.loaded:
        if support.reading:
            found[f"{support.part}.{support.reading}"] = reaction
    readings: dict[str, float] = {}
    for part, theory in answers(scene):
        if theory.reading:
            readings |= theory.reading(scene, part, found)
    return found | readings


def accelerations(state: State) -> dict[str, float]:
    """Of weights on their own ropes upward, and of bodies up their slopes, m/s^2."""
    machine = state.machine
    found = {
        f"{frame.name}.acceleration": float(state.acceleration[at + 1])
        for frame, at in zip(machine.bodies, machine.first, strict=True)
        if frame_theory(frame.part).accelerates
    }
    speeds = state.geometry.friction_jacobian @ state.acceleration
    for contact, speed in zip(machine.contacts, speeds.tolist(), strict=True):
        if isinstance(contact, SurfaceContact):
            found[f"{contact.part}.acceleration"] = speed
    return found


# Whether it can be.


def check_admissible(state: State) -> None:
    """Raise Unanswerable where something would have to pull that can only push, or push that can
    only pull, or a roller would slip, or a rope has left its sheave, or a load is on the floor."""
    machine = state.machine
    small = ROUNDING * machine.force_scale
    for number, tensions in enumerate(state.tensions):
        if min(tensions) < -small and machine.tension_only[number]:
            raise Unanswerable(facts.ROPE_WOULD_PUSH(rope=machine.lines[number].rope))
    for loaded in state.loaded:
        if loaded.reaction < -small and loaded.support.unilateral:
            raise Unanswerable(_lost(state, loaded))
    check_grip(state)
    floor = machine.scene.about.floor
    for frame in machine.frames:
        pose = state.pose(frame)
        check_on_track(frame, pose)
        if floor is not None and frame.kind == "free" and pose.y <= floor:
            raise Unanswerable(facts.LANDS(part=frame.name))
    for _, contact in machine.rope_contacts:
        if machine.passing(state.geometry, contact).angle <= 0.0:
            raise Unanswerable(contact.left_by(machine.lines[contact.line].rope))


def _lost(state: State, loaded: Loaded) -> Fact:
    """That a part leaves a support."""
    part = state.machine.bodies[loaded.support.frame].part
    lost = frame_theory(part).support_lost
    assert lost is not None
    own = [each for each in state.loaded if each.support.part == part.name]
    return lost(part, loaded.support, own)


def check_on_track(frame: Frame, pose: Pose) -> None:
    """Raise Unanswerable where a frame is beyond the ends of what it moves along."""
    leaves = frame_theory(frame.part).leaves_track
    if leaves and (fact := leaves(frame.part, frame, pose)):
        raise Unanswerable(fact)


def check_grip(state: State) -> None:
    """Raise Unanswerable where a roller would slip."""
    for name, (friction, limit) in slips(state).items():
        raise Unanswerable(
            facts.ROLLER_WOULD_SLIP(
                body=name, friction=facts.force(friction), limit=facts.force(limit)
            )
        )


def slips(state: State) -> dict[str, tuple[float, float]]:
    """The rollers that ask more friction of their ramps than they can have: both, N."""
    accelerations = state.geometry.friction_jacobian @ state.acceleration
    found = {}
    for k, contact in state.machine.frame_contacts:
        if not isinstance(contact, SurfaceContact) or not contact.rolls:
            continue
        friction = abs(float(state.resistances[k] + contact.inertia * accelerations[k]))
        limit = contact.grip * contact.pressed(state.reactions, state.resistances)
        if friction > limit + ROUNDING * state.machine.force_scale:
            found[contact.part] = friction, limit
    return found
