"""The drawing's registry: every kind of part answers every question, in a module of its own."""

from __future__ import annotations

import ast
import dataclasses
from pathlib import Path
from typing import Any

import pytest

import sandbox.drawing
from sandbox.drawing.mechanism import View, draw_machine
from sandbox.drawing.parts import PARTS
from sandbox.drawing.questions import PartDrawing
from sandbox.engine import watch
from sandbox.scene import KINDS, load
from sandbox.scene.parts import Part
from sandbox.shipped import shipped_scenes

QUESTIONS = dataclasses.fields(PartDrawing)
ROOM = Path(sandbox.drawing.__file__).parent
LAYERS = ["behind ropes", "ropes", "over ropes"]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_answers_every_question(kind: str, question: dataclasses.Field[Any]) -> None:
    """A kind of part has an entry, and none of its answers is a default that nobody chose."""
    assert question.default is question.default_factory is dataclasses.MISSING
    answer = getattr(PARTS[KINDS[kind]], question.name)
    if question.name == "layer":
        assert answer in LAYERS
    else:
        assert callable(answer) or (answer is None and "None" in str(question.type))


def test_each_kind_has_a_module_of_its_own() -> None:
    """The registry holds just the kinds there are, each from another module, layer upon layer."""
    assert set(PARTS) == set(KINDS.values())
    assert len({part.draw.__module__ for part in PARTS.values()}) == len(KINDS)
    layers = [LAYERS.index(part.layer) for part in PARTS.values()]
    assert layers == sorted(layers)


@pytest.mark.parametrize("path", sorted(ROOM.glob("*.py")), ids=lambda path: path.stem)
def test_general_modules_know_no_kind(path: Path) -> None:
    """What concerns the whole drawing names no kind of part but the rope, which ties them all."""
    tree = ast.parse(path.read_text())
    named = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    assert not named & {kind.__name__ for kind in KINDS.values()} - {"Rope"}


def test_each_kind_is_drawn() -> None:
    """In the shipped scenes, every part adds strokes, texts or labels of its own to the drawing:
    without its kind's answer there are fewer."""
    left = dict(KINDS)
    for path in shipped_scenes():
        scene = load(path)
        for kind in [kind for kind, of in left.items() if scene.of(of)]:
            del left[kind]
            moment = next(watch(scene))
            before = _drawn(draw_machine(scene, moment, View(200.0)))
            registered = PARTS[KINDS[kind]]
            blank = dataclasses.replace(registered, draw=_nothing, write_values=None)
            with pytest.MonkeyPatch.context() as patch:
                patch.setitem(PARTS, KINDS[kind], blank)  # type: ignore[arg-type]
                assert _drawn(draw_machine(scene, moment, View(200.0))) < before
    assert not left


def _nothing(_pen: object, _part: Part, _dimensions: bool) -> None:
    pass


def _drawn(sketch: Any) -> int:
    return len(sketch.items) + len(sketch.labels)
