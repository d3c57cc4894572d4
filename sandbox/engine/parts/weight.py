"""A weight: on a rope of its own it hangs from that; else it is a point mass of what carries it."""

from sandbox.engine.bodies import ALONG_Y
from sandbox.engine.hanging import HangingBody, is_displaced
from sandbox.engine.parts import entry
from sandbox.scene import Frame, Vector
from sandbox.scene.parts import Weight


def _upward(_frame: Frame) -> Vector:
    return ALONG_Y


ENTRY = entry.Entry[Weight](
    fixture=entry.no_fixture,
    body=HangingBody,
    meter=entry.no_meter,
    fixed_mass=entry.no_mass,
    acceleration=_upward,
    swings=False,
    rotation_is="",
    is_displaced=is_displaced,
    has_friction=entry.no_friction,
    must_break_loose=entry.no_static_friction,
    rotating=entry.nothing_rotating,
    follows_stretch=False,
)
