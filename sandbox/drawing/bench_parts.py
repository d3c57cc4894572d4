"""Draws the parts that stand, hang, slide and turn, and the hand, each as a function of the pen."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sandbox import units
from sandbox.drawing import dimensioning
from sandbox.drawing.label_placing import Label
from sandbox.drawing.pen import (
    ACROSS,
    DOWN,
    UP,
    Pen,
    angle_of,
    normal,
    shell,
    unit,
)
from sandbox.drawing.strokes import Arc
from sandbox.scene import Pose, Vector
from sandbox.scene.parts import (
    DRUMS,
    SHEAVE_GAP,
    Anchor,
    Block,
    Body,
    Hand,
    Lever,
    Part,
    Ramp,
    ReeveEntry,
    Weight,
    WheelAndAxle,
)

PEG = 1.0
"""Radius of a stop's peg, mm."""
POST = 3.5
"""How far a stop's peg stands from what holds it, mm."""
TOE_HIGH, TOE_THICK = 4.0, 1.6
"""Of the board at the foot of a ramp, mm."""
SHANK = 4.2
"""From where a weight hangs to its top, mm."""
METAL_DENSITY = 7200.0
"""Of the cast iron that weights are drawn as, kg/m^3."""


def draw_floor(pen: Pen, places: Sequence[Vector]) -> None:
    """The floor, as far as the machine's places on the bench reach."""
    floor = pen.scene.about.floor
    if floor is None:
        return
    for weight in pen.scene.of(Weight):
        if spot := _may_land(pen, weight):
            carrier = pen.scene.parts[weight.on.part] if weight.on else None
            reach = pen.standing.get(spot, _clearance(pen, carrier) - spot[1].y * pen.view.scale)
            pen.standing[spot] = reach + SHANK + _size(pen, weight)[1]
    pen.drop = max(pen.standing.values(), default=0.0)
    xs = [point.x for point in places]
    left, right = pen.view(Vector(min(xs), floor)), pen.view(Vector(max(xs), floor))
    middle = Vector((left.x + right.x) / 2, left.y - pen.drop)
    pen.ground(middle, DOWN, right.x - left.x + 16.0, 2.4)


def _may_land(pen: Pen, weight: Weight) -> tuple[str, Vector] | None:
    """Where a weight is on a frame that may come down on the floor; None where on none."""
    frame = pen.scene.frames[pen.scene.carriers.get(weight.name) or weight.name]
    local = pen.scene.carried.get(weight.name, Vector(0.0, 0.0))
    return (frame.name, local) if frame.kind == "free" else None


def _size(pen: Pen, weight: Weight) -> tuple[float, float]:
    """How wide and how high a weight is drawn, mm: a cylinder of cast iron, 0.7 times as high as
    wide, where that can be seen."""
    wide = (4.0 * weight.mass / (math.pi * 0.7 * METAL_DENSITY)) ** (1 / 3) * pen.view.scale
    wide = max(wide, 4.2)
    return wide, max(0.7 * wide, 3.2)


