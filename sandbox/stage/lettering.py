"""The sheet's lettering, IBM Plex Sans Condensed, and how much room a text takes. No screen needed.

Letter heights follow ISO 3098: nominal height h is that of the capitals, 0.7 of the body size.
"""

from __future__ import annotations

import struct
from functools import cache, lru_cache
from pathlib import Path

from sandbox.shipped import asset

FILES = {False: "IBMPlexSansCondensed-Medium.ttf", True: "IBMPlexSansCondensed-Bold.ttf"}
DESCENT = 0.22
"""How far letters reach below their line, in body sizes; above it they reach 1 - DESCENT."""

_LOOKALIKES = str.maketrans({"μ": "µ", "\u00a0": " "})
MISSING = "◊"
"""Stands for a character that the font has no shape for."""


@cache
def font_file(bold: bool = False) -> Path:
    """The font's file. Raises IncompleteError where it did not come with the program."""
    return asset(FILES[bold])


@lru_cache(maxsize=4096)
def tidy(text: str) -> str:
    """The same text in characters that the font has a shape for: a lookalike, or else `MISSING`.

    >>> tidy("5 μm"), tidy("α board")
    ('5 µm', '◊ board')
    """
    known = _advances(False)[0]
    text = text.translate(_LOOKALIKES)
    return "".join(letter if ord(letter) in known else MISSING for letter in text)


@lru_cache(maxsize=4096)
def width(text: str, size: float, bold: bool = False) -> float:
    """How wide `text` is at a body size, in the unit of the size."""
    advances, missing = _advances(bold)
    return size * sum(advances.get(ord(letter), missing) for letter in tidy(text))


def fit(text: str, size: float, room: float, bold: bool = False) -> str:
    """`text`, or as much of its beginning as fits in `room`, with an ellipsis."""
    if width(text, size, bold) <= room:
        return text
    while text and width(text + "…", size, bold) > room:
        text = text[:-1]
    return text.rstrip() + "…"


@cache
def _advances(bold: bool) -> tuple[dict[int, float], float]:
    """Each character's advance in body sizes, and a missing character's, from the TrueType file.

    Reads the tables head, hhea, hmtx and cmap format 4 (ISO/IEC 14496-22).
    """
    data = font_file(bold).read_bytes()

    def numbers(form: str, at: int) -> tuple[int, ...]:
        return struct.unpack_from(">" + form, data, at)

    entries = (numbers("4sIII", 12 + 16 * i) for i in range(numbers("H", 4)[0]))
    table = {str(tag, "ascii"): start for tag, _, start, _ in entries}  # type: ignore[call-overload]
    body = numbers("H", table["head"] + 18)[0]
    measured = numbers("H", table["hhea"] + 34)[0]

    def advance(glyph: int) -> float:
        return numbers("H", table["hmtx"] + 4 * min(glyph, measured - 1))[0] / body

    cmap = table["cmap"]
    maps = (numbers("HHI", cmap + 4 + 8 * i) for i in range(numbers("H", cmap + 2)[0]))
    start = next(cmap + at for *_, at in maps if numbers("H", cmap + at)[0] == 4)
    twice = numbers("H", start + 6)[0]
    ends, starts, deltas, offsets = (
        numbers(f"{twice // 2}H", start + 14 + column * twice + (2 if column else 0))
        for column in range(4)
    )
    advances: dict[int, float] = {}
    for i, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if offsets[i]:
                spot = start + 16 + 3 * twice + 2 * i + offsets[i] + 2 * (code - first)
                glyph = numbers("H", spot)[0]
                if not glyph:
                    continue
            glyph = (glyph + deltas[i]) & 0xFFFF
            if glyph:
                advances[code] = advance(glyph)
    return advances, advance(0)
