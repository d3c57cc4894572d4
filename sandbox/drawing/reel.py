"""The sheet of a run for a film: one scale throughout, and labels that stay where they can."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from sandbox.drawing import charts, covers, lettering
from sandbox.drawing.covers import NOTHING, Covers
from sandbox.drawing.layout import (
    HEADING,
    HEIGHT,
    Job,
    attempts,
    boundary,
    fallback,
    fields,
    plans,
    title_block,
    with_left_out,
)
from sandbox.drawing.mechanism import Sketch, View, draw_machine
from sandbox.drawing.steady_labels import Keeper, written
from sandbox.drawing.strokes import BODY, Drawing, Item, Path, Text, bounds
from sandbox.engine import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, Vector

SAMPLES = 7
"""Moments of the run by which the scale is chosen, and the colours of a GIF."""
TIDYING = 0.1
"""s. Sooner than in a window labels leave lines that they have come upon: here nobody waits."""
PROPORTION = 16 / 9
"""Of a frame, its width over its height."""


class _Plan(NamedTuple):
    view: View
    sketches: list[Sketch]


class Reel:
    """The sheet of one run, moment after moment, charts included."""

    def __init__(
        self,
        scene: Scene,
        snapshots: Sequence[Snapshot],
        proportion: float = PROPORTION,
        note: str = "",
        display: Display = Display(),  # noqa: B008 - immutable
        hidden: Covers = NOTHING,
        strokes: Sequence[Sequence[Vector]] = (),
    ) -> None:
        """`strokes` are drawn by hand, at places of the bench, m."""
        display = display.of(scene.about)
        self.hidden, self.strokes = hidden, strokes
        self.scene, self.snapshots, self.note, self.display = scene, snapshots, note, display
        self.width = HEIGHT * proportion
        last = len(snapshots) - 1
        self.samples = [snapshots[round(i * last / (SAMPLES - 1))] for i in range(SAMPLES)]
        job = Job(scene, self.samples, ("",), display)
        self.field, self.charted = fields(job, self.width, strip=True)
        self.panel = self.field._replace(top=self.field.top - HEADING)
        self.keeper = Keeper(self.panel.grown(-1.2))
        self.view = self._view(job)

    def _view(self, job: Job) -> View:
        """The largest view in which every sample's labels find room."""
        found = []
        for plan in plans(job, self.field):
            view = replace(plan.view, origin=self.panel.middle - plan.middle, field=self.panel)
            sketches = [draw_machine(job.scene, s, view, True, job.display) for s in job.snapshots]
            found.append(_Plan(view, sketches))
        for each, care in attempts(found):
            if self.keeper.settle(each.sketches, care):
                return each.view
        plan = fallback(job, self.field)
        return replace(plan.view, origin=self.panel.middle - plan.middle)

    def frame(self, now: Snapshot) -> Drawing:
        """The sheet at a moment of the run. Frames are best asked for in the order of time."""
        display, scene = self.display, self.scene
        sketch = draw_machine(scene, now, self.view, True, display, self.hidden)
        sketch.labels = covers.covered(sketch.labels, self.hidden)
        placed = self.keeper.place(sketch, now.time, patient=True, tidying=TIDYING)
        # Rather all labels anew than one left out.
        if self.keeper.left_out and self.keeper.settle([sketch], "clear of own"):
            placed = self.keeper.place(sketch, now.time, patient=True, tidying=TIDYING)
        labels = written(placed)
        time = self.hidden.display(display, covers.CLOCK).time(now.time)
        heading = display.say("t = {time}", time=time)
        across = lettering.width(heading, BODY, bold=True)
        at = Vector(self.panel.middle.x - across / 2, self.field.top - 6.6)
        note = with_left_out(self.note, self.keeper.left_out, display)
        charted = charts.strip(scene, self.snapshots, self.charted, display, now.time)
        if self.hidden.hides_field(covers.CHARTS):
            charted = covers.covering(self.charted, display.say(covers.HIDDEN_CHARTS))
        block = title_block(scene, self.width, self.view, note, display)
        items = [
            *sketch.items,
            *labels,
            Text(at, heading, "strong"),
            *charted,
            boundary(self.field, self.charted),
            *(covers.titled(item, self.hidden) for item in block),
        ]
        return Drawing(self.width, HEIGHT, (*covers.with_fields(items), *self._inked()))

    def _inked(self) -> list[Item]:
        """The strokes that lie within the panel."""
        drawn = (Path(tuple(map(self.view, stroke)), "pen stroke") for stroke in self.strokes)
        return [stroke for stroke in drawn if self.panel.holds(bounds(stroke))]


def moments(snapshots: Sequence[Snapshot], interval: float) -> Iterator[Snapshot]:
    """The snapshots nearest to moments so far apart, s, and the last one."""
    wanted = snapshots[0].time
    for one, other in pairwise(snapshots):
        while wanted <= (one.time + other.time) / 2:
            yield one
            wanted += interval
    yield snapshots[-1]
