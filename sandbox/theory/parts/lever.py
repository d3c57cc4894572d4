"""The lever: held by a fulcrum, by points that it lies on, or by ropes alone; its balance by
itself."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence

from sandbox.facts import Fact
from sandbox.scene import Frame, Pose, Scene, Unanswerable, Vector
from sandbox.scene.parts import Lever
from sandbox.theory import facts, textbook
from sandbox.theory.constraints import (
    STOP_NUMBER,
    TOUCHING,
    Loaded,
    Support,
    SupportKey,
)
from sandbox.theory.friction import BearingContact
from sandbox.theory.prediction import Prediction
from sandbox.theory.questions import First, FrameTheory, PartTheory, Swing

ROUNDING = 1e-12
"""Of a lever's weight times its length: a moment no greater is none."""

_ACROSS, _UP = Vector(1.0, 0.0), Vector(0.0, 1.0)


def _supports(
    lever: Lever, frame: Frame, index: int, without: Collection[SupportKey]
) -> Iterator[Support]:
    if lever.fulcrum is not None:
        pivot = Vector(lever.fulcrum, lever.pivot_height)
        at = frame.pose.point(pivot)
        yield Support(lever.name, "pin", index, pivot, _ACROSS, at.x)
        yield Support(
            lever.name, "pin" if lever.support == "pin" else "knife edge", index, pivot, _UP, at.y
        )
    points = [
        (number, Vector(distance, 0.0))
        for number, distance in enumerate(lever.supports, 1)
        if (lever.name, number) not in without
    ]
    for number, local in points:
        at = frame.pose.point(local)
        yield Support(lever.name, "point", index, local, _UP, at.y, number, f"support_{number}")
    if points and lever.fulcrum is None:
        local = points[0][1]
        yield Support(lever.name, "guide", index, local, _ACROSS, frame.pose.point(local).x)


def _stops(lever: Lever, frame: Frame, index: int) -> Iterator[Support]:
    if lever.fulcrum is None or abs(lever.tilt) < lever.stop - TOUCHING:
        return
    peg = lever.stop_peg(1 if lever.tilt > 0.0 else -1)
    direction = Vector(0.0, peg.sign).rotated(lever.tilt)
    target = direction.dot(frame.pose.point(peg.local))
    yield Support(
        lever.name, "stop", index, peg.local, direction, target, STOP_NUMBER, "stop_force"
    )


def _support_label(lever: Lever, support: Support) -> Fact:
    if support.kind == "point":
        return facts.POINT_SUPPORT(number=support.number, lever=lever.name)
    if support.kind == "guide":
        return facts.SIDEWAYS_HOLD(lever=lever.name)
    return (facts.STOP if support.kind == "stop" else facts.FULCRUM)(lever=lever.name)


def _off_fulcrum(lever: Lever) -> Fact:
    return facts.OFF_FULCRUM(lever=lever.name)


def _support_lost(lever: Lever, support: Support, loaded: Sequence[Loaded]) -> Fact:
    """That it lifts off a support; off a point, about which other it tips: that which bears the
    most."""
    if support.kind == "stop":
        return facts.OFF_STOP(part=lever.name)
    if support.kind != "point":
        return _off_fulcrum(lever)
    points = [each for each in loaded if each.support.kind == "point"]
    about = max(points, key=lambda each: each.reaction).support
    distance = facts.length(support.local.x)
    if about is support:
        return facts.LEAVES_SUPPORT(lever=lever.name, number=support.number, distance=distance)
    return facts.LEAVES_SUPPORT_AND_TIPS(
        lever=lever.name,
        number=support.number,
        distance=distance,
        last=about.number,
        last_distance=facts.length(about.local.x),
    )


def _friction(lever: Lever, _frame: Frame, first: First, _slips: bool) -> Iterator[BearingContact]:
    if lever.fulcrum is not None:
        loss = lever.bearing_friction * lever.pin_radius
        yield BearingContact.of(lever.name, loss, first.frame, first.support)


def _damping(lever: Lever) -> float:
    return lever.rotational_damping


def _drawn_amiss(lever: Lever) -> Fact | None:
    if lever.fulcrum is None or abs(lever.tilt) <= lever.stop + TOUCHING:
        return None
    return facts.BEYOND_STOP(
        lever=lever.name, tilt=facts.angle(lever.tilt), stop=facts.angle(lever.stop)
    )


def _rotation_end(_scene: Scene, lever: Lever, _drawn: Pose, angle: float) -> Fact | None:
    if lever.fulcrum is None or abs(angle) <= lever.stop + TOUCHING:
        return None
    return facts.STOPPED_AT(lever=lever.name, angle=facts.angle(lever.stop))


