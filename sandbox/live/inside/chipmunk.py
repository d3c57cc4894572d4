"""Chipmunk by ctypes: as much of pymunk as the engine uses, under pymunk's names.

pymunk itself needs cffi, of which there is no build for CPython in a browser. `install` puts these
classes in its place. Names and arguments are pymunk's, signatures those of Chipmunk's header;
a space frees all that was ever added to it, so its parts must not be used after it.
"""

from __future__ import annotations

import ctypes
import math
import sys
from collections.abc import Callable, Sequence
from ctypes import CFUNCTYPE, POINTER, Structure, byref, c_double, c_int, c_ubyte, c_uint, c_void_p
from types import ModuleType
from typing import Any, NamedTuple

Pair = tuple[float, float]


class _Vect(Structure):
    """cpVect."""

    _fields_ = (("x", c_double), ("y", c_double))


class _Filter(Structure):
    """cpShapeFilter."""

    _fields_ = (("group", ctypes.c_size_t), ("categories", c_uint), ("mask", c_uint))


class _Transform(Structure):
    """cpTransform."""

    _fields_ = tuple((name, c_double) for name in ("a", "b", "c", "d", "tx", "ty"))


class _ContactPoint(Structure):
    """What cpContactPointSet has for each of its points."""

    _fields_ = (("pointA", _Vect), ("pointB", _Vect), ("distance", c_double))


class _ContactPoints(Structure):
    """cpContactPointSet."""

    _fields_ = (("count", c_int), ("normal", _Vect), ("points", _ContactPoint * 2))


