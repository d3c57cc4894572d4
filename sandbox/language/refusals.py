"""Why bad input is refused, in the reader's language."""

from __future__ import annotations

from sandbox.facts import Fact
from sandbox.language.display import Display
from sandbox.scene import SceneError
from sandbox.scene.errors import brief, printable


def refused(error: SceneError, display: Display) -> str:
    """A refusal with its file and key, as a terminal shows it.

    >>> refused(SceneError("hand.speed", "5", "a speed", nearest="travel"), Display())
    "hand.speed: found '5'; allowed: a speed. Did you mean 'travel'?"
    """
    if display.language == "en":
        return str(error)
    where = ": ".join(printable(part) for part in (error.file, error.key) if part)
    return said_of(error, where, display)


def said_of(error: SceneError, what: str, display: Display) -> str:
    """A refusal of `what`: what was found, what is allowed, and the nearest name."""
    allowed = error.allowed
    allowed = display.describe(allowed) if isinstance(allowed, Fact) else allowed
    found = display.describe(error.missing) if error.missing else brief(error.found)
    fields = {"what": what, "found": found, "allowed": allowed, "name": error.nearest}
    if error.found is None:
        said = display.say("{what}: allowed: {allowed}.", **fields)
    elif error.missing:
        said = display.say("{what}: {found}; allowed: {allowed}.", **fields)
    else:
        said = display.say("{what}: found {found}; allowed: {allowed}.", **fields)
    if error.nearest:
        said = f"{said} {display.say('Did you mean {name}?', **fields)}"
    return said.removeprefix(": ")
