"""How the forces on a machine change as it moves and as one another change: its tangent stiffness.

A part of rope of tension T and length L pulls across itself, once its ends have moved apart across
it, by T / L for each metre; and an arm that rotates carries its tension, a reaction or a weight
round with it. That is the geometric stiffness: rope and bars are rigid here. Friction changes with
the forces and directions that its law goes by.

Columns are by each coordinate (n), then by the hand's travel.
"""

from __future__ import annotations

import numpy as np

from sandbox.theory.equations import Array, Geometry, Machine


def stiffness(
    machine: Machine, geometry: Geometry, tensions: list[list[float]], reactions: Array
) -> Array:
    """n x (n + 1), N or N m for each m or radian: how the generalised forces change as the machine
    moves while the tension of every part of rope, N, every reaction, s, N, and friction stay."""
    pulls = np.array([tension for parts in tensions for tension in parts])
    turning = geometry.span_rotation
    lengths = np.array([span.length for spans in geometry.spans for span in spans])
    found: Array = -(turning[:, :-1].T * (pulls * lengths)) @ turning
    for speeds, spans, parts in zip(geometry.speeds, geometry.spans, tensions, strict=True):
        for span, tension, *ends in zip(spans, parts, speeds, speeds[1:], strict=False):
            for sign, points in zip((-1.0, 1.0), ends, strict=True):
                for at, x, y, _, rotation in points:
                    if rotation:
                        # Its end is on an arm (y, -x), towards whose axis it goes round.
                        arm = y * span.along.x - x * span.along.y
                        found[at, at] += sign * tension * arm
    for support, reaction in zip(machine.supports, reactions.tolist(), strict=True):
        if machine.rotates[support.frame]:
            angle = geometry.poses[machine.bodies[support.frame].name].angle
            at = machine.first[support.frame] + 2
            found[at, at] -= reaction * support.local.rotated(angle).dot(support.direction)
    for i, (frame, at) in enumerate(zip(machine.bodies, machine.first, strict=True)):
        if machine.rotates[i]:
            mass, centre = machine.weighed(i)
            height = centre.rotated(geometry.poses[frame.name].angle).y
            found[at + 2, at + 2] += mass * machine.gravity * height
    return found


def friction_change(
    machine: Machine,
    geometry: Geometry,
    tensions: list[list[float]],
    reactions: Array,
    frictions: Array,
    signs: Array,
    *,
    static: bool,
) -> Array:
    """c x (n + 1 + r + s): how each friction changes where `Machine.limiting_friction` gave
    `frictions`, c; the further columns are by the tension of each rope's last part and by each
    reaction. `tensions`, N, are of every part. What is accelerated with a sheave goes for constant.
    """
    n, ropes = machine.size + 1, len(machine.lines)
    found = np.zeros((len(machine.contacts), n + ropes + len(machine.supports)))
    turning = geometry.span_rotation
    tension_after = np.eye(ropes, found.shape[1], n)
    senses = signs.tolist()
    for k, contact in reversed(machine.rope_contacts):
        coefficient = contact.static if static else contact.kinetic
        if senses[k] and coefficient:
            line, j = contact.line, contact.waypoint
            before, after = tensions[line][j - 1 : j + 1]
            passing = machine.passing(geometry, contact)
            by = contact.increment_slopes(passing, coefficient, before, after, senses[k])
            row, span = found[k], machine.first_span[line] + j
            row += by.after * tension_after[line]
            wound = by.angle * machine.lines[line].waypoints[j].winding
            row[:n] += (by.turned_before - wound) * turning[span - 1]
            row[:n] += (by.turned_after + wound) * turning[span]
            tension_after[line] -= row
    for k, pressed in machine.frame_contacts:
        coefficient = senses[k] * (pressed.static if static else pressed.kinetic)
        if coefficient:
            for component, share in pressed.pressed_by(reactions, frictions):
                for i, part in component.reactions.items():
                    found[k, n + ropes + i] += coefficient * share * part
                for other, part in component.frictions.items():
                    found[k] += coefficient * share * part * found[other]
    return found
