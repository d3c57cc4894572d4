"""The seal of a scene that was dealt to one student: what `scene.dealt` holds.

It obfuscates and does not encrypt: the token that opens it is in the file, as the program must open
it on the student's own machine. It keeps values from being read in passing; it is no security for
an examination.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from typing import NotRequired, TypedDict, cast

from sandbox.scene.errors import Plain, SceneError

VERSION = "1"


class Held(TypedDict):
    """What is under a seal: whose the bench is; by "PART.KEY" the values as a scene file writes
    them, and where each is known to lie; of a further attempt its number, and the seal of the
    first."""

    student: str
    values: dict[str, str]
    bounds: dict[str, str]
    attempt: NotRequired[int]
    first: NotRequired[str]


MOST_ATTEMPTS = 9


def closed(held: Held, token: str) -> str:
    """What a scene file says for what is sealed with a token."""
    data = json.dumps(held, sort_keys=True).encode()
    hidden = obfuscated(hashlib.sha256(data).digest()[:4] + data, token)
    return f"{VERSION} {token} {base64.b64encode(hidden).decode()}"


def opened(text: str) -> tuple[str, Held]:
    """The token of a seal and what is under it. Raises SceneError where it is broken."""
    try:
        version, token, hidden = text.split(" ")
        data = obfuscated(base64.b64decode(hidden, validate=True), token)
        held = json.loads(data[4:])
    except (ValueError, RecursionError):
        raise broken() from None
    if (
        version != VERSION
        or data[:4] != hashlib.sha256(data[4:]).digest()[:4]
        or not isinstance(held, dict)
        or not isinstance(held.get("student"), str)
        or not all(_is_table(held.get(key)) for key in ("values", "bounds"))
        or held.get("attempt", 1) not in range(1, MOST_ATTEMPTS + 1)
        or not isinstance(held.get("first", ""), str)
    ):
        raise broken()
    return token, cast(Held, held)


def broken() -> SceneError:
    """What is said of a seal that is broken."""
    return SceneError("scene.dealt", Plain("a broken seal"), "the line as it was dealt")


def _is_table(found: object) -> bool:
    """True for short texts by name, which a terminal can show."""
    return isinstance(found, Mapping) and all(
        isinstance(value, str) and (key + value).isprintable() for key, value in found.items()
    )


def obfuscated(data: bytes, token: str, purpose: str = "seal") -> bytes:
    """`data` exclusive-or a stream of the SHA-256 of "TOKEN|PURPOSE|0", "TOKEN|PURPOSE|1", ...:
    once more, and it is as it was."""
    blocks = range(len(data) // 32 + 1)
    stream = b"".join(hashlib.sha256(f"{token}|{purpose}|{i}".encode()).digest() for i in blocks)
    return bytes(a ^ b for a, b in zip(data, stream, strict=False))
