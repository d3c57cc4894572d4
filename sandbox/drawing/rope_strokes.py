"""Draws ropes, and writes the tension of each of their parts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import Pen, angle_of, normal, unit
from sandbox.drawing.strokes import Arc
from sandbox.engine.snapshot import Span
from sandbox.scene import Line, Vector, Waypoint
from sandbox.scene.parts import Gauge, Rope, WheelAndAxle

ROD_THICK = 1.5
"""Of a rod, mm."""


def draw_rope(pen: Pen, line: Line) -> None:
    """A rope over its sheaves: taut, slack or parted in each of its parts."""
    if pen.scene.part(line.rope, Rope).rod:
        _rod(pen, line)
        return
    run: list[Vector] = []
    slack = False

    def end_run() -> None:
        if len(run) > 1:
            pen.path(tuple(run), "slack" if slack else "rope")
        run.clear()

    for i in range(line.spans):
        span = pen.spans.get((line.rope, i + 1))
        if span is None:
            end_run()
            continue
        if (span.state != "taut") != slack:
            end_run()
            slack = span.state != "taut"
        start, end = pen.view(span.start), pen.view(span.end)
        if span.state == "parted":
            end_run()
            _parted(pen, start, end)
        else:
            if not run:
                run += [*(_wound(pen, line, 0) if i == 0 else ()), start]
            run += _sagging(start, end) if slack else [end]
        if i + 1 < line.spans:
            following = pen.spans.get((line.rope, i + 2))
            if following is not None and line.waypoints[i + 1].radius > 0.0:
                run += _around(pen, line.waypoints[i + 1], span.end, following.start)[1:]
    if run:
        run += reversed(_wound(pen, line, line.spans))
    end_run()
    hand = pen.scene.hand.name if pen.scene.hand else ""
    for site in (line.waypoints[0], line.waypoints[-1]):
        if site.frame != hand and not site.is_drum:
            pen.circle(pen.view(pen.scene.centre_of(site, pen.poses)), 0.75, None, "rope")


def _rod(pen: Pen, line: Line) -> None:
    """A stiff rod, with a pin at each end on what moves."""
    span = pen.spans.get((line.rope, 1))
    if span is None:
        return
    start, end = pen.view(span.start), pen.view(span.end)
    if span.state == "parted":
        _parted(pen, start, end)
        return
    way = end - start
    pen.slab(start, unit(way), way.norm, ROD_THICK, "edge", "paper")
    hand = pen.scene.hand.name if pen.scene.hand else ""
    for site, at in ((line.waypoints[0], start), (line.waypoints[1], end)):
        if site.frame != hand:
            pen.circle(at, 0.75, "edge", "paper")


def _wound(pen: Pen, line: Line, index: int) -> list[Vector]:
    """What is seen of a rope on the drum that it is made fast to, towards where it leaves: its
    last turn, or what is left of that."""
    site, entry = line.waypoints[index], pen.reeve(line)[index]
    if not site.is_drum:
        return []
    winch, span = pen.scene.part(entry.part, WheelAndAxle), pen.spans[line.rope, max(index, 1)]
    off = winch.unwinding_direction(entry.drum)
    left = math.tau * winch.initial_turns - off * pen.poses[entry.part].angle
    sweep = off * min(max(left, 0.0), math.tau)
    centre = pen.scene.centre_of(site, pen.poses)
    leaves = angle_of((span.end if index else span.start) - centre)
    radius = site.radius * pen.view.scale
    return list(Arc(pen.view(centre), radius, leaves - sweep, sweep, "").points[:-1])


def _around(pen: Pen, site: Waypoint, meets: Vector, leaves: Vector) -> tuple[Vector, ...]:
    """The arc of a rope round a sheave, from where it meets it to where it leaves it."""
    centre = pen.scene.centre_of(site, pen.poses)
    first = angle_of(meets - centre)
    sweep = (site.winding * (angle_of(leaves - centre) - first)) % math.tau
    # A rope that only just touches has a sweep of nothing, not of a whole turn.
    sweep = sweep - math.tau if sweep > math.tau - 0.1 else sweep
    radius = site.radius * pen.view.scale
    return Arc(pen.view(centre), radius, first, site.winding * sweep, "").points


def _sagging(start: Vector, end: Vector) -> list[Vector]:
    """A slack part: a curve that hangs between its ends. How far is only a sign."""
    gap = end - start
    side = normal(unit(gap))
    drop = side if side.y < -0.05 or (abs(side.y) <= 0.05 and side.x > 0) else side.rotated(math.pi)
    depth = min(3.0, 0.12 * gap.norm)
    shares = [i / 16 for i in range(1, 17)]
    return [start + s * gap + depth * 4 * s * (1 - s) * drop for s in shares]


def _parted(pen: Pen, start: Vector, end: Vector) -> None:
    """Two torn ends with a gap between them."""
    gap = end - start
    for root, way in ((start, gap), (end, gap.rotated(math.pi))):
        tip = root + 0.36 * way
        pen.path((root, tip), "rope")
        for fan in (-0.5, 0.0, 0.5):
            pen.path((tip, tip + 2.4 * unit(way).rotated(fan)), "strand")


def draw_tensions(pen: Pen) -> None:
    """The tension of each part of each rope; one label where neighbours are alike."""
    gauged = {(line.rope, i + 1) for line, i in map(pen.scene.gauge_span, pen.scene.of(Gauge))}
    for line in pen.scene.lines:
        alike: list[Span] = []
        for i in range(line.spans + 1):
            span = pen.spans.get((line.rope, i + 1))
            if alike and (span is None or _shown(pen, span) != _shown(pen, alike[0])):
                _tension(pen, alike, gauged)
                alike = []
            if span is not None:
                alike.append(span)


def _shown(pen: Pen, span: Span) -> str:
    if span.state != "taut":
        return pen.display.say(span.state)
    return pen.display.force(span.tension, pen.largest)


def _tension(pen: Pen, alike: Sequence[Span], gauged: set[tuple[str, int]]) -> None:
    if math.isnan(alike[0].tension):
        return  # left for someone to find out
    hand = pen.scene.hand
    if len(alike) == 1:
        span = alike[0]
        held = hand and pen.now.hand and pen.now.hand.holding
        at_hand = held and pen.now.hand and (span.end - pen.now.hand.at).norm < 1e-6
        if (span.rope, span.number) in gauged or at_hand:
            return
    anchors = [
        pen.view(span.start + share * (span.end - span.start))
        for span in alike
        for share in (0.5, 0.35, 0.65, 0.2, 0.8)
    ]
    text = _shown(pen, alike[0])
    if len(alike) > 1 and alike[0].state == "taut":
        text = pen.display.say("parts_each", count=len(alike), force=text)
    key = f"{alike[0].rope}.tension_{alike[0].number}"
    pen.sketch.labels.append(Label(((text, "tension"),), tuple(anchors), key=key))
