"""What is asked about before it is kept, by the program and by a page's script alike."""

from __future__ import annotations

import pytest

from sandbox.lab.class_work.doubtful import doubt_of_prediction, doubt_of_reading
from tests.doubts import PREDICTIONS, READINGS, WHIP


@pytest.mark.parametrize(("quantity", "text", "asked"), READINGS)
def test_doubtful_readings(quantity: str, text: str, asked: str) -> None:
    """Beyond the scale, below it, finer than a tenth of a division: asked about; else not."""
    found = doubt_of_reading(WHIP[quantity], text)
    assert str(found or "").partition(". You")[0] == asked


@pytest.mark.parametrize(("quantity", "text", "asked"), PREDICTIONS)
def test_doubtful_predictions(quantity: str, text: str, asked: str) -> None:
    """What is no number with a unit of its kind is asked about, but no unit as written by hand."""
    found = doubt_of_prediction(quantity, text)
    assert str(found or "").partition(". You")[0] == asked
