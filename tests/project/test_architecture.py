"""The shape of the code: who may import whom, types, and style, held as tests."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import Counter

import pytest

from tests.places import ROOT


def _passes(*command: str) -> None:
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=600)
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"


def test_imports_go_downward_only() -> None:
    """Every import contract of pyproject.toml holds: theory and engine never see each other."""
    tool = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"
    _passes(sys.executable, "-c", tool)


@pytest.mark.parametrize("room", ["scene", "units", "theory"])
def test_the_low_rooms_load_no_engine_and_no_screen(room: str) -> None:
    """Importing scene, units or theory brings in neither pymunk nor pygame, by any way at all."""
    probe = (
        f"import sys, sandbox.{room}; "
        "raise SystemExit(sorted({'pymunk', 'pygame', 'sandbox.engine'} & set(sys.modules)) or 0)"
    )
    _passes(sys.executable, "-c", probe)


def test_types_are_sound() -> None:
    """mypy, strict, finds nothing in the package."""
    _passes(sys.executable, "-m", "mypy")


@pytest.mark.parametrize("arguments", [("check",), ("format", "--check")], ids=["lint", "format"])
def test_style_is_kept(arguments: tuple[str, ...]) -> None:
    """ruff finds nothing to say about package and tests, nor anything to lay out anew."""
    _passes(sys.executable, "-m", "ruff", *arguments, "sandbox", "tests")


def test_the_source_is_what_runs() -> None:
    """No compiled module lies in the checkout, where it would run in place of edited source."""
    assert [*(ROOT / "sandbox").rglob("*.so"), *(ROOT / "sandbox").rglob("*.pyd")] == []


def test_a_class_name_means_one_thing() -> None:
    """No two modules of the package have a public class of the same name."""
    names = Counter(
        node.name
        for path in (ROOT / "sandbox").rglob("*.py")
        for node in ast.parse(path.read_text()).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert [name for name, count in names.items() if count > 1] == []


def test_no_test_module_imports_another() -> None:
    """What test modules share stands straight in `tests`."""
    for path in (ROOT / "tests").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in getattr(node, "names", [])] if names else []
            assert not any(name.split(".")[-1].startswith("test_") for name in names), path
