"""Writes a drawing as SVG 1.1, in the same millimetres."""

from __future__ import annotations

from xml.sax.saxutils import escape

from sandbox.scene import Vector
from sandbox.stage import lettering
from sandbox.stage.drawing import LINES, TEXTS, Arc, Circle, Drawing, Item, Text
from sandbox.stage.paper import Colour, Paper


def svg(drawing: Drawing, paper: Paper) -> str:
    """The drawing as the text of an SVG file."""
    size = f'width="{drawing.width:g}mm" height="{drawing.height:g}mm"'
    view = f'viewBox="0 0 {drawing.width:g} {drawing.height:g}"'
    shapes = "\n".join(_shape(item, drawing.height, paper) for item in drawing.items)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view} stroke-linejoin="round">\n'
        f'<rect width="100%" height="100%" fill="{_hex(paper.ground)}"/>\n{shapes}\n</svg>\n'
    )


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _shape(item: Item, height: float, paper: Paper) -> str:
    def place(point: Vector) -> str:
        return f"{point.x:.3f},{height - point.y:.3f}"

    if isinstance(item, Text):
        lettered = TEXTS[item.style]
        x, _, y = place(item.at.plus(Vector(0.0, lettering.DESCENT * lettered.size))).partition(",")
        weight = ' font-weight="bold"' if lettered.bold else ""
        return (
            f'<text x="{x}" y="{y}" font-size="{lettered.size:g}"{weight} '
            f"font-family=\"'IBM Plex Sans Condensed',sans-serif\" "
            f'textLength="{item.box.width:.3f}" lengthAdjust="spacingAndGlyphs" '
            f'fill="{_hex(paper[lettered.ink])}">{escape(item.text)}</text>'
        )
    fill = None if isinstance(item, Arc) else item.fill
    look = f'fill="{_hex(paper[fill]) if fill else "none"}"'
    if item.style:
        style = LINES[item.style]
        look += f' stroke="{_hex(paper[style.ink])}" stroke-width="{style.width:g}"'
        if style.dashes:
            look += f' stroke-dasharray="{" ".join(f"{dash:g}" for dash in style.dashes)}"'
    if isinstance(item, Circle):
        x, _, y = place(item.centre).partition(",")
        return f'<circle cx="{x}" cy="{y}" r="{item.radius:.3f}" {look}/>'
    closed = not isinstance(item, Arc) and item.closed
    points = " ".join(place(point) for point in item.points)
    return f'<{"polygon" if closed else "polyline"} points="{points}" {look}/>'
