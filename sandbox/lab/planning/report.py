"""A plan as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
import math

from sandbox import units
from sandbox.lab.planning.bench import resolution
from sandbox.lab.planning.plan import Plan
from sandbox.lab.planning.sweeps import swept_dimension
from sandbox.language.display import Display
from sandbox.scene import Scene


def table(plan: Plan, scene: Scene, display: Display | None = None) -> str:
    """Every judged point as CSV, units in the header; what it says is in the reader's language, but
    for the states, which are codes."""
    reader = display or Display()
    say = reader.say
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    shown = [swept_dimension(scene, sweep.key) for sweep in plan.sweeps]
    header = [
        f"{sweep.key} ({d.display})" if d.display else sweep.key
        for sweep, d in zip(plan.sweeps, shown, strict=True)
    ]
    writer.writerow(
        [
            say("gauge range ({unit})", unit="N"),
            say("gauge graduation ({unit})", unit="N"),
            *header,
            say("state"),
            say("reading ({unit})", unit="N"),
            say("of scale (%)"),
            say("graduation of reading (%)"),
            say("reason"),
        ]
    )
    for dial, points in zip(plan.dials, plan.points, strict=True):
        for point in points:
            values = [
                f"{units.convert(value, d):.9g}"
                for value, d in zip(point.values, shown, strict=True)
            ]
            shares = ["", "", ""]
            if point.reading is not None:
                fine = 100 * resolution(dial, point.reading) if point.reading else math.inf
                shares = [
                    f"{point.reading:.9g}",
                    f"{100 * point.reading / dial.range:.6g}",
                    f"{fine:.6g}" if math.isfinite(fine) else "",
                ]
            gauge = [f"{dial.range:g}", f"{dial.graduation:g}"]
            why = reader.describe(point.reason) if point.reason else ""
            writer.writerow([*gauge, *values, point.state, *shares, why])
    return text.getvalue()
