"""What a scene says of itself in other languages: read, edited and shown."""

from __future__ import annotations

import pytest

from sandbox.editing.draft import Draft
from sandbox.language.words import LANGUAGES
from sandbox.scene import load, text_key
from sandbox.shipped import find_scene, shipped_scenes


@pytest.mark.parametrize("path", shipped_scenes(), ids=lambda path: path.stem)
def test_shipped_scenes_speak_every_language(path) -> None:
    """Each shipped scene has a title and a watch of its own in each language of the sheet."""
    about = load(path).about
    for language in LANGUAGES[1:]:
        assert about.title_in(language) != about.title
        assert about.watch_in(language) != about.watch


def test_without_a_translation_the_file_speaks_for_itself() -> None:
    """A language that the file does not have gets what the file says."""
    about = load(find_scene("fixed_sheave")).about
    assert (about.title_in("fr"), about.watch_in("fr")) == (about.title, about.watch)


PLAIN = """[scene]
title = "A bag"
watch = "The bag."
mode = "raising"

[block.head]
at = ["0 cm", "1 m"]

[weight.bag]
mass = "500 g"
at = ["plumb", "30 cm"]

[rope.whip]
reeve = ["bag", "head.1", "hand"]

[hand.hand]
at = ["plumb", "70 cm"]
travel = "20 cm"
"""


def test_a_draft_changes_the_text_of_one_language() -> None:
    """A title set for Spanish makes its table, is changed there, undone in steps, and leaves the
    file's own title alone; so does one for a file that has the table."""
    draft = Draft(PLAIN)
    where = text_key("title", "es")
    draft.set(where, "Una bolsa")
    draft.set(where, "La bolsa")
    draft.set(text_key("watch", "es"), "Fíjate.")
    about = draft.scene.about
    assert (about.title, about.title_in("es"), about.watch_in("es")) == (
        "A bag",
        "La bolsa",
        "Fíjate.",
    )
    assert draft.written(where) == "La bolsa"
    assert draft.text.count("[scene.translations.es]") == 1
    draft.set(text_key("title", "en"), "The bag")
    assert (draft.scene.about.title, draft.scene.about.title_in("es")) == ("The bag", "La bolsa")
    for _ in range(4):
        draft.undo()
    assert draft.text == PLAIN
    shipped = Draft.open(find_scene("fixed_sheave"))
    shipped.set(where, "Una polea")
    assert shipped.scene.about.title_in("es") == "Una polea"