def _pose_quantities(lever: Lever, pose: Pose) -> dict[str, float]:
    found = {f"{lever.name}.tilt": pose.angle}
    return found | {f"{lever.name}.support_{n}": 0.0 for n in range(1, len(lever.supports) + 1)}


def _tips(lever: Lever, supports: Sequence[Support]) -> Support | None:
    return supports[0] if len(supports) == 1 < len(lever.supports) else None


def _level(lever: Lever) -> dict[str, float]:
    return {f"{lever.name}.tilt": 0.0} if lever.tilt else {}


def _rests_alone(scene: Scene, lever: Lever, frame: Frame) -> Prediction | None:
    """By the heights of its pivot and of all its masses."""
    if lever.fulcrum is None or lever.supports:
        return None
    weight = frame.mass * scene.about.gravity
    arm = Vector(frame.centre.x - lever.fulcrum, frame.centre.y - lever.pivot_height)
    moment = -weight * arm.rotated(lever.tilt).x
    exact = ROUNDING * weight * lever.length
    friction = lever.bearing_friction * lever.pin_radius * weight
    centred = abs(arm.x) * weight <= exact
    level = abs(arm.y) * weight <= exact
    if level:
        balance = facts.BALANCE_NEUTRAL if centred else facts.BALANCE_BESIDE_PIVOT
    else:
        balance = facts.BALANCE_STABLE if arm.y < 0.0 else facts.BALANCE_UNSTABLE
    notes = [balance()]
    quantities = {f"{lever.name}.reaction": weight}
    if abs(moment) <= max(exact, friction):
        if abs(moment) > exact:
            notes.append(facts.FRICTION_HOLDS_TILT())
        quantities[f"{lever.name}.tilt"] = lever.tilt
        return Prediction("holds", quantities, tuple(notes))
    tilt = textbook.rest_tilt(arm.x, arm.y)
    # It goes the way the moment turns it: to where the centre hangs below the pivot, or the stop.
    if (tilt - lever.tilt) * moment < 0.0:
        tilt = math.copysign(lever.stop, moment)
    if abs(tilt) >= lever.stop:
        tilt = math.copysign(lever.stop, tilt)
        notes.append(facts.TIPS_TO_STOP(angle=facts.angle(tilt)))
        moment = -weight * arm.rotated(tilt).x
        # Friction may add to the moment on the peg or take from it: the force there is left open.
        moment += math.copysign(friction, moment)
        on_stop = _on_stop(lever, tilt, Vector(0.0, weight), moment)
        quantities = {} if friction else on_stop
    elif friction > 0.0:
        spread = math.asin(min(1.0, friction / (weight * arm.norm)))
        notes.append(facts.FRICTION_MAY_STOP(spread=facts.angle(spread), tilt=facts.angle(tilt)))
        return Prediction("rests", quantities, tuple(notes))
    quantities[f"{lever.name}.tilt"] = tilt
    return Prediction("rests", quantities, tuple(notes))


def _swing(lever: Lever) -> Swing | None:
    if lever.supports:
        return None
    stopped = lever.fulcrum is not None
    return Swing(lever.stop if stopped else math.pi, stopped)


def _on_stop(lever: Lever, tilt: float, borne: Vector, moment: float) -> dict[str, float]:
    """The peg bears the `moment`, and the fulcrum what it would have borne less the peg's push."""
    peg = lever.stop_peg(1 if tilt > 0.0 else -1)
    assert lever.fulcrum is not None
    push = -moment / (peg.sign * (peg.local.x - lever.fulcrum))
    direction = Vector(0.0, float(peg.sign)).rotated(tilt)
    left = borne - push * direction
    if left.y < 0.0 and lever.support == "knife edge":
        raise Unanswerable(_off_fulcrum(lever))
    return {f"{lever.name}.stop_force": push, f"{lever.name}.reaction": left.norm}


def _extent(lever: Lever) -> float:
    return lever.length


THEORY: PartTheory[Lever] = PartTheory(
    frame=FrameTheory(
        coordinates=3,
        turn="turn",
        limited=3,
        apart=None,
        supports=_supports,
        stops=_stops,
        support_label=_support_label,
        support_lost=_support_lost,
        friction=_friction,
        damping=_damping,
        drawn_amiss=_drawn_amiss,
        rotation_end=_rotation_end,
        leaves_track=None,
        pose_quantities=_pose_quantities,
        accelerates=False,
        friction_notes=None,
        tips=_tips,
        level=_level,
        rests_alone=_rests_alone,
        swing=_swing,
        on_stop=_on_stop,
    ),
    rope_friction=None,
    rope_notes=None,
    coupling=None,
    fixed_load=None,
    strength=None,
    reading=None,
    reading_note=None,
    extent=_extent,
    own_distances=("fulcrum", "centre"),
    counts={},
)
