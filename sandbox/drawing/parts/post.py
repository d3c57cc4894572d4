"""The post: drawn from its end, let into what holds it, with the whole turns of rope round it."""

from __future__ import annotations

from sandbox.drawing.pen import DOWN, Pen
from sandbox.drawing.questions import PartDrawing
from sandbox.engine import Force
from sandbox.scene import Vector
from sandbox.scene.parts import Post


def _draw(pen: Pen, post: Post, dimensions: bool) -> None:
    place = pen.place(post)
    middle, radius = pen.view(place), post.radius * pen.view.scale
    if post.on is not None:
        pen.mount(post.on, place, post.height)
    elif not pen.freed:
        into = pen.hung_from(post.name)
        pen.slab(middle, into, radius + 4.0, max(2.4, 0.7 * radius))
        pen.ground(middle + (radius + 4.0) * into, into, max(2.0 * radius, 10.0))
    pen.circle(middle, radius, "outline", "wood")
    # Rings of the timber: nothing that would show a turn, for it does not turn.
    for share in (0.75, 0.45, 0.2):
        if share * radius > 0.6:
            pen.circle(middle, share * radius, "hatch")
    pen.centre_cross(middle, radius + 2.0)
    pen.bottoms[post.name] = middle + radius * DOWN
    pen.target(f"{post.name}.static_friction", middle)
    pen.target(f"{post.name}.turns", middle + 0.5 * radius * DOWN)
    sides = [middle + (radius + 1.0) * Vector(x, y) for x in (-0.7, 0.7) for y in (0.7, -0.7)]
    pen.note(post.name, (pen.display.part(post.name), "text"), sides)
    if post.turns:
        text = pen.display.say_count(post.turns, "{count} whole turn", "{count} whole turns")
        pen.note(post.name, (text, "text"), sides, f"{post.name}.turns")
    if dimensions and post.static_friction > 0.0:
        show = pen.display
        for text, key in (
            (show.say("µ {value} at rest", value=show.number(post.static_friction)), "static"),
            (show.say("µ {value} sliding", value=show.number(post.kinetic_friction)), "kinetic"),
        ):
            pen.note(post.name, (text, "text"), sides, f"{post.name}.{key}_friction")


def _tail(pen: Pen, post: Post, force: Force, direction: Vector) -> Vector | None:
    if force.kind != "reaction":
        return None
    return pen.view(force.at) + (post.radius * pen.view.scale + 7.0) * direction


DRAWING: PartDrawing[Post] = PartDrawing(
    layer="behind ropes",
    draw=_draw,
    draw_dimensions=None,
    write_values=None,
    prepare=None,
    corners=None,
    half_width=None,
    near_end=None,
    tail=_tail,
    hook=None,
    top=None,
    mount=None,
    edge=None,
)
