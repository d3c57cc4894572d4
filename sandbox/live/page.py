"""The live page: one file of HTML that carries CPython, this program and its scenes."""

from __future__ import annotations

import base64
import gzip
import html
import json
import pickle
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from email.message import Message
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any, cast

from sandbox.drawing.layout import described
from sandbox.drawing.lettering import DESCENT, font_file
from sandbox.drawing.strokes import HALO, LINES, TEXTS, Drawing
from sandbox.facts import label
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


SAID = {
    "SHEET": label("The live sheet: a machine to watch and to change"),
    "NOSCRIPT": label(
        "Scripts are off in this browser: the drawing stays as it is, and nothing moves."
    ),
    "TYPE": label("Type here:"),
    "IN_WORDS": label("The sheet in words"),
    "LICENCES": label("Licences of what this file carries"),
    "KEYS": label(
        "On the sheet F1 lists what can be done and its keys. Escape, then Tab, leaves it."
    ),
    "CAUTION": label(
        "For the teaching bench: not for lifting people or real loads. Weights that hang and lines "
        "that are taut can hurt; mind your local rules."
    ),
}
"""What is written on every page, by its place there."""


@dataclass(frozen=True)
class Bundle:
    """What pages on the same scenes have in common: the program and what it runs on. To pack it
    takes seconds."""

    elements: str
    licences: str

    @classmethod
    def packed(
        cls, runtime: Runtime, paths: Sequence[Path], checks: Mapping[str, CheckResult]
    ) -> Bundle:
        """With these scene files and the checks of scenes. Raises RuntimeMissingError."""
        program = pack.program(paths)
        program["checks.pickle"] = pickle.dumps(dict(checks), protocol=5)
        library, packed = pack.compiled(runtime, pack.standard_library(runtime), program)
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
        elements = [
            f'<script id="worker" type="text/plain">{web.page_asset("live", "worker.js")}</script>'
        ]
        for name, content in parts.items():
            elements.append(f'<script id="{name}" type="text/plain">{_coded(content)}</script>')
        return cls("\n".join(elements), _licences(runtime))


def live_page_of(
    paths: Sequence[Path],
    runtime: Runtime,
    display: Display,
    *,
    dark: bool = True,
    check: Callable[[Scene], CheckResult] = check_scene,
    progress: Callable[[float], None] = lambda _: None,
    bundle: Bundle | None = None,
) -> str:
    """The page on these scene files, the first of which it opens with, with the check of each;
    a `bundle` that was packed before has them.

    Raises SceneError or Unanswerable where a scene cannot be shown, and RuntimeMissingError.
    """
    scenes = [load(path) for path in paths]
    checks: dict[str, CheckResult] = {}
    for number, scene in enumerate(scenes):
        checks[scene_mark(scene)] = check(scene)
        progress(SHARE_OF_CHECKING * (number + 1) / len(scenes))
    bundle = bundle or Bundle.packed(runtime, paths, checks)
    checker = EarlierChecks(checks)
    sheet = Sheet(paths, checker=checker, display=display, dark=dark, size=STILL)
    say = display.say
    told: dict[str, object] = {
        "old": say(
            "This browser is too old for the live sheet: it has no {feature}. The drawing stays as "
            "it is; a browser of the last two years moves it.",
            feature="{feature}",
        ),
        "failed": say("The live sheet cannot run here. The drawing stays as it is."),
        "kept": "machine-sandbox/live/",
    }
    options = {"scenes": [path.name for path in paths]}
    fields = {
        "CONTROL": web.filled(
            web.page_asset("live", "open.html"), {"OPEN": html.escape(say("Open a scene file"))}
        ),
        "WORK": "",
        "KIND": "sheet-alone",
    }
    script = web.joined("live", MODULES)
    page = filled_page(sheet, bundle, script, "", told, options, fields)
    progress(1.0)
    return page


def filled_page(
    sheet: Sheet,
    bundle: Bundle,
    script: str,
    styles: str,
    told: dict[str, object],
    options: Mapping[str, object],
    more: Mapping[str, str],
) -> str:
    """A page with a sheet as it is when it opens: its script, further styles, what the script is
    told besides, the sheet's options, and the page's control and work."""
    scene, display, dark = sheet.scene, sheet.display, sheet.dark
    title = scene.about.title_in(display.language)
    paper, guard = PAPERS["dark" if dark else "white"], web.page_asset("live", "guard.js")
    still, styles = _first_frame(sheet), "\n".join([styles, _styles()])
    texts = _texts(display, dark) | told
    texts["options"] = texts["options"] | options
    watch = not sheet.lesson.covers.everything
    said = {name: html.escape(display.say(text)) for name, text in SAID.items()}
    fields = {
        "LANGUAGE": display.language,
        "PAPER": paper.name,
        "TITLE": html.escape(title),
        "POLICY": html.escape(_policy([script, guard], styles)),
        "STYLES": styles,
        "STILL": svg(still, paper, title=title, inline=True),
        "WORDS": html.escape(described(scene, still, display, watch=watch)),
        "CARRIED": bundle.licences,
        "TEXTS": web.embedded(texts),
        "PARTS": bundle.elements,
        "GUARD": guard,
        "SCRIPT": script,
    }
    return web.filled(web.page_asset("live", "page.html"), {**fields, **said, **more})


def _first_frame(sheet: Sheet) -> Drawing:
    """What a sheet shows first: the page's, until it runs there."""
    sheet.tick(0.0)
    under, over = sheet.compose()
    return Drawing(over.width, over.height, under.items + over.items)


def _coded(content: bytes) -> str:
    # Level 9 would take three times as long, and a hundredth less room.
    return base64.b64encode(gzip.compress(content, 6, mtime=0)).decode()


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
    white = web.custom_properties(PAPERS["white"])
    rules.append(f"@media print{{:root[data-paper]{{{white}}}}}")
    return "\n".join([*rules, web.page_asset("live", "page.css")])


def _texts(display: Display, dark: bool) -> dict[str, Any]:
    """What the script of any page is told."""
    say = display.say
    return {
        "large": say("the file is larger than {size}, the most that a scene may have", size="1 MB"),
        "steps": [
            say("unpacking …"),
            say("starting Python …"),
            say("taking up the machine …"),
            say("laying out the sheet …"),
        ],
        "largest": LARGEST_FILE,
        "options": {"language": display.language, "units": display.system, "dark": dark},
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
