"""The kinds of part: each in a module of its own, with keys, labels and answers that fit."""

from __future__ import annotations

import ast
import inspect
import string
import tomllib
from pathlib import Path

import pytest

from sandbox import scene, shipped
from sandbox.lab.analysis.inputs import losses
from sandbox.scene import KINDS, quantities
from sandbox.scene.about import About
from sandbox.scene.parts import FRICTION, RENAMED, Part, keys_of
from tests.tolerance import near

NUMBERS = {"value": 1, "count": 1, "place": 2, "on": 1, "reeve": 1, "lengths": 1}
"""By form of key: how many numbers it holds, one after the other in a list counting as one."""


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_has_a_module_of_its_own(kind: str) -> None:
    """The class of a kind stands alone in the module that is called as the kind is."""
    part = KINDS[kind]
    module = inspect.getmodule(part)
    assert module is not None and module.__name__ == f"sandbox.scene.parts.{kind}"
    here = [
        each
        for each in vars(module).values()
        if inspect.isclass(each) and issubclass(each, Part) and each.__module__ == module.__name__
    ]
    assert here == [part] and part.kind == kind


@pytest.mark.parametrize("module", ["assemble", "model", "quantities", "read", "__init__"])
def test_no_kind_is_asked_for_in_general_code(module: str) -> None:
    """What holds of the whole machine is decided without asking of what kind a part is."""
    source = (Path(scene.__file__).parent / f"{module}.py").read_text(encoding="utf-8")
    names = {part.__name__ for part in KINDS.values()}
    asked = [
        ast.unparse(node)
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and ast.unparse(node.func) in ("isinstance", "type")
        and names & {n.id for n in ast.walk(node) if isinstance(n, ast.Name)}
    ]
    assert asked == []


@pytest.mark.parametrize("kind", ["scene", *KINDS])
def test_every_number_has_a_label(kind: str) -> None:
    """Each number that a key holds is called something of its own, with fields that are known."""
    keys = keys_of(About if kind == "scene" else KINDS[kind])
    for name, (key, _) in keys.items():
        assert len(key.labels) == NUMBERS.get(key.form, 0), name
        fields = {f for text in key.labels for _, f, _, _ in string.Formatter().parse(text) if f}
        assert fields <= {"part", "number"} and ("number" in fields) == (key.form == "lengths")
    labels = [text for key, _ in keys.values() for text in key.labels]
    assert all(labels) and len(set(labels)) == len(labels)


def test_every_quantity_has_a_label() -> None:
    """No two kinds of quantity are called the same."""
    labels = [quantity.label for quantity in quantities.QUANTITIES.values()]
    assert all(labels) and len(set(labels)) == len(labels)


def test_an_earlier_name_leads_to_one_that_is_known() -> None:
    """What a key or a kind is called now is a key or a kind, and its earlier name is none."""
    known = {*KINDS} | {key for kind in (About, *KINDS.values()) for key in keys_of(kind)}
    assert set(RENAMED.values()) <= known and not known & set(RENAMED)


@pytest.mark.parametrize("path", shipped.shipped_scenes(), ids=lambda path: path.stem)
def test_a_scene_has_friction_where_it_has_losses(path: Path) -> None:
    """Friction is what the keys measure that are losses: all zero, a scene has none."""
    there = scene.load(path)
    found = losses(there, *FRICTION)
    mesh = losses(there, "mesh")
    assert there.has_friction == (any(found.values()) or any(v < 1.0 for v in mesh.values()))
    without = dict.fromkeys(found, 0.0) | dict.fromkeys(mesh, 1.0)
    assert not scene.revised(there, without).has_friction


def test_plumb_waits_for_what_it_hangs_from() -> None:
    """A part that hangs plumb below a weight on a block is placed after the block, wherever in the
    file its rope stands: 40 cm across, where the block's own rope leads, and not at 0."""
    text = """
        [scene]
        title = "One below another"
        watch = "The lower weight."
        mode = "held"
        load = "low"
        [anchor.post]
        at = ["40 cm", "3 m"]
        [block.hook]
        at = ["plumb", "2 m"]
        moves = true
        [weight.bag]
        mass = "1 kg"
        on = "hook"
        [weight.low]
        mass = "1 kg"
        at = ["plumb", "1 m"]
        [rope.first]
        reeve = ["bag", "low"]
        [rope.second]
        reeve = ["post", "hook"]
    """
    machine = scene.parse(tomllib.loads(text))
    for name in ("hook", "low"):
        assert near(machine.place_of(name, machine.start).x, 0.4, abs=1e-12)
