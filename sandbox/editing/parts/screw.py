"""The screw: its handles, how one is added, and the ropes off its bar and drum."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sandbox.editing.addition import Addition, Keys, cm, has_place, tied_at
from sandbox.editing.handle import ACROSS, UP, Grip, Handle, HandleMaker, Poses
from sandbox.editing.questions import PartEditing, ReevePoint
from sandbox.editing.spot import Chain, Spot, box
from sandbox.facts import label
from sandbox.scene import Scene, Vector
from sandbox.scene.parts import JACK_DRUMS, Place, Screw


def _handles(maker: HandleMaker, screw: Screw) -> Iterator[Handle]:
    def at(down: float) -> Callable[[Poses], Vector]:
        return lambda poses: Vector(poses[screw.name].x, poses[screw.name].y - down)

    def radius(down: float, value: float) -> Callable[[Poses], Grip]:
        def grip(poses: Poses) -> Grip:
            axis = at(down)(poses)
            end = axis + value * ACROSS
            return Grip(end, ACROSS, 1.0, axis, end)

        return grip

    top, nut = at(0.0), screw.nut
    yield from maker.place(screw, screw.at, top)
    for key in ("lead", "flank_angle", "thread_friction"):
        yield maker.plain(screw, key, lambda _: nut)
    # A thread that was to jam, or a bar within its thread, is refused as it is written.
    least = min(getattr(screw, key) for key in JACK_DRUMS if getattr(screw, key) is not None)
    yield maker.make(
        screw,
        "mean_radius",
        lambda _: Grip(nut + screw.mean_radius * ACROSS, ACROSS, 1.0, nut),
        high=least - 1e-4,
    )
    yield maker.make(screw, "collar_radius", radius(0.0, screw.collar_radius))
    yield maker.plain(screw, "collar_friction", top)
    for key in JACK_DRUMS:
        value = getattr(screw, key)
        if value is not None:
            grip = radius(screw.depth(key), value)
            yield maker.make(screw, key, grip, low=screw.mean_radius + 1e-4)
    yield from maker.optional(screw, "drum", 2 * screw.mean_radius)
    yield maker.make(screw, "initial_rise", lambda _: Grip(nut, -UP), initial=True)
    yield maker.make(screw, "max_rise", lambda _: Grip(screw.at.point + screw.max_rise * UP, UP))
    yield maker.plain(screw, "mass", at(0.5 * screw.head))
    if screw.radius_of_gyration is not None:
        yield maker.plain(screw, "radius_of_gyration", at(screw.depth("bar")))


def _place_new(new: Addition, name: str, keys: Keys) -> None:
    table: Keys = {"thread_friction": 0.15, "collar_friction": 0.1} | keys
    end = "" if has_place(keys) or not new.join else new.moving_end()
    if not has_place(keys):
        table["at"] = new.beside(2, 4)
        if end:
            # So high that a rope off its bar leads level to what it is to move.
            depth = Screw(name=name, at=Place(0.0, 0.0)).depth("bar")
            table["at"][1] = cm(tied_at(new, end).y + depth)
    new.table("screw", name, table)
    new.rope_between(f"{name}.bar", end)


def _rope_points(scene: Scene, screw: Screw, poses: Poses, place: Vector) -> Iterator[ReevePoint]:
    pose = poses[screw.name]
    for drum in JACK_DRUMS:
        radius = getattr(screw, drum)
        if radius is not None:
            away = place - Vector(pose.x, pose.y - screw.depth(drum))
            across = max(abs(away.x) - radius, 0.0)
            level = scene.start[screw.name].y - screw.depth(drum)
            yield ReevePoint(Vector(across, away.y).norm, f"{screw.name}.{drum}", level)
    yield ReevePoint((place - Vector(pose.x, pose.y)).norm, screw.name)


def _outline(screw: Screw) -> tuple[Chain, ...]:
    half = max(screw.collar_radius, screw.mean_radius)
    depth = screw.depth("bar")
    bar = (Vector(-half, -depth), Vector(screw.bar, -depth))
    return (box(-half, -screw.head, half, 0.0), bar)


EDITING: PartEditing[Screw] = PartEditing(
    label="add a screw jack",
    handles=_handles,
    place_new=_place_new,
    new=((label("screw jack"), {}),),
    put_down=Spot.at,
    put_where=label("click where the top of its load plate goes"),
    outline=_outline,
    edge=None,
    middle=None,
    carries=None,
    rope_points=_rope_points,
    rope_end=lambda _, screw: screw.name,
    load_rank=None,
    one_of=(),
    two_of=(),
    needs=(),
    part_numbers=(),
    held_by=None,
)