def draw_ramp(pen: Pen, ramp: Ramp, dimensions: bool) -> None:
    """A ramp on its ground, with its length, coefficients, rise and angle."""
    foot = pen.view(ramp.at.point)
    up = ramp.upslope
    head = foot + ramp.surface * pen.view.scale * up
    corner = Vector(head.x, foot.y)
    side = math.copysign(1.0, up.x)
    width = abs(head.x - foot.x)
    middle = Vector((foot.x + head.x) / 2, foot.y)
    pen.ground(middle, DOWN, width + 8.0, 2.4)
    if ramp.slope > 1e-6:
        pen.path((foot, head, corner), "outline", closed=True, fill="wood")
    # Its face, against which a body comes to stand, is where the ramp begins.
    board = foot - 0.5 * TOE_THICK * up
    pen.slab(board, ramp.normal, TOE_HIGH, TOE_THICK, "outline", "wood")
    if not dimensions:
        return
    show = pen.display
    lines = [(show.say("long", name=ramp.name, length=show.length(ramp.surface)), "text")]
    if ramp.static_friction > 0.0 or ramp.kinetic_friction > 0.0:
        static, kinetic = f"{ramp.static_friction:.3g}", f"{ramp.kinetic_friction:.3g}"
        lines.append((show.say("static", value=static), "text"))
        lines.append((show.say("kinetic", value=kinetic), "text"))
    length = head - foot
    inside = tuple(foot + share * length - 0.6 * ramp.normal for share in (0.3, 0.5, 0.65, 0.8))
    values = tuple(f"{ramp.name}.{key}" for key in ("length", "static", "kinetic"))
    label = Label(tuple(lines), inside, pull=1.4, key=values[0], values=values)
    pen.sketch.labels.append(label)
    if ramp.slope <= 1e-6:
        return
    rise = show.say("ramp_rise", length=show.length(ramp.rise or 0.0))
    pen.dimension(corner, head, Vector(side * 9.0, 0.0), rise, f"{ramp.name}.rise", True)
    radius = min(22.0, 0.45 * width)
    start, sweep = (0.0, ramp.slope) if side > 0 else (math.pi, -ramp.slope)
    arc = Arc(foot, radius, start, sweep, "dimension")
    pen.sketch.items.append(arc)
    if radius * ramp.slope > 6.0:
        end = start + sweep
        pen.head(
            arc.points[-1],
            Vector(math.cos(end + side * 1.57), math.sin(end + side * 1.57)),
            2.4,
            1.0,
            "ink",
        )
        pen.head(arc.points[0], Vector(0.0, -1.0), 2.4, 1.0, "ink")
    text = show.value(ramp.slope, units.ANGLE)
    points, key = arc.points, f"{ramp.name}.angle"
    pen.hold(key, *points)
    halfway = points[len(points) // 2]
    pen.sketch.labels.append(
        Label(((text, "text"),), (halfway,), pull=2.0, dot=False, key=key, values=(key,))
    )


def draw_block(pen: Pen, block: Block, dimensions: bool) -> None:
    """A block laid open, with what it hangs from, and its bearing's coefficient of friction."""
    pin = pen.view(pen.place(block))
    radius = block.radius * pen.view.scale
    row = Vector(1.0, 0.0).rotated(block.orientation)
    half = (block.sheaves - 1) / 2 * SHEAVE_GAP * radius
    reach = shell(radius)
    way = _hung_from(pen, block.name, row if block.sheaves > 1 else None)
    _mount(pen, block, pin, way, reach)
    if any(entry.becket for entry in _entries(pen, block)):
        eye = pen.view(pen.place(block) + block.offset_to(ReeveEntry(block.name, becket=True)))
        near = pin - half * row
        pen.slab(near, unit(eye - near), 3.0 * radius, 1.6)
        pen.circle(eye, max(1.0, 0.22 * radius), "outline", "paper")
    pen.capsule(pin, row, half, reach)
    pen.path((pin + (-half - reach - 1.5) * row, pin + (half + reach + 1.5) * row), "centre")
    centres = pen.sheaves(block)
    for number, centre in enumerate(centres, 1):
        _sheave(pen, block, number, centre, radius, row)
    pen.bottoms[block.name] = pin + reach * DOWN
    rim = [pin + side * (half + reach) * row for side in (-1.0, 1.0)]
    if block.moves:
        pen.pull(block.name, *rim)
    for centre in centres:
        pen.hold(f"{block.name}.bearing_friction", centre)
    if block.moves or pen.scene.carriers.get(block.name):
        text = pen.stamped(block.name, block.total_mass)
        pen.note(block.name, (text, "text"), rim, f"{block.name}.mass")
    if dimensions and block.bearing_friction > 0.0:
        text = pen.display.say("bearing", value=f"{block.bearing_friction:.3g}")
        pen.note(block.name, (text, "text"), rim, f"{block.name}.bearing_friction")


def _entries(pen: Pen, block: Block) -> list[ReeveEntry]:
    reeves = [entry for line in pen.scene.lines for entry in pen.reeve(line)]
    return [entry for entry in reeves if entry.part == block.name]


def _hung_from(pen: Pen, name: str, row: Vector | None = None) -> Vector:
    """The way from a fixed part to what it hangs from: against its ropes, square to its row."""
    pulls = [way for _, way in pen.ties.get(name, [])]
    total = Vector(sum(p.x for p in pulls), sum(p.y for p in pulls))
    if row is not None:
        across = normal(row)
        return across if across.dot(total) <= 0.0 else across.rotated(math.pi)
    if total.norm < 1e-6:
        return UP
    # To the nearest 15 degrees, so that the mount does not creep as the ropes swing.
    step = math.pi / 12
    return ACROSS.rotated(round((angle_of(total) + math.pi) / step) * step)


def _mount(pen: Pen, block: Block, pin: Vector, way: Vector, reach: float) -> None:
    if block.moves:
        return
    if block.on is not None:
        carrier = pen.scene.parts[block.on.part]
        if isinstance(carrier, Ramp):
            pen.bracket(pin, carrier, block.height)
        elif isinstance(carrier, Body | Lever):
            pose = pen.poses[carrier.name]
            base = pen.view(pen.place(block) - block.height * UP.rotated(pose.angle))
            pen.slab(base, unit(pin - base), (pin - base).norm, 2.0)
        return
    plate = pin + (reach + 4.0) * way
    pen.slab(pin, way, reach + 4.0, 1.6)
    pen.ground(plate, way, max(2.0 * reach, 10.0))


def _sheave(
    pen: Pen, block: Block, number: int, centre: Vector, radius: float, row: Vector
) -> None:
    pen.circle(centre, radius, "edge", "paper")
    if radius > 4.0:
        pen.circle(centre, 0.84 * radius, "edge")
    pin = max(0.7, block.pin_radius * pen.view.scale)
    turned = pen.now.turns.get(f"{block.name}.{number}", 0.0)
    mark = UP.rotated(turned)
    pen.path((centre + pin * mark, centre + 0.84 * radius * mark), "outline")
    for third in (1, 2):
        spoke = mark.rotated(third * math.tau / 3)
        pen.path((centre + pin * spoke, centre + 0.84 * radius * spoke), "hatch")
    pen.path(
        (centre + (-radius - 2.0) * normal(row), centre + (radius + 2.0) * normal(row)),
        "centre",
    )
    pen.circle(centre, pin, "edge", "metal")


def draw_wheel_and_axle(pen: Pen, winch: WheelAndAxle, dimensions: bool) -> None:
    """A wheel and axle before the bracket that its spindle turns in, with its radii."""
    pin = pen.view(winch.at.point)
    scale, turned = pen.view.scale, pen.poses[winch.name].angle
    rim = winch.wheel * scale
    way = _hung_from(pen, winch.name)
    pen.slab(pin, way, rim + 4.0, 3.0)
    pen.ground(pin + (rim + 4.0) * way, way, max(0.8 * rim, 10.0))
    pen.circle(pin, rim, "outline", "paper")
    pen.circle(pin, 0.9 * rim, "edge")
    for sixth in range(6):
        spoke = UP.rotated(turned + sixth * math.tau / 6)
        style = "hatch" if sixth else "outline"
        pen.path((pin, pin + 0.9 * rim * spoke), style)
    for drum, fill in (("axle", "wood"), ("small", "paper")):
        radius = getattr(winch, drum)
        if radius is not None:
            pen.circle(pin, radius * scale, "outline", fill)
            mark = UP.rotated(turned)
            pen.path((pin, pin + radius * scale * mark), "edge")
    pen.centre_cross(pin, rim + 2.0)
    pen.circle(pin, max(0.7, winch.pin_radius * scale), "edge", "metal")
    pen.bottoms[winch.name] = pin + 0.5 * rim * DOWN
    pen.pull(winch.name, *(pin + 0.7 * rim * Vector(x, y) for x in (-1, 1) for y in (-1, 1)))
    pen.hold(f"{winch.name}.bearing_friction", pin)
    corners = [pin + rim * unit(Vector(x, y)) for x in (-1, 1) for y in (1, -1)]
    text = pen.stamped(winch.name, winch.mass)
    pen.note(winch.name, (text, "text"), corners, f"{winch.name}.mass")
    if not dimensions:
        return
    if winch.bearing_friction > 0.0:
        text = pen.display.say("bearing", value=f"{winch.bearing_friction:.3g}")
        pen.note(winch.name, (text, "text"), corners, f"{winch.name}.bearing_friction")
    levels = {-1: 0, 1: 0}
    foot = pin + rim * DOWN
    for drum in DRUMS:
        radius = getattr(winch, drum)
        if radius is not None:
            # Each on the side on which a rope that hangs from it leaves it: from middle to rope.
            side = -winch.unwinding_direction(drum)
            down = Vector(0.0, -6.0 - 9.6 * levels[side])
            levels[side] += 1
            end = foot + side * radius * scale * ACROSS
            text = pen.display.length(radius)
            pen.dimension(foot, end, down, text, f"{winch.name}.{drum}", True)


def draw_anchor(pen: Pen, anchor: Anchor) -> None:
    """An anchor and what it is let into."""
    at = pen.view(pen.place(anchor))
    ways = [way for _, way in pen.ties.get(anchor.name, [])]
    if anchor.on is not None:
        carrier = pen.scene.parts[anchor.on.part]
        assert isinstance(carrier, Ramp)
        pen.bracket(at, carrier, anchor.height)
    else:
        into = ways[0].rotated(math.pi) if ways else UP
        pen.slab(at, into, 2.6, 1.4)
        pen.ground(at + 2.6 * into, into, 9.0)
    pen.circle(at, 1.1, "outline", "paper")


def draw_lever(pen: Pen, lever: Lever) -> None:
    """A bar with its centre of mass, fulcrum, props and stops."""
    pose = pen.poses[lever.name]
    along = ACROSS.rotated(pose.angle)
    thick = pen.thickness(lever)
    start = pen.view(Vector(pose.x, pose.y))
    length = lever.length * pen.view.scale
    pen.slab(start, along, length, thick, "outline", "wood")
    out = normal(along)
    own = pen.view(pose.point(lever.centre_of_mass))
    for share in (0.0, 0.94):
        near = start + share * length * along
        pen.pull(lever.name, near, near + 0.06 * length * along)
    pen.centre_of_mass(own)
    pen.hold(f"{lever.name}.centre", own)
    pen.bottoms[lever.name] = own
    rim = [start + share * length * along + thick / 2 * out for share in (0.06, 0.94)]
    rim += [start + share * length * along - thick / 2 * out for share in (0.06, 0.94)]
    text = pen.stamped(lever.name, lever.mass)
    pen.note(lever.name, (text, "text"), rim, f"{lever.name}.mass")
    if lever.fulcrum is not None:
        _fulcrum(pen, lever, pose, thick)
    for i, prop in enumerate(lever.supports):
        foot = pen.view(pose.point(Vector(prop, 0.0))) - thick / 2 * out
        pen.stand(foot, 2.6, 6.0)
        pen.hold(f"{lever.name}.supports[{i}]", foot, foot + 6.0 * DOWN)


def _fulcrum(pen: Pen, lever: Lever, pose: Pose, thick: float) -> None:
    pivot = pen.view(pose.point(Vector(lever.fulcrum or 0.0, lever.pivot_height)))
    raised = lever.pivot_height * pen.view.scale
    pen.stand(pivot, 3.6, 8.0)
    pen.hold(f"{lever.name}.fulcrum", pivot + 3.0 * DOWN, pivot + 8.0 * DOWN)
    if abs(raised) > thick / 2:
        # The pivot is above or below the bar, on a lug.
        along = ACROSS.rotated(pose.angle)
        on = pen.view(pose.point(Vector(lever.fulcrum or 0.0, 0.0)))
        on = on + math.copysign(thick / 2, raised) * normal(along)
        tip = pivot + math.copysign(1.2, raised) * normal(along)
        lug = (
            on - 2.4 * along,
            tip - along,
            tip + along,
            on + 2.4 * along,
        )
        pen.path(lug, closed=True, fill="metal")
        pen.circle(pivot, 0.6, None, "ink")
    if lever.support == "pin":
        pen.circle(pivot, 1.1, "outline", "paper")
    pen.path((pivot - 3.0 * UP, pivot + 5.0 * UP), "centre")
    _stops(pen, lever)


def _stops(pen: Pen, lever: Lever) -> None:
    """The pegs that stop a bar at its greatest tilt either way, each where it presses: below it on
    a post, or where it stands above, hung from one."""
    frame = pen.scene.frames[lever.name]
    hole = frame.pose.point(Vector(lever.fulcrum or 0.0, lever.pivot_height))
    for way in (1, -1):
        peg, tilt = lever.stop_peg(way), way * lever.stop
        arm = peg.local - Vector(lever.fulcrum or 0.0, lever.pivot_height)
        touched = pen.view(hole + arm.rotated(tilt))
        out = UP.rotated(tilt)
        at = touched - peg.sign * (pen.thickness(lever) / 2 + PEG) * out
        into = DOWN if peg.sign > 0 else UP
        pen.slab(at, into, POST, 1.2)
        pen.ground(at + POST * into, into, 6.0)
        pen.circle(at, PEG, "outline", "metal")


def draw_body(pen: Pen, body: Body) -> None:
    """A body on its ramp: a slider with its tie, or a roller with its mark."""
    pose = pen.poses[body.name]
    at = pen.view(Vector(pose.x, pose.y))
    high = body.height * pen.view.scale
    text = pen.stamped(body.name, body.mass)
    ramp = pen.scene.part(body.on.part, Ramp)
    out = ramp.normal
    if body.rolls:
        pen.circle(at, high / 2, "outline", "mass")
        mark = UP.rotated(pose.angle)
        pen.path((at, at + 0.42 * high * mark), "outline")
        pen.circle(at, 0.8, "edge", "paper")
        pen.centre_cross(at, high / 2 + 2.0)
        pen.bottoms[body.name] = at
        pen.pull(body.name, at - high / 4 * UP, at + high / 4 * UP)
        rim = [at + high / 2 * unit(Vector(x, y)) for x in (-1, 1) for y in (-1, 1)]
    else:
        along = ramp.upslope
        wide = body.width * pen.view.scale
        middle = at + high / 2 * out
        pen.slab(middle - wide / 2 * along, along, wide, high, "outline", "mass")
        for start, way in pen.ties.get(body.name, []):
            edge = start + wide / 2 / max(abs(way.dot(along)), 0.3) * way
            pen.path((start, edge), "edge")
            pen.circle(start, 0.7, "edge", "paper")
        pen.centre_of_mass(middle)
        pen.bottoms[body.name] = middle
        pen.pull(body.name, middle - 0.4 * wide * along, middle + 0.4 * wide * along)
        top = middle + high / 2 * out
        rim = [top + share * wide * along for share in (-0.4, 0.0, 0.4)]
    pen.note(body.name, (text, "text"), rim, f"{body.name}.mass")


def draw_weight(pen: Pen, weight: Weight) -> None:
    """A weight, hung below what carries it or laid upon it, clear of those before."""
    carrier = pen.scene.parts[weight.on.part] if weight.on else None
    at = pen.view(pen.place(weight))
    text = pen.stamped(weight.name, weight.mass)
    wide, high = _size(pen, weight)
    if isinstance(carrier, Body) and not carrier.rolls:
        out = pen.scene.part(carrier.on.part, Ramp).normal
        base = pen.view(pen.poses[carrier.name].point(Vector(0.0, carrier.height)))
        spot = (round(10 * base.x), round(10 * base.y))
        base = base + pen.hung.get(spot, 0.0) * out
        pen.hung[spot] = pen.hung.get(spot, 0.0) + high
        pen.slab(base, out, high, wide, "outline", "mass")
        pen.bottoms[weight.name] = base + high / 2 * out
        rim = [base + high * out + side * wide / 2 * normal(out) for side in (-1, 1)]
        pen.note(weight.name, (text, "text"), rim, f"{weight.name}.mass")
        pen.hold(f"{weight.name}.mass", base, base + high * out)
        return
    spot = (round(10 * at.x), round(10 * at.y))
    clear = pen.hung.get(spot, _clearance(pen, carrier))
    eye = at + (clear + 1.6) * DOWN
    loop = clear if spot in pen.hung else _clear_of(pen, carrier)
    pen.path((at + loop * DOWN, eye), "outline")
    pen.circle(eye, 1.0, "outline", "paper")
    top = eye + (SHANK - 1.6) * DOWN
    landing = _may_land(pen, weight)
    if landing in pen.standing and spot not in pen.hung:
        # All reach as far down as the longest, so that all come down on one floor.
        top = top + (pen.drop - pen.standing[landing]) * DOWN
    pen.path((eye + DOWN, top), "outline")
    bottom = top + high * DOWN
    pen.slab(top, DOWN, high, wide, "outline", "mass")
    discs = max(2, min(4, round(high / 1.6)))
    for i in range(1, discs):
        y = top + high * i / discs * DOWN
        pen.path((y - wide / 2 * ACROSS, y + wide / 2 * ACROSS), "edge")
    # The slot that lets a disc be laid on the rod.
    pen.path((top, bottom + high / discs * UP), "edge")
    pen.hung[spot] = at.y - bottom.y
    pen.bottoms[weight.name] = bottom
    rim = [
        top + share * high * DOWN + side * wide / 2 * ACROSS
        for side in (-1, 1)
        for share in (0.2, 0.5, 0.8)
    ]
    pen.note(weight.name, (text, "text"), rim, f"{weight.name}.mass")
    if isinstance(carrier, Lever):
        pen.hold(f"{weight.name}.on", eye, bottom)
    elif frame := pen.scene.carriers.get(weight.name, weight.name):
        pen.pull(frame, top, bottom)


def _clear_of(pen: Pen, carrier: Part | None) -> float:
    """Where a weight's loop begins below the point that it hangs from, mm."""
    return shell(carrier.radius * pen.view.scale) if isinstance(carrier, Block) else 0.0


def _clearance(pen: Pen, carrier: Part | None) -> float:
    """Where a weight's ring is below the point that it hangs from, mm."""
    if isinstance(carrier, Lever):
        return pen.thickness(carrier) / 2 + 2.0
    return _clear_of(pen, carrier) + (1.2 if isinstance(carrier, Block) else 0.0)


def draw_hand(pen: Pen, hand: Hand) -> None:
    """The hand that holds the rope, or the end it has let go."""
    state = pen.now.hand
    assert state is not None
    at = pen.view(state.at)
    heading = unit(pen.scene.heading)
    ways = [way for _, way in pen.ties.get(hand.name, [])]
    pull = ways[0].rotated(math.pi) if ways else heading
    bar = normal(pull)
    grip = at + 1.6 * pull
    pen.pull(hand.name, grip - 3.0 * bar, grip + 3.0 * bar)
    if state.holding:
        pen.slab(at, pull, 1.6, 1.4, "edge", "metal")
        pen.capsule(grip, bar, 3.0, 1.1)
    else:
        pen.circle(at, 1.1, "outline", "paper")
        pen.note(hand.name, (pen.display.say("let_go"), "text"), [at])
    if not any(force.kind == "effort" for force in dimensioning.shown_forces(pen)):
        tip = grip + 9.0 * heading
        pen.path((grip + 2.0 * heading, tip - 2.0 * heading), "edge")
        pen.head(tip, heading, 2.6, 1.6, "ink")
