"""A wedge driven down between two jaws: as it goes down by s, each jaw goes aside by s tan(a).

Its one degree of freedom is that driving; a is half the angle between its faces. With m the mass of
the wedge and all that stands on it, M that of a jaw, P what ropes push it down by and F to the
right, and H_i what they draw each jaw inwards by, a wedge that is driven in (d = +1) or comes up
(d = -1) takes from each jaw the force R_i at the angle b = a + d phi from the level, phi being the
angle of friction of its faces:

    jaw     M tan(a) s'' = R_i cos b - H_i - d mu_0 (R_i sin b + M g)
    wedge   m s'' = m g + P - (R_1 + R_2) sin b - d mu_g |(R_1 - R_2) cos b + F|

with mu_0 the friction of the floor and mu_g that of the guide, which takes what the jaws leave
aside (statics of a wedge with friction on all its faces, as in any textbook of mechanics; cited
from memory). With D = cos b - d mu_0 sin b, A = sin b / D, B = cos b / D and c = +-1 the sign in
| |,

    (m + 2 M A tan a) s'' = m g + P - A (H_1 + H_2 + 2 d mu_0 M g) - c d mu_g ((H_1 - H_2) B + F),

which is linear in the ropes' pulls, and the ropes are solved with friction in it. (They are solved
as if F counted B times as well; by how much that is too much is taken from the step before.) Its
load is what draws both jaws inwards. Where friction holds it, it has no freedom at all.

A wedge that holds by itself has A < 0 coming up: then as with any other (`wedge`) what the jaws'
inertia adds is left out where no motion would obey it.

Floor and faces only push: where R_i < 0 a face leaves its jaw, and where R_i sin b + M g < 0 faces
that stick lift a jaw off the floor. Neither is any longer the machine that was drawn: that is noted
and from then on it goes along without friction.
"""

from __future__ import annotations

import math

from sandbox.engine.bodies import (
    ALONG_Y,
    Dissipation,
    Freedom,
    MovingBody,
    Planar,
    Readout,
)
from sandbox.engine.driven import DrivenBody
from sandbox.engine.events import JAW_LIFTED, LEAVES_JAW, Log
from sandbox.engine.loads import JAWS, LEFT_FACE, RIGHT_FACE, WEDGE_GUIDE, Load
from sandbox.engine.parts import entry
from sandbox.engine.settings import ROUNDED
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.facts import Kind
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME
from sandbox.scene.parts import SplittingWedge


class Parting:
    """A splitting wedge as it slides one way, or as its friction would have it just not slide."""

    def __init__(self, part: SplittingWedge, weight: float, sense: float, side: float) -> None:
        """`weight`: of a jaw, N; `sense`: +1 driven in, -1 coming up, 0 without friction; `side`:
        +1 where it is pressed on the right of its guide, -1 on the left."""
        angle = part.half_angle + sense * part.friction_angle
        self.down, self.along = math.sin(angle), math.cos(angle)
        """Of each newton on a face, what is plumb and what is along the floor."""
        floor = sense * part.floor_friction
        self.weight, self.rubbed = weight, floor * weight
        """Of a jaw, and what its friction on the floor takes of that, N."""
        self.bears = self.along - floor * self.down
        """What of each newton on a face bears load."""
        self.arm = self.down / self.bears
        """For each newton of load, what drives it."""
        self.aside = self.along / self.bears
        """For each newton by which the left jaw is drawn inwards more, what presses the wedge to
        the right on its guide."""
        self.guide = sense * side * part.guide_friction
        """For each newton to the right on its guide, what drives it."""

    def face(self, pull: float) -> float:
        """The force on the face of a jaw that is drawn inwards so, N."""
        return (pull + self.rubbed) / self.bears

    def faces(self, load: float, aside: float) -> tuple[float, float]:
        """Those on both faces, the left one first, of jaws that are drawn inwards so together, the
        left one by so much more than the other, N."""
        return self.face(0.5 * (load + aside)), self.face(0.5 * (load - aside))

    def floor(self, face: float) -> float:
        """What presses a jaw on the floor under this force on its face, N."""
        return face * self.down + self.weight


