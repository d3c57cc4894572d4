"""The on-screen pad for a line being typed: digits and units for a value, letters for a name."""

from __future__ import annotations

from sandbox.drawing.beside import Pad, PadKey
from sandbox.language.display import Display, decimal_sign
from sandbox.sheet import dialogs
from sandbox.sheet.state import SheetState
from sandbox.sheet.text_entry import TypedLine

DELETE, DONE, LEAVE, SHIFT, SIGN = "delete", "done", "leave", "shift", "sign"
LEFT, RIGHT, UNIT, GROUP = "left", "right", "unit ", "group "
"""Names of the keys that are no letters; those of a unit and a group begin with the last two."""
GROUPS = ("ABC", "DEF")
"""Who predicts, as a finger says it."""
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
    if entry.purpose == "prediction" and "#" not in entry.where:
        rows[:0] = [
            tuple(PadKey(GROUP + g, g, 4.4 / len(row), g == entry.group) for g in row)
            for row in GROUPS
        ]
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
    space = (
        PadKey(LEFT, "‹", 1.5),
        PadKey(" ", display.say("Space"), 7.0),
        PadKey(RIGHT, "›", 1.5),
    )
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
    elif key in (LEFT, RIGHT):
        entry.move_caret(1 if key == RIGHT else -1)
    elif entry.dimension is None:
        entry.erase() if key == DELETE else entry.write(key)
    else:
        _press_digit(entry, key, state.display)


def _press_digit(entry: TypedLine, key: str, display: Display) -> None:
    """The number changes and keeps its unit and group, or one of these and keeps its number. The
    first digit begins another number."""
    assert entry.dimension is not None
    number, unit = entry.measure
    group = entry.group
    if key.startswith(UNIT):
        unit = key.removeprefix(UNIT)
    elif key.startswith(GROUP):
        chosen = key.removeprefix(GROUP)
        group = "" if chosen == group else chosen
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
    measure = entry.joined(number, unit)
    entry.text = f"{group}: {measure}" if group else measure
    entry.fresh, entry.after = False, 0
