"""The tables that lie over the sheet, and readings before and now."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from sandbox import units
from sandbox.drawing.live_sheet import Table
from sandbox.editing.handles import Handle
from sandbox.engine.snapshot import Snapshot
from sandbox.language.display import Display
from sandbox.scene import Scene, quantities
from sandbox.scene.parts import Gauge, Lever
from sandbox.sheet.agreement import Verdict

MOST_READINGS = 5


def label(handle: Handle, display: Display) -> str:
    """What a value is, in words."""
    part = handle.where.partition(".")[0]
    part = display.say("scene_name") if handle.key.startswith("scene.") else part
    return display.say("labelled", part=part, what=display.say(handle.key, **handle.of))


def written(handle: Handle, scene: Scene, display: Display) -> str:
    """A value as the drawing shows it: along a lever or a ramp, from the fulcrum or the foot."""
    arm = handle.arm(scene.start)
    value = handle.value if arm is None else abs(arm)
    if handle.dimension is units.LENGTH:
        return display.length(value)
    if handle.dimension is units.MASS:
        return display.mass(value)
    if handle.dimension is units.NUMBER:
        return f"{value:.4g}"
    return _signed(display.value(value, handle.dimension, 4))


# Lists to choose from.


def scene_table(titles: Iterable[str], display: Display, row: int) -> Table:
    """The scenes to step through, by their numbers."""
    rows = [(title,) for title in titles]
    return Table(display.say("scenes_heading"), rows, row, [str(i) for i in range(len(rows))])


def value_table(handles: Mapping[str, Handle], scene: Scene, display: Display, row: int) -> Table:
    """Everything that can be changed, with its value."""
    pairs = [(label(h, display), written(h, scene, display)) for h in handles.values()]
    return Table(display.say("values_heading"), pairs, row, list(handles))


def part_table(texts: Mapping[str, str], display: Display, row: int) -> Table:
    """What can be done with parts, by the keys of its rows."""
    rows = [(text,) for text in texts.values()]
    foot = display.say("parts_foot")
    return Table(display.say("parts_heading"), rows, row, list(texts), foot=foot)


# Simulation and theory.


def agreement(verdict: Verdict | None, asked: bool, display: Display) -> str:
    """How simulation and theory agree, or why that is not known, in a line."""
    if verdict is None:
        return display.say("checking" if asked else "to_check")
    if verdict.refusal:
        return display.say("not_checked", why=display.told(verdict.refusal))
    count = len(verdict.rows)
    if verdict.agreeing == count:
        return display.say("agree_all", agree=verdict.agreeing, count=count)
    return display.say("agree_not", differ=count - verdict.agreeing, count=count)


def check_table(
    verdict: Verdict | None,
    asked: bool,
    display: Display,
    row: int,
    fold: Callable[[str], list[str]],
) -> Table:
    """Both answers side by side; `fold` makes lines of a note."""
    heads = ("quantity", "predicted", "simulated", "difference", "tolerance", "agrees")
    rows: list[tuple[str, ...]] = [tuple(display.say(head) for head in heads)]
    found = verdict or Verdict()
    for one in found.rows:
        measured = one.simulated == one.simulated
        unit = "°" if one.unit == "deg" else f" {one.unit}"
        rows.append(
            (
                display.quantity(one.quantity),
                _signed(f"{units.significant(one.predicted)}{unit}".rstrip()),
                _signed(units.significant(one.simulated))
                if measured
                else display.say("not_measured"),
                f"{100 * one.relative_difference:.4f} %",
                f"{100 * one.tolerance:.1f} %",
                display.say("yes" if one.agrees else "no"),
            )
        )
    for note in found.notes:
        rows += [(line,) for line in fold(display.told(note))]
    foot = display.say("check_foot", agree=found.agreeing, count=len(found.rows))
    if verdict is None or verdict.refusal:
        foot = agreement(verdict, asked, display)
    return Table(display.say("check_heading"), rows, min(row, len(rows) - 1), foot=foot)


# Before and now.


def compared(
    scene: Scene, before: Snapshot, now: Snapshot, display: Display
) -> list[tuple[str, str, str]]:
    """The readings that tell most, before and now, each with its name."""
    names = []
    if scene.hand:
        names += [f"{scene.hand.name}.force", f"{scene.hand.name}.travel"]
    if scene.load:
        names.append(f"{scene.load}.rise")
    names += [f"{gauge.name}.reading" for gauge in scene.of(Gauge)]
    for lever in scene.of(Lever):
        names += [f"{lever.name}.tilt", f"{lever.name}.reaction"]
    names += [n for n in now.readings if n.rpartition(".")[2] in ("normal", "friction")]
    names = list(dict.fromkeys(n for n in names if n in now.readings))[:MOST_READINGS]
    return [
        (display.quantity(name), _reading(name, before, display), _reading(name, now, display))
        for name in names
    ]


def _reading(name: str, shot: Snapshot, display: Display) -> str:
    value, dimension = shot.readings.get(name), quantities.kind_of(name).dimension
    if value is None:
        return "–"
    # No finer than a drawing shows: what is below 0.01 mm, or 10 µN, or 0.001 degrees is nought.
    value = round(value, 5) + 0.0
    if dimension is units.LENGTH:
        return f"{'−' if value < 0 else ''}{display.length(abs(value))}"
    return _signed(display.value(value, dimension))


def _signed(number: str) -> str:
    """A number with a true minus sign, which a name or a file never has."""
    return number.replace("-", "−")
