"""A student's bench in the page: what of its sheet may be done and seen as the work goes on, how
its machine is set, and what its instruments have to show.

The student's work itself, from prediction to record, is the page's script (`assets/page`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any, TypedDict

from sandbox import engine, units
from sandbox.drawing import covers
from sandbox.drawing.covers import Covers
from sandbox.facts import Fact, Kind
from sandbox.scene import Scene, SceneError, Unanswerable, dimension_of, revised, value_of
from sandbox.scene.parts import losses_of
from sandbox.sheet.sheet import Sheet

ANOTHER_MACHINE = Kind(
    "another_machine",
    "A trial is of this bench's own parts, set to other values. Undo what is otherwise, or begin "
    "again with the bench as given.",
)
INSTRUMENT_CHANGED = Kind(
    "instrument_changed", "The bench's instruments stay as they are: undo the change of {key}."
)
MOST_SET, LONGEST_VALUE = 20, 60
"""Values that a trial may set, and letters of each: what a record holds."""
LOCKED = ("resize", "pointer_to", "keep", "enter")
"""The inputs that a sheet has before predictions are made."""
NEVER = (
    "new_sheet", "next_scene", "scene_before", "list_scenes", "two_machines", "other_machine",
    "save", "quit", "predict", "hide", "choose_hidden", "show_all", "edit_texts",
)  # fmt: skip
"""What is not done at a student's bench."""
NOT_YET = ("check_table", "charts", "choose_charts", "add_point", "free_body", "moments_about")
"""What would show results before the record is closed."""


class Told(TypedDict):
    """What the page tells of a bench."""

    step: float
    sample: float
    """s, of the run that instruments are read after."""
    fixed: Sequence[str]
    """The "PART.KEY"s on which the instruments depend."""


class LabBench:
    """One student's bench on a sheet."""

    def __init__(self, sheet: Sheet, told: Told) -> None:
        self._sheet, self._told = sheet, told
        self._own = sheet.scene
        self._hints = sheet.hints
        self.locked = True
        self.enter("predicting")

    def enter(self, stage: str) -> None:
        """The work has come to a stage: "predicting", "trying" or "finished"."""
        sheet, sealed = self._sheet, self._sheet.draft.sealed
        turned = {f"given {where}" for where in sealed} | {covers.TITLE, covers.CLOCK}
        was, self.locked = self.locked, stage == "predicting"
        due = stage == "finished" and not sealed
        sheet.lesson.covers = (
            covers.NOTHING if due else Covers(True, frozenset(turned), not self.locked, kept=True)
        )
        sheet.barred = frozenset(NEVER if due else NEVER + NOT_YET)
        if sheet.board.charted is not due:
            sheet.board.charted = due
            sheet.arrange(ahead=True)
        # Nobody is told to do what cannot be done yet.
        sheet.hints = None if self.locked else self._hints
        if self.locked:
            sheet.timeline.running = False
            sheet.dismiss_message()
        elif was:
            sheet.show_watch()

    def run(self, at_once: bool) -> None:
        """Work the machine as it is set from its start, or show at once where that ends."""
        sheet = self._sheet
        sheet.restart()
        timeline = sheet.timeline
        timeline.running, timeline.pace = not at_once, "running"
        if at_once:
            for run in timeline.runs:
                run.run_to(engine.length_of(sheet.scene))

    def set_as_given(self) -> None:
        """Set the machine as the bench was given; that can be undone as any change."""
        sheet = self._sheet
        sheet.draft.take_up(sheet.draft.opened)
        sheet.take_up(restart=True)

    # What a trial is.

    def setting(self) -> dict[str, object]:
        """How the machine is set otherwise than the bench was given, "PART.KEY" -> value, as a
        record has it; or why a record cannot say it."""
        draft, now = self._sheet.draft, self._sheet.scene
        found: dict[str, str] = {}
        try:
            found |= self._otherwise(self._own)
            # What the file says besides may decide what else comes of a change.
            found |= self._otherwise(self._at(found))
            same = _alike(self._at(found), now) and len(found) <= MOST_SET
        except (SceneError, units.UnitError):
            same = False
        for where in found:
            if where in self._told["fixed"]:
                return self._refused(INSTRUMENT_CHANGED(key=where))
        if not same or draft.missing or any(len(text) > LONGEST_VALUE for text in found.values()):
            return self._refused(ANOTHER_MACHINE())
        return {"set": found or None}

    def _otherwise(self, scene: Scene) -> dict[str, str]:
        """What the sheet's scene file says of the values that are otherwise than in a scene."""
        draft, now = self._sheet.draft, self._sheet.scene
        found = {}
        for where in self._sheet.handles:
            with suppress(SceneError):  # no single value, or of no part of the bench
                value, other = (value_of(each, where, places=True) for each in (now, scene))
                written = draft.written(where)
                if value != other and written:
                    found[where] = written.rpartition("@")[2]
        return found

    def measured(self, setting: Mapping[str, str]) -> dict[str, object]:
        """What the instruments have to show with the machine set so, SI, and the hand's speed; or
        why there is nothing to read."""
        try:
            scene = self._at(setting)
            found = self._read_off(scene)
            stuck = self._stuck(scene, found)
        except units.UnitError as error:
            return {"refusal": str(error)}
        except (SceneError, Unanswerable) as error:
            return self._refused(error.fact)
        found |= {f"{name} sticking": value for name, value in stuck.items()}
        return {"once": found, "speed": scene.hand.speed if scene.hand else None}

    def _at(self, setting: Mapping[str, str]) -> Scene:
        values = {
            where: units.read(text, dimension_of(self._own, where, places=True))
            for where, text in setting.items()
        }
        return revised(self._own, values) if values else self._own

    def _read_off(self, scene: Scene) -> dict[str, float]:
        run = engine.run(scene, step=self._told["step"], sample=self._told["sample"])
        measured = engine.measure(run)
        if measured.refusal is not None:
            raise Unanswerable(measured.refusal)
        return engine.on_bench(run, measured)

    def _stuck(self, scene: Scene, slides: Mapping[str, float]) -> dict[str, float]:
        """By how much each gauge's reading rises from sliding to sticking: the same machine with
        its static coefficients in place of the kinetic ones. Empty where nothing sticks."""
        rough: dict[str, float] = {}
        for part in scene.parts.values():
            keys = {loss: key for key, loss in losses_of(type(part)).items()}
            if "static" in keys and "kinetic" in keys:
                static, kinetic = (getattr(part, keys[loss]) for loss in ("static", "kinetic"))
                if static > kinetic:
                    rough[f"{part.name}.{keys['kinetic']}"] = static
        if not rough or scene.about.mode not in ("raising", "lowering"):
            return {}
        try:
            sticks = self._read_off(revised(scene, rough))
        except (Unanswerable, SceneError):
            return {}
        return {
            name: sticks[name] - value
            for name, value in slides.items()
            if name.endswith(".reading") and name in sticks
        }

    def _refused(self, reason: Fact) -> dict[str, object]:
        return {"refusal": self._sheet.display.describe(reason)}


ANSWERS: Mapping[str, Callable[[LabBench, Any], dict[str, object]]] = {
    "setting": lambda bench, _: bench.setting(),
    "measured": LabBench.measured,
}
"""What the page asks of a bench."""


def _alike(one: Scene, other: Scene) -> bool:
    """Whether two scenes have the same parts worked in the same way."""

    def about(scene: Scene) -> object:
        return replace(scene.about, title="", watch="", translations=(), predict=())

    return one.parts == other.parts and about(one) == about(other)
