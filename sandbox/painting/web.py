"""What a page of HTML that needs nothing from outside is put together of."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence

from sandbox.painting.paper import Paper
from sandbox.shipped import asset

_COMMENT = re.compile(r"^[ \t]*(?:/\*\*(?:(?!\*/).)*\*/[ \t]*|//[^\n]*)\n", re.S | re.M)
"""In a script, where nothing else stands on its lines."""


def page_asset(folder: str, name: str) -> str:
    """A shipped text of a page. Raises IncompleteError where it did not come with the program."""
    return asset(f"{folder}/{name}").read_text(encoding="utf-8")


def filled(template: str, fields: Mapping[str, str]) -> str:
    """A template with each @NAME@ replaced by the field of that name.

    >>> filled("<p>@WHO@</p>", {"WHO": "you"})
    '<p>you</p>'
    """
    return re.sub(r"@([A-Z_]+)@", lambda match: fields[match[1]], template)


def joined(folder: str, modules: Sequence[str]) -> str:
    """A script's modules as one, each before those that use it: their imports, exports and comments
    are no longer wanted."""
    pieces = []
    for name in modules:
        text = _COMMENT.sub("", page_asset(folder, f"{name}.js"))
        text = re.sub(r"^import [^;]*;\n", "", text, flags=re.M)
        pieces.append(re.sub(r"^export ", "", text, flags=re.M))
    return "\n".join(pieces)


def fingerprint(text: str) -> str:
    """A script or style of the page, as its content security policy names it (W3C CSP 3)."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def embedded(held: object) -> str:
    """A value as JSON in which nothing ends the element around it or begins a comment."""
    text = json.dumps(held, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")


def inks(paper: Paper) -> dict[str, str]:
    """A paper's colours, each by what it is for, as CSS writes them."""
    roles = {**paper.inks, **paper.fills, **paper.areas}
    return {role: "#{:02x}{:02x}{:02x}".format(*colour) for role, colour in roles.items()}


def custom_properties(paper: Paper) -> str:
    """The same as CSS's custom properties."""
    return "".join(f"--{role.replace(' ', '-')}:{ink};" for role, ink in inks(paper).items())
