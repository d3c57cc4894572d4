"""What is exerted on each part, from the state that the simulation had in the step just taken:
tensions at waypoints, what supports exerted, weights, somebody's pull. What supports exert each
kind of part says itself (`MovingBody.supporting_loads`).

The sum of the forces is a check of the simulation, not made to fit: it is compared with mass times
the acceleration that pymunk gave the part.
"""

from __future__ import annotations

from sandbox.engine.bodies import ZERO, MovingBody
from sandbox.engine.loads import (
    APPLIED,
    CENTRE,
    DAMPING,
    FIXING,
    SHEAVE_FRICTION,
    TEETH,
    FreeBody,
    Load,
    tension_of,
    weight_of,
)
from sandbox.engine.parts import entry_of
from sandbox.engine.rope_solver import RopeSpan, SpanEnd
from sandbox.engine.simulation import Simulation
from sandbox.scene import Vector, Waypoint

NOWHERE = Vector(0.0, 0.0)


def free_bodies(machine: Simulation) -> dict[str, FreeBody]:
    """Every part that moves or that ropes pull at, freed of its supports, by name; what a part
    carries is part of it. Empty where no step has been taken that shows the forces: before a
    machine that is released has begun to move, and where it is jammed."""
    unstarted = machine.time == 0.0 and machine.scene.about.mode == "released"
    if machine.jammed or unstarted:
        return {}
    pulls = _pulls(machine)
    found = {body.name: _moving(machine, body, pulls) for body in machine.bodies}
    for name in pulls:
        if name in machine.scene.fixed:
            found[name] = _fixed(machine, name, pulls[name])
    return found


def _pulls(machine: Simulation) -> dict[str, list[Load]]:
    """What ropes and teeth exert on each frame and on each part that is fixed to the bench."""
    scene, ropes = machine.scene, machine.ropes
    turning = {body.name: body for body in machine.bodies if body.rotates_in_plane}
    found: dict[str, list[Load]] = {}
    index = 0
    for line in scene.lines:
        for number in range(1, line.spans + 1):
            span = ropes.spans[index]
            index += 1
            for waypoint, end, sign in (
                (line.waypoints[number - 1], span.start, 1.0),
                (line.waypoints[number], span.end, -1.0),
            ):
                if waypoint.slide:
                    # It pulls a wedge, and what is freed is its follower; or a jaw, and freed is
                    # its wedge.
                    continue
                on = waypoint.frame or waypoint.part
                at = _place(waypoint, end, span, turning.get(on))
                force = Vector(sign * span.tension * span.x, sign * span.tension * span.y)
                name = tension_of(span.rope, span.number)
                found.setdefault(on, []).append(Load(name, "tension", at, force))
    for mesh in scene.meshes:
        for on, by, span, sign in (
            (mesh.other_frame, mesh.gear, ropes.at_mesh(mesh)[0], 1.0),
            (mesh.frame, mesh.other, ropes.at_mesh(mesh)[1], -1.0),
        ):
            load = Load(TEETH(gear=by), "normal", mesh.at, sign * span.tension * mesh.along)
            found.setdefault(on, []).append(load)
    return found


def _place(waypoint: Waypoint, end: SpanEnd, span: RopeSpan, turning: MovingBody | None) -> Vector:
    """Where a span pulls: at the point where it leaves a drum or a sheave; but on what rotates
    itself and carries a block, where that hangs, since its sheaves rotate apart from it."""
    at, radius = Vector(end.at_x, end.at_y), waypoint.signed_radius
    if turning is not None:
        x, y, _ = turning.position
        at = Vector(x + end.arm_x, y + end.arm_y)
        radius = radius if waypoint.is_drum else 0.0
    return at + radius * Vector(span.y, -span.x)


def _moving(machine: Simulation, body: MovingBody, pulls: dict[str, list[Load]]) -> FreeBody:
    frame, gravity, pose = body.frame, machine.gravity, body.pose(0.0)
    centre = pose.point(frame.centre)
    loads = [
        Load(weight_of(name), "weight", pose.point(local), Vector(0.0, -mass * gravity))
        for name, mass, local in frame.masses
    ]
    loads += pulls.get(body.name, [])
    for coupling in machine.ropes.couplings:
        if coupling.body is body:
            loads += [
                Load(
                    SHEAVE_FRICTION(block=carried.sheave.block),
                    "friction",
                    centre,
                    NOWHERE,
                    carried.sheave.friction * carried.signed_radius,
                )
                for carried in coupling.sheaves
            ]
    applied = machine.applied_force
    if applied is not None and applied.frame == frame.name and body.applied_force != ZERO:
        x, y, moment = body.applied_force
        at, force = pose.point(applied.local), Vector(x, y)
        # Its moment is that at the place where the part was seen as the step began.
        couple = moment - (at - centre).cross(force) if body.rotates_in_plane else 0.0
        loads.append(Load(APPLIED(part=frame.name), "effort", at, force, couple))
    if body.damping_moment:
        loads.append(Load(DAMPING(), "friction", centre, NOWHERE, body.damping_moment))
    loads += body.supporting_loads()
    pivot_name, pivot = body.pivot()
    x, y, spin = body.velocity
    before_x, before_y, spin_before = body.velocity_before
    dt = machine.dt
    return FreeBody(
        frame.name,
        body.mass,
        body.moment_of_inertia if body.rotates_in_plane else 0.0,
        centre,
        Vector((x - before_x) / dt, (y - before_y) / dt),
        (spin - spin_before) / dt if body.rotates_in_plane else 0.0,
        pivot,
        pivot_name,
        tuple(load for load in loads if load.force != NOWHERE or load.couple),
    )


def _fixed(machine: Simulation, name: str, pulls: list[Load]) -> FreeBody:
    """A part that stands fast, which the simulation does not move: what it is fixed to exerts what
    statics asks of it."""
    part, at = machine.scene.parts[name], machine.scene.fixed[name]
    loads, mass = list(pulls), entry_of(part).fixed_mass(part)
    if mass > 0.0:
        loads.insert(0, Load(weight_of(name), "weight", at, Vector(0.0, -mass * machine.gravity)))
    held = Vector(-sum(load.force.x for load in loads), -sum(load.force.y for load in loads))
    loads.append(Load(FIXING(part=name), "reaction", at, held))
    return FreeBody(name, mass, 0.0, at, NOWHERE, 0.0, at, CENTRE(), tuple(loads), moves=False)
