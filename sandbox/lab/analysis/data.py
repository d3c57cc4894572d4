"""Measured data: a CSV file with units in its header -> readings in SI, grouped by set-up.

Files are not trusted: sizes are bounded, nothing in them is ever worked out, and the first thing
wrong is said in one message that names file, row and column.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from sandbox import units
from sandbox.facts import Fact, label, stated
from sandbox.lab.analysis.uncertainty import from_half_width
from sandbox.lab.facts import DIMENSIONS
from sandbox.lab.tables import Row, check_width, naming, rows_of, text_of
from sandbox.scene import (
    About,
    Plain,
    Scene,
    SceneError,
    nearest,
    plain_name,
    quantities,
    value_of,
)
from sandbox.scene.errors import FilePlace, as_fact
from sandbox.scene.parts import Key, keys_of
from sandbox.scene.read import check_range, wanted

MOST_NUMBERS = 200_000
LONGEST_QUOTED = 40
MOST_SETUPS = 100
"""Every one of them is predicted anew."""
WORDS = ("trial", "student", "notes")
"""Columns of text, which may name a row "graduation", or a summary of others."""
_CALLED_SO = {
    "trial": ("run", "attempt", "no", "no.", "nr", "nr.", "#", "ensayo", "prueba", "intento"),
    "student": ("name", "pupil", "observer", "alumno", "alumna", "estudiante", "nombre"),
    "notes": ("note", "remarks", "comment", "comments", "notas", "observaciones"),
}
_WORDS = {each: word for word in WORDS for each in (word, *_CALLED_SO[word])}
"""The same as they are often headed."""

_SUMMARIES = {
    "mean", "average", "avg", "total", "subtotal", "median", "variance", "std", "stdev", "stddev",
    "media", "promedio", "prom", "mediana", "suma", "varianza", "desviacion",
    "mittel", "mittelwert", "durchschnitt", "summe", "standardabweichung", "moyenne", "somme",
}  # fmt: skip
"""What a row is called that sums others up, in either column."""
_OF_TRIALS = _SUMMARIES | {
    "ave", "sum", "sd", "sem", "range", "min", "minimum", "max", "maximum", "minimo", "maximo",
    "rango", "desv",
}  # fmt: skip
"""The same, and what a student might be called."""
_SPREADS = (
    "standard deviation", "standard error", "std dev", "st dev", "error estandar",
    "desviacion estandar", "desviacion tipica",
)  # fmt: skip

_HEADER = re.compile(
    r"(?P<mark>±|u\s)?\s*(?P<name>[^()\[\]±/]+?)\s*"
    r"(?:\((?P<unit>[^()]*)\)|\[(?P<also>[^\[\]]*)\]|/(?P<over>[^()\[\]]+))?"
)
"""The unit in round or square brackets, or behind a stroke as in ISO 80000-1: "hand.force / N"."""
_NUMBER = re.compile(
    r"[+-]?(?:\d+(?P<point>\.\d*)?|(?P<bare>\.\d+))(?:[eE](?P<power>[+-]?\d{1,3}))?"
)
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}(?:[ .,'’\u00a0\u202f]\d{3})+(?:[.,]\d+)?")

SPLIT = label(
    "at most one cell for each column (a decimal comma splits a number in two: write a decimal "
    "point)"
)

Role = Literal["reading", "setting", "half-width", "u", "text", "extra"]
TEXTS: tuple[Role, ...] = ("text", "extra")
"""Of what is not read as numbers."""


@dataclass(frozen=True)
class DataColumn:
    """One column: what it holds, under the quantity's or key's own name, and its unit."""

    name: str
    role: Role
    heading: str
    unit: str = ""
    dimension: units.Dimension = units.NUMBER
    key: Key | None = None
    """Of a setting: what the scene allows."""


@dataclass(frozen=True)
class Reading:
    """One number of the file, SI. `u` is its standard uncertainty where the file gives one."""

    value: float
    row: int
    u: float | None = None
    trial: Fact | str = ""
    """What the file calls it, in words: "trial 2, Student A"."""
    by_hand: float = 0.0
    """What the hand that took it adds in each trial anew, as a standard uncertainty."""

    @property
    def fact(self) -> Fact:
        """What a message calls it."""
        if not self.trial:
            return stated("row {row}", row=self.row)
        return stated("{trial} (row {row})", trial=self.trial, row=self.row)


@dataclass(frozen=True)
class Setup:
    """Rows taken with the same settings ("PART.KEY" -> SI)."""

    settings: dict[str, Reading]
    readings: dict[str, list[Reading]]


def settings_of(setup: Setup) -> dict[str, float]:
    """A set-up's settings as plain values, SI."""
    return {name: reading.value for name, reading in setup.settings.items()}


