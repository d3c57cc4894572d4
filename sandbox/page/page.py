"""The take-home page: one student's bench as one file of HTML that needs nothing else.

`grid` runs the engine over what may be varied, `shapes` takes the sheet's drawing apart, `pack`
makes both small, and `page_of` puts them with the student's task and the script in `assets/page`
into a page. The page shows recordings: it works out no motion and no force.
"""

from __future__ import annotations

import html
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any

from sandbox import units
from sandbox.drawing.dimensioning import FORCES, half_width
from sandbox.drawing.layout import MODES
from sandbox.drawing.pen import View
from sandbox.drawing.strokes import Box
from sandbox.lab.class_work import record as records
from sandbox.lab.class_work import virtual_bench
from sandbox.lab.class_work.deal import Bench
from sandbox.lab.timing import timed
from sandbox.lab.wording import has_name, named_value, spoken
from sandbox.language.display import Display, decimal_sign
from sandbox.language.words import LANGUAGES, Language
from sandbox.page import grid as grids
from sandbox.page import shapes
from sandbox.page.feedback import sealed_feedback
from sandbox.page.grid import DISPLAY, Axis, Grid, RunAll, one_by_one
from sandbox.page.pack import packed
from sandbox.page.refusals import TO_BE_FOUND, TOO_LARGE, TOO_SHARP
from sandbox.page.words import translated
from sandbox.painting import web
from sandbox.painting.paper import PAPERS
from sandbox.scene import (
    Scene,
    SceneError,
    Unanswerable,
    dimension_of,
    parse,
    quantities,
    revised,
    value_of,
)
from sandbox.scene.parts import Gauge, keys_of
from sandbox.scene.read import read_bytes

__all__ = ["LARGEST_PAGE", "Grid", "grid_for", "page_of"]

LARGEST_PAGE = 3_000_000
"""Bytes."""
MODULES = (
    "words", "elements", "hash", "chance", "values", "doubtful", "judging", "record",
    "record_file", "compact", "keeping", "drafts", "recording", "sheet", "chart", "dial",
    "graph", "feedback", "platform", "whose", "striking", "lab", "machine",
)  # fmt: skip
"""Of the script of any page with a bench, each before those that use it."""
_DIMENSIONS = (units.FORCE, units.LENGTH, units.MASS, units.ANGLE, units.ENERGY,
               units.ACCELERATION, units.TIME, units.SPEED, units.MOMENT, units.POWER)  # fmt: skip
_UNITS = (
    "N", "mN", "kN", "lbf", "ozf", "kgf", "m", "cm", "mm", "km", "in", "ft", "kg", "g", "mg", "lb",
    "oz", "deg", "°", "rad", "J", "mJ", "kJ", "N m", "N·m", "ft lbf", "m/s^2", "m/s²", "cm/s^2",
    "ft/s^2", "s", "ms", "min", "m/s", "cm/s", "in/s", "W", "mW",
    "kW", "ft lbf/s",
)  # fmt: skip


# The grid of one bench.


def grid_for(
    bench: Bench,
    ranges: Sequence[str] | None = None,
    run_all: RunAll = one_by_one,
    progress: Callable[[float], None] | None = None,
) -> Grid:
    """The runs a bench's page needs, over the ranges a student may vary ("KEY=LOW..HIGH").

    Without ranges, the load's mass and one place or angle, or as much of that as can be had.
    Raises SceneError, and Unanswerable where a range cannot be recorded.

    >>> from sandbox.lab.class_work.deal import open_file
    >>> from sandbox.shipped import find_scene
    >>> bench = open_file(find_scene("fixed_sheave"))
    >>> [axis.count for axis in grid_for(bench, ["bag.mass=0.4 kg..0.6 kg"]).axes]
    [41]
    """
    stand_ins = _stand_ins(bench)
    if ranges is not None:
        keys = [key.strip() for text in ranges for key in text.partition("=")[0].split("+")]
        # First of all: a message about a range could reveal the value that it should contain.
        if taken := [key for key in keys if key in bench.hidden]:
            raise Unanswerable(TO_BE_FOUND(key=taken[0]))
        axes = grids.axes_for(bench.scene, ranges)
        return grids.record(bench.scene, axes, stand_ins, run_all, progress)
    recorder = grids.Recorder(bench.scene, stand_ins, run_all, progress)
    for among, most in ((grids.STEPS[1], grids.FINE_RUNS), (grids.COARSER, grids.MOST_RUNS)):
        choice = grids.usual(bench.scene, bench.hidden, among)
        try:
            if len(choice) == 1:
                return recorder.record(grids.axes_for(bench.scene, choice))
            if choice:
                axes = grids.axes_for(bench.scene, choice, among)
                return recorder.record(axes, most)
        except Unanswerable as error:
            if error.fact.kind != TOO_SHARP:
                break
    for one in grids.usual(bench.scene, bench.hidden, grids.STEPS[0]):
        with suppress(Unanswerable):
            return recorder.record(grids.axes_for(bench.scene, [one]))
    return recorder.record(())


