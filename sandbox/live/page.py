"""The live page: one file of HTML that carries CPython, this program and its scenes."""

from __future__ import annotations

import base64
import gzip
import html
import json
import pickle
import re
from collections.abc import Callable, Mapping, Sequence
from email.message import Message
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import cast

from sandbox.drawing.layout import described
from sandbox.drawing.lettering import DESCENT, font_file
from sandbox.drawing.strokes import HALO, LINES, TEXTS, Drawing
from sandbox.language.display import Display
from sandbox.live import pack
from sandbox.live.inside.host import EarlierChecks, scene_mark
from sandbox.live.runtime import MUXER, PYMUNK, PYODIDE, Runtime
from sandbox.painting import web
from sandbox.painting.paper import PAPERS
from sandbox.painting.svg import svg
from sandbox.scene import LARGEST_FILE, Scene, load
from sandbox.sheet.checking import CheckResult, check_scene
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import asset

MODULES = ("unsaved", "painter", "filing", "main")
"""Of the page's script, each before those that use it."""
LARGEST = 10_000_000
"""Bytes of a page, of one scene or of all that are shipped: a scene adds little."""
SCHEMES = {"white": "light", "dark": "dark"}
"""CSS's names of papers."""
SHARE_OF_CHECKING = 0.5
STILL = (1366.0, 716.0)
"""Pixels whose proportions the drawing has that is shown until the sheet runs."""


def live_page_of(
    paths: Sequence[Path],
    runtime: Runtime,
    display: Display,
    *,
    dark: bool = True,
    check: Callable[[Scene], CheckResult] = check_scene,
    progress: Callable[[float], None] = lambda _: None,
) -> str:
    """The page on these scene files, the first of which it opens with, with the check of each.

    Raises SceneError or Unanswerable where a scene cannot be shown, and RuntimeMissingError.
    """
    scenes = [load(path) for path in paths]
    first = scenes[0]
    checks: dict[str, CheckResult] = {}
    for number, scene in enumerate(scenes):
        checks[scene_mark(scene)] = check(scene)
        progress(SHARE_OF_CHECKING * (number + 1) / len(scenes))
    program = pack.program(paths)
    program["checks.pickle"] = pickle.dumps(checks, protocol=5)
    library, packed = pack.compiled(runtime, pack.standard_library(runtime), program)
    still = _first_frame(paths, checks, display, dark)
    paper = PAPERS["dark" if dark else "white"]
    parts = {
        "wasm": runtime.member("pyodide.asm.wasm"),
        "asm": runtime.member("pyodide.asm.mjs"),
        "pyodide": runtime.member("pyodide.mjs"),
        "library": library,
        "program": packed,
        "chipmunk": runtime.wheel().read("pymunk/_chipmunk.abi3.so"),
        "lock": _lock(runtime),
        "muxer": runtime.of_muxer("build/mp4-muxer.mjs"),
        "medium": font_file(False).read_bytes(),
        "bold": font_file(True).read_bytes(),
    }
    script = web.joined("live", MODULES)
    guard, worker = (web.page_asset("live", name) for name in ("guard.js", "worker.js"))
    styles = _styles()
    say = display.say
    fields = {
        "LANGUAGE": display.language,
        "PAPER": paper.name,
        "TITLE": html.escape(first.about.title),
        "POLICY": html.escape(_policy([script, guard], styles)),
        "STYLES": styles,
        "SHEET": html.escape(say("The live sheet: a machine to watch and to change")),
        "STILL": svg(still, paper, title=first.about.title, inline=True),
        "NOSCRIPT": html.escape(
            say("Scripts are off in this browser: the drawing stays as it is, and nothing moves.")
        ),
        "TYPE": html.escape(say("Type here:")),
        "OPEN": html.escape(say("Open a scene file")),
        "IN_WORDS": html.escape(say("The sheet in words")),
        "LICENCES": html.escape(say("Licences of what this file carries")),
        "KEYS": html.escape(
            say("On the sheet F1 lists what can be done and its keys. Escape, then Tab, leaves it.")
        ),
        "WORDS": html.escape(described(first, still, display)),
        "CAUTION": html.escape(
            say(
                "For the teaching bench: not for lifting people or real loads. Weights that hang "
                "and lines that are taut can hurt; mind your local rules."
            )
        ),
        "CARRIED": _licences(runtime),
        "TEXTS": web.embedded(_texts(paths, display, dark)),
        "PARTS": "\n".join(
            [
                f'<script id="worker" type="text/plain">{worker}</script>',
                *(
                    f'<script id="{name}" type="text/plain">{_coded(content)}</script>'
                    for name, content in parts.items()
                ),
            ]
        ),
        "GUARD": guard,
        "SCRIPT": script,
    }
    page = web.filled(web.page_asset("live", "page.html"), fields)
    progress(1.0)
    return page