@dataclass(frozen=True)
class Data:
    """A file's readings, by set-up in the order of the file.

    `graduations` are those of the file's own line of graduations, SI; `last_place` the value of the
    last decimal place written in each column, SI.
    """

    name: str
    setups: tuple[Setup, ...]
    measured: tuple[str, ...]
    settings: tuple[str, ...]
    graduations: dict[str, float] = field(default_factory=dict)
    last_place: dict[str, float] = field(default_factory=dict)
    rows: int = 0
    students: int = 0
    blanks: int = 0
    summaries: tuple[tuple[int, str], ...] = ()
    """Rows left out as they sum others up, each with what the file calls it."""
    extra: tuple[str, ...] = ()
    """Columns left out as they name nothing of the scene, by their headings."""


Titles = Mapping[str, str]
"""What quantities are called in words, and their names: headings may be either."""


def load(path: Path | str, scene: Scene, titles: Titles | None = None) -> Data:
    """The data in the file at `path`, measured on this scene's machine. Raises SceneError.

    A column is a quantity of the scene ("hand.force (N)", or as `titles` call it), one of its keys
    ("ballast.mass (g)": each row is then a set-up of its own), or trial, student or notes; the
    units may stand in a row of their own below. Any other is left out. "± NAME (unit)" gives for
    each row the limits either way within which the reader puts the value; "u NAME (unit)" its
    standard uncertainty. A row called "graduation" under trial or student gives one division of
    each column's instrument; one called "mean", "total", "std" or the like, in English or Spanish,
    is no trial and is left out.
    """
    path = Path(path)
    with naming(path):
        text = text_of(path, label("a file of measured data (.csv)"))
        return parse(text, scene, plain_name(path.name), titles)


def parse(text: str, scene: Scene, name: str = "data", titles: Titles | None = None) -> Data:
    """The data in a CSV text already read. Raises SceneError."""
    mark, table = rows_of(text)
    first, heading = next(table, (1, []))
    if not any(cell.strip() for cell in heading):
        raise SceneError(
            FilePlace("row {row}", row=first),
            Plain("no header"),
            'names with units, as "hand.force (N)"',
        )
    while heading and not heading[-1].strip():
        heading.pop()
    known = {_folded(title): quantity for title, quantity in (titles or {}).items()}
    columns = [
        _column(cell, scene, FilePlace("row {row}, column {column}", row=first, column=i), known)
        for i, cell in enumerate(heading, 1)
    ]
    rows = list(table)
    columns, rows = _with_units(columns, rows)
    for i, column in enumerate(columns, 1):
        if column.role not in TEXTS:
            _check_unit(
                column.unit,
                column.dimension,
                FilePlace(
                    "row {row}, column {column}, {name}", row=first, column=i, name=column.name
                ),
            )
    _check_columns(columns)
    numbers = [i for i, column in enumerate(columns) if column.role not in TEXTS]
    cells = (cells[i].strip() for _, cells in rows for i in numbers if i < len(cells))
    return _Reader(columns, scene, name, mark, _Decimals(mark, cells)).data(rows)


