"""The tables that lie over the sheet, and readings before and now."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from sandbox import units
from sandbox.drawing.covers import AGREEMENT, NOTHING, Covers
from sandbox.drawing.tables import Table
from sandbox.editing.handles import Handle
from sandbox.engine import Snapshot
from sandbox.language.display import BLANK, Display
from sandbox.scene import Scene, quantities
from sandbox.scene.parts import Gauge
from sandbox.sheet.checking import CheckResult

if TYPE_CHECKING:
    from sandbox.comparison import Row

MOST_READINGS = 5


def label_of(handle: Handle, display: Display) -> str:
    """What a value is, in words."""
    part = handle.where.partition(".")[0]
    part = display.say("scene") if part == "scene" else display.part(part)
    return f"{part}, {display.say(handle.label, **handle.of)}"


def written(handle: Handle, scene: Scene, display: Display, hidden: Covers = NOTHING) -> str:
    """A value as the drawing shows it: along a lever or a ramp, from the fulcrum or the foot."""
    if hidden.hides_given(handle.where):
        return BLANK
    if handle.choices:
        choice = handle.choices[round(handle.value)]
        return display.say(choice.label, **choice.of)
    if handle.absent:
        return display.say(handle.left_out)
    arm = handle.arm(scene.start)
    value = handle.value if arm is None else abs(arm)
    if handle.dimension is units.LENGTH:
        return display.length(value)
    if handle.dimension is units.MASS:
        return display.mass(value)
    if handle.dimension is units.NUMBER:
        return display.number(value, 4)
    return display.value(value, handle.dimension, 4)


# Lists to choose from.


def scene_table(titles: Iterable[str], display: Display, row: int) -> Table:
    """The scenes to step through, by their numbers."""
    rows = [(title,) for title in titles]
    return Table(display.say("Scenes"), rows, row, [str(i) for i in range(len(rows))])


def value_table(
    handles: Mapping[str, Handle], scene: Scene, display: Display, row: int, hidden: Covers
) -> Table:
    """Everything that can be changed, with its value where that is not hidden."""
    pairs = [(label_of(h, display), written(h, scene, display, hidden)) for h in handles.values()]
    return Table(display.say("All that can be changed"), pairs, row, list(handles))


def part_table(texts: Mapping[str, str], display: Display, row: int) -> Table:
    """What can be done with parts, by the keys of its rows."""
    rows = [(text,) for text in texts.values()]
    foot = display.say("The right button on a part opens this list for it.")
    return Table(display.say("Parts"), rows, row, list(texts), foot=foot)


def body_table(names: Iterable[str], display: Display, row: int) -> Table:
    """The parts of which there are free-body drawings."""
    names = list(names)
    rows = [(display.part(name),) for name in names]
    foot = display.say("A part that is pointed at is shown at once.")
    return Table(display.say("Free-body drawing of"), rows, row, names, foot=foot)


# Simulation and theory.


def agreement(result: CheckResult | None, asked: bool, display: Display) -> str:
    """How simulation and theory agree, or why that is not known, in a line."""
    if result is None:
        return display.say(
            "checking simulation against theory …"
            if asked
            else "changed; to be checked when it is still"
        )
    if result.refusal:
        return display.say("not checked: {why}", why=display.describe(result.refusal))
    count = len(result.rows)
    if result.agreeing == count:
        return display.say(
            "simulation and theory agree: {agree} of {count} quantities",
            agree=result.agreeing,
            count=count,
        )
    return display.say(
        "simulation and theory DIFFER in {differ} of {count} quantities",
        differ=count - result.agreeing,
        count=count,
    )


def agreement_in_short(result: CheckResult | None, asked: bool, display: Display) -> str:
    """The same in few words."""
    if result is None:
        return display.say("being checked …") if asked else ""
    if result.refusal:
        return display.say("not checked")
    count = len(result.rows)
    return display.say(
        "theory agrees: {agree} of {count}"
        if result.agreeing == count
        else "theory agrees in only {agree} of {count}",
        agree=result.agreeing,
        count=count,
    )


def check_table(
    result: CheckResult | None,
    asked: bool,
    display: Display,
    row: int,
    fold: Callable[[str], list[str]],
    hidden: Covers = NOTHING,
) -> Table:
    """Both answers side by side, but for what is hidden; `fold` makes lines of a note."""
    heads = (
        display.say("quantity"),
        display.say("theory"),
        display.say("simulation"),
        display.say("difference"),
        display.say("tolerance"),
        display.say("agrees"),
    )
    rows: list[tuple[str, ...]] = [heads]
    numeral = display.numeral
    found = result or CheckResult()
    largest: dict[units.Dimension, float] = {}
    for one in found.rows:
        dimension, si = one.dimension, one.in_si(one.predicted)
        largest[dimension] = max(abs(si), largest.get(dimension, 0.0))
    for one in found.rows:
        measured = one.simulated == one.simulated
        if _hides_row(hidden, one.quantity):
            rows.append((display.quantity(one.quantity), BLANK, BLANK, BLANK, BLANK, BLANK))
            continue

        def shown(value: float, one: Row = one) -> str:
            beside = largest[one.dimension]
            return display.value(one.in_si(value), one.dimension, 4, beside)

        rows.append(
            (
                display.quantity(one.quantity),
                shown(one.predicted),
                shown(one.simulated) if measured else display.say("not measured"),
                f"{numeral(f'{100 * one.relative_difference:.4f}')} %",
                f"{numeral(f'{100 * one.tolerance:.1f}')} %",
                display.say("yes" if one.agrees else "NO"),
            )
        )
    for note in found.notes:
        rows += [(line,) for line in fold(hidden.display(display).describe(note))]
    foot = display.say(
        "{agree} of {count} quantities agree", agree=found.agreeing, count=len(found.rows)
    )
    if result is None or result.refusal:
        foot = agreement(result, asked, display)
    if hidden.hides(AGREEMENT):
        foot = ""
    return Table(display.say("Simulation beside theory"), rows, min(row, len(rows) - 1), foot=foot)


def _hides_row(hidden: Covers, quantity: str) -> bool:
    """Whether a row's numbers are hidden: what is asked of the whole machine follows from the rest,
    and is hidden with any of it."""
    whole = quantity.startswith("machine.") and hidden.any_result
    return whole or hidden.hides(AGREEMENT) or hidden.hides(quantity)


# Before and now.


def compared(
    scene: Scene, before: Snapshot, now: Snapshot, display: Display, hidden: Covers = NOTHING
) -> list[tuple[str, str, str]]:
    """The most telling readings, before and now, each with its name."""
    names = []
    if scene.hand:
        names += [f"{scene.hand.name}.force", f"{scene.hand.name}.travel"]
    if scene.load:
        names.append(f"{scene.load}.rise")
    names += [f"{gauge.name}.reading" for gauge in scene.of(Gauge)]
    for name in now.readings:
        part, _, quantity = name.rpartition(".")
        if quantity == "tilt":
            names += [name, f"{part}.reaction"]
    names += [n for n in now.readings if n.rpartition(".")[2] in ("normal", "friction")]
    names = list(dict.fromkeys(n for n in names if n in now.readings))[:MOST_READINGS]
    found = []
    most_before, most_now = _largest(before), _largest(now)
    for name in names:
        shown = hidden.display(display, name)
        was = _reading(name, before, most_before, shown)
        found.append((display.quantity(name), was, _reading(name, now, most_now, shown)))
    return found


def _largest(shot: Snapshot) -> dict[str, float]:
    """The largest reading of each dimension, by its name."""
    most: dict[str, float] = {}
    for name, value in shot.readings.items():
        dimension = quantities.kind_of(name).dimension.name
        most[dimension] = max(abs(value), most.get(dimension, 0.0))
    return most


def _reading(name: str, shot: Snapshot, largest: Mapping[str, float], display: Display) -> str:
    value, dimension = shot.readings.get(name), quantities.kind_of(name).dimension
    if value is None:
        return "–"
    if dimension is units.LENGTH:
        return display.length(value)
    return display.value(value, dimension, largest=largest[dimension.name])
