"""A grid of runs as a few kilobytes of text, and back.

All numbers are rounded to whole steps, stored as differences (of differences, in time), written as
variable-length integers (seven bits to a byte, the lowest first, the sign in the lowest bit),
compressed by zlib's deflate and spelt in base64.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sandbox.page.grid import FINE, LEVELS, Floats, Grid, Place
from sandbox.page.shapes import Structure, Words

PLACES = 100
"""Of a millimetre: what shapes are rounded to."""


def packed(grid: Grid) -> dict[str, Any]:
    """The grid for a page: plain tables of what there is, and one block of all its numbers."""
    keys = grid.keys
    structures: list[tuple[Structure, tuple[Words, ...]]] = []
    last: dict[int, NDArray[np.int64]] = {}
    numbers: list[NDArray[np.int64]] = []
    for place in grid.places():
        run = grid.runs[place]
        scales = np.array([c.scale for c in grid.plan.channels]) / LEVELS
        rounded = np.rint(run.values[:, keys] / scales[:, None]).astype(np.int64)
        numbers.append(_differences(_differences(rounded)).ravel())
        fine = np.array([c.scale for c in grid.plan.once]) / FINE
        numbers.append(np.rint(run.once / fine).astype(np.int64))
        made = (run.drawn.structure, run.drawn.labels)
        same = [i for i, known in enumerate(structures) if known[0] == made[0]]
        if not same:
            structures.append(made)
        number = same[0] if same else len(structures) - 1
        shape = np.rint(np.array(run.drawn.numbers) * PLACES).astype(np.int64)
        before = last.get(number, np.zeros_like(shape))
        numbers += [np.array([number]), shape - before]
        last[number] = shape
    data = zlib.compress(bytes(_varints(np.concatenate(numbers))), 9)
    first = grid.runs[next(grid.places())]
    return {
        "times": [round(float(t), 4) for t in first.times[keys]],
        "channels": [{"name": c.name, "step": c.scale / LEVELS} for c in grid.plan.channels],
        "once": [{"name": c.name, "step": c.scale / FINE} for c in grid.plan.once],
        "knots": [list(line) for line in grid.knots],
        "places": PLACES,
        "structures": [_structure(made) for made, _ in structures],
        "data": base64.b64encode(data).decode(),
    }


def _differences(rows: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.diff(rows, axis=1, prepend=0)


def _varints(values: NDArray[np.int64]) -> Iterator[int]:
    for value in values.tolist():
        left = (value << 1) ^ (value >> 63)
        while left > 127:
            yield left & 127 | 128
            left >>= 7
        yield left


def _structure(made: Structure) -> dict[str, Any]:
    return {
        "carriers": [[c.kind, c.of, c.spin] for c in made.carriers],
        "shapes": [list(shape) for shape in made.shapes],
        "length": 4 * len(made.carriers) + sum(_count(s.form, s.points) for s in made.shapes),
    }


def _count(form: str, count: int) -> int:
    return 2 * count + (1 if form == "circle" else 0)


@dataclass(frozen=True)
class Unpacked:
    """What a page has: the same numbers, rounded, at the same places."""

    times: Floats
    channels: tuple[str, ...]
    once: tuple[str, ...]
    knots: tuple[tuple[int, ...], ...]
    values: dict[Place, Floats]
    single: dict[Place, Floats]

    def at(self, place: Place) -> tuple[Floats, Floats]:
        """Channels by key moments, and what is had once, blended straight between knots; this is
        what the page's own script does."""
        corners: list[tuple[Place, float]] = [((), 1.0)]
        for number, line in zip(place, self.knots, strict=True):
            high = min(int(np.searchsorted(line, number, "left")), len(line) - 1)
            low = high if line[high] == number else high - 1
            share = 0.0 if low == high else (number - line[low]) / (line[high] - line[low])
            corners = [
                ((*done, line[end]), weight * part)
                for done, weight in corners
                for end, part in ((low, 1.0 - share), (high, share))
                if part > 0.0
            ]
        motion = sum((w * self.values[p] for p, w in corners), np.zeros(()))
        once = sum((w * self.single[p] for p, w in corners), np.zeros(()))
        return np.asarray(motion), np.asarray(once)


def unpacked(page: dict[str, Any]) -> Unpacked:
    """What `packed` made, read again."""
    from itertools import product

    numbers = _read(zlib.decompress(base64.b64decode(page["data"])))
    keys, steps = len(page["times"]), np.array([c["step"] for c in page["channels"]])
    fine = np.array([c["step"] for c in page["once"]])
    values, single = {}, {}
    for place in product(*page["knots"]):
        block = np.fromiter(numbers, np.int64, len(steps) * keys).reshape(len(steps), keys)
        values[place] = np.cumsum(np.cumsum(block, axis=1), axis=1) * steps[:, None]
        single[place] = np.fromiter(numbers, np.int64, len(fine)) * fine
        for _ in range(page["structures"][next(numbers)]["length"]):
            next(numbers)
    return Unpacked(
        np.array(page["times"]),
        tuple(c["name"] for c in page["channels"]),
        tuple(c["name"] for c in page["once"]),
        tuple(tuple(line) for line in page["knots"]),
        values,
        single,
    )


def _read(data: Iterable[int]) -> Iterator[int]:
    value, shift = 0, 0
    for byte in data:
        value |= (byte & 127) << shift
        shift += 7
        if byte < 128:
            yield (value >> 1) ^ -(value & 1)
            value, shift = 0, 0
