"""Which charts stand in the column, and what is measured point by point: chosen on the sheet, and
kept there alone."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from sandbox import units
from sandbox.drawing.chosen_charts import CHARTS, FEWEST, MOST, USUAL, Points
from sandbox.facts import label
from sandbox.language.display import BLANK
from sandbox.scene import Scene, quantities
from sandbox.sheet import tables

if TYPE_CHECKING:
    from sandbox.drawing.tables import Table
    from sandbox.sheet.state import SheetState


ROPE_PARTS = "scene.rope_parts"
"""As what is varied, where it is no value of one scene: the parts of rope that hold the load, which
are others in another scene."""
NOTHING_VARIED = label("first bring the value that is varied into focus")


class MeasuredPoint(NamedTuple):
    """What was measured once."""

    path: Path
    """Of the scene."""
    where: str
    """The value that is varied, "PART.KEY", and how much it was, as the drawing shows it, SI."""
    value: float
    written: str
    quantity: str
    """What was measured, and how much that was, in the unit it is shown in."""
    measured: float


class Charting:
    """What is chosen, and the points so far."""

    def __init__(self) -> None:
        self.chosen: tuple[str, ...] = USUAL
        self.where = self.quantity = ""
        """What is varied and what is measured, "" until that is chosen."""
        self.points: list[MeasuredPoint] = []
        self.awaited: tuple[Scene, MeasuredPoint] | None = None
        """A point that is still to be measured, at the values of a scene."""
        self.fitted = False
        """Whether a straight line is laid through the points."""


def quantity_of(state: SheetState) -> str:
    """What is measured: as it was chosen, or else the effort."""
    known = _measured(state)
    chosen, hand = state.charting.quantity, state.scene.hand
    effort = f"{hand.name}.force" if hand else ""
    return next((name for name in (chosen, effort) if name in known), next(iter(known), effort))


def _measured(state: SheetState) -> dict[str, float]:
    """What the run at the present values has measured, once that is known, by quantity."""
    rows = state.check_result.rows if state.check_result else ()
    return {row.quantity: row.simulated for row in rows}


def _unit(quantity: str) -> str:
    unit = quantities.kind_of(quantity).unit
    return "°" if unit == "deg" else unit


# The table.


def rows(state: SheetState) -> dict[str, tuple[str, str]]:
    """Every row of the table: what it is and whether it is chosen, by its key."""
    say, charting = state.say, state.charting
    yes = say("shown")
    found = {
        f"chart {name}": (say(text), yes if name in charting.chosen else "")
        for name, text in CHARTS.items()
    }
    for number, point in enumerate(charting.points):
        if point.path == state.scenes.path or point.where == ROPE_PARTS:
            what = state.display.quantity(point.quantity)
            value = state.display.numeral(units.significant(point.measured))
            if state.lesson.covers.any_result:
                value = BLANK
            text = say("take back: {varied}, {quantity}", varied=point.written, quantity=what)
            found[f"drop {number}"] = (text, f"{value} {_unit(point.quantity)}".rstrip())
    if rope_parts(state.scene):
        chosen = charting.where == ROPE_PARTS
        text = say("point by point: against the parts of rope at the load, of several scenes")
        found["vary rope"] = (text, say("varied") if chosen else "")
    if len(charting.points) >= FEWEST:
        text = say("point by point: the straight line that fits best")
        found["fit"] = (text, yes if charting.fitted else "")
    measured = quantity_of(state)
    for name in _measured(state):
        text = say("point by point: {quantity}", quantity=state.display.quantity(name))
        found[f"measure {name}"] = (text, say("measured") if name == measured else "")
    return found


def table(state: SheetState) -> Table:
    """What can be chosen, and the points with their values."""
    from sandbox.drawing.tables import Table

    found = rows(state)
    foot = state.say("At most {count} charts at a time.", count=MOST)
    return Table(state.say("Charts"), list(found.values()), state.row, list(found), foot=foot)


def choose(state: SheetState, key: str) -> None:
    """Do what a row says; the table stays open."""
    kind, _, what = key.partition(" ")
    charting = state.charting
    if kind == "chart":
        show(state, what, what not in charting.chosen)
    elif kind == "measure":
        charting.quantity = what
        show(state, "points", True)
    elif kind == "vary":
        charting.where, state.focus = ROPE_PARTS, ""
        show(state, "points", True)
    elif kind == "fit":
        charting.fitted = not charting.fitted
        show(state, "points", True)
    elif kind == "drop":
        del charting.points[int(what)]
    state.overlay = "charts"
    state.row = min(state.row, len(rows(state)) - 1)


def show(state: SheetState, name: str, shown: bool) -> None:
    """Show a chart, in the place of the one chosen first where there are too many, or no longer."""
    charting, board = state.charting, state.board
    if name not in charting.chosen and shown:
        charting.chosen = (*charting.chosen, name)[-MOST:]
    elif not shown and len(charting.chosen) > 1:
        charting.chosen = tuple(each for each in charting.chosen if each != name)
    if board.freed or board.column is None:
        board.freed = False
        board.charted, board.alone = True, not board.roomy
        state.arrange(ahead=True)


def open_table(state: SheetState) -> None:
    """Open or close the table of charts."""
    state.toggle("charts")


# Point by point.


def rope_parts(scene: Scene) -> int:
    """How many parts of rope hold the load, where a rope passes a sheave; else 0."""
    body = scene.carriers.get(scene.load or "") or scene.load
    count = 0
    for line in scene.lines:
        for i, point in enumerate(line.waypoints):
            if (point.frame or point.part) == body:
                count += 2 if 0 < i < len(line.waypoints) - 1 else 1
    return count if any(len(line.waypoints) > 2 for line in scene.lines) else 0


def varied(state: SheetState) -> str:
    """The value in focus, or else what was varied before; "" where there is neither."""
    where = state.charting.where
    if (handle := state.handles.get(state.focus)) and not (handle.choices or handle.absent):
        return state.focus
    known = rope_parts(state.scene) if where == ROPE_PARTS else where in state.handles
    return where if known else ""


def add_point(state: SheetState) -> None:
    """Add the value in focus, or else the one varied before, with what is measured at it."""
    charting = state.charting
    where = varied(state)
    if not where:
        state.show_message(state.say(NOTHING_VARIED), loud=True)
        return
    if where == ROPE_PARTS:
        value = float(rope_parts(state.scene))
        written = state.say("parts of rope at the load: {count}", count=round(value))
    else:
        handle = state.handles[where]
        arm = handle.arm(state.scene.start)
        written = f"{tables.label_of(handle, state.display)} " + tables.written(
            handle, state.scene, state.display, state.lesson.covers
        )
        value = handle.value if arm is None else abs(arm)
    charting.where = where
    point = MeasuredPoint(state.scenes.path, where, value, written, quantity_of(state), math.nan)
    charting.awaited = (state.scene, point)
    show(state, "points", True)
    if state.check_result is None:
        state.show_message(state.say("it is being measured at these values"))
    look_for_measured(state)


def look_for_measured(state: SheetState) -> None:
    """Enter the point that is waited for, once the run at its values has been measured."""
    charting, result = state.charting, state.check_result
    if charting.awaited is None:
        return
    scene, point = charting.awaited
    if scene is not state.scene:
        charting.awaited = None
        state.show_message(state.say("changed before it was measured: no point"), loud=True)
    elif result is not None:
        charting.awaited = None
        quantity = point.quantity or quantity_of(state)
        measured = _measured(state).get(quantity, math.nan)
        if math.isnan(measured):
            why = state.display.describe(result.refusal) if result.refusal else quantity
            state.show_message(state.say("not measured: {why}", why=why), loud=True)
        else:
            charting.points.append(point._replace(quantity=quantity, measured=measured))


def points_shown(state: SheetState) -> Points | None:
    """The points of the value varied and the quantity measured now."""
    charting, display = state.charting, state.display
    several, quantity = charting.where == ROPE_PARTS, quantity_of(state)
    if not quantity or not (several or charting.where in state.handles):
        return None
    chosen = [
        point
        for point in charting.points
        if (point.where, point.quantity) == (charting.where, quantity)
        and (several or point.path == state.scenes.path)
    ]
    largest = max((abs(point.value) for point in chosen), default=0.0)
    unit, one = "", 1.0
    varied, measured = state.say("parts of rope at the load"), display.quantity(quantity)
    if not several:
        handle = state.handles[charting.where]
        varied = tables.label_of(handle, display)
        if handle.dimension is units.ANGLE:
            unit, one = "°", math.radians(1.0)
        else:
            unit, one = display.unit(handle.dimension, largest)
    return Points(
        f"{varied} ({unit})" if unit else varied,
        f"{measured} ({_unit(quantity)})" if _unit(quantity) else measured,
        tuple((point.value / one, point.measured) for point in chosen),
        (unit, _unit(quantity)),
        charting.fitted,
    )
