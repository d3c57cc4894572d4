"""What a scene says of itself in other languages: read, edited and shown."""

from __future__ import annotations

import pytest

from sandbox.editing import steps
from sandbox.editing.draft import Draft
from sandbox.language.display import Display
from sandbox.language.words import LANGUAGES
from sandbox.scene import SceneError, load, text_key
from sandbox.shipped import find_scene, shipped_scenes


@pytest.mark.parametrize("path", shipped_scenes(), ids=lambda path: path.stem)
def test_shipped_scenes_speak_every_language(path) -> None:
    """Each shipped scene has a title and a watch of its own in each language of the sheet, and a
    name for each of its parts."""
    scene = load(path)
    about = scene.about
    for language in LANGUAGES[1:]:
        assert about.title_in(language) != about.title
        assert about.watch_in(language) != about.watch
        assert [name for name, _ in about.names_in(language)] == list(scene.parts)


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


NAMED = PLAIN.replace(
    "[block.head]", '[scene.translations.es.names]\nbag = "bolsa"\nhand = "mano"\n\n[block.head]'
)


def test_parts_have_names_in_other_languages() -> None:
    """What a reader is shown has the parts' names in the reader's language; quantities, keys and
    the file keep those of the file; renamed and removed, a part takes its name along."""
    draft = Draft(NAMED)
    display = Display("es").of(draft.scene.about)
    assert display.quantity("bag.rise") == Display("es").quantity("bolsa.rise")
    assert display.names(["bag", "whip"]) == "bolsa y whip"
    assert display.describe(steps.MOVE(name="hand")) == Display("es").describe(
        steps.MOVE(name="mano")
    )
    assert Display("en").of(draft.scene.about).part("bag") == "bag"
    draft.rename("bag", "sack")
    assert draft.scene.about.names_in("es") == (("sack", "bolsa"), ("hand", "mano"))
    draft = Draft(NAMED, unfinished=True)
    gone = draft.remove_part("bag")
    left = {"bag": "bolsa", "hand": "mano"}.items()
    assert draft.scene.about.names_in("es") == tuple(p for p in left if p[0] not in gone)


@pytest.mark.parametrize(
    ("line", "key", "found"),
    [
        ('bagg = "bolsa"', "bagg", "Did you mean 'bag'?"),
        ('bag = "mano"', "bag", "found 'mano'"),
        ("bag = 3", "bag", "found 3"),
    ],
)
def test_a_name_of_no_part_is_refused(line: str, key: str, found: str) -> None:
    """A name for a part there is not, one that two parts would have, and what is no text are
    refused by their key."""
    with pytest.raises(SceneError) as refused:
        Draft(NAMED.replace('bag = "bolsa"', line))
    assert refused.value.key == f"scene.translations.es.names.{key}"
    assert found in str(refused.value)
