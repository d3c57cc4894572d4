"""The catalogues are whole, every word goes through them, and every letter is in the font."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
import string
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import sandbox
from sandbox.drawing import lettering, zones
from sandbox.drawing.layout import sheet
from sandbox.drawing.reel import Reel
from sandbox.drawing.strokes import LINES, TEXTS
from sandbox.engine import run
from sandbox.facts import Kind
from sandbox.language import words
from sandbox.language.display import Display
from sandbox.language.words import Language
from sandbox.scene import load
from tests import catalogue
from tests.catalogue import OTHERS, PACKAGE, Blank, entries, extracted, translated
from tests.places import SCENES

SOURCES = sorted(PACKAGE.rglob("*.py"))
ROOMS = (
    *("drawing", "editing", "language", "painting", "sheet", "window"),
    *("lab/handouts", "lab/parts", "lab/wording.py", "lab/working"),
)
SHOWN = [
    path
    for path in SOURCES
    if path.is_relative_to(PACKAGE) and any(path.is_relative_to(PACKAGE / room) for room in ROOMS)
]
SAYING = ("say", "say_as", "say_count", "describe", "quantity", "asked", "label_of")


@pytest.fixture(autouse=True, scope="module")
def _trees_go() -> Iterator[None]:
    """They are kept for this file's tests alone."""
    yield
    tree_of.cache_clear()
    nodes_of.cache_clear()


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    return tuple(ast.walk(tree_of(path)))


def fields(template: str) -> list[str]:
    return sorted(name for _, name, _, _ in string.Formatter().parse(template) if name is not None)


# Whole catalogues.


@pytest.mark.parametrize("language", OTHERS)
def test_a_catalogue_has_every_text_of_the_source_and_no_other(language: Language) -> None:
    """Every text said anywhere is translated, none is marked as doubtful or no longer said, and the
    file is as `python -m tests.catalogue` writes it."""
    known, said = catalogue.read(language), extracted()
    assert entries(known).keys() == entries(said).keys()
    assert not known.obsolete and not known.fuzzy
    for key, message in entries(known).items():
        assert not message.fuzzy
        for text in translated(message):
            assert text.strip() == text and text, key
    assert catalogue.updated(language, said) == catalogue.path_of(language).read_bytes()


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_fields_of_the_original(language: Language) -> None:
    """All of them and no other, by name, so that every text of every catalogue can be filled in."""
    for message in entries(catalogue.read(language)).values():
        originals = list(message.id) if message.pluralizable else [message.id]
        for i, text in enumerate(translated(message)):
            original = originals[min(i, len(originals) - 1)]
            assert fields(text) == fields(original), original
            assert all(name.isidentifier() for name in fields(text))
            assert text.format_map(dict.fromkeys(fields(text), "7"))


def test_spanish_is_not_english() -> None:
    """Where a text has a word of three letters or more outside its fields, the two languages
    differ; what is the same in both is on this list and no other."""
    same = {"normal {force}", "m × g × cos α", "Error"}
    for message in entries(catalogue.read("es")).values():
        original = message.id[0] if message.pluralizable else message.id
        bare = re.sub(r"{.*?}", "", original)
        if re.search(r"[A-Za-z]{3,}", bare) and original in translated(message):
            assert original in same, original


@pytest.mark.parametrize("bold", [False, True])
def test_every_character_is_in_the_font(bold: bool) -> None:
    """The sheet's font has a shape for every character of every text in every language; the
    pages of lab and take-home bench have the browser's own where it has none."""
    known, _ = lettering._advances(bold)
    for language in OTHERS:
        for message in entries(catalogue.read(language)).values():
            if all(place.startswith(("sandbox/lab/", "assets/")) for place, _ in message.locations):
                continue
            originals = list(message.id) if message.pluralizable else [message.id]
            for text in [*originals, *translated(message)]:
                assert not {c for c in text if ord(c) not in known}, text


def test_a_missing_character_is_seen_to_be_missing() -> None:
    """A character without a shape in the font is drawn as a lozenge, as wide as its box says."""
    assert lettering.tidy("плита 5 µm") == "◊◊◊◊◊ 5 µm"
    assert ord(lettering.MISSING) in lettering._advances(True)[0]
    assert lettering.width("п", 5.0) == lettering.width("◊", 5.0) > 0.0


