"""A post: it stands fast, and how rope slips on it is part of the rope solution
(sandbox.engine.rope_solver)."""

from sandbox.engine.parts import entry
from sandbox.scene import Scene
from sandbox.scene.parts import Post


def _must_break_loose(_scene: Scene, post: Post) -> bool:
    return post.static_friction > post.kinetic_friction


def _rotating(_scene: Scene, post: Post) -> entry.Rotating:
    """The rope round it, as if it were a sheave."""
    return entry.Rotating((f"{post.name}.0",) if post.static_friction else (), slips=True)


ENTRY = entry.Entry[Post](
    fixture=entry.no_fixture,
    body=None,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=None,
    swings=False,
    rotation_is="",
    is_displaced=entry.never_displaced,
    has_friction=entry.has_friction,
    must_break_loose=_must_break_loose,
    rotating=_rotating,
    follows_stretch=False,
)
