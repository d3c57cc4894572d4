"""Tables as spreadsheets save them: a CSV file -> rows of cells, and rows -> CSV.

Files are not trusted: sizes are bounded and nothing in them is ever worked out. Commas, semicolons
or tabs part the cells, whichever the first row that is not empty has. Rows are counted as a
spreadsheet counts them, empty ones too.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sandbox import units
from sandbox.facts import label, stated
from sandbox.scene import Plain, SceneError
from sandbox.scene.errors import FilePlace
from sandbox.scene.read import file_bytes

LARGEST_FILE = 2_000_000
MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 20_000, 100, 200

Row = tuple[int, list[str]]
"""A row's number, the first being 1, and its cells."""


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """Name the file in what is refused of it."""
    try:
        yield
    except SceneError as error:
        error.file = str(path)
        raise


def text_of(path: Path, what: str) -> str:
    """The text in a file of CSV, `what` it should be being said where it is not there.

    Raises SceneError.
    """
    raw = file_bytes(path, what, LARGEST_FILE)
    if len(raw) > LARGEST_FILE:
        raise SceneError(
            "",
            Plain("a larger file"),
            stated("at most {most} bytes", most=units.grouped(LARGEST_FILE)),
        )
    try:
        # A spreadsheet's "Unicode text" is UTF-16 with a mark.
        return raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        found = Plain("bytes that are not text in UTF-8")
        raise SceneError("", found, 'CSV in UTF-8 (a spreadsheet\'s "CSV UTF-8")') from None


def rows_of(text: str, most: int = MOST_ROWS) -> tuple[str, Iterator[Row]]:
    """What parts the cells, and every row that is not empty: at most `most` besides the header.

    A first line "sep=;", which some spreadsheets write and heed, is no row. The rows raise
    SceneError.

    >>> mark, rows = rows_of('a;b\\n;\\n"1;5";2,5\\n')
    >>> mark, list(rows)
    (';', [(1, ['a', 'b']), (3, ['1;5', '2,5'])])
    """
    if "\0" in text:
        raise SceneError("", Plain("bytes that are not text"), "CSV in UTF-8")
    stated = re.match(r'"?sep=([;,\t])"?[;,\t]*(?:\r?\n|$)', text)
    head = next((line for line in text.splitlines() if line.strip(";,\t \ufeff")), "")
    bare = re.sub('"[^"]*"', "", head)
    mark = stated[1] if stated else next((m for m in ";\t" if m in bare), ",")
    return mark, _rows(text, mark, most, 1 if stated else 0)


def _rows(text: str, mark: str, most: int, skipped: int) -> Iterator[Row]:
    table = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    number = 0
    try:
        for number, row in enumerate(table, 1):
            if number > most + 1 + skipped:
                raise SceneError(
                    "", Plain("more rows"), stated("at most {most} rows", most=units.grouped(most))
                )
            if len(row) > MOST_COLUMNS:
                found = Plain(stated("{count} columns", count=units.grouped(len(row))))
                raise SceneError(
                    FilePlace("row {row}", row=number),
                    found,
                    stated("at most {most} columns", most=MOST_COLUMNS),
                )
            for column, cell in enumerate(row, 1):
                if len(cell) > LONGEST_CELL:
                    raise _too_long(
                        FilePlace("row {row}, column {column}", row=number, column=column)
                    )
            if number > skipped and any(cell.strip() for cell in row):
                yield number, row
    except csv.Error as error:
        where = FilePlace("row {row}", row=number + 1)
        if "field limit" in str(error):
            raise _too_long(where) from None
        reason = str(error).replace("\t", "a tab")
        raise SceneError(
            where, Plain(stated("CSV that does not parse ({reason})", reason=reason)), "CSV text"
        ) from None


def _too_long(where: str) -> SceneError:
    return SceneError(
        where,
        Plain("a longer text"),
        stated("at most {most} characters in a cell", most=LONGEST_CELL),
    )


def read_table(path: Path, what: str, most: int = MOST_ROWS) -> tuple[list[str], list[Row]]:
    """The names in the first row of a file that may have been `guarded`, and the rows below it, as
    many cells in each; `what` as in `text_of`, `most` as in `rows_of`.

    Raises SceneError.
    """
    _, table = rows_of(text_of(path, what), most)
    _, heading = next(table, (1, []))
    names = [name.strip() for name in heading]
    rows = []
    for number, cells in table:
        check_width(number, cells, len(names))
        cells += [""] * (len(names) - len(cells))
        rows.append((number, [unguarded(cell) for cell in cells[: len(names)]]))
    if not rows:
        raise SceneError("", Plain("no rows"), what)
    return names, rows


def check_width(number: int, cells: Sequence[str], columns: int, hint: str = "") -> None:
    """Raise SceneError for a row that says something beyond the header's columns."""
    if any(cell.strip() for cell in cells[columns:]):
        found = Plain(
            stated("{count} cells for {columns} columns", count=len(cells), columns=columns)
        )
        raise SceneError(
            FilePlace("row {row}", row=number),
            found,
            hint or label("at most one cell for each column"),
        )


# Cells that no spreadsheet runs.


# What begins a formula, full-width signs being taken for plain ones in some languages; a
# spreadsheet that splits lines at semicolons or tabs finds further beginnings inside a cell.
_SIGN = r"'*+[=+\-@＝＋－＠]"
_BEGINS = re.compile(rf"'*+\s*+{_SIGN}|'*+[\t\r]")
_INSIDE = re.compile(rf"""([;\t\r\n][\s"]*+)(?={_SIGN})""")
_GUARDED = re.compile(rf"""([;\t\r\n][\s"]*+)'(?={_SIGN})""")
_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)


def guarded(cell: object) -> str:
    """A cell in which no spreadsheet runs a formula: what would begin one gets an apostrophe.

    >>> guarded("=1+1"), guarded("-2.5"), guarded("Student A;=1")
    ("'=1+1", '-2.5', "Student A;'=1")
    """
    text = str(cell)
    if _PLAIN_NUMBER.fullmatch(text):
        return text
    return ("'" if _BEGINS.match(text) else "") + _INSIDE.sub(r"\1'", text)


def unguarded(cell: str) -> str:
    """The cell that `guarded` was given."""
    text = _GUARDED.sub(r"\1", cell)
    return text[1:] if guarded(text[1:]) == cell else text


def table_text(rows: Sequence[Sequence[object]]) -> str:
    """Rows as CSV, every cell guarded."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerows([guarded(cell) for cell in row] for row in rows)
    return text.getvalue()