def _stand_ins(bench: Bench) -> dict[str, float]:
    """For each hidden value, what the scene file has in its place, SI."""
    if not bench.hidden:
        return {}
    plain = parse(read_bytes(bench.text.encode()), bench.scene.name)
    return {key: value_of(plain, key) or 0.0 for key in bench.hidden}


# The page.


def page_of(
    bench: Bench,
    grid: Grid,
    student: str | None = None,
    language: Language | None = None,
    *,
    feedback: bool = True,
) -> str:
    """The whole page, for a student or, where nothing was dealt and none is named, for anybody, who
    is then asked for a label; in a language, or else in that of the browser; with the answers
    sealed in it for when the work is finished, or without `feedback`. Raises Unanswerable where it
    would be too large.

    >>> from sandbox.lab.class_work.deal import open_file
    >>> from sandbox.shipped import find_scene
    >>> bench = open_file(find_scene("fixed_sheave"))
    >>> page_of(bench, grid_for(bench, []), "Student A")[:15]
    '<!doctype html>'
    """
    styles = _styles()
    script = web.joined("page", [*MODULES, "main"])
    about = bench.scene.about
    fields = {
        "TITLE": html.escape(about.title_in(language or "en")),
        "POLICY": html.escape(_policy(script, styles)),
        "STYLES": styles,
        "SCRIPT": script,
        "WITHOUT_SCRIPT": _without_script(),
        "BENCH": web.embedded(contents(bench, grid, student, script, language, feedback)),
    }
    page = web.filled(web.page_asset("page", "page.html"), fields)
    size = len(page.encode())
    if size > LARGEST_PAGE:
        raise Unanswerable(TOO_LARGE(size=round(size / 1000), most=round(LARGEST_PAGE / 1000)))
    return page


def _without_script() -> str:
    """What a page says where its script does not run, in every language."""
    texts = {
        code: Display(code).say("This bench needs JavaScript: open the file in a browser.")
        for code in LANGUAGES
    }
    return "".join(f'<p lang="{code}">{html.escape(text)}</p>' for code, text in texts.items())


def _policy(script: str, styles: str) -> str:
    return (
        "default-src 'none'; base-uri 'none'; form-action 'none'; "
        f"script-src {web.fingerprint(script)}; style-src {web.fingerprint(styles)}; "
        "require-trusted-types-for 'script'; trusted-types 'none'"
    )


def _styles() -> str:
    rules = [f":root{{{web.custom_properties(PAPERS['white'])}}}"]
    dark = web.custom_properties(PAPERS["dark"])
    # Paper is white, whatever the screen is.
    rules.append(f"@media screen and (prefers-color-scheme:dark){{:root{{{dark}}}}}")
    return "\n".join([*rules, web.page_asset("page", "page.css")])


# What the page holds.