def _first_frame(
    paths: Sequence[Path], checks: Mapping[str, CheckResult], display: Display, dark: bool
) -> Drawing:
    """What the sheet shows first: the page's, until it runs there."""
    checker = EarlierChecks(checks)
    sheet = Sheet(paths, checker=checker, display=display, dark=dark, size=STILL)
    sheet.tick(0.0)
    under, over = sheet.compose()
    return Drawing(over.width, over.height, under.items + over.items)


def _coded(content: bytes) -> str:
    return base64.b64encode(gzip.compress(content, 9, mtime=0)).decode()


def _lock(runtime: Runtime) -> bytes:
    """pyodide's list of packages, without any."""
    lock = json.loads(runtime.member("pyodide-lock.json"))
    return json.dumps({"info": lock["info"], "packages": {}}).encode()


def _policy(scripts: Sequence[str], styles: str) -> str:
    return (
        "default-src 'none'; base-uri 'none'; form-action 'none'; "
        f"script-src {' '.join(map(web.fingerprint, scripts))} blob: 'wasm-unsafe-eval'; "
        f"worker-src blob:; style-src {web.fingerprint(styles)}"
    )


def _styles() -> str:
    rules = [
        f":root[data-paper={name}]{{{web.custom_properties(paper)}color-scheme:{SCHEMES[name]}}}"
        for name, paper in PAPERS.items()
    ]
    return "\n".join([*rules, web.page_asset("live", "page.css")])


def _texts(paths: Sequence[Path], display: Display, dark: bool) -> dict[str, object]:
    """What the script is told."""
    say = display.say
    return {
        "old": say(
            "This browser is too old for the live sheet: it has no {feature}. The drawing stays as "
            "it is; a browser of the last two years moves it.",
            feature="{feature}",
        ),
        "failed": say("The live sheet cannot run here. The drawing stays as it is."),
        "large": say("the file is larger than {size}, the most that a scene may have", size="1 MB"),
        "steps": [
            say("unpacking …"),
            say("starting Python …"),
            say("taking up the machine …"),
            say("laying out the sheet …"),
        ],
        "largest": LARGEST_FILE,
        "options": {
            "scenes": [path.name for path in paths],
            "language": display.language,
            "units": display.system,
            "dark": dark,
        },
        "styles": {
            "lines": [style._asdict() for style in LINES.values()],
            "texts": [style._asdict() for style in TEXTS.values()],
            "descent": DESCENT,
            "halo": HALO,
            "papers": {name: web.inks(paper) for name, paper in PAPERS.items()},
        },
    }


def _licences(runtime: Runtime) -> str:
    """What the file carries, under which licence, and the licences' texts where they are here."""
    wheel = runtime.wheel()
    chipmunk = next(name for name in wheel.namelist() if name.endswith("LICENSE.txt"))
    entries = [
        (
            f"pyodide {PYODIDE.version}",
            "Mozilla Public License 2.0; source: https://github.com/pyodide/pyodide",
            "",
        ),
        ("CPython and its standard library", "Python Software Foundation License", ""),
        (
            f"Chipmunk, as in pymunk {PYMUNK.version}",
            "MIT License",
            wheel.read(chipmunk).decode("utf-8"),
        ),
        (
            f"mp4-muxer {MUXER.version}",
            "MIT License",
            runtime.of_muxer("LICENSE").decode("utf-8"),
        ),
        (
            "IBM Plex Sans Condensed",
            "SIL Open Font License 1.1",
            asset("IBMPlexSansCondensed-LICENSE.txt").read_text("utf-8"),
        ),
        *(_of_distribution(name) for name in pack.PACKAGES),
    ]
    return "\n".join(
        f"<h3>{html.escape(name)}</h3><p>{html.escape(licence)}</p>"
        + (f"<pre>{html.escape(text)}</pre>" if text else "")
        for name, licence, text in entries
    )


def _of_distribution(name: str) -> tuple[str, str, str]:
    try:
        found = distribution(name)
    except PackageNotFoundError:
        return name, "", ""
    meta = cast(Message, found.metadata)
    classified = [
        line.rpartition(" :: ")[2]
        for line in meta.get_all("Classifier") or ()
        if line.startswith("License ::")
    ]
    licence = meta.get("License-Expression") or "; ".join(classified) or meta.get("License") or ""
    held = [
        path.read_text("utf-8")
        for path in found.files or ()
        if re.search(r"licen[sc]e|copying", path.name, re.I) and not path.name.endswith(".py")
    ]
    return f"{name} {found.version}", licence, "\n".join(held)