class WedgeBetweenJaws(DrivenBody):
    """A splitting wedge, as a body that goes down, and whose angle is how far it is driven; its
    moment of inertia is what its jaws bring to that."""

    def __init__(self, bench: Workbench, frame: Frame, part: SplittingWedge) -> None:
        super().__init__(
            bench,
            frame,
            rise=part.slope,
            lowest=-part.initial_travel,
            highest=part.stroke - part.initial_travel,
            rough=part.has_friction,
            scale=1.0,
            climb=-1.0,
        )
        self._own, self._load_mass = self.mass, 2.0 * part.jaw_mass
        self._inertia = self._own
        self._part = part
        self._weight = part.jaw_mass * self.gravity
        self._side = 1.0
        """+1 where it is pressed on the right of its guide, -1 on the left."""
        self._pulled = 0.0
        """What pulls its head to the right, N."""
        self._apart: Kind | None = None
        """How it has come apart, if it has, and ..."""
        self._noted = False
        """... whether that is in the log."""
        self._now = Parting(part, self._weight, 0.0, 1.0)
        self._is_rigid = True
        """Whether its friction counts all that its faces bear."""

    # A step.

    @property
    def _slides_free(self) -> bool:
        return self._ignored or self._apart is not None or not self._rough

    def _acting(self, force: Planar) -> tuple[float, float, float]:
        """Both jaws are drawn inwards, the left one more; the wedge is driven down."""
        self._pulled = force[0] - self.slid_force
        return -force[2] / self._rise, self.slid_force, self.mass * self.gravity - force[1]

    def _pressed(self, aside: float) -> float:
        """What presses it to the right on its guide, N."""
        return self._now.aside * aside + self._pulled

    def _answer(self, sense: int) -> None:
        """Find how it slides so, and its inertia with its jaws."""
        share = 0.0 if self._slides_free else float(sense)
        self._now = Parting(self._part, self._weight, share, self._side)
        self._is_rigid = self._take_inertia(self._now.arm)

    def _hold(self, share: float, _load: float, aside: float) -> None:
        self._now = Parting(self._part, self._weight, share, 1.0)
        if self._pressed(aside) < 0.0:
            self._now.guide = -self._now.guide

    def _taken(self, load: float, aside: float) -> float:
        now = self._now
        return now.arm * (load + 2.0 * now.rubbed) + now.guide * self._pressed(aside)

    def prepare(self) -> None:
        """Find its freedom in the next step, and how fast it goes down after it if no rope
        pulled."""
        if self._is_held():
            return
        self._answer(self._sliding)
        now, (fx, fy, _) = self._now, self.applied_force
        drive = self.mass * self.gravity - fy - now.arm * 2.0 * now.rubbed
        drive -= now.guide * (fx + (1.0 - now.aside) * (self._pulled - fx))
        self.free_velocity = self._moving(self.velocity[2] + self.dt * drive / self._inertia)
        projection = (-now.guide * now.aside, -1.0, now.arm / self._rise)
        self.freedoms = [Freedom((0.0, -1.0, 1.0), projection, self._inertia)]

    def _assumed_wrongly(self, load: float, aside: float) -> bool:
        """Whether it comes apart, or presses on the other side of its guide."""
        if self._ignored or self._apart is not None:
            return False
        rounded = ROUNDED * (self.mass * self.gravity + self._weight + abs(load))
        now = self._now
        for face in now.faces(load, aside):
            if face < -rounded:
                self._apart = LEAVES_JAW
            elif now.floor(face) < -rounded:
                self._apart = JAW_LIFTED
        if self._apart is not None:
            return True
        if self._pressed(aside) * self._side < -rounded and now.guide:
            self._side = -self._side
            return True
        return False

    def _breaks_loose(self, load: float, aside: float, drive: float) -> bool:
        """Whether more drives it than its friction holds. Coming up, a face bears nothing where it
        would have to pull, and no more than lifts a jaw where it would lift it."""
        self._hold(-1.0, load, aside)
        now = self._now
        left, right = (max(0.0, face) for face in now.faces(load, aside))
        low = sum(max(-now.weight, now.down * face) for face in (left, right))
        low -= self._part.guide_friction * abs(now.along * (left - right) + self._pulled)
        self._hold(1.0, load, aside)
        high = self._taken(load, aside)
        loose = self._is_driven_beyond(drive, low, high)
        self._hold(float(self._sliding), load, aside)
        self._side = 1.0 if self._pressed(aside) >= 0.0 else -1.0
        return loose

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its travel, or comes apart."""
        if end := self._reached():
            log.note((DRIVEN_HOME if end > 0 else DRAWN_OUT)(wedge=self.name))
        if self._apart is not None and not self._noted:
            log.note(self._apart(wedge=self.name))
            self._noted = True

    def _found(self) -> tuple[Parting, tuple[float, float]]:
        """How it slid in the step just taken, and the forces on its faces, N, the left one first:
        from what ropes and inertia drew its jaws inwards by. Where it was held, faces, floor and
        guide could share what holds it otherwise: each is taken to exert the same share of what it
        could."""
        load, aside, drive = self._acting(self.total_force)
        gain = (self.velocity[2] - self.velocity_before[2]) / self.dt
        load += self._load_mass * self._rise * gain
        if not (self._sliding or self._slides_free or self.clamped):
            self._share_out(load, aside, drive + self._stop - self._own * gain)
        return self._now, self._now.faces(load, aside)

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the forces on its faces."""
        _, (left, right) = self._found()
        readout.readings[f"{self.name}.left_face_force"] = left
        readout.readings[f"{self.name}.right_face_force"] = right
        names = ("left_face_force", "right_face_force", "guide")
        loads = self._loads(Vector(pose.x, pose.y), pose.angle)
        for name, load in zip(names, loads, strict=False):
            readout.forces.append(Force("reaction", f"{self.name}.{name}", load.at, load.force))

    def supporting_loads(self) -> list[Load]:
        """What its faces and its guide exerted on it in the step just taken, and jaws that its head
        has met."""
        x, y, angle = self.position
        return self._loads(Vector(x, y), angle)

    def _loads(self, head: Vector, angle: float) -> list[Load]:
        now, faces = self._found()
        apart = self._part.parted(angle - self.frame.pose.angle)
        up = self.reaction[1] + self._stop - now.down * sum(faces)
        guide = Vector(now.along * (faces[1] - faces[0]) - self._pulled, up)
        found = []
        for name, face, way in ((LEFT_FACE(), faces[0], 1.0), (RIGHT_FACE(), faces[1], -1.0)):
            at = Vector(head.x - way * apart, self._part.edges)
            force = Vector(way * face * now.along, face * now.down)
            found.append(Load(name, "reaction", at, force))
        found.append(Load(WEDGE_GUIDE(), "reaction", head, guide))
        if self._stop:
            found.append(Load(JAWS(), "reaction", head, -self._stop * ALONG_Y))
        return found

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what faces, floor, guide and the end of its travel dissipated in the step just
        taken, J: each from the forces on its faces, but where it came to a stop within the step
        what its supports took altogether, shared as that is."""
        lost, speed = self._lost(dissipation), self.mean_velocity[2]
        if not self._rough or speed == 0.0:
            return
        part, way = self._part, abs(self.dt * speed)
        now, faces = self._found()
        slope = self._rise
        floor = sum(max(0.0, now.floor(face)) for face in faces)
        shares = {
            "face": sum(map(abs, faces))
            * math.sin(part.friction_angle)
            / math.cos(part.half_angle),
            "floor": part.floor_friction * floor * slope,
            "guide": part.guide_friction * abs((faces[0] - faces[1]) * now.along + self._pulled),
        }
        total = way * sum(shares.values())
        slid = self._sliding and self._is_rigid and not self._slides_free
        share = way if slid or total == 0.0 else way * lost / total
        for name, each in shares.items():
            if each:
                dissipation[f"{self.name} {name}"] += share * each


def _body(bench: Workbench, _scene: Scene, frame: Frame) -> MovingBody:
    assert isinstance(frame.part, SplittingWedge)
    return WedgeBetweenJaws(bench, frame, frame.part)


ENTRY = entry.of_driven(_body, "driven")
