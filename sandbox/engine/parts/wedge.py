"""A wedge on a floor under a follower: as it is driven by s, its follower rises by s tan(a).

Its one degree of freedom is that driving. With m the mass of all that rises, w that of the wedge,
(fx, fy) what ropes exert on the follower and F on the wedge the way it is driven, a wedge that
slides so as to raise (d = +1) or let down (d = -1) takes on its face the force R at the angle
b = a + d phi from the plumb, phi being the face's angle of friction:

    wedge      w s'' = F - R sin b - d mu_0 (R cos b + w g)
    follower   m s'' tan a = R cos b - d mu_g |R sin b + fx| - m g + fy

with mu_0 the friction of the floor and mu_g that of the guide, which answers all that is aside, fx
counted the way the wedge is driven (statics of a wedge with friction on all its faces, as in any
textbook of mechanics; cited from memory). With c = +-1 the sign in | |, and

    A = (sin b + d mu_0 cos b) / (cos b - c d mu_g sin b),

    (w + m A tan a) s'' = F + A (fy - c d mu_g fx - m g) - d mu_0 w g,

which is linear in the ropes' pulls, and the ropes are solved with friction in it. Where friction
holds it, it has no freedom at all.

A wedge that holds by itself has A < 0 coming out, and under a load far heavier than itself
w + m A tan a would be negative: no motion of rigid parts obeys that (Painleve's paradox). Then what
the load's inertia adds to R is left out of its friction; where it slides steadily there is none.

A follower that ropes would lift off its wedge is no longer the machine that was drawn: that is
noted, and from then on it goes along without friction.
"""

from __future__ import annotations

import math

from sandbox.engine.bodies import (
    Dissipation,
    Freedom,
    MovingBody,
    Readout,
)
from sandbox.engine.driven import DrivenBody
from sandbox.engine.events import LIFTED_OFF, Log
from sandbox.engine.loads import FACE, FOLLOWER_GUIDE, Load
from sandbox.engine.parts import entry
from sandbox.engine.settings import ROUNDED
from sandbox.engine.snapshot import Force
from sandbox.engine.workbench import Workbench
from sandbox.scene import Frame, Pose, Scene, Vector
from sandbox.scene.facts import DRAWN_OUT, DRIVEN_HOME
from sandbox.scene.parts import Wedge


class Sliding:
    """A wedge as it slides one way, or as its friction would have it just not slide."""

    def __init__(self, part: Wedge, sense: float, aside: float) -> None:
        """`sense`: +1 driven in, -1 coming out, 0 without friction; `aside`: the sign of what
        presses its follower on the guide, the way it is driven positive."""
        angle = part.angle + sense * math.atan(part.face_friction)
        self.along, self.down = math.sin(angle), math.cos(angle)
        """Of each newton in its face, what is along the floor and what is plumb."""
        self.guide = sense * aside * part.guide_friction
        """For each newton aside on the follower, how much it is held down."""
        self.floor = sense * part.floor_friction
        self.bears = self.down - self.guide * self.along
        """What of each newton in its face bears load."""
        self.arm = (self.along + self.floor * self.down) / self.bears
        """For each newton of load, what drives it."""

    def face(self, load: float, aside: float) -> float:
        """The force in its face under this load, and with this pull aside on its follower, N."""
        return (load + self.guide * aside) / self.bears


