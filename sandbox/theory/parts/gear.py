"""The gear: it rolls on the one that it meshes with, on a spindle of its own or fast on another."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from sandbox.facts import Fact
from sandbox.scene import Frame, Part, Scene, Vector
from sandbox.scene.parts import Gear, Place, WheelAndAxle
from sandbox.theory import facts
from sandbox.theory.constraints import Support
from sandbox.theory.friction import BearingContact, MeshContact
from sandbox.theory.questions import First, PartTheory, spindle_frame


def _support_label(gear: Gear, support: Support) -> Fact:
    if support.kind == "mesh":
        return facts.MESH(gear=gear.name, other=gear.meshes or "")
    return facts.BEARING(part=gear.name)


def _friction(gear: Gear, _frame: Frame, first: First, _slips: bool) -> Iterator[BearingContact]:
    loss = gear.bearing_friction * gear.pin_radius
    yield BearingContact.of(gear.name, loss, first.frame, first.support)


def _coupling(
    scene: Scene, gear: Gear, frames: Mapping[str, int], number: int
) -> Iterator[tuple[Support, MeshContact]]:
    """Both pitch circles run equally fast along their common tangent."""
    mesh = next((each for each in scene.meshes if each.gear == gear.name), None)
    if mesh is None:
        return
    # Turning anticlockwise moves this gear's teeth, beyond the other's, against the tangent.
    ends = (frames[mesh.frame], -mesh.radius), (frames[mesh.other_frame], mesh.other_radius)
    (index, arm), (other, other_arm) = ends
    one, two = (scene.frames[name].pose for name in (mesh.frame, mesh.other_frame))
    apart = Vector(one.x - two.x, one.y - two.y)
    support = Support(
        gear.name,
        "mesh",
        index,
        Vector(0.0, 0.0),
        mesh.along,
        mesh.along.dot(apart),
        arm=arm,
        against=other,
        against_arm=other_arm,
    )
    yield support, MeshContact.of(gear.name, mesh.efficiency, number, mesh.along, ends)


def _with_teeth(scene: Scene, gear: Gear, teeth: float) -> Mapping[str, Part]:
    """With other teeth, the spindles in the same directions from one another stand as far apart as
    the teeth then ask."""
    other: dict[str, Any] = {"teeth": teeth}
    parts: dict[str, Part] = {gear.name: replace(gear, **other)}
    more = parts[gear.name].pitch_radius - gear.pitch_radius  # type: ignore[attr-defined]
    shifts: dict[str, Vector] = {}
    waiting = list(scene.meshes)
    while waiting:
        # A mesh that leads on from one whose spindle is known; else the first of a train.
        known = (m for m in waiting if m.frame in shifts or m.other_frame in shifts)
        mesh = next(known, waiting[0])
        waiting.remove(mesh)
        apart = more * mesh.along.rotated(-math.pi / 2) * (gear.name in (mesh.gear, mesh.other))
        if mesh.frame in shifts:
            shifts.setdefault(mesh.other_frame, shifts[mesh.frame] - apart)
        else:
            still = shifts.setdefault(mesh.other_frame, Vector(0.0, 0.0))
            shifts[mesh.frame] = still + apart
    for name, shift in shifts.items():
        part = parts.get(name) or scene.parts[name]
        if isinstance(part, Gear | WheelAndAxle) and part.at is not None:
            to = part.at.point + shift
            parts[name] = replace(part, at=Place(to.x, to.y))
    return parts


THEORY: PartTheory[Gear] = PartTheory(
    frame=spindle_frame(support_label=_support_label, friction=_friction, rotation_end=None),
    rope_friction=None,
    rope_notes=None,
    coupling=_coupling,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={"teeth": _with_teeth},
)
