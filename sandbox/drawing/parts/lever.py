"""The lever: drawn as a bar with its centre of mass, fulcrum, supports, stops and arms."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sandbox.drawing.pen import ACROSS, DOWN, UP, Pen, normal
from sandbox.drawing.questions import Hook, NearEnd, PartDrawing, RulerEdge
from sandbox.engine import Snapshot
from sandbox.scene import Pose, Vector
from sandbox.scene.parts import Lever, Mount

PEG = 1.0
"""Radius of a stop's peg, mm."""
POST = 3.5
"""How far a stop's peg stands from what holds it, mm."""
NEAR_END = 20.0
"""A load this near to an end of its lever has its rise measured beyond that end, mm."""


def _thickness(pen: Pen, lever: Lever) -> float:
    """Of a bar as drawn, mm: its file gives none."""
    return min(max(0.03 * lever.length * pen.view.scale, 2.6), 4.4)


def _draw(pen: Pen, lever: Lever, _dimensions: bool) -> None:
    pose = pen.poses[lever.name]
    along = ACROSS.rotated(pose.angle)
    thick = _thickness(pen, lever)
    start = pen.view(Vector(pose.x, pose.y))
    length = lever.length * pen.view.scale
    pen.slab(start, along, length, thick, "outline", "wood")
    out = normal(along)
    own = pen.view(pose.point(lever.centre_of_mass))
    for share in (0.0, 0.94):
        near = start + share * length * along
        pen.pull_target(lever.name, near, near + 0.06 * length * along)
    pen.centre_of_mass(own)
    pen.target(f"{lever.name}.centre", own)
    pen.bottoms[lever.name] = own
    # Beside its centre of mass, where its weight acts.
    beside = [
        own + share * length * along + side * thick / 2 * out
        for share in (0.0, 0.05, -0.05, 0.1, -0.1, 0.2, -0.2)
        for side in (-1.0, 1.0)
    ]
    text = pen.stamped(lever.name, lever.mass)
    pen.note(lever.name, (text, "text"), beside, f"{lever.name}.mass")
    if lever.fulcrum is not None:
        _draw_fulcrum(pen, lever, pose, thick)
    for i, support in enumerate(lever.supports):
        foot = pen.view(pose.point(Vector(support, 0.0))) - thick / 2 * out
        pen.stand(foot, 2.6, 6.0)
        pen.target(f"{lever.name}.supports[{i}]", foot, foot + 6.0 * DOWN)


def _draw_fulcrum(pen: Pen, lever: Lever, pose: Pose, thick: float) -> None:
    pivot = pen.view(pose.point(Vector(lever.fulcrum or 0.0, lever.pivot_height)))
    raised = lever.pivot_height * pen.view.scale
    pen.stand(pivot, 3.6, 8.0)
    pen.target(f"{lever.name}.fulcrum", pivot + 3.0 * DOWN, pivot + 8.0 * DOWN)
    if abs(raised) > thick / 2:
        # The pivot is above or below the bar, on a lug.
        along = ACROSS.rotated(pose.angle)
        on = pen.view(pose.point(Vector(lever.fulcrum or 0.0, 0.0)))
        on = on + math.copysign(thick / 2, raised) * normal(along)
        tip = pivot + math.copysign(1.2, raised) * normal(along)
        lug = (on - 2.4 * along, tip - along, tip + along, on + 2.4 * along)
        pen.path(lug, closed=True, fill="metal")
        pen.circle(pivot, 0.6, None, "ink")
    if lever.support == "pin":
        pen.circle(pivot, 1.1, "outline", "paper")
    pen.path((pivot - 3.0 * UP, pivot + 5.0 * UP), "centre")
    if not pen.freed:
        _draw_stops(pen, lever)


