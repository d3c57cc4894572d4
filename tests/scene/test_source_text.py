"""A TOML text is edited one statement at a time, and the rest of it kept."""

from __future__ import annotations

import tomllib

import pytest

from sandbox.source_text import LONGEST_VALUE, SourceText, typed

TEXT = """\
[weight.can] # of paint
mass = "330 g"
on = "spar@20 cm" # near the end

# The pin.
[lever]
spar = {length = "1 m", mass = "2 kg"}
"""


def test_a_remark_stands_behind_its_key() -> None:
    """A comment goes behind a key, in place of the one there; a key that is left out or stands in
    an inline table gets none, and the text stays as it is."""
    source = SourceText(TEXT)
    remarked = source.remark(("weight", "can", "mass"), "weighed").remark(
        ("weight", "can", "on"), "measured"
    )
    assert remarked.text == TEXT.replace('"330 g"', '"330 g" # weighed').replace(
        "near the end", "measured"
    )
    for path in (("weight", "can", "height"), ("lever", "spar", "mass")):
        assert source.remark(path, "no room").text == TEXT


def test_a_key_without_an_order_goes_after_all_others() -> None:
    """A key that was left out goes in after the last of its table, before the gap that follows."""
    changed = SourceText(TEXT).put(("weight", "can", "height"), "2 cm")
    assert changed.text == TEXT.replace("near the end\n", 'near the end\nheight = "2 cm"\n')
    inline = changed.put(("lever", "spar", "tilt"), "5 deg")
    assert tomllib.loads(inline.text)["lever"]["spar"]["tilt"] == "5 deg"


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.2", 0.2),
        ("true", True),
        ('["beam", "hand"]', ["beam", "hand"]),
        ("'plumb'", "plumb"),
        ("350 g", "350 g"),
        ("spar@20 cm", "spar@20 cm"),
        ("1\nmass = 2", "1\nmass = 2"),
        ("", ""),
        ("[" * 1500, "[" * 1500),
        (f'"{LONGEST_VALUE * "a"}"', f'"{LONGEST_VALUE * "a"}"'),
    ],
)
def test_typed_values_are_toml_or_themselves(text: str, value: object) -> None:
    """A typed text is the one TOML value that it is, and otherwise the text: more than one key,
    brackets without end and more than a value's length are no value."""
    assert typed(text) == value