def _folded(text: str) -> str:
    """As it is compared with others: without capitals, accents and spaces that say nothing."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in bare if not unicodedata.combining(c)).split())


_UNIT_BEHIND = re.compile(r"\s*(?:\((?P<unit>[^()]*)\)|\[(?P<also>[^\[\]]*)\]|/(?P<over>.+))?")


def _column(heading: str, scene: Scene, where: str, titles: Titles) -> DataColumn:
    """What a heading says its column holds."""
    heading = " ".join(heading.split())
    if not heading.isprintable():
        raise SceneError(where, heading, 'a name and its unit, as "hand.force (N)"')
    match = _HEADER.fullmatch(heading)
    mark = re.match(r"±|u\s", heading)
    name = match["name"] if match else heading
    bare = _folded(heading[mark.end() if mark else 0 :])
    for title in sorted(titles, key=len, reverse=True):
        # Folding may shorten what stands before the unit, and leaves the unit's end in place.
        behind = _UNIT_BEHIND.fullmatch(heading, len(heading) - len(bare) + len(title))
        if bare.startswith(title) and behind:
            match, name = behind, titles[title]
            break
    if _folded(heading) in _WORDS:
        return DataColumn(_WORDS[_folded(heading)], "text", heading)
    known = quantities.names(scene)
    if match is None or ("." not in name and not nearest(name, [*known, *WORDS])):
        return DataColumn(heading, "extra", heading)
    unit = units.usual_unit((match["unit"] or match["also"] or match["over"] or "").strip())
    key: Key | None = None
    if name in known:
        role: Role = "reading"
        dimension = quantities.kind_of(name).dimension
    else:
        key = _key(name, scene, where, known)
        role = "setting"
        dimension = units.LENGTH if key.form == "on" else key.dimension
    if mark:
        role = "half-width" if mark[0] == "±" else "u"
    return DataColumn(name, role, heading, unit, dimension, key)


def _with_units(columns: list[DataColumn], rows: list[Row]) -> tuple[list[DataColumn], list[Row]]:
    """The columns with the units of the row below the header, where that holds units and no
    numbers, and the rows without it. Raises SceneError where it says another than the header."""
    cells = [cell.strip().strip("()[]").strip() for cell in rows[0][1]] if rows else []
    cells += [""] * (len(columns) - len(cells))
    pairs = [(c, cell) for c, cell in zip(columns, cells, strict=False) if c.role not in TEXTS]
    written = [(c, units.usual_unit(cell)) for c, cell in pairs if cell not in ("", "-", "–", "1")]
    if not written or not all(_is_unit(unit, c.dimension) for c, unit in written):
        return columns, rows
    found = []
    below = {id(c): unit for c, unit in written}
    for i, column in enumerate(columns, 1):
        unit = below.get(id(column), column.unit)
        if column.unit and unit != column.unit:
            where = _cell(rows[0][0], i, column)
            raise SceneError(
                where, unit, stated("one unit: the header says {unit}", unit=column.unit)
            )
        found.append(replace(column, unit=unit))
    return found, rows[1:]


def _is_unit(text: str, dimension: units.Dimension) -> bool:
    if dimension is units.NUMBER:
        return text == "%"
    try:
        units.read(f"1 {text}", dimension)
    except units.UnitError:
        return False
    return True


def _key(name: str, scene: Scene, where: str, known: list[str]) -> Key:
    """The key that a heading names, which is no quantity."""
    part, dot, word = name.partition(".")
    holder = scene.about if part == "scene" else scene.parts.get(part)
    if not dot or holder is None:
        choices = [*known, *WORDS]
        allowed = stated(
            "a quantity such as {names}, or PART.KEY of {parts}, or {words}",
            names=", ".join(known[:4]),
            parts=", ".join(list(scene.parts)[:8]),
            words=", ".join(WORDS),
        )
        raise SceneError(where, name, allowed, nearest=nearest(name, choices))
    try:
        value_of(scene, name)
    except SceneError as error:
        own = [each for each in known if each.startswith(f"{part}.")]
        allowed = as_fact(error.allowed)
        if own:
            text = label("a quantity ({names}) or {allowed}")
            allowed = stated(text, names=", ".join(own), allowed=allowed)
        hint = nearest(name, [*own, *(f"{part}.{key}" for key in keys_of(type(holder)))])
        raise SceneError(where, name, allowed, nearest=hint) from None
    kind = About if part == "scene" else type(holder)
    return keys_of(kind)[word][0]


def _cell(row: int, number: int, column: DataColumn) -> FilePlace:
    """Where a value stands."""
    text = label("row {row}, column {column} ({heading})")
    return FilePlace(text, row=row, column=number, heading=column.heading)


def _check_unit(unit: str, dimension: units.Dimension, where: str) -> None:
    if dimension is units.NUMBER:
        if unit not in ("", "1", "%"):
            raise SceneError(where, unit, "a plain number: no unit, or (%)")
        return
    if not unit:
        found = Plain("no unit")
        raise SceneError(
            where,
            found,
            stated(
                "a unit of {dimension} in brackets, as ({examples})",
                dimension=DIMENSIONS[dimension](),
                examples=dimension.examples[0],
            ),
        )
    if not _is_unit(unit, dimension):
        allowed = stated(
            "a unit of {dimension}, such as {names}",
            dimension=DIMENSIONS[dimension](),
            names=", ".join(dimension.examples),
        )
        raise SceneError(where, unit, allowed)


def _check_columns(columns: list[DataColumn]) -> None:
    seen: set[tuple[str, str]] = set()
    for i, column in enumerate(columns, 1):
        if column.role == "extra":
            continue
        where = f"row 1, column {i}"
        kind = "spread" if column.role in ("half-width", "u") else "value"
        if (column.name, kind) in seen:
            raise SceneError(where, column.heading, "each name once")
        seen.add((column.name, kind))
    for i, column in enumerate(columns, 1):
        if column.role in ("half-width", "u") and (column.name, "value") not in seen:
            raise SceneError(
                f"row 1, column {i}",
                column.heading,
                stated("a column {name} too", name=column.name),
            )
    if not any(column.role == "reading" for column in columns):
        left_out = ", ".join(c.heading for c in columns if c.role == "extra")
        found = Plain("nothing measured")
        if left_out:
            found = Plain(stated("nothing measured (but {names})", names=left_out))
        raise SceneError("row 1", found, "at least one quantity of the scene")


class _Decimals:
    """The decimal sign of a file, one throughout: that of its first number that leaves no doubt.

    Three digits behind a point or a comma may be thousands. Where no other number tells, what parts
    the cells does: spreadsheets write semicolons beside decimal commas, and commas beside points.
    """

    def __init__(self, mark: str, cells: Iterable[str]) -> None:
        sure = (_mark_in(cell) for cell in cells if not _GROUPED.fullmatch(cell))
        self._sign = next(filter(None, sure), {",": ".", ";": ","}.get(mark, ""))

    def pointed(self, cell: str, where: str) -> str:
        """A number's cell with a decimal point; any other cell as it is. Raises SceneError."""
        found = _mark_in(cell)
        if not found:
            return cell
        if found != self._sign:
            allowed = stated("the decimal sign of the file, {sign}", sign=f"{self._sign!r}")
            if _GROUPED.fullmatch(cell):
                whole, _, fraction = cell.partition(found)
                text = label("{whole}, or {fraction}")
                if not self._sign:
                    text = label("{whole}, or {fraction}0, as three digits may be thousands")
                sign = self._sign or "."
                allowed = stated(
                    text, whole=f"{whole}{fraction}", fraction=f"{whole}{sign}{fraction}"
                )
            raise SceneError(where, cell, allowed)
        return cell.replace(",", ".")


