"""Measured data beside what theory predicts, each with its uncertainty, and a plain verdict."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.lab import facts
from sandbox.lab.analysis import effects
from sandbox.lab.analysis.data import Data, Reading, Setup, settings_of
from sandbox.lab.analysis.derived import with_ratios, with_timed
from sandbox.lab.analysis.fit import TRAVEL, inputs_of, mean_travel, travel_of
from sandbox.lab.analysis.inputs import (
    OVER_STROKE,
    NoAnswer,
    gauge_of,
    instrument,
    predicted,
    takes_stroke,
)
from sandbox.lab.analysis.uncertainty import (
    Combined,
    Contribution,
    Input,
    add,
    combine_all,
    expanded,
    powers_of_ten_off,
    standing_apart,
    type_a,
)
from sandbox.lab.facts import called
from sandbox.scene import Plain, Scene, SceneError, Unanswerable, dimension_of, quantities
from sandbox.scene.errors import as_fact

IN_ALL = 1e-6
"""The share of a variance below which a line of the budget is not worth its place."""

SETUPS_SEARCHED = 8
"""What would account for a difference is sought on so many set-ups, and judged on all."""


@dataclass(frozen=True)
class ComparedRow:
    """One quantity of one set-up, SI. `ratio` is |difference| / (k u_c): the two agree within their
    uncertainty where it is at most 1 (the normalized error of ISO 13528, from memory)."""

    setup: str
    quantity: str
    predicted: float
    predicted_u: float
    measured: float
    measured_u: float
    trials: int
    dof: float
    """Effective, of the difference."""
    k: float
    instrument: Fact
    budget: tuple[Contribution, ...]
    """Of the difference, largest line first."""
    apart: tuple[Reading, ...] = ()
    """Trials that stand apart from the others, by whose scatter nothing can be judged."""

    @property
    def difference(self) -> float:
        """Measured less predicted."""
        return self.measured - self.predicted

    @property
    def percent_difference(self) -> float | None:
        """Of the predicted value, above zero where what was measured is the greater in size; None
        where zero is predicted."""
        return 100.0 * self.difference / self.predicted if self.predicted else None

    @property
    def u(self) -> float:
        """The combined standard uncertainty of the difference."""
        return math.hypot(self.predicted_u, self.measured_u)

    @property
    def ratio(self) -> float:
        """|difference| / (k u_c)."""
        if self.u == 0.0:
            return 0.0 if self.difference == 0.0 else math.inf
        return abs(self.difference) / (self.k * self.u)

    @property
    def agrees(self) -> bool:
        """True where the difference is within its expanded uncertainty, and that is no trial's that
        stands apart."""
        return self.ratio <= 1.0 and not self.apart

    @property
    def verdict(self) -> str:
        """In words, to be said in any language."""
        if self.apart:
            return label("not judged: a trial stands apart")
        return label("agrees within uncertainty") if self.agrees else label("does not agree")


@dataclass(frozen=True)
class Comparison:
    """The rows, what would account for those that do not agree, and remarks."""

    scene: str
    title: str
    data: str
    rows: tuple[ComparedRow, ...]
    explanations: tuple[effects.Explanation, ...]
    notes: tuple[Fact, ...]

    @property
    def agrees(self) -> bool:
        """True where every row agrees."""
        return all(row.agrees for row in self.rows)


def compare(
    scene: Scene,
    data: Data,
    *,
    k: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> Comparison:
    """Lay measured data beside what theory predicts for the same set-ups.

    `k` is the coverage factor; by default 2, or Student's t where that is more. Raises SceneError
    for a quantity that theory does not give for this scene, Unanswerable where it gives none.
    """
    return _Comparing(scene, data, k, progress or (lambda _share: None)).comparison()


class _Comparing:
    def __init__(
        self, scene: Scene, data: Data, k: float | None, progress: Callable[[float], None]
    ) -> None:
        self.given, data = data, with_timed(scene, with_ratios(scene, data))
        self.scene, self.data, self.k, self.progress = scene, data, k, progress
        self.travel = travel_of(scene)
        stroke = {name for name in self.given.measured if name.rpartition(".")[2] in OVER_STROKE}
        self.hauled = self.travel in stroke and stroke != {self.travel}
        self.over_stroke = takes_stroke(data.measured)
        self.places: list[tuple[Setup, str]] = []
        self.apart: list[Fact] = []

    def comparison(self) -> Comparison:
        """Every row, then the explanations."""
        rows: list[ComparedRow] = []
        count = len(self.data.setups)
        for done, setup in enumerate(self.data.setups, 1):
            rows += self._rows(setup)
            self.progress(0.6 * done / count)
        explanations: tuple[effects.Explanation, ...] = ()
        judged = [
            (row, place) for row, place in zip(rows, self.places, strict=True) if not row.apart
        ]
        self.places = [place for _, place in judged]
        if not all(row.agrees for row, _ in judged):
            explanations = effects.explain(
                self.scene,
                [self._asked(row) for row, _ in judged],
                self._answers,
                self._searched(),
                self.data.settings,
                lambda share: self.progress(0.6 + 0.4 * share),
            )
        about = self.scene.about
        return Comparison(
            self.scene.name, about.title, self.data.name, tuple(rows), explanations, self._notes()
        )

    def _rows(self, setup: Setup) -> list[ComparedRow]:
        inputs = inputs_of(self.scene, self.data, setup)
        setting = self._label(setup)
        apart: tuple[Reading, ...] = ()
        if self.hauled and self.travel in setup.readings:
            hauled = setup.readings[self.travel]
            inputs[TRAVEL], lines, _ = self._measured(self.travel, hauled)
            apart = self._apart(setting, self.travel, hauled, lines[0].u)

        def answer(values: Mapping[str, float]) -> dict[str, float]:
            plain = {name: value for name, value in values.items() if name != TRAVEL}
            return self._predicted(self.scene, plain, values.get(TRAVEL))

        try:
            if not self.over_stroke:
                # Once for all whether the machine goes through its stroke.
                self._predicted(self.scene, settings_of(setup), sure=True)
            combined = combine_all(answer, inputs)
        except NoAnswer as error:
            reason = error.fact
            if setting:
                reason = facts.AT_SETTING(setting=setting, reason=reason)
            raise Unanswerable(reason) from None
        rows = []
        for quantity in self.data.measured:
            if quantity not in setup.readings or (self.hauled and quantity == self.travel):
                continue
            if quantity not in combined:
                given = [name for name in combined if not name.endswith(".tilt")]
                found = Plain("a quantity this scene leaves open as it is worked")
                raise SceneError(
                    quantity, found, stated("one of {names}", names=", ".join(given[:12]))
                )
            self.places.append((setup, quantity))
            row = self._row(setting, quantity, combined[quantity], setup.readings[quantity])
            if quantity.rpartition(".")[2] in OVER_STROKE:
                row = replace(row, apart=(*row.apart, *apart))
            rows.append(row)
        return rows

    def _row(
        self, setting: str, quantity: str, expected: Combined, readings: Sequence[Reading]
    ) -> ComparedRow:
        found, lines, source = self._measured(quantity, readings)
        apart = self._apart(setting, quantity, readings, lines[0].u)
        u, dof = add((expected.u, expected.dof), (found.u, found.dof))
        budget = sorted((*expected.budget, *lines), key=lambda line: -line.u)
        return ComparedRow(
            setting,
            quantity,
            expected.value,
            expected.u,
            found.value,
            found.u,
            len(readings),
            dof,
            expanded(u, dof, self.k).k,
            source,
            tuple(
                replace(line, share=(line.u / u) ** 2)
                for line in budget
                if u > 0.0 and (line.u / u) ** 2 > IN_ALL
            ),
            apart,
        )

    def _apart(
        self, setting: str, quantity: str, readings: Sequence[Reading], u: float
    ) -> tuple[Reading, ...]:
        """The trials that stand apart from the others of a set-up, which the remarks then name."""
        values = [reading.value for reading in readings]
        slips, far = powers_of_ten_off(values, u), standing_apart(values, u)
        which = sorted({*slips, *far})
        rest = [value for i, value in enumerate(values) if i not in which]
        kind = quantities.kind_of(quantity)

        def shown(value: float) -> str:
            return units.show(value, kind.dimension, kind.unit or None)

        measured = called(quantity)
        if setting:
            measured = stated("{quantity} at {setting}", quantity=measured, setting=setting)
        for i in which:
            others = stated("the others")
            if rest:
                mean = shown(math.fsum(rest) / len(rest))
                others = stated("the others, whose mean is {mean}", mean=mean)
            why = stated("by Grubbs' test")
            if i in slips:
                why = stated("by a power of ten: a decimal point?")
            self.apart.append(
                stated(
                    "{quantity}: {reading}, {value}, stands apart from {others} ({why}). Look "
                    "whether it was written down as it was read.",
                    quantity=measured,
                    reading=readings[i].fact,
                    value=shown(values[i]),
                    others=others,
                    why=why,
                )
            )
        return tuple(readings[i] for i in which)

    def _measured(
        self, quantity: str, readings: Sequence[Reading]
    ) -> tuple[Input, list[Contribution], Fact]:
        """The mean of the trials with its combined uncertainty: their scatter (type A), and what
        the instrument may be off by in all of them (type B), which no repeating makes smaller."""
        values = [reading.value for reading in readings]
        division, one, source = instrument(
            self.scene, quantity, self.data.graduations, self.data.last_place
        )
        own = [reading.u for reading in readings if reading.u is not None]
        if own:
            rest = [one] * (len(readings) - len(own))
            one = math.sqrt(math.fsum(u * u for u in (*own, *rest)) / len(readings))
            source = label("its own column")
        mean = math.fsum(values) / len(values)
        parts = [(one, math.inf)]
        name = stated("reading of {quantity}", quantity=called(quantity))
        lines = [Contribution(name, mean, one, 1.0, one, math.inf, 0.0, source)]
        hand = math.sqrt(math.fsum(r.by_hand**2 for r in readings)) / len(readings)
        scatter = type_a(values) if len(values) > 1 else None
        if hand > (scatter.u if scatter else 0.0):
            # The scatter of few trials may chance to be less than what is known of hands. Where it
            # is more it has theirs in it, which is not counted twice (JCGM 100:2008, 4.3.10).
            parts.append((hand, math.inf))
            name = stated("{number} times taken by hand", number=len(values))
            source = label("standard uncertainty by hand / sqrt n")
            lines.append(Contribution(name, mean, hand, 1.0, hand, math.inf, 0.0, source))
        elif scatter:
            parts.append((scatter.u, scatter.dof))
            name = stated("scatter of {number} trials", number=len(values))
            lines.append(
                Contribution(
                    name,
                    mean,
                    scatter.u,
                    1.0,
                    scatter.u,
                    scatter.dof,
                    0.0,
                    label("type A, s / sqrt n"),
                )
            )
        u, dof = add(*parts)
        shown = as_fact(source)
        if not own and division:
            fine = _graduation(quantity, division)
            shown = stated("{source}, {division}", source=shown, division=fine)
        return Input(mean, u, dof, source), lines, shown

    def _asked(self, row: ComparedRow) -> effects.Discrepancy:
        gauge = gauge_of(self.scene, row.quantity)
        name = gauge.name if gauge else ""
        return effects.Discrepancy(row.measured, row.predicted, row.u, row.k, name)

    def _answers(
        self, change: effects.Change | None, value: float, indices: Sequence[int], sure: bool
    ) -> list[float]:
        """As `effects.Answers`. Raises NoAnswer."""
        try:
            other = self.scene if change is None else change(self.scene, value)
        except SceneError as error:
            raise NoAnswer(error.fact) from None
        answers: dict[int, dict[str, float]] = {}
        found = []
        for i in indices:
            setup, quantity = self.places[i]
            if id(setup) not in answers:
                travel = mean_travel(self.scene, setup) if self.hauled else None
                answers[id(setup)] = self._predicted(other, settings_of(setup), travel, sure=sure)
            found.append(answers[id(setup)].get(quantity, math.nan))
        return found

    def _predicted(
        self,
        scene: Scene,
        values: Mapping[str, float],
        travel: float | None = None,
        *,
        sure: bool = False,
    ) -> dict[str, float]:
        """`sure`: that the machine goes through its whole stroke. Raises NoAnswer."""
        stroke = sure or self.over_stroke
        return predicted(scene, values, travel, asked=self.data.measured, stroke=stroke)

    def _searched(self) -> list[int]:
        """The rows of a few set-ups, evenly spread from the least settings to the greatest."""
        order = sorted(self.data.setups, key=lambda each: tuple(settings_of(each).values()))
        few = np.linspace(0, len(order) - 1, min(len(order), SETUPS_SEARCHED)).round().astype(int)
        chosen = {id(order[i]) for i in few.tolist()}
        return [i for i, (setup, _) in enumerate(self.places) if id(setup) in chosen]

    def _label(self, setup: Setup) -> str:
        """A set-up in a few words: what the data set for it."""
        return ", ".join(
            f"{name} {shown(self.scene, name, reading.value)}"
            for name, reading in setup.settings.items()
        )

    def _notes(self) -> tuple[Fact, ...]:
        notes = list(self.apart)
        if self.data.summaries:
            rows = [f"{row} ({what})" if what else str(row) for row, what in self.data.summaries]
            notes.append(
                stated("No trials but summaries of others, left out: row {rows}.", rows=few(rows))
            )
        if self.data.extra:
            notes.append(
                stated(
                    "Columns that name nothing of this scene, left out: {names}.",
                    names=few(self.data.extra),
                )
            )
        if worked_out := [n for n in self.data.measured if n not in self.given.measured]:
            named = tuple(map(called, worked_out))
            notes.append(
                stated("{quantities}: worked out from each trial's readings.", quantities=named)
            )
        if self.data.blanks:
            notes.append(stated("Blank cells, left out: {number}.", number=self.data.blanks))
        if self.hauled:
            notes.append(
                stated(
                    "Distances and work are predicted for the measured distance of the hand, in "
                    "proportion."
                )
            )
        elif any(name.rpartition(".")[2] in OVER_STROKE for name in self.data.measured):
            start, end = self.scene.stroke
            notes.append(
                stated(
                    "Distances and work are predicted over the scene's stroke, {stroke} of line; "
                    "give a column {column} if yours was another.",
                    stroke=units.show(abs(end - start), units.LENGTH, "cm", 3),
                    column=self.travel,
                )
            )
        if any(len(each) < 2 for setup in self.data.setups for each in setup.readings.values()):
            notes.append(
                stated("A single trial shows no scatter: only what the instrument may be off by.")
            )
        notes.append(
            stated(
                "Taken as exact: g, and every coefficient that the scene or the data do not give "
                "an uncertainty."
            )
        )
        return tuple(notes)


def few(names: Sequence[str], most: int = 10) -> Fact | str:
    """A list of names, of which no more than so many are named."""
    named = ", ".join(names[:most])
    if len(names) <= most:
        return named
    return stated("{names} and {number} more", names=named, number=len(names) - most)


def shown(scene: Scene, key: str, value: float) -> str:
    """The SI value of a "PART.KEY" as it was set, in the unit a bench would use.

    Raises SceneError.
    """
    return units.handy_plain(value, dimension_of(scene, key))


def _graduation(quantity: str, division: float) -> str:
    kind = quantities.kind_of(quantity)
    return f"{units.convert(division, kind.dimension, kind.unit):g} {kind.unit}".rstrip()
