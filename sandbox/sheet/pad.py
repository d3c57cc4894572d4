"""The on-screen pad for a line being typed: digits and units for a value, letters for a name."""

from __future__ import annotations

from sandbox.drawing.beside import Pad, PadKey
from sandbox.language.display import Display, decimal_sign
from sandbox.sheet import dialogs
from sandbox.sheet.state import SheetState
from sandbox.sheet.text_entry import TypedLine

DELETE, DONE, LEAVE, SHIFT, SIGN, UNIT = "delete", "done", "leave", "shift", "sign", "unit "
"""Names of the keys that are no letters; that of a unit's begins with the last."""
_LETTERS = ("1234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm")
_MARKS = ".,;:-_/@='()?"
_MORE_LETTERS = {"es": "áéíóúüñ¿¡"}


def pad_of(state: SheetState) -> Pad | None:
    """The pad that is open, None where there is none."""
    entry = state.entry
    if entry is None or not entry.pad:
        return None
    return _digits(entry, state.display) if entry.dimension else _letters(entry, state.display)


def _digits(entry: TypedLine, display: Display) -> Pad:
    """Digits, sign, decimal sign, and the units that fit."""
    assert entry.dimension is not None
    unit = entry.measure[1]
    choices = [
        PadKey(f"{UNIT}{name}", name, 1.4, name == unit)
        for name in display.units_of(entry.dimension)
    ]
    blank = PadKey("", "", 1.4)
    sides = [PadKey(DELETE, "←", 1.4), *choices]
    sides += [blank] * (4 - len(sides))
    number = [
        *(tuple(PadKey(digit, digit) for digit in row) for row in ("789", "456", "123")),
        (
            PadKey(SIGN, "±"),
            PadKey("0", "0"),
            PadKey(decimal_sign(display.language), decimal_sign(display.language)),
        ),
    ]
    rows = [(*row, side) for row, side in zip(number, sides, strict=False)]
    return Pad((*rows, *_last(display, 4.4)))


def _letters(entry: TypedLine, display: Display) -> Pad:
    """Letters in the order of common keyboards, digits, and the marks that names and texts have."""
    rows = [
        tuple(
            PadKey(one, one)
            for one in (letter.upper() if entry.capitals else letter for letter in row)
        )
        for row in _LETTERS
    ]
    rows[3] = (PadKey(SHIFT, display.say("Shift"), 1.8, entry.capitals), *rows[3])
    rows[3] = (*rows[3], PadKey(DELETE, "←", 1.2))
    if more := _MORE_LETTERS.get(display.language, ""):
        rows.append(tuple(PadKey(one, one) for one in (more.upper() if entry.capitals else more)))
    rows.append(tuple(PadKey(mark, mark) for mark in _MARKS))
    space = (PadKey(" ", display.say("Space"), 10.0),)
    return Pad((*rows, space, *_last(display, 10.0)))


def _last(display: Display, span: float) -> tuple[tuple[PadKey, ...], ...]:
    # Translators: on a key of the on-screen pad: take what was typed.
    done = PadKey(DONE, display.say("done"), span / 2)
    # Translators: on a key of the on-screen pad: leave everything as it was.
    return ((PadKey(LEAVE, display.say("leave"), span / 2), done),)


def press(state: SheetState, key: str) -> None:
    """A key of the pad is pressed."""
    entry = state.entry
    if entry is None or not key:
        return
    if key == DONE:
        dialogs.finish(state)
    elif key == LEAVE:
        state.entry = None
    elif key == SHIFT:
        entry.capitals = not entry.capitals
    elif entry.dimension is None:
        entry.erase() if key == DELETE else entry.write(key)
    else:
        _press_digit(entry, key, state.display)


def _press_digit(entry: TypedLine, key: str, display: Display) -> None:
    """The number changes and keeps its unit, or the unit and keeps its number. The first digit
    begins another number."""
    assert entry.dimension is not None
    number, unit = entry.measure
    if key.startswith(UNIT):
        unit = key.removeprefix(UNIT)
    elif key == SIGN:
        bare = number.lstrip("-−")
        number = bare if bare != number else f"−{number}"
    elif key == DELETE:
        number = "" if entry.fresh else number[:-1]
    else:
        number = key if entry.fresh else number + key
        # An empty line has no unit to keep.
        choices = display.units_of(entry.dimension)
        usual = display.unit(entry.dimension)[0] if len(choices) > 1 else ""
        unit = unit or (usual if usual in choices else "".join(choices[:1]))
    entry.text = entry.joined(number, unit)
    entry.fresh = False
