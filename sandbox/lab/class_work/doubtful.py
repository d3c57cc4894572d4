"""What is asked about before it is kept: a reading that its instrument cannot show or an eye not
read, a prediction that is no number with a unit. Whoever typed it may mean it, and keeps it then.

A page's script has the same rule (`assets/page/doubtful.js`): tests hold the two alike.
"""

from __future__ import annotations

import math

from sandbox import units
from sandbox.facts import Fact, Kind
from sandbox.lab.class_work import predict
from sandbox.lab.class_work.evidence import FINEST
from sandbox.lab.parts.entry import Instrument
from sandbox.scene import quantities

GAUGE_BEGINS = Kind("gauge_begins", "The gauge begins at {end}. You typed {text}. Keep it?")
GAUGE_GOES_TO = Kind("gauge_goes_to", "The gauge goes to {end}. You typed {text}. Keep it?")
RULE_IS_LONG = Kind("rule_is_long", "The rule is {end} long. You typed {text}. Keep it?")
PROTRACTOR_GOES_TO = Kind(
    "protractor_goes_to", "The protractor goes to {end}. You typed {text}. Keep it?"
)
STOPWATCH_SHOWS = Kind(
    "stopwatch_shows", "The stopwatch shows {low} to {high}. You typed {text}. Keep it?"
)
FINER_THAN_READ = Kind(
    "finer_than_read",
    "One division is {division}. You typed {text}, finer than an eye can read. Keep it?",
)
NUMBER_ASKED = Kind("number_asked", "A plain number is asked. You typed {text}. Keep it?")
UNIT_LACKS = Kind("unit_lacks", "The unit is missing, such as {unit}. You typed {text}. Keep it?")
UNIT_ASKED = Kind(
    "unit_asked", "A number with a unit such as {unit} is asked. You typed {text}. Keep it?"
)


def doubt_of_reading(instrument: Instrument, text: str) -> Fact | None:
    """What to ask about a reading that has a value of its kind; None where nothing is doubtful."""
    written = predict.read_value(text)
    value = None if written is None else written.si(instrument.dimension)
    if written is None or value is None:
        return None
    unit = instrument.unit
    low, high = instrument.low, instrument.high
    place = units.convert(value, instrument.dimension, unit)
    half = 0.5 * instrument.division
    ends = f"{low:g} {unit}", f"{high:g} {unit}"
    if instrument.form == "dial" and place < low:
        return GAUGE_BEGINS(end=ends[0], text=text)
    if instrument.form == "dial" and place > high + half:
        return GAUGE_GOES_TO(end=ends[1], text=text)
    if instrument.form == "stopwatch" and not low <= place <= high:
        return STOPWATCH_SHOWS(low=ends[0], high=ends[1], text=text)
    if not low - half <= place <= high + half:
        if instrument.form == "rule":
            return RULE_IS_LONG(end=ends[1], text=text)
        return PROTRACTOR_GOES_TO(end=ends[place > high], text=text)
    scale = abs(place / written.number) if written.number else 1.0
    if 2.0 * written.rounding * scale < FINEST * instrument.division:
        return FINER_THAN_READ(division=f"{instrument.division:g} {unit}", text=text)
    return None


def doubt_of_prediction(quantity: str, text: str) -> Fact | None:
    """What to ask about a prediction; None where it is a number with a unit of its kind."""
    kind = quantities.kind_of(quantity)
    written = predict.read_value(text)
    value = None if written is None else written.si(kind.dimension)
    if value is not None and not math.isnan(value):
        return None
    if kind.dimension is units.NUMBER:
        return NUMBER_ASKED(text=text)
    if written is not None and not written.unit:
        return UNIT_LACKS(unit=kind.unit, text=text)
    return UNIT_ASKED(unit=kind.unit, text=text)