# Every word through a catalogue.


def name_of(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")


def says(node: ast.AST) -> bool:
    """Whether a node is, or holds, what a text of the catalogue came to."""
    return any(isinstance(n, ast.Call) and name_of(n) in SAYING for n in ast.walk(node))


def written(node: ast.AST) -> bool:
    """Whether a node is text with letters, written in the code."""
    texts = [node] if isinstance(node, ast.Constant) else []
    texts += [n for n in getattr(node, "values", ()) if isinstance(n, ast.Constant)]
    return any(isinstance(n.value, str) and re.search(r"[^\W\d_]", n.value) for n in texts)


def pieces(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Where a module puts a sentence together out of what it says and other text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr) and written(node) and says(node):
            yield node.lineno, "an f-string with words of its own"
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Mod):
            sides = (node.left, node.right)
            direct = [isinstance(n, ast.Call) and name_of(n) in SAYING for n in sides]
            if all(direct) or any(
                d and written(o) for d, o in zip(direct, sides[::-1], strict=True)
            ):
                yield node.lineno, "a sum of texts"
        elif isinstance(node, ast.Call) and name_of(node) == "join" and any(map(says, node.args)):
            yield node.lineno, "texts joined"


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ('f"{part} {say(what)} of it"', 1),
        ('say("a") + say("b")', 1),
        ('say("a") + " again"', 1),
        ('". ".join([say("a"), note])', 1),
        ('f"{part}: {say(what)}"', 0),
        ('say("a {b}", b=say("c"))', 0),
        ('", ".join(names)', 0),
    ],
)
def test_pieces_are_found(source: str, found: int) -> None:
    """The check below sees what it is to see."""
    assert len(list(pieces(ast.parse(source)))) == found


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_sentence_is_built_from_pieces(path: Path) -> None:
    """Whole sentences are translated: another language has other words in another order."""
    assert not list(pieces(tree_of(path)))


def shown_by(call: ast.Call) -> list[ast.expr]:
    """The arguments of a call that are or may be shown."""
    name = name_of(call)
    if name == "Text":
        return [*call.args[1:2], *(k.value for k in call.keywords if k.arg == "text")]
    if name in ("Label", "note"):
        return [*call.args[: 2 if name == "note" else 1]]
    return call.args[3:4] if name == "dimension" else []


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_words_for_display_outside_the_catalogue(path: Path) -> None:
    """Nothing handed to a text, a label or a dimension has letters written in the code: neither
    plain nor within an f-string. The names of styles are not shown."""
    for node in nodes_of(path):
        for argument in shown_by(node) if isinstance(node, ast.Call) else []:
            inside = list(ast.walk(argument))
            pairs = [n for n in inside if isinstance(n, ast.Tuple) and len(n.elts) == 2]
            # A line of a label is a text and a style; a text's style stands apart.
            apart = {id(pair.elts[1]) for pair in pairs}
            for inner in inside:
                if isinstance(inner, ast.Call) and name_of(inner) in (*SAYING, "stamped"):
                    apart |= {id(deep) for deep in ast.walk(inner)}
            for inner in inside:
                if isinstance(inner, ast.Constant) and written(inner):
                    style = inner.value in TEXTS or inner.value in LINES
                    assert id(inner) in apart or style, (inner.lineno, inner.value)


def test_every_word_on_a_sheet_comes_from_the_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every letter of the catalogue put out, the sheets of all kinds of scene have no letters
    left but those of the scene file, of units and of numbers, and ISO 5457's letters of zones."""
    monkeypatch.setattr(words, "translations", lambda _: Blank())
    known = {"N", "cm", "m", "kg", "g", "s", "J", "mJ", "in", "ft", "lbf", "oz", "lb"}
    for name in ("tackle_up_a_ramp", "off_centre_pivot", "roller_up_a_ramp", "spar_on_two_props"):
        scene = load(SCENES / f"{name}.toml")
        shots = run(scene, duration=0.6).snapshots
        drawings = [
            sheet(scene, [shots[0], shots[-1]], ["", ""], display=Display("en", "US")),
            Reel(scene, shots).frame(shots[-1]),
        ]
        mine = set(re.findall(r"[A-Za-zÀ-ÿ]+", " ".join((*scene.parts, scene.name))))
        for drawing in drawings:
            for text in drawing.texts:
                if text.text in (scene.about.title, scene.name) or text.key == zones.KEY:
                    continue
                for word in re.findall(r"[A-Za-zÀ-ÿ]+", text.text):
                    assert word in known | mine, (name, text.text)


