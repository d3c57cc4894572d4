"""The body: held by the surface of its ramp and the toe board at its foot; it slides or rolls."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.parts import Body, Ramp
from sandbox.theory import facts, textbook
from sandbox.theory.constraints import (
    STOP_NUMBER,
    TOUCHING,
    Loaded,
    Support,
    SupportKey,
)
from sandbox.theory.friction import FrameContact, SurfaceContact
from sandbox.theory.questions import First, FrameTheory, PartTheory

CLEAR = 1e-9
"""m: how far beyond the ends of its ramp a body must be to have left it."""
ROUNDING = 1e-12
"""Relative, of an angle of repose."""


def _ramp(frame: Frame) -> Ramp:
    assert frame.ramp is not None
    return frame.ramp


def _along(frame: Frame, pose: Pose) -> float:
    """How far up its ramp the middle of a body is, m."""
    ramp = _ramp(frame)
    return ramp.upslope.dot(Vector(pose.x, pose.y) - ramp.at.point)


def _half_size(body: Body) -> float:
    """From the middle of a body to its lower edge, along the slope, m."""
    return (body.height if body.rolls else body.width) / 2


def _supports(
    body: Body, frame: Frame, index: int, _without: Collection[SupportKey]
) -> Iterator[Support]:
    normal = _ramp(frame).normal
    target = normal.dot(Vector(frame.pose.x, frame.pose.y))
    yield Support(body.name, "surface", index, Vector(0.0, 0.0), normal, target)


def _stops(body: Body, frame: Frame, index: int) -> Iterator[Support]:
    if _along(frame, frame.pose) > _half_size(body) + TOUCHING:
        return
    local, up = Vector(0.0, 0.0), _ramp(frame).upslope
    target = up.dot(frame.pose.point(local))
    yield Support(body.name, "stop", index, local, up, target, STOP_NUMBER, "stop_force")


def _support_label(body: Body, support: Support) -> Fact:
    place = facts.TOE_BOARD if support.kind == "stop" else facts.RAMP_UNDER
    return place(body=body.name)


def _support_lost(body: Body, support: Support, _loaded: Sequence[Loaded]) -> Fact:
    if support.kind == "stop":
        return facts.OFF_STOP(part=body.name)
    return facts.OFF_RAMP(body=body.name)


def _friction(body: Body, frame: Frame, first: First, slips: bool) -> Iterator[SurfaceContact]:
    ramp = _ramp(frame)
    if body.rolls and not slips:
        radius = body.height / 2
        arm = body.rolling_arm / radius
        yield SurfaceContact.of(
            body.name,
            (arm, arm),
            first.frame,
            first.support,
            ramp.upslope,
            inertia=frame.moment_of_inertia / radius**2,
            grip=ramp.static_friction,
        )
    else:
        static = ramp.kinetic_friction if body.rolls else ramp.static_friction
        coefficients = static, ramp.kinetic_friction
        yield SurfaceContact.of(body.name, coefficients, first.frame, first.support, ramp.upslope)


def _leaves_track(body: Body, frame: Frame, pose: Pose) -> Fact | None:
    """That a body has passed the head of its ramp, or is in its toe board."""
    ramp, along = _ramp(frame), _along(frame, pose)
    if along > ramp.surface + CLEAR:
        return facts.OFF_HEAD(
            body=body.name,
            ramp=ramp.name,
            distance=facts.length(along),
            length=facts.length(ramp.surface),
        )
    if along < _half_size(body) - CLEAR:
        return facts.ON_TOE_BOARD(body=body.name, ramp=ramp.name)
    return None


def _friction_notes(
    scene: Scene, body: Body, frame: Frame, contact: FrameContact, friction: float, slips: bool
) -> Iterator[Fact]:
    """The ramp's angle of repose, and the best angle to pull at; of a roller, that it slips."""
    if slips:
        yield facts.ROLLER_SLIPS(body=body.name)
        return
    if body.rolls or not contact.static:
        return
    ramp = _ramp(frame)
    slope, repose = ramp.slope, textbook.angle_of_repose(contact.static)
    stays = slope <= repose * (1 + ROUNDING)
    yield (facts.REPOSE_STAYS if stays else facts.REPOSE_SLIDES)(
        ramp=ramp.name, repose=facts.angle(repose), slope=facts.angle(slope), body=body.name
    )
    if scene.about.mode == "raising" and friction >= 0.0:
        weight, best = (
            frame.mass * scene.about.gravity,
            textbook.best_pulling_angle(contact.kinetic),
        )
        pull, along = (
            textbook.incline_pull(weight, slope, contact.kinetic, angle) for angle in (best, 0.0)
        )
        yield facts.LEAST_PULL(
            body=body.name,
            angle=facts.angle(best),
            force=facts.force(pull),
            along=facts.force(along),
        )


THEORY: PartTheory[Body] = PartTheory(
    frame=FrameTheory(
        coordinates=2,
        turn=None,
        limited=2,
        apart=None,
        supports=_supports,
        stops=_stops,
        support_label=_support_label,
        support_lost=_support_lost,
        friction=_friction,
        damping=None,
        drawn_amiss=None,
        rotation_end=None,
        leaves_track=_leaves_track,
        pose_quantities=None,
        accelerates=False,
        friction_notes=_friction_notes,
        tips=None,
        level=None,
        rests_alone=None,
        swing=None,
        on_stop=None,
    ),
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=None,
    own_distances=(),
    counts={},
)
