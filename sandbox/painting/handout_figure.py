"""The figure of a handout: the machine alone, without or with what is to be found out."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from sandbox import engine
from sandbox.drawing.layout import machine_alone, sheet
from sandbox.drawing.mechanism import corners
from sandbox.drawing.strokes import Box
from sandbox.engine import Snapshot
from sandbox.lab.handouts.handout import LANDSCAPE, LARGEST_SCALE, Figure
from sandbox.language.display import Display
from sandbox.painting.paper import PAPERS
from sandbox.painting.svg import svg
from sandbox.scene import Scene
from sandbox.scene.parts import Gauge

WIDE, TALL = 1.6, 1.08
"""Proportions of a drawing across the page, and of one beside the apparatus."""
ENGLISH = Display()
DOTS = 300 / 25.4
"""Of a printed picture, per mm."""


def handout_figure(
    scene: Scene,
    answered: bool,
    progress: Callable[[float], None],
    *,
    as_png: bool = False,
    display: Display = ENGLISH,
) -> Figure:
    """The machine as SVG, or as a PNG fit for print.

    Unless `answered`, as it stands at the start, without a force, tension or reading; else with all
    of them: at the middle of its stroke, or at the end. Raises what `engine.run` raises.
    """
    if answered:
        moment = _answered(scene, engine.run(scene, progress=progress).snapshots)
    else:
        moment = _unanswered(scene, next(engine.watch(scene)))
    bench = Box.around(corners(scene, moment))
    proportion = WIDE if bench.width > LANDSCAPE * bench.height else TALL
    drawing = machine_alone(sheet(scene, [moment], [""], proportion, display=display))
    texts = "; ".join(text.text for text in drawing.texts)
    description = display.say("The machine, drawn to scale. On the drawing: {texts}.", texts=texts)
    picture: str | bytes
    if as_png:
        from sandbox.painting import raster

        dots = DOTS * LARGEST_SCALE
        size = round(drawing.width * dots), round(drawing.height * dots)
        picture = raster.png(raster.still(drawing, PAPERS["white"], size))
    else:
        title = scene.about.title_in(display.language)
        picture = svg(drawing, PAPERS["white"], title=title, description=description, inline=True)
    return Figure(picture, drawing.width, drawing.height, description)


def _answered(scene: Scene, snapshots: tuple[Snapshot, ...]) -> Snapshot:
    """The moment at which forces are measured, or else the last."""
    middle = sum(scene.stroke) / 2
    steady = scene.about.mode in ("raising", "lowering")
    return min(
        snapshots, key=lambda s: abs(s.hand.travel - middle) if s.hand and steady else -s.time
    )


def _unanswered(scene: Scene, moment: Snapshot) -> Snapshot:
    """A moment without what is to be predicted: its forces, tensions and readings."""
    spans = tuple(span._replace(tension=math.nan, state="taut") for span in moment.spans)
    readings = {f"{gauge.name}.reading": math.nan for gauge in scene.of(Gauge)}
    return replace(moment, forces=(), readings=readings, spans=spans)
