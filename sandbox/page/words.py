"""The words of a page's script, which say English texts as the program does: `say("...")`."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from sandbox.language import words
from sandbox.language.words import Language

_TEXT = r'"(?:[^"\\]|\\.)*"'
_SAID = re.compile(rf"\bsay\(\s*({_TEXT})|\bsayCount\([^\"]*?({_TEXT}),\s*({_TEXT})")


def said(script: str) -> Iterator[tuple[str, ...]]:
    """Every text that a script says; of one that depends on a number the two.

    >>> list(said('say("Play"); sayCount(n - 1, "{count} entry", "{count} entries")'))
    [('Play',), ('{count} entry', '{count} entries')]
    """
    for match in _SAID.finditer(script):
        yield tuple(json.loads(text) for text in match.groups() if text)


def translated(script: str, language: Language) -> dict[str, str]:
    """Every text that a script says in a language, by the English one."""
    known, found = words.translations(language), {}
    for one, *many in said(script):
        found[one] = known.ngettext(one, many[0], 1) if many else known.gettext(one)
        if many:
            found[many[0]] = known.ngettext(one, many[0], 2)
    return found
