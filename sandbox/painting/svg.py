"""Writes a drawing as SVG 1.1, in the same millimetres, for a file or inside a page of HTML.

It needs nothing from outside. Each text says how long it is, so that it fills its box and no more
where the reader has another font than the sheet's.
"""

from __future__ import annotations

import re
import zlib
from html import escape

from sandbox.drawing import lettering
from sandbox.drawing.layout import described
from sandbox.drawing.strokes import HALO, LINES, TEXTS, Arc, Circle, Drawing, Item, Text
from sandbox.language.display import Display
from sandbox.painting.paper import Colour, Paper
from sandbox.scene import Scene, Vector

FAMILIES = (
    "'IBM Plex Sans Condensed','Roboto Condensed','Arial Narrow','Liberation Sans Narrow',"
    "Arial,Helvetica,sans-serif"
)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def svg(
    drawing: Drawing,
    paper: Paper,
    *,
    title: str = "",
    description: str = "",
    inline: bool = False,
) -> str:
    """The drawing as the text of an SVG file; `inline`, as an element to put into a page.

    `title` and `description` are what a screen reader says of it. A file has its size in mm, an
    element fills the width it is given.
    """
    width, height = f"{drawing.width:g}", f"{drawing.height:g}"
    size = 'width="100%"' if inline else f'width="{width}mm" height="{height}mm"'
    prolog = "" if inline else '<?xml version="1.0" encoding="UTF-8"?>\n'
    names: list[str] = []
    attributes = 'role="img"'
    # Names of elements are the whole page's: these hang on what they stand for.
    stem = f"s{zlib.crc32((title + description).encode('utf-8', 'replace')):08x}"
    if title:
        names = [f'<title id="{stem}t">{_text(title)}</title>']
        attributes += f' aria-labelledby="{stem}t"'
    if description:
        names.append(f'<desc id="{stem}d">{_text(description)}</desc>')
        attributes += f' aria-describedby="{stem}d"'
    shapes = "\n".join(_shape(item, drawing.height, paper) for item in drawing.items)
    return (
        f'{prolog}<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {width} {height}" '
        f'{attributes} stroke-linejoin="round" font-family="{FAMILIES}">\n'
        + "".join(f"{line}\n" for line in names)
        + f'<rect width="100%" height="100%" fill="{_hex(paper.ground)}"/>\n{shapes}\n</svg>\n'
    )


def svg_of_scene(drawing: Drawing, paper: Paper, scene: Scene, display: Display) -> str:
    """A drawing of a scene as the text of an SVG file, which says what it is in words as well."""
    title, words = scene.about.title_in(display.language), described(scene, drawing, display)
    return svg(drawing, paper, title=title, description=words)


def _text(text: str) -> str:
    """Text for XML, which has no way to write most control characters."""
    return escape(_CONTROL.sub(lettering.MISSING, text), quote=False)


def _hex(colour: Colour) -> str:
    return "#{:02x}{:02x}{:02x}".format(*colour)


def _shape(item: Item, height: float, paper: Paper) -> str:
    def place(point: Vector) -> str:
        return f"{point.x:.3f},{height - point.y:.3f}"

    if isinstance(item, Text):
        lettered = TEXTS[item.style]
        x, _, y = place(item.at + Vector(0.0, lettering.DESCENT * lettered.size)).partition(",")
        weight = ' font-weight="bold"' if lettered.bold else ""
        rim = ""
        if item.halo:
            rim = f' stroke="{_hex(paper.ground)}" stroke-width="{2 * HALO:g}" paint-order="stroke"'
        return (
            f'<text x="{x}" y="{y}" font-size="{lettered.size:g}"{weight}{rim} '
            f'textLength="{item.box.width:.3f}" lengthAdjust="spacingAndGlyphs" '
            f'fill="{_hex(paper[lettered.ink])}">{_text(item.text)}</text>'
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