def _mark_in(cell: str) -> str:
    """The point or the comma in a number that has just one; else ""."""
    marks = re.findall("[.,]", cell)
    return marks[0] if len(marks) == 1 and _NUMBER.fullmatch(cell.replace(",", ".")) else ""


class _Reader:
    """Rows of cells -> set-ups."""

    def __init__(
        self, columns: list[DataColumn], scene: Scene, name: str, mark: str, decimals: _Decimals
    ) -> None:
        self.columns, self.scene, self.name = columns, scene, name
        self.mark, self.decimals = mark, decimals
        self.setups: dict[tuple[float, ...], Setup] = {}
        self.graduations: dict[str, float] = {}
        self.last_place: dict[str, float] = {}
        self.students: set[str] = set()
        self.summaries: list[tuple[int, str]] = []
        self.blanks = self.rows = self.numbers = 0

    def data(self, rows: Sequence[Row]) -> Data:
        """Everything the rows hold. Raises SceneError."""
        for number, cells in rows:
            self._row(number, cells)
        if not any(setup.readings for setup in self.setups.values()):
            raise SceneError("", Plain("no readings below the header"), "at least one row of them")
        of_role = {
            role: tuple(c.name for c in self.columns if c.role == role)
            for role in ("reading", "setting")
        }
        return Data(
            self.name,
            tuple(setup for setup in self.setups.values() if setup.readings),
            of_role["reading"],
            of_role["setting"],
            self.graduations,
            self.last_place,
            self.rows,
            len(self.students),
            self.blanks,
            tuple(self.summaries),
            tuple(c.heading or "one without a heading" for c in self.columns if c.role == "extra"),
        )

    def _row(self, number: int, cells: list[str]) -> None:
        columns = self.columns
        check_width(number, cells, len(columns), SPLIT)
        cells = [cell.strip() for cell in cells[: len(columns)]]
        cells += [""] * (len(columns) - len(cells))
        for i, column in enumerate(columns):
            if column.role not in TEXTS:
                where = _cell(number, i + 1, column)
                cells[i] = self.decimals.pointed(cells[i], where)
        texts = [c for c, column in zip(cells, columns, strict=True) if column.role in TEXTS]
        if any(text.lower() in ("graduation", "graduations", "division") for text in texts):
            self._graduation_line(number, cells)
            return
        called = {c.name: cell for c, cell in zip(columns, cells, strict=True) if c.role in TEXTS}
        if summary := next((n for c, n in called.items() if _sums_up(c, n)), ""):
            self.summaries.append((number, _quotable(summary)))
            return
        values: dict[tuple[str, Role], float] = {}
        for i, (cell, column) in enumerate(zip(cells, columns, strict=True), 1):
            where = _cell(number, i, column)
            if column.role in TEXTS:
                if column.name == "student" and cell:
                    self.students.add(cell)
                if column.name == "notes" and self.mark == "," and cell.isdecimal():
                    self._check_split(cells[:i], where)
            elif cell:
                values[column.name, column.role] = self._number(cell, column, where)
                self._note_place(cell, column)
            elif column.role == "setting":
                allowed = label("a value for every row: it says how the machine was set up")
                raise SceneError(where, Plain("a blank cell"), allowed)
            else:
                self.blanks += column.role == "reading"
        self.rows += 1
        self.numbers += len(values)
        if self.numbers > MOST_NUMBERS:
            found = Plain("more numbers than that")
            raise SceneError(
                FilePlace("row {row}", row=number),
                found,
                stated("at most {most} in a file", most=units.grouped(MOST_NUMBERS)),
            )
        trial, student = (_quotable(called.get(name, "")) for name in ("trial", "student"))
        called_so: Fact | str = stated("trial {number}", number=trial) if trial else student
        if trial and student:
            called_so = stated("{trial}, {student}", trial=called_so, student=student)
        self._keep(number, values, called_so)

    def _keep(self, number: int, values: dict[tuple[str, Role], float], trial: Fact | str) -> None:
        settings: dict[str, Reading] = {}
        readings: dict[str, Reading] = {}
        for (name, role), value in values.items():
            if role in ("reading", "setting"):
                half_width, u = values.get((name, "half-width")), values.get((name, "u"))
                if half_width is not None:
                    u = from_half_width(half_width)
                kept = settings if role == "setting" else readings
                kept[name] = Reading(value, number, u, trial)
        at = tuple(reading.value for reading in settings.values())
        if at not in self.setups and len(self.setups) == MOST_SETUPS:
            raise SceneError(
                FilePlace("row {row}", row=number),
                Plain("one more set-up"),
                stated("at most {most} different set-ups", most=MOST_SETUPS),
            )
        setup = self.setups.setdefault(at, Setup(settings, {}))
        for name, reading in readings.items():
            setup.readings.setdefault(name, []).append(reading)

    def _graduation_line(self, number: int, cells: list[str]) -> None:
        for i, (cell, column) in enumerate(zip(cells, self.columns, strict=True), 1):
            if not cell or column.role not in ("reading", "setting"):
                continue
            where = _cell(number, i, column)
            value = _si(cell, column, where)
            if value <= 0.0:
                raise SceneError(where, cell, "one division, more than zero")
            if column.name in self.graduations:
                raise SceneError(where, cell, "one line of graduations")
            self.graduations[column.name] = value

    def _check_split(self, cells: Sequence[str], where: str) -> None:
        """Refuse a note that looks like the digits behind the decimal comma of a number."""
        *before, note = cells
        if not before or self.columns[len(before) - 1].role in TEXTS:
            return
        if before[-1].lstrip("+-").isdecimal():
            allowed = stated(
                "a note in words (a decimal comma splits a number in two: write a decimal point)"
            )
            raise SceneError(where, note, allowed)

    def _number(self, cell: str, column: DataColumn, where: str) -> float:
        value = _si(cell, column, where)
        if column.role in ("half-width", "u") and value < 0.0:
            raise SceneError(where, cell, "zero or more")
        if column.role == "setting" and column.key is not None:
            key = column.key
            if key.form == "on":
                key = Key("value", "", units.LENGTH, low=0.0, high=100.0)
            check_range(key, where, value, cell)
        return value

    def _note_place(self, cell: str, column: DataColumn) -> None:
        """Keep the smallest last decimal place written in a column."""
        match = _NUMBER.fullmatch(cell)
        if column.role not in ("reading", "setting") or match is None:
            return
        decimals = len((match["point"] or match["bare"] or ".").removeprefix("."))
        place = 10.0 ** min(int(match["power"] or 0) - decimals, 9)  # "0e999" is zero
        si = place * abs(_si("1", column, column.heading))
        self.last_place[column.name] = max(
            units.SMALLEST, min(si, self.last_place.get(column.name, math.inf))
        )