def _draw_stops(pen: Pen, lever: Lever) -> None:
    """The pegs that stop a bar at its greatest tilt to either side, each where it presses: below
    the bar on a post, or where it stands above, hung from one."""
    frame = pen.scene.frames[lever.name]
    hole = frame.pose.point(Vector(lever.fulcrum or 0.0, lever.pivot_height))
    for side in (1, -1):
        peg, tilt = lever.stop_peg(side), side * lever.stop
        arm = peg.local - Vector(lever.fulcrum or 0.0, lever.pivot_height)
        touched = pen.view(hole + arm.rotated(tilt))
        out = UP.rotated(tilt)
        at = touched - peg.sign * (_thickness(pen, lever) / 2 + PEG) * out
        into = DOWN if peg.sign > 0 else UP
        pen.slab(at, into, POST, 1.2)
        pen.ground(at + POST * into, into, 6.0)
        pen.circle(at, PEG, "outline", "metal")
        # Each with the value that its drag changes as it goes.
        key = "stop" if side > 0 else "stop_distance"
        pen.target(f"{lever.name}.{key}", at, at + POST * into)


def _draw_arms(pen: Pen, lever: Lever) -> None:
    """The arm of each weight and rope on a lever, from its fulcrum or else its left end."""
    pose = pen.poses[lever.name]
    zero = lever.fulcrum if lever.fulcrum is not None else 0.0
    frame = pen.scene.frames[lever.name]
    # Each place along it, with the value that says so.
    found = {mass.local.x: _hung_by(pen, mass.part) for mass in frame.point_masses}
    for line in pen.scene.lines:
        for i, entry in enumerate(pen.reeve(line)):
            if entry.part == lever.name and entry.distance is not None:
                found.setdefault(entry.distance, f"{line.rope}.reeve[{i}]")
    ropes_up = sum(1 if tie.direction.y > 0.0 else -1 for tie in pen.ties.get(lever.name, []))
    if lever.fulcrum is None:
        for i, support in enumerate(lever.supports):
            found.setdefault(support, f"{lever.name}.supports[{i}]")
    side = -1.0 if ropes_up > len(frame.point_masses) else 1.0
    out = normal(ACROSS.rotated(pose.angle))
    levels = {-1.0: 0, 1.0: 0}
    for place in sorted(found, key=lambda place: abs(place - zero)):
        arm = place - zero
        if abs(arm) < 1e-6:
            continue
        hand = math.copysign(1.0, arm)
        a = pen.view(pose.point(Vector(zero, 0.0)))
        b = pen.view(pose.point(Vector(place, 0.0)))
        away = side * (_thickness(pen, lever) / 2 + 9.0 + 9.6 * levels[hand])
        levels[hand] += 1
        text, key = pen.display.length(abs(arm)), found[place]
        offset = Vector(out.x * away, out.y * away)
        pen.dimension(a, b, offset, text, key or f"{lever.name}.{place:g}", bool(key))


def _hung_by(pen: Pen, name: str) -> str:
    """The value that says where along its lever a part hangs."""
    on: Mount | None = getattr(pen.scene.parts[name], "on", None)
    return f"{name}.on" if on is not None and on.distance is not None else ""


def _corners(lever: Lever, snapshot: Snapshot) -> Iterator[Vector]:
    yield snapshot.poses[lever.name].point(Vector(lever.length, 0.0))


def _near_end(pen: Pen, lever: Lever, local: Vector) -> NearEnd | None:
    away = min(local.x, lever.length - local.x)
    if away * pen.view.scale > NEAR_END:
        return None
    faces_right = math.cos(pen.poses[lever.name].angle) > 0.0
    return NearEnd((away == local.x) == faces_right, away * pen.view.scale)


def _mount(pen: Pen, lever: Lever, place: Vector, height: float) -> None:
    pen.post(place, height, pen.poses[lever.name].angle)


def _edge(pen: Pen, lever: Lever) -> RulerEdge:
    pose = pen.poses[lever.name]
    start, along = pen.view(Vector(pose.x, pose.y)), ACROSS.rotated(pose.angle)
    return RulerEdge(
        start + _thickness(pen, lever) / 2 * normal(along), along, -1.0 * normal(along)
    )


DRAWING: PartDrawing[Lever] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=_draw_arms,
    write_values=None,
    prepare=None,
    corners=_corners,
    half_width=None,
    near_end=_near_end,
    tail=None,
    hook=lambda pen, lever: Hook(0.0, _thickness(pen, lever) / 2 + 2.0),
    top=None,
    mount=_mount,
    edge=_edge,
)
