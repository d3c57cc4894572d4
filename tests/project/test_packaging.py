"""The wheel is complete: built, installed elsewhere, it works outside the checkout."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from sandbox.shipped import assets_folder, scenes_folder
from tests.every_scene import COMPARED, EVERY_NUMBER, plain
from tests.places import ROOT


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    _run("-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), cwd=ROOT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def elsewhere(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder outside the checkout into which the wheel alone is installed."""
    folder = tmp_path_factory.mktemp("elsewhere")
    target = folder / "installed"
    _run("-m", "pip", "install", "--no-deps", "--no-index", "--target", str(target), str(wheel))
    return folder


@pytest.fixture(scope="module")
def compiled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder into which the checkout is installed by pip and the engine compiled, as the README
    writes it."""
    if shutil.which("cc") is None:
        _skip("no C compiler installed")
    folder = tmp_path_factory.mktemp("compiled")
    try:
        _run(
            "-m", "pip", "install", "--no-deps", "--target", str(folder / "installed"), ".",
            cwd=ROOT, HATCH_BUILD_HOOK_ENABLE_MYPYC="1",
        )  # fmt: skip
    except AssertionError as error:
        if "No matching distribution found for hatchling" in str(error):
            _skip("no package index reached")
        raise
    return folder


def _skip(reason: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(reason)
    pytest.skip(reason)


def _run(
    *arguments: str, cwd: Path | None = None, path: Path | None = None, **settings: str
) -> subprocess.CompletedProcess[str]:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    environment |= settings
    if path is not None:
        environment["PYTHONPATH"] = str(path)
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=cwd, env=environment, capture_output=True, text=True, timeout=900, check=False,
    )  # fmt: skip
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done


def _installed(elsewhere: Path, *arguments: str) -> str:
    """What Python prints there, the installed package coming before the checkout's."""
    return _run(*arguments, cwd=elsewhere, path=elsewhere / "installed").stdout


def test_modules_scenes_and_assets_travel_in_the_wheel(wheel: Path) -> None:
    """Every module, shipped scene and asset is in the wheel, byte for byte, and no test or cache
    is."""
    assert wheel.name.endswith("-py3-none-any.whl")
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
        for file in (ROOT / "sandbox").rglob("*.py"):
            assert archive.read(file.relative_to(ROOT).as_posix()) == file.read_bytes()
        for kind, folder in (("scenes", scenes_folder()), ("assets", assets_folder())):
            for file in (path for path in folder.rglob("*") if path.is_file()):
                name = f"sandbox/_shipped/{kind}/{file.relative_to(folder).as_posix()}"
                assert archive.read(name) == file.read_bytes()
    strays = [n for n in names if not n.startswith(("sandbox/", "machine_sandbox-"))]
    assert strays == []
    assert not [name for name in names if "__pycache__" in name or "test" in name]


def test_the_installed_package_is_the_one_that_runs(elsewhere: Path) -> None:
    """Outside the checkout, the package and its scenes come from where the wheel was installed."""
    probe = "import sandbox, sandbox.shipped as s; print(sandbox.__file__, s.scenes_folder())"
    package, scenes = _installed(elsewhere, "-c", probe).split()
    assert Path(package).is_relative_to(elsewhere)
    assert Path(scenes).is_relative_to(elsewhere)


def test_the_installed_program_checks_a_shipped_scene(elsewhere: Path) -> None:
    """`python -m sandbox check four_part_tackle` works from the wheel, and engine and theory agree
    there."""
    rows = json.loads(_installed(elsewhere, "-m", "sandbox", "check", "four_part_tackle", "--json"))
    assert {row["scene"] for row in rows} == {"four_part_tackle"}
    assert all(row["agrees"] for row in rows)
    assert "four_part_tackle" in _installed(elsewhere, "-m", "sandbox", "check", "four_part_tackle")
    script = elsewhere / "installed" / "bin" / "sandbox"
    assert (
        "check" in _run(str(script), "--help", cwd=elsewhere, path=elsewhere / "installed").stdout
    )


@pytest.mark.whole
def test_compiled_the_engine_gives_the_same_bytes(
    compiled: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Compiled with mypyc, all that the engine gives of every shipped scene at every moment, and
    what holds it, is what the plain package gives, to the last digit."""
    probe = "import sandbox.engine.rope_solver as module; print(module.__file__)"
    assert Path(_installed(compiled, "-c", probe).strip()).suffix in (".so", ".pyd")
    numbers = _installed(compiled, "-c", EVERY_NUMBER)
    assert numbers.count("Measured(") == len(COMPARED)
    assert numbers == plain(tmp_path_factory)


@pytest.mark.whole
def test_compiling_leaves_nothing_in_the_checkout(compiled: Path) -> None:
    """The modules that were compiled are in the installed package alone: beside its source one
    would run in place of what is edited."""
    assert list((compiled / "installed" / "sandbox" / "engine").glob("rope_solver.*.*"))
    left = [p for part in ("*", "sandbox/**/*") for p in ROOT.glob(part)]
    assert not [path for path in left if path.suffix in (".so", ".pyd", ".bak")]