def _sums_up(column: str, cell: str) -> bool:
    """Whether a row is called a summary in a column of text: by its whole name or, among trials,
    its first word.

    >>> [_sums_up("trial", cell) for cell in ("Mean of 3", "promedio:", "Std. dev.", "max", "12")]
    [True, True, True, True, False]
    >>> [_sums_up("student", cell) for cell in ("Class average", "Desviación típica", "Max")]
    [True, True, False]
    >>> _sums_up("notes", "Mittelwert"), _sums_up("notes", "mean street, by the slipway")
    (True, False)
    """
    words = re.findall("[a-z]+", _folded(cell))
    if words and words[0] in ("class", "group", "overall", "grand"):
        words.pop(0)
    if column == "trial":
        return words[:1] != [] and (words[0] in _OF_TRIALS or " ".join(words[:2]) in _SPREADS)
    whole = re.split(r" (?:of|de)\b", " ".join(words))[0]
    return whole in _SUMMARIES or whole in _SPREADS


def _quotable(cell: str) -> str:
    """A cell that a message can repeat."""
    return cell if cell.isprintable() and len(cell) <= LONGEST_QUOTED else ""


def _si(cell: str, column: DataColumn, where: str) -> float:
    """A cell's number in SI. Raises SceneError."""
    if _NUMBER.fullmatch(cell) is None:
        raise SceneError(where, cell, _advice(cell, column))
    if column.dimension is units.NUMBER:
        value = float(cell) / (100.0 if column.unit == "%" else 1.0)
    else:
        try:
            value = units.read(f"{cell} {column.unit}", column.dimension)
        except units.UnitError as error:
            raise SceneError(where, cell, wanted(column.dimension, error)) from None
    if not units.in_bench_range(value):
        bounds = f"{units.SMALLEST:g} to {units.LARGEST:g}"
        raise SceneError(where, cell, stated("zero, or {bounds} either way, in SI", bounds=bounds))
    return value


def _advice(cell: str, column: DataColumn) -> Fact:
    if _GROUPED.fullmatch(cell):
        return stated("a number without marks between its thousands")
    if cell[:1] in ("=", "@") or re.match(r"[+-]\s*[A-Za-z(]", cell):
        return stated("a number (formulas are not worked out: save their values)")
    if re.match(r"[+-]?[\d.]+\s*[A-Za-z%°]", cell):
        if not column.unit:
            return stated("a number alone: it has no unit in the header")
        return stated("a number alone: the unit, {unit}, stands in the header", unit=column.unit)
    return stated("a number, or a blank cell where nothing was read")
