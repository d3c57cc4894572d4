"""The benchmarks, which run only when asked for, still find and build what they measure."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path

import pytest

from sandbox.scene import load
from sandbox.shipped import find_scene
from tests.benchmarks import speed

PATHS = sorted(Path(__file__).parent.glob("*.py"))


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_all_that_it_imports_is_there(path: Path) -> None:
    """Every name that a benchmark imports, within its functions too, can be imported."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            for each in node.names:
                import_module(each.name)
        elif isinstance(node, ast.ImportFrom) and node.module:
            room = import_module(node.module)
            for each in node.names:
                assert hasattr(room, each.name) or import_module(f"{node.module}.{each.name}")


@pytest.mark.parametrize("sheaves", range(1, 13))
def test_a_tackle_of_so_many_sheaves_is_a_scene(sheaves: int) -> None:
    """The tackles that are timed have as many sheaves as they are timed for."""
    (fall,) = speed.tackle(sheaves).lines
    assert sum(waypoint.block is not None for waypoint in fall.waypoints) == sheaves


@pytest.mark.parametrize("name", speed.FAMILIES.values())
def test_a_family_is_a_shipped_scene(name: str) -> None:
    """The machines that stand for their families are shipped."""
    assert load(find_scene(name)).name == name