def contents(
    bench: Bench,
    grid: Grid,
    student: str | None,
    script: str,
    language: Language | None,
    feedback: bool = True,
) -> dict[str, Any]:
    """What a script is told of a bench and its runs, and its own words in every language, of which
    it speaks one; with `feedback` the answers too, sealed."""
    scene, about = bench.scene, bench.scene.about
    on_bench = virtual_bench.instruments(scene)
    drawn = _drawing(bench, grid)
    varied = _varied(bench, grid)
    measured = [channel.name for channel in grid.plan.once if channel.name in on_bench]
    return {
        "language": language,
        "words": {code: translated(script, code) for code in LANGUAGES if code != "en"},
        "told": {
            code: _told(bench, grid, drawn, varied, Display(code).of(about)) for code in LANGUAGES
        },
        "student": bench.student or student,
        "token": bench.token,
        "dealt": bench.dealt,
        "attempt": bench.attempt,
        "scene": {"name": scene.name, "sha256": records.digest(bench.text), "text": bench.text},
        "predict": [_asked(name) for name in about.predict],
        "instruments": [_instrument(on_bench[name]) for name in measured],
        "chance": {
            "tremor": virtual_bench.TREMOR,
            "tremorShare": virtual_bench.TREMOR_SHARE,
            "placing": virtual_bench.PLACING,
            "eye": virtual_bench.EYE,
            "gap": virtual_bench.GAP,
            "division": virtual_bench.DIVISION,
            "pace": virtual_bench.PACE,
            "stickingSpeed": virtual_bench.STICKING_SPEED,
            "speed": scene.hand.speed if scene.hand else None,
        },
        "worked": _worked(bench),
        "limits": {
            "trials": records.MOST_TRIALS,
            "label": records.LONGEST_LABEL,
            "value": records.LONGEST_VALUE,
            "words": records.LONGEST_WORDS,
            "line": records.LONGEST_LINE,
            "lines": records.MOST_LINES,
            "record": records.LARGEST_RECORD,
        },
        "units": _unit_table(),
        "spellings": units.MEANT,
        "axes": [_axis(axis) for axis in grid.axes],
        "moments": grids.moments(scene, grid.measured),
        "given": _given(bench),
        "feedback": sealed_feedback(bench, grid.measured) if feedback else None,
        "recording": packed(grid),
        "drawing": drawn,
    }


def _named_keys(scene: Scene) -> Iterator[str]:
    """The "PART.KEY"s of a scene that hold one value, which has a name."""
    for part in scene.parts.values():
        for name, (key, _) in keys_of(type(part)).items():
            if has_name(key):
                yield f"{part.name}.{name}"


def _given(bench: Bench) -> dict[str, str]:
    """The values of a bench as it is given, but for those that are hidden."""
    found = {}
    for key in _named_keys(bench.scene):
        with suppress(SceneError):  # what has no one value where it is
            value = None if key in bench.hidden else value_of(bench.scene, key)
            if value is not None:
                dimension = dimension_of(bench.scene, key)
                shown = units.convert(value, dimension)
                found[key] = f"{units.plain(shown, 6)} {dimension.display}".strip()
    return found


def _told(
    bench: Bench, grid: Grid, drawn: Mapping[str, Any], varied: _Varied, display: Display
) -> dict[str, Any]:
    """What a bench and its drawing say, in one language."""
    scene, about = bench.scene, bench.scene.about
    asked = (*about.predict, *virtual_bench.instruments(scene))
    keys = _named_keys(scene)
    return {
        "title": about.title_in(display.language),
        "watch": about.watch_in(display.language),
        "gravity": display.say("g = {value}", value=display.gravity(about.gravity)),
        "mode": display.say(MODES[about.mode]),
        "decimal": decimal_sign(display.language),
        "parts": dict(display.parts),
        "forces": {
            kind: display.say(text, part="{part}", force="").strip()
            for kind, text in FORCES.items()
        },
        "bars": [text for _, text in _bars(drawn["box"], grid.plan.view, display)],
        "labels": _labels(bench, grid, varied, display),
        "hidden": [
            f"{named_value(scene, key, display)}, {bounds}" for key, bounds in bench.bounds.items()
        ],
        "names": {key: named_value(scene, key, display) for key in keys}
        | {name: spoken(scene, name, display) for name in asked},
        "axisNames": [
            display.names([named_value(scene, key, display) for key in axis.keys])
            for axis in grid.axes
        ],
    }


