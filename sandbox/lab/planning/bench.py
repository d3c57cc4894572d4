"""What the bench sets and bears: gauges, the rule, safe loads, and stands that may tip."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from sandbox import theory
from sandbox.facts import Fact
from sandbox.lab import facts
from sandbox.lab.analysis.uncertainty import from_graduation
from sandbox.lab.parts import entry_of
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import Gauge, Lever

STEADY = 1.5
"""A stand must be this many times from tipping."""


class Dial(NamedTuple):
    """A gauge that may be used: full scale and one division, N."""

    range: float
    graduation: float

    def __str__(self) -> str:
        return f"{self.range:g} N / {self.graduation:g} N"


class Stand(NamedTuple):
    """A free stand that carries a fixed part: its foot's width, the part's height, m; mass, kg."""

    base: float
    height: float
    mass: float


@dataclass(frozen=True)
class Limits:
    """What the bench sets: the rule, safe loads (N) by part, and free stands by part."""

    rule: float = 1.0
    division: float = 0.001
    safe: Mapping[str, float] = field(default_factory=dict)
    stands: Mapping[str, Stand] = field(default_factory=dict)


def resolution(dial: Dial, reading: float) -> float:
    """One division as a share of the reading.

    >>> resolution(Dial(10.0, 0.1), 5.0)
    0.02
    """
    return dial.graduation / abs(reading)


def standard_share(dial: Dial, reading: float) -> float:
    """The standard uncertainty of reading to one division, as a share of the reading. Source: JCGM
    100:2008, F.2.2.1.

    >>> round(standard_share(Dial(10.0, 0.1), 5.0), 5)
    0.00577
    """
    return from_graduation(dial.graduation) / abs(reading)


def readings_of(scene: Scene) -> list[str]:
    """The quantities a gauge reads: of the scene's gauges, else of the hand, ropes or props."""
    if scene.hand is not None and scene.about.mode == "held":
        return [f"{scene.hand.name}.{word}_force" for word in ("least", "greatest")]
    if gauges := scene.of(Gauge):
        return [f"{gauge.name}.reading" for gauge in gauges]
    if scene.hand is not None and scene.about.mode != "released":
        return [f"{scene.hand.name}.force"]
    if scene.lines:
        return [f"{line.rope}.tension_{line.spans}" for line in scene.lines]
    return [f"{v.name}.support_{n + 1}" for v in scene.of(Lever) for n in range(len(v.supports))]


def standing(scene: Scene) -> list[str]:
    """The parts whose load a stand takes: fixed blocks, anchors, fulcrums, wheels and axles."""
    parts = scene.parts.values()
    return [part.name for part in parts if entry_of(part).stand(scene, part) is not None]


def borne(quantities: Mapping[str, float], name: str) -> float | None:
    """The most that a rope, or what holds a fixed part, has to bear, N, by what theory predicts;
    None where it says nothing of that."""
    if f"{name}.reaction" in quantities:
        return quantities[f"{name}.reaction"]
    start = f"{name}.tension_"
    return max((value for key, value in quantities.items() if key.startswith(start)), default=None)


def tips(scene: Scene, name: str, stand: Stand) -> Fact | None:
    """Why a stand tips, or nearly: the moment of the pull's sideways part about the foot's edge
    against that of its downward part and of the stand itself."""
    across, down = _pull_on(scene, name)
    tipping = abs(across) * stand.height
    holding = (down + stand.mass * scene.about.gravity) * stand.base / 2
    if holding <= 0.0 or tipping * STEADY > holding:
        margin = holding / tipping if tipping else 0.0
        kind = facts.STAND_TIPS if margin <= 1.0 else facts.STAND_NEARLY_TIPS
        return kind(
            part=name,
            tipping=f"{tipping:.3g}",
            holding=f"{max(holding, 0.0):.3g}",
            wanted=f"{STEADY:g}",
        )
    return None


def _pull_on(scene: Scene, name: str) -> tuple[float, float]:
    """The sideways and downward parts of what a stand has to take, N, at mid-stroke."""
    state = worked_state(scene)
    machine = state.machine
    total = Vector(0.0, 0.0)
    for number, line in enumerate(machine.lines):
        for i, site in enumerate(line.waypoints):
            if site.frame is None and site.part == name:
                spans = state.geometry.spans[number]
                total = total + theory.rope_force(spans, state.tensions[number], i)
    for support, push in state.loaded:
        if support.kind in ("pin", "knife edge") and support.part == name:
            total = total - push * support.direction
    part = scene.parts[name]
    own = entry_of(part).stand(scene, part)
    assert own is not None
    return total.x, own - total.y


def worked_state(scene: Scene) -> theory.State:
    """The machine with every force on it: at mid-stroke as worked; just let go; or held as drawn,
    friction left out. Raises Unanswerable."""
    if scene.about.mode in ("raising", "lowering"):
        middle = sum(scene.stroke) / 2
        sense = 1.0 if scene.about.mode == "raising" else -1.0
        return theory.quasi_static_path(scene, middle, sense, static=False).at(middle)
    if scene.about.mode == "released" and scene.hand is None:
        return theory.release(scene)[0]
    return theory.QuasiStaticPath(theory.Machine(scene)).at(0.0)
