"""The splitting wedge: its handles, how one is added, and the ropes off its jaws."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sandbox.editing.addition import ROOM, Addition, Keys, cm, has_place, tied_at
from sandbox.editing.handle import ACROSS, UP, Grip, Handle, HandleMaker, Poses, jamming
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Chain, Spot, box
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import JAWS, Place, ReeveEntry, SplittingWedge


def _handles(maker: HandleMaker, wedge: SplittingWedge) -> Iterator[Handle]:
    def head(poses: Poses) -> Vector:
        return Vector(poses[wedge.name].x, poses[wedge.name].y)

    def tip(poses: Poses) -> Vector:
        return head(poses) - wedge.length * UP

    def jaw(height: float, side: float) -> Callable[[Poses], Vector]:
        """A place on a jaw, so much of its height up, in the middle of its width."""

        def at(poses: Poses) -> Vector:
            across = wedge.parted(poses[wedge.name].angle) + 0.5 * wedge.jaw_width
            return Vector(wedge.at.point.x + side * across, wedge.floor + height * wedge.jaw_height)

        return at

    def edge(poses: Poses) -> Vector:
        return Vector(head(poses).x + wedge.parted(poses[wedge.name].angle), wedge.edges)

    def angle(poses: Poses) -> Grip:
        # Both faces turn as one of them is dragged.
        far = (0.55 * wedge.length * UP).rotated(-wedge.half_angle)
        return Grip(tip(poses) + far, ACROSS, -2.0, centre=tip(poses))

    def length(poses: Poses) -> Grip:
        return Grip(tip(poses), -UP, 1.0, head(poses), tip(poses))

    # Some friction and an angle together jam: up to there it is dragged.
    bluntest = min(
        jamming(wedge.face_friction), jamming(wedge.floor_friction) - wedge.friction_angle
    )
    yield from maker.place(wedge, wedge.at, head)
    yield maker.make(wedge, "angle", angle, high=2.0 * bluntest - 1e-3)
    yield maker.make(wedge, "length", length, low=wedge.initial_travel + 1e-4)
    yield maker.make(
        wedge,
        "initial_travel",
        lambda poses: Grip(edge(poses), UP),
        high=wedge.stroke - 1e-4,
        initial=True,
    )
    yield maker.plain(wedge, "face_friction", edge)
    yield maker.plain(wedge, "floor_friction", jaw(0.0, 1.0))
    yield maker.plain(wedge, "guide_friction", head)
    yield maker.plain(wedge, "wedge_mass", lambda poses: 0.5 * (head(poses) + tip(poses)))
    yield maker.plain(wedge, "jaw_mass", jaw(0.85, -1.0))


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"face_friction": 0.15, "floor_friction": 0.15} | keys
    end = "" if has_place(keys) or not new.join else new.moving_end()
    if not has_place(keys):
        table["at"] = new.beside(2, 4)
        if end:
            # A rope off its right jaw leads inwards, past the left one, level to what it is to
            # move.
            eye = SplittingWedge(name=name, at=Place(0.0, 0.0)).offset_to(_eye(name, JAWS[1]))
            tied = tied_at(new, end)
            across = max(tied.x, new.right) + 2 * ROOM
            table["at"] = [cm(across), cm(tied.y - eye.y)]
    new.table("splitting_wedge", name, table)
    new.rope_between(f"{name}.{JAWS[1]}", end)


def _eye(name: str, jaw: str) -> ReeveEntry:
    return ReeveEntry(name, end=jaw)


def _rope_points(
    _scene: Scene, wedge: SplittingWedge, poses: Poses, place: Vector
) -> Iterator[ReevePoint]:
    pose = poses[wedge.name]
    for jaw, side in zip(JAWS, (-1.0, 1.0), strict=True):
        at = wedge.at.point + wedge.offset_to(_eye(wedge.name, jaw))
        at += side * wedge.slope * pose.angle * ACROSS
        yield ReevePoint((place - at).norm, f"{wedge.name}.{jaw}", at.y)
    yield ReevePoint((place - Vector(pose.x, pose.y)).norm, wedge.name)


def _outline(wedge: SplittingWedge) -> tuple[Chain, ...]:
    half, point = wedge.length * wedge.slope, Vector(0.0, -wedge.length)
    left, right = Vector(-half, 0.0), Vector(half, 0.0)
    floor, edges = wedge.floor - wedge.at.y, wedge.edges - wedge.at.y
    inner = wedge.parted(0.0)
    outer = inner + wedge.jaw_width
    jaws = (box(-outer, floor, -inner, edges), box(inner, floor, outer, edges))
    return ((left, right, point, left), *jaws)


EDITING: PartEditing[SplittingWedge] = PartEditing(
    label="add a splitting wedge",
    handles=_handles,
    place_new=_place_new,
    new=((label("splitting wedge"), {}),),
    put_down=Spot.at,
    put_where=label("click where the middle of its head goes"),
    outline=_outline,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=lambda _, wedge: wedge.name,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=(),
    part_numbers=(),
    held_by=None,
)