def _asked(name: str) -> dict[str, str]:
    kind = quantities.kind_of(name)
    return {
        "name": name,
        "unit": kind.unit,
        "dimension": kind.dimension.name,
        "example": kind.dimension.examples[0],
    }


def _instrument(found: virtual_bench.Instrument) -> dict[str, Any]:
    return {
        "quantity": found.quantity,
        "form": found.form,
        "dimension": found.dimension.name,
        "unit": found.unit,
        "factor": units.read(f"1 {found.unit}", found.dimension),
        "low": found.low,
        "division": found.division,
        "divisions": found.divisions,
        "scatter": found.scatter,
    }


def _worked(bench: Bench) -> dict[str, Any]:
    """What the page needs to know to do a student's arithmetic with the student's readings."""
    scene = bench.scene
    known = scene.load_frame is not None and not any(k.endswith(".mass") for k in bench.hidden)
    return {
        "hand": scene.hand.name if scene.hand else None,
        "load": scene.load,
        "weight": scene.load_mass * scene.about.gravity if known else None,
        "efforts": [
            {
                "reading": f"{gauge.name}.{word}reading",
                "force": f"{scene.hand.name if scene.hand else ''}.{word}force",
                "zero": gauge.zero,
            }
            for gauge in virtual_bench.effort_gauges(bench)
            for word in virtual_bench.EDGES
        ],
        "raising": scene.about.mode == "raising",
        "timed": [
            {
                "time": each.time,
                "distance": each.distance,
                "acceleration": each.acceleration,
                "sign": each.sign,
            }
            for each in timed(scene)
        ],
    }


def _unit_table() -> dict[str, dict[str, float]]:
    table: dict[str, dict[str, float]] = {"": {"": 1.0, "%": 0.01}}
    for dimension in _DIMENSIONS:
        known: dict[str, float] = {}
        for unit in _UNITS:
            try:
                known[unit] = units.read(f"1 {unit}", dimension)
            except units.UnitError:
                continue
        table[dimension.name] = known
    table[units.NUMBER.name] = table.pop("")
    return table


def _axis(axis: Axis) -> dict[str, Any]:
    return {
        "keys": list(axis.keys),
        "texts": [axis.text(i) for i in range(axis.count)],
        "start": axis.start,
    }


def ropes(scene: Scene) -> list[dict[str, Any]]:
    """Each rope with what it passes, by the radius at which it is drawn round that, m, and the way
    in which it winds."""
    return [
        {
            "rope": line.rope,
            "waypoints": [[abs(site.signed_radius), site.winding] for site in line.waypoints],
        }
        for line in scene.lines
    ]


def _drawing(bench: Bench, grid: Grid) -> dict[str, Any]:
    """What is drawn along the recording itself, and every label."""
    scene, plan = bench.scene, grid.plan
    start = tuple(a.start for a in grid.axes)
    snapshots = grid.runs[start].moments
    box = shapes.extent(scene, snapshots, plan.view, DISPLAY)
    for axis_number, axis in enumerate(grid.axes):
        for end in (0, axis.count - 1):
            place = (*start[:axis_number], end, *start[axis_number + 1 :])
            other = grids.changed(scene, grid.axes, place)
            found = shapes.extent(other, grid.runs[place].moments, plan.view, DISPLAY)
            box = Box(
                min(box.left, found.left), min(box.bottom, found.bottom),
                max(box.right, found.right), max(box.top, found.top),
            )  # fmt: skip
    drawn = revised(scene, plan.stand_ins) if plan.stand_ins else scene
    tails: dict[str, Any] = {}
    for snapshot in snapshots:
        for name, off in shapes.tails(drawn, snapshot, plan.view, DISPLAY).items():
            tails.setdefault(name, [round(off.x, 3), round(off.y, 3)])
    return {
        "scale": plan.view.scale,
        "newton": plan.view.force,
        "box": [round(v, 2) for v in box],
        "bars": [mm for mm, _ in _bars(box, plan.view, DISPLAY)],
        "ropes": ropes(scene),
        "forces": [
            {"kind": kind, "part": part, "tail": tails.get(f"{kind} {part}", [0.0, 0.0])}
            for kind, part in plan.forces
        ],
        "gauges": [
            {"name": gauge.name, "span": _span_of(scene, gauge), "range": gauge.range}
            for gauge in scene.of(Gauge)
        ],
        "hand": scene.hand.name if scene.hand else None,
        "load": scene.load,
        "loadPoint": _load_point(scene, plan.view.scale),
    }


