"""The words of the sheet: values by their labels, in the reader's language and units."""

from __future__ import annotations

import pytest

from sandbox.check import Row
from sandbox.language.display import Display
from sandbox.scene import SceneError
from sandbox.sheet import dialogs, edits, tables
from sandbox.sheet.checking import CheckResult
from sandbox.sheet.text_entry import TypedLine
from tests.sheets import pass_time, point, sheet_on


def test_scenes_are_titled_in_the_language_of_the_sheet() -> None:
    """Title, what to watch and the list of scenes are Spanish on a Spanish sheet."""
    sheet = sheet_on("fixed_sheave", language="es")
    assert "El tiro es el peso" in sheet.show().message
    texts = [text.text for text in sheet.compose()[0].texts]
    assert "Una polea fija para la bolsa de perdigones" in texts
    assert "La percha vuelca" in sheet.scenes.titles("es")
    assert "The spar tips" in sheet.scenes.titles("en")


def test_a_step_and_a_refusal_name_a_value_by_its_label() -> None:
    """What was undone, and why a value cannot be, is said without the keys of the file."""
    sheet = sheet_on("balanced_rule")
    edits.change(sheet, "shot.mass", 0.3)
    edits.undo(sheet)
    assert sheet.message == "undone: change of shot, mass"
    edits.change(sheet, "shot.mass", 1e9)
    assert sheet.message.startswith("shot, mass: found ")
    assert sheet.message.endswith("; allowed: from 1e-06 kg to 10000 kg.")
    spanish = sheet_on("balanced_rule", language="es")
    spanish.entry = TypedLine("value", "shot.mass", "300 cm")
    dialogs.finish(spanish)
    assert "una masa con su unidad" in spanish.message
    edits.next_mode(spanish)
    edits.undo(spanish)
    assert "cómo se acciona la máquina" in spanish.message


@pytest.mark.parametrize(
    ("system", "shown"),
    [
        ("SI", ["9.807 N", "0°", "20.00 cm"]),
        ("US", ["2.205 lbf", "0°", "7.874 in"]),
    ],
)
def test_the_check_table_has_the_units_of_the_sheet(system, shown) -> None:
    """Both answers stand in the sheet's units (1 lbf = 4.4482216 N, NIST SP 811), and what a bench
    could not show is 0."""
    rows = [
        Row("x", name, unit, value, value, 0.0, 0.01, True)
        for name, unit, value in [
            ("hand.force", "N", 9.80665),
            ("bar.tilt", "deg", -7e-8),
            ("bag.rise", "m", 0.2),
        ]
    ]
    found = tables.check_table(
        CheckResult(tuple(rows)), True, Display(system=system), 0, lambda text: [text]
    )
    for column in (1, 2):
        assert [row[column] for row in found.rows[1:]] == shown


def test_a_refusal_without_a_label_keeps_its_key() -> None:
    """What has no label is named as the file has it."""
    from sandbox.sheet.wording import refusal_said

    sheet = sheet_on("fixed_sheave")
    error = SceneError("nobody.mass", None, "one of bag, hand", nearest="bag")
    assert refusal_said(sheet, error) == (
        "nobody.mass: allowed: one of bag, hand. Did you mean 'bag'?"
    )


def test_the_name_of_a_mark_goes_after_a_while() -> None:
    """A pointer that rests on a mark has its name said for some seconds, and then no longer."""
    sheet = sheet_on("fixed_sheave")
    assert point(sheet, "help")
    pass_time(sheet, 8.0)
    assert sheet.marked == "help" and sheet.show().message != point(sheet, "next_scene")
    pass_time(sheet, 30.0)
    assert sheet.show().message == ""


def test_a_title_is_written_in_the_language_of_the_sheet() -> None:
    """On a Spanish sheet the Spanish title is typed over, and the file's own is left alone."""
    sheet = sheet_on("fixed_sheave", language="es")
    own = sheet.scene.about.title
    dialogs.type_text(sheet, "title")
    assert sheet.entry is not None
    assert sheet.entry.text == "Una polea fija para la bolsa de perdigones"
    sheet.entry = TypedLine("text", "scene.title", "La polea fija")
    dialogs.finish(sheet)
    about = sheet.scene.about
    assert (about.title, about.title_in("es")) == (own, "La polea fija")
    edits.undo(sheet)
    assert sheet.message == "deshecho: cambio de escena, título"
