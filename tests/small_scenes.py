"""Small machines as tables of a scene file, for tests that change a key or two.

Tables are merged with `|`: `build(whip() | {"gauge.g": {...}})`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sandbox.scene import Scene, parse

Keys = Mapping[str, Any]
Tables = dict[str, Keys]
NONE: Keys = {}


def build(tables: Mapping[str, Keys]) -> Scene:
    """The scene of tables named as in a file, such as "weight.bag"."""
    return parse(document_of(tables))


def document_of(tables: Mapping[str, Keys]) -> dict[str, Any]:
    """The document of tables named so."""
    document: dict[str, Any] = {}
    for title, keys in tables.items():
        kind, _, name = title.partition(".")
        if name:
            document.setdefault(kind, {})[name] = dict(keys)
        else:
            document[kind] = dict(keys)
    return document


def about(mode: str, **more: Any) -> Tables:
    """The table about the scene itself."""
    return {"scene": {"title": "A test", "watch": "What it does.", "mode": mode, **more}}


def hand(to: str, rope: Keys = NONE, **keys: Any) -> Tables:
    """A hand, and the rope by which it has hold of a part."""
    return {"rope.line": {"reeve": [to, "hand"], **rope}, "hand.hand": keys}


def whip(
    mode: str = "raising",
    *,
    bearing: float = 0.2,
    rope: Keys = NONE,
    hand: Keys = NONE,
    **more: Any,
) -> Tables:
    """A bag of 500 g on a rope over one sheave, with the friction of its bearing, to a hand."""
    return about(mode, **more) | {
        "block.head": {"at": ["0 cm", "1 m"], "bearing_friction": bearing},
        "weight.bag": {"mass": "500 g", "at": ["plumb", "40 cm"]},
        "rope.whip": {"reeve": ["bag", "head.1", "hand"], **rope},
        "hand.hand": {"at": ["plumb", "60 cm"], **hand},
    }


def two_bags(
    one: str, other: str, mode: str = "released", rope: Keys = NONE, **more: Any
) -> Tables:
    """Two weights over one sheave, whose bearing's friction is 0.2; the one is the load."""
    return about(mode, load="one", **more) | {
        "block.head": {"at": ["0 m", "2 m"], "bearing_friction": 0.2},
        "weight.one": {"mass": one, "at": ["plumb", "1 m"]},
        "weight.other": {"mass": other, "at": ["plumb", "1 m"]},
        "rope.line": {"reeve": ["one", "head.1", "other"], **rope},
    }


def bar(mode: str = "released", **keys: Any) -> Tables:
    """A bar of 1 m and 200 g, its left end or its fulcrum at (0, 50 cm)."""
    return about(mode) | {
        "lever.bar": {"length": "1 m", "mass": "200 g", "at": ["0 m", "50 cm"], **keys}
    }


def sled(
    mode: str = "released",
    *,
    angle: float,
    place: float,
    friction: tuple[float, float] = (0.0, 0.0),
    rises: str = "right",
    **body: Any,
) -> Tables:
    """A sled of 1 kg, `place` centimetres up a ramp of 1 m, with its static and kinetic friction
    and its angle in degrees."""
    static, kinetic = friction
    return about(mode) | {
        "ramp.slip": {
            "at": ["0 m", "0 m"],
            "length": "1 m",
            "angle": f"{angle} deg",
            "static_friction": static,
            "kinetic_friction": kinetic,
            "rises": rises,
        },
        "body.sled": {"mass": "1 kg", "on": f"slip@{place} cm", **body},
    }