def _bars(box: Sequence[float], view: View, display: Display) -> list[tuple[float, str]]:
    """A length and a force to measure the drawing of a box by: how long, mm, and what each is."""
    left, _, right, _ = box
    length, shown = display.round_length(0.15 * (right - left) / view.scale)
    force, newtons = display.round_force(6.0 / view.force)
    return [
        (length * view.scale, shown),
        (force * view.force, display.say("force {force}", force=newtons)),
    ]


def _span_of(scene: Scene, gauge: Gauge) -> str:
    line, index = scene.gauge_span(gauge)
    return f"{line.rope} {index + 1}"


def _load_point(scene: Scene, scale: float) -> dict[str, Any] | None:
    frame = scene.load_frame
    if frame is None:
        return None
    local = scene.load_point
    half = round(half_width(frame.part, scale), 2)
    return {"frame": frame.name, "x": local.x, "y": local.y, "half": half}


_Varied = list[list[Scene]]
"""The scene as it is drawn with each value of each axis."""


def _varied(bench: Bench, grid: Grid) -> _Varied:
    start, scene = tuple(a.start for a in grid.axes), bench.scene
    drawn = revised(scene, grid.plan.stand_ins) if grid.plan.stand_ins else scene
    return [
        [
            grids.changed(drawn, grid.axes, (*start[:number], i, *start[number + 1 :]))
            for i in range(axis.count)
        ]
        for number, axis in enumerate(grid.axes)
    ]


def _labels(bench: Bench, grid: Grid, varied: _Varied, display: Display) -> list[dict[str, Any]]:
    """Every label, line by line: a text, or for what is varied a text for each value of an axis;
    of what is hidden, no value."""
    start = tuple(a.start for a in grid.axes)
    scene, snapshot, view = bench.scene, grid.runs[start].moments[0], grid.plan.view
    drawn = revised(scene, grid.plan.stand_ins) if grid.plan.stand_ins else scene
    words = shapes.draw_words(drawn, snapshot, view, display)
    lines: list[list[dict[str, Any]]] = [
        [
            {
                "text": _obfuscated(drawn, text, value, display) if value in bench.hidden else text,
                "style": style,
                "key": value,
            }
            for text, style, value in label.lines
        ]
        for label in words
    ]
    for number, scenes in enumerate(varied):
        tables: list[list[list[str]]] = []
        for changed in scenes:
            there = replace(snapshot, poses={**snapshot.poses, **changed.start})
            found = shapes.draw_words(changed, there, view, display)
            tables.append([[text for text, *_ in label.lines] for label in found])
        for i, label in enumerate(lines):
            for j, line in enumerate(label):
                column = [t[i][j] if i < len(t) and j < len(t[i]) else line["text"] for t in tables]
                if len(set(column)) > 1 and line["key"] not in bench.hidden:
                    line["axis"], line["texts"] = number, column
    return [
        {"lines": line, "framed": label.framed, "pull": label.pull, "dot": label.dot}
        for line, label in zip(lines, words, strict=True)
    ]


def _obfuscated(scene: Scene, text: str, key: str, display: Display) -> str:
    """A label's text without the value that is hidden."""
    value = value_of(scene, key) or 0.0
    shown = (
        display.mass(value), display.number(value), display.length(value),
        display.value(value, units.ANGLE),
    )  # fmt: skip
    return next((text.replace(s, "?") for s in shown if s in text), "?")