_AS_IT_IS = _Transform(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_EachArbiter = CFUNCTYPE(None, c_void_p, c_void_p, c_void_p)
_P, _D, _V = c_void_p, c_double, _Vect
_SIGNATURES: dict[str, tuple[Any, ...]] = {
    # Name: what it returns, and its arguments.
    "cpSpaceNew": (_P,),
    "cpSpaceFree": (None, _P),
    "cpSpaceSetIterations": (None, _P, c_int),
    "cpSpaceSetGravity": (None, _P, _V),
    "cpSpaceSetCollisionSlop": (None, _P, _D),
    "cpSpaceSetCollisionBias": (None, _P, _D),
    "cpSpaceAddBody": (_P, _P, _P),
    "cpSpaceAddShape": (_P, _P, _P),
    "cpSpaceAddConstraint": (_P, _P, _P),
    "cpSpaceRemoveConstraint": (None, _P, _P),
    "cpSpaceReindexShapesForBody": (None, _P, _P),
    "cpSpaceStep": (None, _P, _D),
    "cpBodyNew": (_P, _D, _D),
    "cpBodyNewStatic": (_P,),
    "cpBodyFree": (None, _P),
    "cpBodyGetPosition": (_V, _P),
    "cpBodySetPosition": (None, _P, _V),
    "cpBodyGetVelocity": (_V, _P),
    "cpBodySetVelocity": (None, _P, _V),
    "cpBodyGetForce": (_V, _P),
    "cpBodySetForce": (None, _P, _V),
    "cpBodyGetAngle": (_D, _P),
    "cpBodySetAngle": (None, _P, _D),
    "cpBodyGetAngularVelocity": (_D, _P),
    "cpBodySetAngularVelocity": (None, _P, _D),
    "cpBodyGetTorque": (_D, _P),
    "cpBodySetTorque": (None, _P, _D),
    "cpBodyEachArbiter": (None, _P, _EachArbiter, _P),
    "cpArbiterGetShapes": (None, _P, POINTER(_P), POINTER(_P)),
    "cpArbiterTotalImpulse": (_V, _P),
    "cpArbiterGetContactPointSet": (_ContactPoints, _P),
    "cpShapeFree": (None, _P),
    "cpShapeSetFriction": (None, _P, _D),
    "cpShapeSetFilter": (None, _P, _Filter),
    "cpCircleShapeNew": (_P, _P, _D, _V),
    "cpSegmentShapeNew": (_P, _P, _V, _V, _D),
    "cpPolyShapeNew": (_P, _P, c_int, POINTER(_V), _Transform, _D),
    "cpConstraintFree": (None, _P),
    "cpConstraintSetErrorBias": (None, _P, _D),
    "cpConstraintSetMaxForce": (None, _P, _D),
    "cpConstraintSetCollideBodies": (None, _P, c_ubyte),
    "cpConstraintGetImpulse": (_D, _P),
    "cpPivotJointNew": (_P, _P, _P, _V),
    "cpGrooveJointNew": (_P, _P, _P, _V, _V, _V),
    "cpSimpleMotorNew": (_P, _P, _P, _D),
    "cpRotaryLimitJointNew": (_P, _P, _P, _D, _D),
}


class _Library:
    """Chipmunk's functions."""

    def load(self, path: str) -> None:
        """Load them from pymunk's library. Raises OSError."""
        library = ctypes.CDLL(path)
        for name, (returned, *arguments) in _SIGNATURES.items():
            function = getattr(library, name)
            function.restype, function.argtypes = returned, arguments
            setattr(self, name, function)

    def __getattr__(self, name: str) -> Any:
        """What `load` has not brought."""
        raise AttributeError(f"{name}: pymunk's library is not loaded")


_cp = _Library()


class _Vec2d(NamedTuple):
    """A vector."""

    x: float
    y: float

    def __mul__(self, factor: float) -> _Vec2d:  # type: ignore[override]
        return _Vec2d(self.x * factor, self.y * factor)


class _Held:
    """Something of Chipmunk's, by its address."""

    def __init__(self, address: int) -> None:
        self._address = address


class _Setting:
    """A number, or more, that Chipmunk is told and that is read as it was told."""

    def __init__(self, function: str, packed: Callable[[Any], Any] = lambda value: value) -> None:
        self._function, self._packed = function, packed

    def __set_name__(self, _owner: type, name: str) -> None:
        self._name = name

    def __get__(self, held: _Held, _owner: type) -> Any:
        return held.__dict__[self._name]

    def __set__(self, held: _Held, value: Any) -> None:
        getattr(_cp, self._function)(held._address, self._packed(value))
        held.__dict__[self._name] = value


class _Body(_Held):
    """A body."""

    def __init__(self, mass: float = 0.0, moment: float = 0.0, *, static: bool = False) -> None:
        super().__init__(_cp.cpBodyNewStatic() if static else _cp.cpBodyNew(mass, moment))
        self._shapes: dict[int, _Shape] = {}
        """Of its space, by address."""

    @property
    def position(self) -> _Vec2d:
        """Of its centre of mass, m."""
        found = _cp.cpBodyGetPosition(self._address)
        return _Vec2d(found.x, found.y)

    @position.setter
    def position(self, to: Pair) -> None:
        _cp.cpBodySetPosition(self._address, _Vect(*to))

    @property
    def velocity(self) -> _Vec2d:
        """Of its centre of mass, m/s."""
        found = _cp.cpBodyGetVelocity(self._address)
        return _Vec2d(found.x, found.y)

    @velocity.setter
    def velocity(self, to: Pair) -> None:
        _cp.cpBodySetVelocity(self._address, _Vect(*to))

    @property
    def force(self) -> _Vec2d:
        """Applied to it over the next step, N."""
        found = _cp.cpBodyGetForce(self._address)
        return _Vec2d(found.x, found.y)

    @force.setter
    def force(self, to: Pair) -> None:
        _cp.cpBodySetForce(self._address, _Vect(*to))

    @property
    def angle(self) -> float:
        """rad."""
        return float(_cp.cpBodyGetAngle(self._address))

    @angle.setter
    def angle(self, to: float) -> None:
        _cp.cpBodySetAngle(self._address, to)

    @property
    def angular_velocity(self) -> float:
        """rad/s."""
        return float(_cp.cpBodyGetAngularVelocity(self._address))

    @angular_velocity.setter
    def angular_velocity(self, to: float) -> None:
        _cp.cpBodySetAngularVelocity(self._address, to)

    @property
    def torque(self) -> float:
        """Applied to it over the next step, N m."""
        return float(_cp.cpBodyGetTorque(self._address))

    @torque.setter
    def torque(self, to: float) -> None:
        _cp.cpBodySetTorque(self._address, to)

    def each_arbiter(self, take: Callable[[_Arbiter], None]) -> None:
        """Call `take` with everything that touches it."""
        found: list[int] = []
        collect = _EachArbiter(lambda _body, arbiter, _data: found.append(arbiter))
        _cp.cpBodyEachArbiter(self._address, collect, None)
        for address in found:
            take(_Arbiter(address, self._shapes))


class _Arbiter(_Held):
    """Two shapes that touch."""

    def __init__(self, address: int, shapes: dict[int, _Shape]) -> None:
        super().__init__(address)
        self._shapes = shapes

    @property
    def total_impulse(self) -> _Vec2d:
        """What they gave each other in the last step, N s."""
        found = _cp.cpArbiterTotalImpulse(self._address)
        return _Vec2d(found.x, found.y)

    @property
    def contact_point_set(self) -> _ContactPointSet:
        """Where they touch."""
        found = _cp.cpArbiterGetContactPointSet(self._address)
        points = found.points[: found.count]
        return _ContactPointSet(
            [
                _Contact(_Vec2d(p.pointA.x, p.pointA.y), _Vec2d(p.pointB.x, p.pointB.y))
                for p in points
            ]
        )

    @property
    def shapes(self) -> tuple[_Shape, _Shape]:
        """The two."""
        one, other = c_void_p(), c_void_p()
        _cp.cpArbiterGetShapes(self._address, byref(one), byref(other))
        return self._shapes[one.value or 0], self._shapes[other.value or 0]


class _Contact(NamedTuple):
    """A point at which two shapes touch, on the surface of each."""

    point_a: _Vec2d
    point_b: _Vec2d


class _ContactPointSet(NamedTuple):
    """All points at which two shapes touch."""

    points: list[_Contact]


class _ShapeFilter(NamedTuple):
    """What a shape is, and what it touches."""

    categories: int
    mask: int


class _Shape(_Held):
    """A shape of a body."""

    def __init__(self, body: _Body, address: int) -> None:
        super().__init__(address)
        self.body = body

    friction = _Setting("cpShapeSetFriction")
    """Its coefficient of friction."""

    filter = _Setting("cpShapeSetFilter", lambda f: _Filter(0, f.categories, f.mask))
    """What it is, and what it touches."""


class _Circle(_Shape):
    """A circle."""

    def __init__(self, body: _Body, radius: float, offset: Pair = (0.0, 0.0)) -> None:
        super().__init__(body, _cp.cpCircleShapeNew(body._address, radius, _Vect(*offset)))


class _Segment(_Shape):
    """A straight line, `radius` thick to either side."""

    def __init__(self, body: _Body, a: Pair, b: Pair, radius: float) -> None:
        made = _cp.cpSegmentShapeNew(body._address, _Vect(*a), _Vect(*b), radius)
        super().__init__(body, made)


class _Poly(_Shape):
    """A convex polygon."""

    def __init__(self, body: _Body, vertices: Sequence[Pair]) -> None:
        corners = (_Vect * len(vertices))(*(_Vect(*vertex) for vertex in vertices))
        made = _cp.cpPolyShapeNew(body._address, len(vertices), corners, _AS_IT_IS, 0.0)
        super().__init__(body, made)


class _Constraint(_Held):
    """A joint between two bodies."""

    def __init__(self, a: _Body, b: _Body, address: int) -> None:
        super().__init__(address)
        self.a, self.b = a, b
        self.max_force = math.inf

    error_bias = _Setting("cpConstraintSetErrorBias")
    """Share of its error left after a second."""

    max_force = _Setting("cpConstraintSetMaxForce")
    """The most it exerts, N (a motor, N m)."""

    collide_bodies = _Setting("cpConstraintSetCollideBodies")
    """Whether its bodies may touch."""

    @property
    def impulse(self) -> float:
        """The norm of what it gave in the last step, N s (a couple's, N m s)."""
        return float(_cp.cpConstraintGetImpulse(self._address))


class _PivotJoint(_Constraint):
    """A pin through two bodies."""

    def __init__(self, a: _Body, b: _Body, pivot: Pair) -> None:
        super().__init__(a, b, _cp.cpPivotJointNew(a._address, b._address, _Vect(*pivot)))


class _GrooveJoint(_Constraint):
    """A pin of one body in a groove of another."""

    def __init__(self, a: _Body, b: _Body, groove_a: Pair, groove_b: Pair, anchor_b: Pair) -> None:
        ends = _Vect(*groove_a), _Vect(*groove_b), _Vect(*anchor_b)
        super().__init__(a, b, _cp.cpGrooveJointNew(a._address, b._address, *ends))


class _SimpleMotor(_Constraint):
    """What keeps the angular velocity of one body to another."""

    def __init__(self, a: _Body, b: _Body, rate: float) -> None:
        super().__init__(a, b, _cp.cpSimpleMotorNew(a._address, b._address, rate))


class _RotaryLimitJoint(_Constraint):
    """What keeps the angle of one body to another within limits."""

    def __init__(self, a: _Body, b: _Body, low: float, high: float) -> None:
        super().__init__(a, b, _cp.cpRotaryLimitJointNew(a._address, b._address, low, high))


class _Space(_Held):
    """Bodies, shapes and joints that move together."""

    def __init__(self) -> None:
        super().__init__(_cp.cpSpaceNew())
        self._shapes: dict[int, _Shape] = {}
        self._owned: list[tuple[Callable[[int], None], int]] = []
        self.static_body = _Body(static=True)
        self._add_body(self.static_body)

    def __del__(self) -> None:
        # The space first: it looks at its bodies as it goes.
        _cp.cpSpaceFree(self._address)
        for free, address in reversed(self._owned):
            free(address)

    iterations = _Setting("cpSpaceSetIterations")
    """Of its solver in each step."""

    gravity = _Setting("cpSpaceSetGravity", lambda pair: _Vect(*pair))
    """m/s^2."""

    collision_slop = _Setting("cpSpaceSetCollisionSlop")
    """How deep shapes may overlap, m."""

    collision_bias = _Setting("cpSpaceSetCollisionBias")
    """Share of an overlap left after a second."""

    def add(self, thing: _Body | _Shape | _Constraint) -> None:
        """Take something in."""
        if isinstance(thing, _Body):
            self._add_body(thing)
        elif isinstance(thing, _Shape):
            _cp.cpSpaceAddShape(self._address, thing._address)
            self._shapes[thing._address] = thing
            self._owned.append((_cp.cpShapeFree, thing._address))
        else:
            _cp.cpSpaceAddConstraint(self._address, thing._address)
            self._owned.append((_cp.cpConstraintFree, thing._address))

    def _add_body(self, body: _Body) -> None:
        _cp.cpSpaceAddBody(self._address, body._address)
        body._shapes = self._shapes
        self._owned.append((_cp.cpBodyFree, body._address))

    def remove(self, joint: _Constraint) -> None:
        """Let go of a joint."""
        _cp.cpSpaceRemoveConstraint(self._address, joint._address)

    def reindex_shapes_for_body(self, body: _Body) -> None:
        """Take note that a body has been put elsewhere."""
        _cp.cpSpaceReindexShapesForBody(self._address, body._address)

    def step(self, seconds: float) -> None:
        """Let so much time pass."""
        _cp.cpSpaceStep(self._address, seconds)


_STAND_INS = {
    "Arbiter": _Arbiter,
    "Body": _Body,
    "Circle": _Circle,
    "Constraint": _Constraint,
    "GrooveJoint": _GrooveJoint,
    "PivotJoint": _PivotJoint,
    "Poly": _Poly,
    "RotaryLimitJoint": _RotaryLimitJoint,
    "Segment": _Segment,
    "Shape": _Shape,
    "ShapeFilter": _ShapeFilter,
    "SimpleMotor": _SimpleMotor,
    "Space": _Space,
}


def install(path: str) -> None:
    """Stand in for pymunk, with Chipmunk from this library of pymunk's. Raises OSError."""
    _cp.load(path)
    stand_in = ModuleType("pymunk", __doc__)
    stand_in.__dict__.update(_STAND_INS)
    sys.modules["pymunk"] = stand_in
