"""What the source says, as the catalogues of the languages must have it.

`python -m tests.catalogue` brings every catalogue up to date: new texts come in untranslated, those
that no code says any more go. A comment "# Translators: ..." above a text is handed on.
"""

from __future__ import annotations

import ast
import gettext
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from babel.messages import Catalog, Message, pofile
from typer.core import TyperGroup
from typer.main import get_command

import sandbox
from sandbox.cli import app, helping
from sandbox.language.words import LANGUAGES, LOCALES, Language
from sandbox.page.words import said as said_by
from sandbox.scene.about import Translation
from sandbox.scene.parts import KINDS, About, keys_of
from sandbox.shipped import assets_folder

PACKAGE = Path(sandbox.__file__).parent
OTHERS = tuple(language for language in LANGUAGES if language != "en")
MARK = "# Translators: "
TEXT_FIRST = ("say", "label", "stated", "Plain", "FilePlace", "RecordError", "refuse")
"""Whatever says or keeps the text that it is given first."""


class Said(NamedTuple):
    """A text of the source: where it stands, in one or two numbers, its context and comment."""

    line: int
    texts: tuple[str, ...]
    context: str | None
    comment: str


def texts_of(source: str) -> Iterator[Said]:
    """What a module says: the texts of `say`, `say_as`, `say_count` and `label`, what any call is
    given as its `label`, those of each `Kind`, and what refusals find and allow.

    >>> [said.texts for said in texts_of('say("slack" if loose else "parted"); part(label="rise")')]
    [('slack',), ('parted',), ('rise',)]
    >>> [said.texts for said in texts_of('Kind("some", "{count} part", plural="{count} parts")')]
    [('{count} part', '{count} parts')]
    """
    lines = source.splitlines()
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
        name = node.func.id if isinstance(node.func, ast.Name) else name
        given = {each.arg: each.value for each in node.keywords}
        context, found = None, [given["label"]] if "label" in given else []
        if name in TEXT_FIRST:
            found += node.args[:1]
        elif name in ("SceneError", "refusal"):
            found += node.args[2:3]
        elif name == "say_as":
            context = next(iter(_strings(node.args[0])), None)
            found += node.args[1:2]
        above = lines[node.lineno - 2].strip() if node.lineno > 1 else ""
        comment = above.removeprefix(MARK) if above.startswith(MARK) else ""
        pair: list[ast.expr] = []
        if name == "say_count":
            pair = node.args[1:3]
        elif name == "Kind":
            pair = [*node.args[1:3], *(given[key] for key in ("text", "plural") if key in given)]
        if texts := tuple(text for each in pair for text in _strings(each)):
            yield Said(node.lineno, texts, None, comment)
        for each in found:
            for text in _strings(each):
                yield Said(node.lineno, (text,), context, comment)


def _strings(node: ast.expr) -> list[str]:
    if isinstance(node, ast.IfExp):
        return _strings(node.body) + _strings(node.orelse)
    written = isinstance(node, ast.Constant) and isinstance(node.value, str)
    # Signs between fields are the same in every language.
    return (
        [node.value] if written and re.search(r"[^\W\d_]", re.sub("{.*?}", "", node.value)) else []
    )


def extracted() -> Catalog:
    """Every text of the sheet and the window, and of what they show of other rooms."""
    found = Catalog()
    for path in sorted(PACKAGE.rglob("*.py")):
        for said in texts_of(path.read_text(encoding="utf-8")):
            found.add(
                said.texts if len(said.texts) > 1 else said.texts[0],
                locations=[(path.relative_to(PACKAGE.parent).as_posix(), said.line)],
                auto_comments=[said.comment] if said.comment else [],
                context=said.context,
            )
    for kind in (*KINDS.values(), About, Translation):
        for key, _ in keys_of(kind).values():
            found.add(key.about, locations=[("sandbox/scene/parts", 1)])
    for text in helping.texts(commands()):
        found.add(text, locations=[("sandbox/cli", 1)])
    pages = assets_folder().glob("page/*.js")
    for path in sorted((*pages, assets_folder() / "live" / "bench.js")):
        for texts in said_by(path.read_text(encoding="utf-8")):
            found.add(
                texts if len(texts) > 1 else texts[0],
                locations=[(f"assets/{path.parent.name}/{path.name}", 1)],
            )
    for path in sorted(PACKAGE.rglob("templates/*.html")):
        for text in re.findall(r'\bsay\("(.+?)"[,)]', path.read_text(encoding="utf-8")):
            found.add(text, locations=[(path.relative_to(PACKAGE.parent).as_posix(), 1)])
    return found


def commands() -> TyperGroup:
    """The command line's commands."""
    found = get_command(app)
    assert isinstance(found, TyperGroup)
    return found


def path_of(language: Language) -> Path:
    """Where the catalogue of a language lies."""
    return LOCALES / language / "LC_MESSAGES" / "sandbox.po"


def read(language: Language) -> Catalog:
    """The catalogue of a language as it is."""
    with path_of(language).open("rb") as file:
        return pofile.read_po(file, language, abort_invalid=True)


def entries(catalogue: Catalog) -> dict[tuple[str | None, str], Message]:
    """The texts of a catalogue by context and English text, of the singular where there are two."""
    return {
        (message.context, message.id if isinstance(message.id, str) else message.id[0]): message
        for message in catalogue
        if message.id
    }


def updated(language: Language, template: Catalog) -> bytes:
    """The file of a catalogue brought up to date with what the source says."""
    catalogue = read(language)
    template.creation_date = catalogue.creation_date
    catalogue.update(template, no_fuzzy_matching=True)
    file = io.BytesIO()
    pofile.write_po(
        file, catalogue, width=100, ignore_obsolete=True, include_lineno=False, sort_output=True
    )
    # Which version of Babel wrote it says nothing.
    return re.sub(rb'"Generated-By: .*\n', b"", file.getvalue())


def translated(message: Message) -> list[str]:
    """A translation in each of its numbers, "" where there is none."""
    return list(message.string or [""]) if message.pluralizable else [str(message.string or "")]


class Blank(gettext.NullTranslations):
    """A language whose every letter is a dot, which shows what does not come from a catalogue."""

    def gettext(self, message: str) -> str:
        return re.sub(r"[^\W\d_](?![^{]*})", "·", message)

    def pgettext(self, context: str, message: str) -> str:  # noqa: ARG002
        return self.gettext(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


if __name__ == "__main__":
    missing, said = [], extracted()
    for language in OTHERS:
        path_of(language).write_bytes(updated(language, said))
        for (_, text), message in entries(read(language)).items():
            if not all(translated(message)):
                missing.append(f"{language}: {text}")
    print("\n".join(["to be translated:", *missing]) if missing else "all is translated")
    sys.exit(bool(missing))
