"""What the page runs on is had once, in the version that is known, or it is said why not."""

from __future__ import annotations

import hashlib
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from sandbox.facts import Fact
from sandbox.live import runtime
from sandbox.live.runtime import PYODIDE, Package, RuntimeMissingError
from tests.commands import inside, refused, sandbox


def _brings(content: bytes, name: str) -> list[str]:
    """A package manager that brings a file of this content."""
    return [sys.executable, "-c", f"open({name!r}, 'wb').write({content!r})"]


@pytest.fixture
def package() -> Package:
    return replace(PYODIDE, sha256=hashlib.sha256(b"as expected").hexdigest())


def test_it_is_obtained_once_and_then_taken_from_the_cache(
    tmp_path: Path, package: Package
) -> None:
    """The second time no package manager is asked; a file in the cache that has been altered is
    obtained again."""
    asked: list[str] = []

    def command(wanted: Package, _place: str) -> list[str]:
        asked.append(wanted.name)
        return _brings(b"as expected", wanted.file)

    said: list[Fact] = []
    for _ in range(2):
        kept = runtime._obtain(package, tmp_path, command, said.append)
    assert kept.read_bytes() == b"as expected" and asked == ["pyodide"]
    assert [str(fact) for fact in said] == [f"fetching pyodide {package.version}"]
    kept.write_bytes(b"altered")
    assert runtime._obtain(package, tmp_path, command, said.append).read_bytes() == b"as expected"
    assert len(asked) == 2


def test_a_file_of_another_hash_is_not_used(tmp_path: Path, package: Package) -> None:
    """What a registry brings in place of the known file is refused and not kept."""
    with pytest.raises(RuntimeMissingError, match="SHA-256 differs"):
        runtime._obtain(
            package, tmp_path, lambda p, _: _brings(b"something else", p.file), lambda _: None
        )
    assert list(tmp_path.iterdir()) == []


def test_with_neither_cache_nor_network_one_message_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The command ends with exit code 2 and a message that names the package, the cache and what
    to do; nothing is written."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("npm_config_registry", "http://127.0.0.1:9/")
    monkeypatch.setenv("npm_config_fetch_retries", "0")
    out = tmp_path / "live.html"
    result = sandbox("page", "fixed_sheave", "--live", "--out", out)
    if "there is no npm" in result.stderr:
        refused(result, "machine-sandbox[live]")
    else:
        refused(result, f"pyodide {PYODIDE.version}", str(tmp_path / "cache"), "network")
    assert not out.exists()


def test_the_page_takes_one_scene_or_all(tmp_path: Path) -> None:
    """Neither, both, or what belongs to a student's bench is refused with what is allowed."""
    out = tmp_path / "live.html"
    refused(inside("page", "--live", "--alone", "--out", out), "one SCENE, or --all")
    refused(inside("page", "fixed_sheave", "--live", "--all", "--out", out), "one SCENE")
    refused(inside("page", "fixed_sheave", "--all", "--out", out), "--live --all")
    refused(inside("page", "--live", "--out", out), "no SCENE")
    refused(
        inside("page", "fixed_sheave", "--live", "--alone", "--seed", "7", "--out", out),
        "--seed with a sheet alone",
    )
