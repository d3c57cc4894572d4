"""The Python that the page carries: the standard library and this program, as bytecode."""

from __future__ import annotations

import importlib.util
import io
import json
import subprocess
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

from sandbox.drawing import lettering
from sandbox.facts import stated
from sandbox.language import display, words
from sandbox.live.runtime import Runtime, RuntimeMissingError, node
from sandbox.shipped import asset

PACKAGE = Path(__file__).resolve().parent.parent
LEFT_OUT = (
    "cli", "lab", "page", "report", "theory", "window", "live/bench_page", "live/page", "live/pack",
    "live/runtime", "painting/handout_figure", "painting/raster", "painting/web", "check",
    "processes", "_shipped",
)  # fmt: skip
"""Of this program: what does not run in the page."""
UNSAID = ("assets/", "sandbox/cli/", "sandbox/lab/", "sandbox/page/", "sandbox/report")
"""Whose texts its Python does not say: the script brings its own. Notes of theory come with the
checks."""
UNUSED = (
    "_pyrepl", "__phello__", "antigravity.py", "bdb.py", "cProfile.py", "compression/zstd",
    "configparser.py", "curses", "dbm", "doctest.py", "ensurepip", "ftplib.py",
    "http/cookiejar.py", "http/cookies.py", "http/server.py", "idlelib", "imaplib.py",
    "logging/config.py", "logging/handlers.py", "mailbox.py", "modulefinder.py", "multiprocessing",
    "optparse.py", "pdb.py", "pickletools.py", "plistlib.py", "poplib.py", "profile.py",
    "profiling", "pstats.py", "pty.py", "pyclbr.py", "pydoc.py", "pydoc_data", "site-packages",
    "smtplib.py", "socketserver.py", "sqlite3", "tabnanny.py", "tarfile.py", "this.py", "timeit.py",
    "trace.py", "tracemalloc.py", "turtle.py", "unittest", "venv", "wave.py", "webbrowser.py",
    "wsgiref", "xml", "xmlrpc", "zipapp.py", "zoneinfo", "statistics.py", "_pydecimal.py",
    "_pyio.py", "compileall.py", "symtable.py", "_ast_unparse.py", "nntplib.py", "cmd.py",
    "stringprep.py", "encodings/idna.py", "asyncio/windows_events.py", "asyncio/windows_utils.py",
    "asyncio/__main__.py", "asyncio/proactor_events.py", "asyncio/tools.py", "argparse.py",
    "_pydatetime.py", "code.py", "concurrent/futures/process.py", "concurrent/interpreters",
    "ctypes/_aix.py", "ctypes/wintypes.py", "filecmp.py", "fileinput.py", "getpass.py",
    "html/parser.py", "json/tool.py", "mimetypes.py", "netrc.py", "py_compile.py",
    "pyodide/console.py", "rlcompleter.py", "shelve.py", "sysconfig/__main__.py",
    "urllib/robotparser.py", "uuid.py", "email/_header_value_parser.py", "email/headerregistry.py",
    "email/policy.py",
)  # fmt: skip
"""Of the standard library: what neither this program nor pyodide imports."""
ENCODINGS = ("__init__", "aliases", "ascii", "cp437", "latin_1", "utf_8", "utf_8_sig")
PACKAGES = ("pint", "flexcache", "flexparser", "platformdirs", "typing_extensions", "tomlkit")
OTHER_SYSTEMS = tuple(f"platformdirs/{name}.py" for name in ("android", "macos", "windows"))


def standard_library(runtime: Runtime) -> dict[str, bytes]:
    """Its sources, by their place in the archive."""
    with zipfile.ZipFile(io.BytesIO(runtime.member("python_stdlib.zip"))) as archive:
        return {
            name: archive.read(name)
            for name in archive.namelist()
            if name.endswith(".py")
            and not any(_lies_in(name, unused) for unused in UNUSED)
            and (not name.startswith("encodings/") or Path(name).stem in ENCODINGS)
        }


def program(scenes: Iterable[Path]) -> dict[str, bytes]:
    """This program's sources, what it imports, and its data, by their place in the archive."""
    found = dict(_sources(PACKAGE, PACKAGE.parent))
    for name in PACKAGES:
        found.update(_imported(name))
    for place in OTHER_SYSTEMS:
        found.pop(place, None)
    for language in words.LANGUAGES[1:]:
        place = f"sandbox/language/locale/{language}/LC_MESSAGES/sandbox.mo"
        found[place] = words.compiled_catalogue(language, UNSAID)
    for path in scenes:
        found[f"scenes/{path.name}"] = path.read_bytes()
    found["known.json"] = json.dumps(
        {
            "customs": {code: display.customs_of(code) for code in words.LANGUAGES[1:]},
            "advances": [lettering.advances_of(bold) for bold in (False, True)],
        }
    ).encode()
    return found


def _lies_in(name: str, place: str) -> bool:
    return name == place or name.startswith(f"{place}/") or name == f"{place}.py"


def _sources(folder: Path, base: Path) -> Iterator[tuple[str, bytes]]:
    for path in sorted(folder.rglob("*.py")):
        place = path.relative_to(base).as_posix()
        if "/testsuite/" in place:
            continue
        within = path.relative_to(folder).as_posix()
        if folder != PACKAGE or not any(_lies_in(within, left) for left in LEFT_OUT):
            yield place, path.read_bytes()


def _imported(name: str) -> Iterator[tuple[str, bytes]]:
    """A package that is installed, with the data that lies in it."""
    spec = importlib.util.find_spec(name)
    assert spec is not None and spec.origin is not None
    origin = Path(spec.origin)
    if origin.name != "__init__.py":
        yield origin.name, origin.read_bytes()
        return
    yield from _sources(origin.parent, origin.parent.parent)
    for path in origin.parent.rglob("*.txt"):
        yield path.relative_to(origin.parent.parent).as_posix(), path.read_bytes()


def compiled(runtime: Runtime, *archives: Mapping[str, bytes]) -> list[bytes]:
    """Each of these as an archive of bytecode. Raises RuntimeMissingError."""
    made = []
    with TemporaryDirectory() as place:
        folder = Path(place)
        for name in ("pyodide.mjs", "pyodide.asm.mjs", "pyodide.asm.wasm", "python_stdlib.zip",
                     "pyodide-lock.json", "package.json"):  # fmt: skip
            (folder / name).write_bytes(runtime.member(name))
        together = {f"{i}/{name}": held for i, a in enumerate(archives) for name, held in a.items()}
        with zipfile.ZipFile(folder / "source.zip", "w") as source:
            for name, content in together.items():
                source.writestr(name, content)
        command = [*node(), str(asset("live/compile.mjs")), place]
        done = subprocess.run(command, capture_output=True, text=True)
        if done.returncode:
            said = done.stderr.strip().splitlines()
            raise RuntimeMissingError(
                stated(
                    "node could not compile the page's Python: {reason}",
                    reason=said[-1] if said else "",
                )
            )
        with zipfile.ZipFile(folder / "bytecode.zip") as bytecode:
            for number in range(len(archives)):
                made.append(_part(bytecode, f"{number}/"))
    return made


def _part(archive: zipfile.ZipFile, prefix: str) -> bytes:
    """What lies under a prefix as an archive of its own, not compressed: the page's parts are
    compressed as wholes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as part:
        for name in archive.namelist():
            if name.startswith(prefix):
                info = zipfile.ZipInfo(name.removeprefix(prefix), (1980, 1, 1, 0, 0, 0))
                part.writestr(info, archive.read(name))
    return out.getvalue()
