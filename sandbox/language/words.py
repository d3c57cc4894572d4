"""Every text the sheet and the window show, in each language. `say` is the front door.

The English text is written where it is said, with its fields named in braces, and is its own key in
the catalogues: `locale/LANGUAGE/LC_MESSAGES/sandbox.po`, in the format of GNU gettext, which Babel
reads. `python -m tests.catalogue` brings the catalogues up to date with the source. A language is
added by its code in `Language` and a catalogue. Names, titles and what to watch come from the scene
file as its author wrote them.
"""

from __future__ import annotations

import gettext
import io
import os
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Literal, get_args

from sandbox.facts import Kind, stated
from sandbox.scene import SceneError

Language = Literal["en", "es"]
LANGUAGES: tuple[Language, ...] = get_args(Language)
LOCALES = Path(__file__).parent / "locale"
VARIABLE = "SANDBOX_LANGUAGE"
"""The environment variable that chooses a language where no argument does."""


def chosen(code: str | None = None) -> Language:
    """The language to speak: that of `code` ("es", "es_MX.UTF-8"), else of SANDBOX_LANGUAGE, else
    English.

    Raises SceneError, saying which there are, for a language there is not.

    >>> chosen("es_MX.UTF-8")
    'es'
    """
    wanted = code or os.environ.get(VARIABLE) or "en"
    stem = wanted.replace("-", "_").partition("_")[0].lower()
    for language in LANGUAGES:
        if language == stem:
            return language
    raise SceneError(
        "--language" if code else VARIABLE,
        wanted,
        stated("one of {names}", names=", ".join(LANGUAGES)),
    )


def say(text: str, /, *, language: Language | None = None, **fields: object) -> str:
    """An English text of the source in `language`, or else as `chosen` says, its fields filled in.

    Raises KeyError for a field that is not given.

    >>> say("{count} parts, each {force}", language="es", count=4, force="2,94 N")
    '4 ramales, 2,94 N cada uno'
    """
    return translations(language or chosen()).gettext(text).format_map(fields)


def say_as(
    context: str, text: str, /, *, language: Language | None = None, **fields: object
) -> str:
    """The same for a text that is translated in more than one way, by what it is said of.

    >>> say_as("ramp", "height {length}", language="es", length="20 cm")
    'altura 20 cm'
    """
    found = translations(language or chosen()).pgettext(context, text)
    return found.format_map(fields)


def say_count(
    count: int, one: str, many: str, /, *, language: Language | None = None, **fields: object
) -> str:
    """The same for a text that depends on a number, which is its field {count}.

    >>> say_count(1, "{count} support", "{count} supports", language="es")
    '1 apoyo'
    """
    found = translations(language or chosen()).ngettext(one, many, count)
    return found.format_map({"count": count, **fields})


def text_of(kind: Kind, count: int | None, language: Language) -> str:
    """The text of a kind of fact in a language, of the right number, its fields in braces."""
    known = translations(language)
    if kind.plural and count is not None:
        return known.ngettext(kind.text, kind.plural, count)
    return known.gettext(kind.text)


@lru_cache
def translations(language: Language) -> gettext.NullTranslations:
    """The catalogue of a language. English, the language of the source, needs none."""
    if language == "en":
        return gettext.NullTranslations()
    made_before = LOCALES / language / "LC_MESSAGES" / "sandbox.mo"
    compiled = made_before.read_bytes() if made_before.exists() else compiled_catalogue(language)
    return gettext.GNUTranslations(io.BytesIO(compiled))


def compiled_catalogue(language: Language, without: Sequence[str] = ()) -> bytes:
    """The catalogue of a language as gettext reads it, without the texts that are said nowhere but
    in some places, each given by how the paths in it begin."""
    # Imported where it is needed: English, and most commands, need neither.
    from babel.messages import mofile, pofile

    with open(LOCALES / language / "LC_MESSAGES" / "sandbox.po", "rb") as file:
        catalogue = pofile.read_po(file, language)
    for message in list(catalogue):
        places = [place for place, _ in message.locations]
        if places and all(place.startswith(tuple(without)) for place in places):
            catalogue.delete(message.id, message.context)
    compiled = io.BytesIO()
    mofile.write_mo(compiled, catalogue)
    return compiled.getvalue()