# Facts.


def kinds() -> dict[str, Kind]:
    """Every kind of fact that any module of the package declares, by where."""
    found = {}
    for module in pkgutil.walk_packages(sandbox.__path__, "sandbox."):
        if not module.name.endswith("__main__"):
            for name, value in vars(importlib.import_module(module.name)).items():
                if isinstance(value, Kind):
                    found[f"{module.name}.{name}"] = value
    return found


def test_every_kind_can_be_stated_and_written() -> None:
    """Each kind takes the fields of its text, which both its numbers share but for the count, and
    is written in every language; within a room a code is one kind."""
    found = kinds()
    assert found
    codes: dict[tuple[str, str], Kind] = {}
    for where, kind in found.items():
        assert codes.setdefault((where.split(".")[1], kind.code), kind) == kind, where
        fact = kind(**dict.fromkeys(kind.names, 2 if kind.plural else "7"))
        if kind.plural:
            assert set(fields(kind.plural)) <= kind.names | {"count"}, where
        for language in words.LANGUAGES:
            text = Display(language).describe(fact)
            assert text and "{" not in text, where


def test_every_kind_is_declared_once_as_a_constant() -> None:
    """So that walking the modules finds them all; `stated` alone makes kinds of texts as they are
    said."""
    for path in SOURCES:
        if path == PACKAGE / "facts.py":
            continue
        made = [n for n in nodes_of(path) if isinstance(n, ast.Call) and name_of(n) == "Kind"]
        held = [n.value for n in tree_of(path).body if isinstance(n, ast.Assign | ast.AnnAssign)]
        at_the_top = {id(deep) for value in held if value for deep in ast.walk(value)}
        assert all(id(call) in at_the_top for call in made), path


def test_refusals_are_stated_as_facts_and_compared_by_kind() -> None:
    """Whoever refuses a machine states a fact, and nobody looks for words in what a fact is written
    as: a text is for reading only."""
    asking = ("startswith", "endswith", "partition", "rpartition", "split", "find", "removeprefix")
    for path in SOURCES:
        for node in nodes_of(path):
            if isinstance(node, ast.Call) and name_of(node) == "Unanswerable":
                assert not isinstance(node.args[0], ast.Constant | ast.JoinedStr), path
            looked_at: list[ast.expr] = []
            if isinstance(node, ast.Compare):
                looked_at = [node.left, *node.comparators]
            elif isinstance(node, ast.Call) and name_of(node) in asking:
                looked_at = [node.func.value] if isinstance(node.func, ast.Attribute) else []
            for each in looked_at:
                assert not _is_written_fact(each), (path, node.lineno)


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_refusal_is_put_together_in_english(path: Path) -> None:
    """What a refusal found, what it allows and why it refuses are whole texts of the catalogue,
    with fields, or facts: none is a text with values written into it, which no language knows."""
    asked = {"SceneError": 2, "refusal": 2, "Plain": 0, "RecordError": 0, "refuse": 0}
    for node in nodes_of(path):
        if isinstance(node, ast.Call) and len(node.args) > asked.get(name_of(node), len(node.args)):
            text = node.args[asked[name_of(node)]]
            assert not isinstance(text, ast.JoinedStr | ast.BinOp), ast.unparse(node)


def _is_written_fact(node: ast.expr) -> bool:
    """Whether an expression is `str(fact)`, or `describe` or `write` of one."""
    if not isinstance(node, ast.Call) or not node.args:
        return False
    named = ast.unparse(node.args[0])
    of_a_fact = re.search(r"\b(fact|reason|refusal|note|event)\b", named) is not None
    return name_of(node) in ("describe", "write") or (name_of(node) == "str" and of_a_fact)
