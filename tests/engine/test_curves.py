"""Curves laid through readings, by numpy and without it."""

from __future__ import annotations

import math

import pytest

from sandbox.engine import curves

TIMES = [0.02 * i for i in range(1, 40)]
WAVE = [3.0 + 0.2 * math.sin(7.0 * t) - t * t for t in TIMES]
WEIGHTS = [math.cos(t) ** 2 for t in TIMES]


def test_plain_arithmetic_gives_what_numpy_does(monkeypatch: pytest.MonkeyPatch) -> None:
    """Means, values between, cubics and power series come out alike with numpy and, as in a
    browser, without it."""

    def found() -> list[float]:
        shifted = [t - 0.4 for t in TIMES]
        series, off = curves.power_series(TIMES, WAVE, (0, 2, 4, 6))
        return [
            curves.mean(WAVE), curves.weighted(WEIGHTS, WAVE), curves.from_a_cubic(TIMES, WAVE),
            curves.cubic_at_zero(shifted, WAVE, WEIGHTS), off, *series,
            *(curves.between(x, TIMES, WAVE) for x in (0.0, 0.02, 0.31, 0.78, 2.0)),
        ]  # fmt: skip

    by_numpy = found()
    monkeypatch.setattr(curves, "_numpy", lambda: None)
    assert found() == pytest.approx(by_numpy, rel=1e-9)


@pytest.mark.parametrize("plain", [False, True], ids=["numpy", "plain"])
def test_curves_go_through_what_they_can(plain: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """A cubic is found again, and so is a polynomial of even powers, coefficient by coefficient."""
    if plain:
        monkeypatch.setattr(curves, "_numpy", lambda: None)
    places = [0.1 * i - 0.7 for i in range(20)]
    cubic = [2.0 - 3.0 * x + 0.5 * x**2 + 4.0 * x**3 for x in places]
    assert curves.from_a_cubic(places, cubic) < 1e-12
    assert curves.cubic_at_zero(places, cubic, [1.0] * 20) == pytest.approx(2.0)
    even = [1.5 - 2.0 * t**2 + 0.25 * t**4 for t in TIMES]
    series, off = curves.power_series(TIMES, even, (0, 2, 4, 6))
    assert series == pytest.approx([1.5, -2.0, 0.25, 0.0], abs=1e-8) and off < 1e-12
    assert curves.between(0.03, [0.02, 0.04], [1.0, 3.0]) == pytest.approx(2.0)
