"""The gear: it rolls on the one that it meshes with, on a spindle of its own or fast on another."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from sandbox.facts import Fact
from sandbox.scene import Frame, Scene, Vector
from sandbox.scene.parts import Gear
from sandbox.theory import facts
from sandbox.theory.constraints import Support, SupportKey
from sandbox.theory.friction import BearingContact, MeshContact
from sandbox.theory.parts.wheel_and_axle import spindle_supports
from sandbox.theory.questions import First, FrameTheory, PartTheory


def _supports(
    gear: Gear, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    return spindle_supports(gear.name, frame, index)


def _support_label(gear: Gear, support: Support) -> Fact:
    if support.kind == "mesh":
        return facts.MESH(gear=gear.name, other=gear.meshes or "")
    return facts.BEARING(part=gear.name)


def _friction(gear: Gear, _frame: Frame, first: First, _slips: bool) -> Iterator[BearingContact]:
    loss = gear.bearing_friction * gear.pin_radius
    yield BearingContact.of(gear.name, loss, first.frame, first.support)


def _coupling(
    scene: Scene, gear: Gear, frames: Mapping[str, int], number: int
) -> tuple[Support, MeshContact] | None:
    """Both pitch circles run equally fast along their common tangent."""
    mesh = next((each for each in scene.meshes if each.gear == gear.name), None)
    if mesh is None:
        return None
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
    return support, MeshContact.of(gear.name, mesh.efficiency, number, mesh.along, ends)


THEORY: PartTheory[Gear] = PartTheory(
    frame=FrameTheory(
        coordinates=3,
        # To turn far is no leap to another solution.
        limited=0,
        supports=_supports,
        stops=None,
        support_label=_support_label,
        support_lost=None,
        friction=_friction,
        damping=None,
        drawn_amiss=None,
        rotation_end=None,
        leaves_track=None,
        pose_quantities=None,
        accelerates=False,
        friction_notes=None,
        tips=None,
        level=None,
        rests_alone=None,
        swing=None,
        on_stop=None,
    ),
    rope_friction=None,
    rope_notes=None,
    coupling=_coupling,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts=("teeth",),
)
