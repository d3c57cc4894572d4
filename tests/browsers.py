"""A real browser for tests."""

from __future__ import annotations

import json
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import pytest

from tests.places import ROOT

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = next(filter(None, map(shutil.which, ("chromium-headless-shell", "chromium"))), None)
"""The one without windows opens a page in a quarter of the time."""
QUIET = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip


def needed(missing: str | None) -> None:
    """Leave a test out where a tool is missing; under CI none may be."""
    if missing and os.environ.get("CI"):
        pytest.fail(missing)
    if missing:
        pytest.skip(missing)


@contextmanager
def chromium() -> Iterator[Browser]:
    """A real Chromium, without a screen; the test is left out where there is none."""
    missing = None if CHROMIUM else "no chromium"
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing = "no playwright"
    needed(missing)
    with sync_playwright() as player:
        running = player.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        yield running
        running.close()


@dataclass
class Watch:
    """What a page says and asks for behind the scenes."""

    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def over(self, page: Page) -> Page:
        page.on("console", lambda message: self.said.append(message.text))
        page.on("pageerror", lambda error: self.said.append(str(error)))
        page.on("request", lambda request: self.asked.append(request.url))
        return page


def violations(page: Page) -> list[str]:
    """What axe-core finds against WCAG 2.2 A and AA and its best practices on a page, whose policy
    is to be bypassed; the test is left out where there is no axe-core."""
    source = ROOT / ".node" / "node_modules" / "axe-core" / "axe.min.js"
    needed(None if source.exists() else "no axe-core: npm install --prefix .node axe-core")
    if not page.evaluate("'axe' in globalThis"):
        page.evaluate(source.read_text("utf-8"))
    found: list[dict[str, Any]] = page.evaluate(
        "axe.run({ resultTypes: ['violations'] }).then((r) => r.violations)"
    )
    return [f"{v['id']}: {node['html']}" for v in found for node in v["nodes"]]


def fits_across(page: Page) -> bool:
    """Whether nothing of a page sticks out to the right."""
    wide: bool = page.evaluate(
        "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    )
    return wide


def python(page: Page, code: str) -> Any:
    """What an expression is worth in a live page's own Python, where `host` holds the sheet."""
    return json.loads(
        page.workers[0].evaluate(
            "code => { python.globals.set('host', host);"
            " return python.runPython('import json; json.dumps(' + code + ')'); }",
            code,
        )
    )


def until(page: Page, expression: str, seconds: float = 20.0) -> None:
    """Wait for something to be true in a page, whose policy lets no test code in."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(50)


def until_so(page: Page, code: str, seconds: float = 20.0) -> None:
    """Wait for something to be true in a page's Python."""
    end = time.monotonic() + seconds
    while not python(page, code):
        assert time.monotonic() < end, code
        page.wait_for_timeout(50)