class WedgeUnderFollower(DrivenBody):
    """A wedge and its follower, as a body that rises, and whose angle is how far it is driven."""

    def __init__(self, bench: Workbench, frame: Frame, part: Wedge) -> None:
        super().__init__(
            bench,
            frame,
            rise=math.tan(part.angle),
            lowest=-part.initial_travel,
            highest=part.stroke - part.initial_travel,
            rough=part.has_friction,
            scale=1.0,
        )
        self._part = part
        self._way = 1.0 if part.points == "right" else -1.0
        self._weight = part.wedge_mass * self.gravity
        self._aside = 1.0
        """The sign of what presses its follower on the guide, the way it is driven positive."""
        self._lifted = self._was_lifted = False
        """Whether its follower is off it."""
        self._now = Sliding(part, 0.0, 1.0)
        self._is_rigid = True
        """Whether its friction counts all that its face bears."""

    # A step.

    @property
    def _slides_free(self) -> bool:
        return self._ignored or self._lifted or not self._rough

    def _answer(self, sense: int) -> None:
        """Find how it slides so, and its inertia with what it carries."""
        self._now = Sliding(self._part, 0.0 if self._slides_free else sense, self._aside)
        self._is_rigid = self._take_inertia(self._now.arm)

    def _taken(self, load: float, aside: float) -> float:
        now = self._now
        return now.arm * (load + now.guide * (self._way * aside)) + now.floor * self._weight

    def prepare(self) -> None:
        """Find its freedom in the next step, and how fast it slides after it if no rope pulled."""
        if self._is_held():
            return
        self._answer(self._sliding)
        tx, ty, _ = self.applied_force
        taken = self._taken(self.mass * self.gravity - ty, tx)
        self.free_velocity = self._moving(self.velocity[2] - self.dt * taken / self._inertia)
        arm, guide = self._now.arm, self._now.guide
        self.freedoms = [
            Freedom((0.0, self._rise, 1.0), (-arm * guide * self._way, arm, 1.0), self._inertia)
        ]

    def _assumed_wrongly(self, load: float, aside: float) -> bool:
        """Whether its follower is lifted off it, or presses on the other side of its guide."""
        if self._slides_free:
            return False
        aside *= self._way
        rounded = ROUNDED * self.mass * self.gravity
        face = self._now.face(load, aside)
        if face < -rounded:
            self._lifted = True
            return True
        if (face * self._now.along + aside) * self._aside < -rounded and self._now.guide:
            self._aside = -self._aside
            return True
        return False

    def _breaks_loose(self, load: float, aside: float, drive: float) -> bool:
        limits = []
        for sense in (-1, 1):
            self._answer(sense)
            if self._assumed_wrongly(load, aside):
                self._answer(sense)
            limits.append(self._taken(load, aside))
        return self._lifted or self._is_driven_beyond(drive, limits[0], limits[1])

    # What is observed of it.

    def watch(self, log: Log) -> None:
        """Enter in the log that it reaches an end of its travel, or loses its follower."""
        if end := self._reached():
            log.note((DRIVEN_HOME if end > 0 else DRAWN_OUT)(wedge=self.name))
        if self._lifted and not self._was_lifted:
            log.note(LIFTED_OFF(wedge=self.name))
        self._was_lifted = self._lifted

    def _found(self) -> tuple[Sliding, float]:
        """How it slid in the step just taken, and the force in its face, N, from what pymunk says
        it took to hold its follower up. Where it was held, face, floor and guide could share what
        holds it otherwise: each is taken to exert the same share of what it could."""
        load, aside = self.reaction[1], self._way * self.total_force[0]
        if self._sliding or self._slides_free or self.clamped:
            return self._now, self._now.face(load, aside)
        self._share_out(load, self.total_force[0], self.total_force[2] + self._stop)
        return self._now, self._now.face(load, aside)

    def _hold(self, share: float, load: float, aside: float) -> None:
        aside *= self._way
        for side in (self._aside, -self._aside):
            self._now = held = Sliding(self._part, share, side)
            if (held.face(load, aside) * held.along + aside) * side >= 0.0:
                break

    def read(self, pose: Pose, readout: Readout) -> None:
        """Enter the force in its face."""
        face = self._face_force()
        readout.readings[f"{self.name}.face_force"] = face.norm
        guide = Vector(self.reaction[0], self.reaction[1]) - face
        at = Vector(pose.x, self._part.guide)
        readout.forces += [
            Force("reaction", f"{self.name}.face_force", self._foot(pose), face),
            Force("reaction", f"{self.name}.guide", at, guide),
        ]

    def _face_force(self) -> Vector:
        """What its face exerted on its follower, N."""
        now, face = self._found()
        return Vector(self._way * face * now.along, face * now.down)

    def _foot(self, pose: Pose) -> Vector:
        """The middle of its follower's foot."""
        return Vector(pose.x, pose.y - self._part.follower_height)

    def supporting_loads(self) -> list[Load]:
        """What its face and its guide exerted on its follower in the step just taken."""
        x, y, _ = self.position
        force = self._face_force()
        guide = Vector(self.reaction[0], self.reaction[1]) - force
        foot = self._foot(Pose(x, y))
        return [
            Load(FACE(), "reaction", foot, force),
            Load(FOLLOWER_GUIDE(), "reaction", Vector(x, self._part.guide), guide),
        ]

    def dissipate(self, dissipation: Dissipation) -> None:
        """Enter what face, floor, guide and the end of its travel dissipated in the step just
        taken, J: each from the force in its face, but where it came to a stop within the step what
        its supports took altogether, shared as that is."""
        lost, speed = self._lost(dissipation), self.mean_velocity[2]
        if not self._rough or speed == 0.0:
            return
        part, now = self._part, self._now
        aside, way = self._way * self.total_force[0], abs(self.dt * speed)
        face = abs(now.face(self.reaction[1], aside))
        shares = {
            "face": face * math.sin(math.atan(part.face_friction)) / math.cos(part.angle),
            "floor": part.floor_friction * (face * now.down + self._weight),
            "guide": part.guide_friction * abs(face * now.along + aside) * self._rise,
        }
        total = way * sum(shares.values())
        slid = self._sliding and self._is_rigid and not self._slides_free
        share = way if slid or total == 0.0 else way * lost / total
        for name, each in shares.items():
            if each:
                dissipation[f"{self.name} {name}"] += share * each


def _body(bench: Workbench, _scene: Scene, frame: Frame) -> MovingBody:
    assert isinstance(frame.part, Wedge)
    return WedgeUnderFollower(bench, frame, frame.part)


ENTRY = entry.of_driven(_body, "driven")
