"""A checked run as files: the time series (CSV), the run (JSON) and the picture (PNG)."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import TYPE_CHECKING

from sandbox import __version__, files, units
from sandbox.check import Report
from sandbox.engine import Recording
from sandbox.facts import Amount, Fact, Field
from sandbox.scene import quantities

if TYPE_CHECKING:
    from sandbox.language.display import Display

LEDGER = ("work_in", "potential", "kinetic", "elastic", "heat", "unaccounted")


def write_run(report: Report, folder: Path, display: Display | None = None) -> list[Path]:
    """Write NAME.csv, NAME.json and NAME.png into `folder`; gives their paths. The picture is in
    the language of `display`, else of the environment.

    Raises OSError, and SceneError where the environment asks for a language there is not.

    >>> import tempfile
    >>> from sandbox.check import check
    >>> from sandbox.scene import load
    >>> from sandbox.shipped import find_scene
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     paths = write_run(check(load(find_scene("fixed_sheave"))), Path(folder))
    ...     [(path.name, path.stat().st_size > 1000) for path in paths]
    [('fixed_sheave.csv', True), ('fixed_sheave.json', True), ('fixed_sheave.png', True)]
    """
    from sandbox import painting
    from sandbox.drawing.layout import agreement
    from sandbox.language.display import Display

    display = display or Display.chosen()
    paths = [folder / f"{report.scene}{end}" for end in (".csv", ".json", ".png")]
    files.write(paths[0], time_series(report.recording))
    files.write(paths[1], run_record(report))
    shots = report.recording.snapshots
    painting.picture(
        report.recording.scene,
        (shots[0], shots[-1]),
        paths[2],
        titles=(display.say("at rest"), display.say("at the end")),
        note=agreement(report, display),
        display=display,
        history=shots,
        size=(2000, 1000),
    )
    return paths


def time_series(recording: Recording) -> str:
    """Every reading and the energy ledger against time, as CSV with units in the header."""
    names = list(recording.snapshots[0].readings)
    kinds = [quantities.kind_of(name) for name in names]
    header = ["time (s)"]
    header += [f"{n} ({k.unit})" if k.unit else n for n, k in zip(names, kinds, strict=True)]
    header += [f"energy.{word} (J)" for word in LEDGER]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    for shot in recording.snapshots:
        row = [shot.time]
        row += [
            units.convert(shot.readings[name], kind.dimension, kind.unit)
            for name, kind in zip(names, kinds, strict=True)
        ]
        energy = shot.energy
        row += [energy.work_in, energy.potential, energy.kinetic, energy.elastic]
        row += [sum(energy.dissipated.values()), energy.unaccounted]
        # Far below any digit that means something, what rounding leaves of zero is zero.
        writer.writerow(f"{round(value, 12) + 0.0:.9g}" for value in row)
    return text.getvalue()


def run_record(report: Report) -> str:
    """The run as JSON: the scene, how it was run, what happened, the comparison, the ledger."""
    recording = report.recording
    last = recording.snapshots[-1]
    return json.dumps(
        {
            "program": f"sandbox {__version__}",
            "scene": report.scene,
            "title": report.title,
            "mode": recording.scene.about.mode,
            "gravity (m/s²)": recording.scene.about.gravity,
            "step (s)": recording.step,
            "duration (s)": last.time,
            "events": [{"time (s)": e.time, **_fact_record(e.fact)} for e in recording.events],
            "notes": [str(fact) for fact in (*report.notes, *report.events)],
            "rows": [row.record("scene") for row in report.rows],
            "not_compared": list(report.not_compared),
            "energy (J)": {
                "work in": last.energy.work_in,
                "potential": last.energy.potential,
                "kinetic": last.energy.kinetic,
                "elastic": last.energy.elastic,
                "heat": dict(last.energy.dissipated),
                "unaccounted": last.energy.unaccounted,
            },
        },
        indent=1,
        ensure_ascii=False,
        allow_nan=False,
    )


def _fact_record(fact: Fact) -> dict[str, object]:
    """A fact for JSON: its code and fields for machines, amounts in SI, and its English text."""
    return {
        "code": fact.code,
        "fields": {name: _plain(field) for name, field in fact.fields.items()},
        "what": str(fact),
    }


def _plain(field: Field) -> object:
    if isinstance(field, Fact):
        return _fact_record(field)
    if isinstance(field, Amount):
        return {"value": field.value, "unit": field.dimension.si}
    if isinstance(field, tuple):
        return [_plain(each) for each in field]
    return field
