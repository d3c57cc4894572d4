"""The engine against MuJoCo, another engine altogether."""

from __future__ import annotations

import os
from types import ModuleType

import numpy as np
import pytest

from sandbox import engine
from tests.dynamics import FOUR_PARTS, SPAR, UP, Array, G, build, follow, worst
from tests.tolerance import near

# MuJoCo: another engine, with its own joints, tendons and contacts.


@pytest.fixture(scope="module")
def mujoco() -> ModuleType:
    """MuJoCo, which may be missing at home but not where the project is checked."""
    if os.environ.get("CI"):
        import mujoco as found

        return found
    return pytest.importorskip("mujoco")


HINGED = """
<mujoco>
  <option timestep="1e-3" gravity="0 {g} 0" integrator="RK4"/>
  <worldbody>
    <body name="spar" euler="0 0 {tilt}">
      <joint name="pivot" type="hinge" axis="0 0 1" damping="{drag}"/>
      <site name="pivot"/>
      <inertial pos="0.05 -0.05 0" mass="0.5" diaginertia="1e-4 0.03375 0.03375"/>
      <body pos="-0.20 -0.09 0">
        <inertial pos="0 0 0" mass="{bag}" diaginertia="1e-9 1e-9 1e-9"/>
      </body>
    </body>
  </worldbody>
  <sensor><force site="pivot"/></sensor>
</mujoco>
"""


def hinged(mujoco: ModuleType, drag: float, times: Array, bag: float = 0.3) -> tuple[Array, Array]:
    """The spar of SPAR on a hinge of MuJoCo's: its tilt and the size of the hinge's force."""
    text = HINGED.format(g=-G, drag=drag, tilt=60, bag=bag)
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    rows = []
    for _ in range(round(times[-1] / 1e-3) + 2):
        mujoco.mj_forward(model, data)
        size = float(np.linalg.norm(data.sensordata[:3]))
        rows.append((data.time, np.pi / 3 + data.qpos[0], size))
        mujoco.mj_step(model, data)
    time, tilt, force = np.array(rows).T
    return np.interp(times, time, tilt), np.interp(times, time, force)


def period(times: Array, tilt: Array) -> float:
    """Seconds for one swing there and back, from the passages upward through the mean tilt."""
    level = tilt - 0.5 * (tilt.max() + tilt.min())
    up = np.nonzero((level[:-1] < 0.0) & (level[1:] >= 0.0))[0]
    passed = times[up] + (times[up + 1] - times[up]) * -level[up] / (level[up + 1] - level[up])
    return float((passed[-1] - passed[0]) / (len(passed) - 1))


def test_mujoco_lever_swings(mujoco: ModuleType) -> None:
    """MuJoCo's hinge gives the let-go spar the same tilt, period and fulcrum force throughout; with
    the weight 1 % heavier, another period."""
    track = follow(SPAR.format(duration=6, drag=0))
    tilt, _ = hinged(mujoco, 0.0, track.times)
    _, force = hinged(mujoco, 0.0, track.middles)
    # As against SciPy: MuJoCo's fourth-order steps of 1/1000 s are exact beside the engine's.
    assert near(worst(track.tilt("spar"), tilt), 0.0, abs=5e-5)
    assert near(worst(track.reading("spar.reaction")[1:], force[1:]), 0.0, abs=5e-4)
    swing = period(track.times, track.tilt("spar"))
    assert near(swing, period(track.times, tilt), rel=2e-5)
    heavier, _ = hinged(mujoco, 0.0, track.times, bag=0.303)
    assert not near(swing, period(track.times, heavier), rel=2e-5)


def test_mujoco_lever_comes_to_rest(mujoco: ModuleType) -> None:
    """Damped, the spar comes to rest at the tilt at which MuJoCo's does."""
    track = follow(SPAR.format(duration=12, drag=0.3))
    tilt, force = hinged(mujoco, 0.3, np.array([11.9, 12.0]))
    # Where it comes to rest does not depend on the step; what is left is the last of the swing.
    assert near(float(track.tilt("spar")[-1]), float(tilt[-1]), abs=1e-7)
    assert near(float(track.reading("spar.reaction")[-1]), float(force[-1]), rel=1e-7)


TENDON = """
<mujoco>
  <option timestep="1e-3" gravity="0 0 {g}" tolerance="1e-14" integrator="implicitfast"/>
  <worldbody>
    <site name="becket" pos="-0.125 0 1"/>
    <site name="a" pos="-0.075 0 1"/> <site name="b" pos="-0.025 0 1"/>
    <site name="c" pos="0.025 0 1"/> <site name="d" pos="0.075 0 1"/>
    <body pos="0 0 0.4">
      <joint name="rise" type="slide" axis="0 0 1"/>
      <geom size="0.01" mass="{load}" contype="0" conaffinity="0"/>
      <site name="e" pos="-0.125 0 0"/> <site name="f" pos="-0.075 0 0"/>
      <site name="g" pos="-0.025 0 0"/> <site name="h" pos="0.025 0 0"/>
    </body>
    <body pos="0.075 0 0.6" gravcomp="1">
      <joint name="haul" type="slide" axis="0 0 -1"/>
      <geom size="0.01" mass="1" contype="0" conaffinity="0"/>
      <site name="hand"/>
    </body>
  </worldbody>
  <tendon>
    <spatial name="fall" limited="true" range="0 3" solreflimit="0.004 1">
      <site site="becket"/> <site site="e"/> <site site="f"/> <site site="a"/> <site site="b"/>
      <site site="g"/> <site site="h"/> <site site="c"/> <site site="d"/> <site site="hand"/>
    </spatial>
  </tendon>
  <actuator><position joint="haul" kp="1e4" kv="200"/></actuator>
</mujoco>
"""


def hauled(mujoco: ModuleType, load: float) -> tuple[float, float, float]:
    """The effort, the pull in the tendon, and hand's way over load's way, hauled steadily."""
    model = mujoco.MjModel.from_xml_string(TENDON.format(g=-G, load=load))
    data = mujoco.MjData(model)
    rows = []
    while data.time < 6.0:
        data.ctrl[0] = 0.05 * max(0.0, data.time - 0.5)
        mujoco.mj_step(model, data)
        if data.time > 3.0:
            rows.append((*data.qpos, data.actuator_force[0], data.efc_force[0]))
    first, last = rows[0], rows[-1]
    return float(last[2]), float(last[3]), float((last[1] - first[1]) / (last[0] - first[0]))


def test_mujoco_four_part_tackle(mujoco: ModuleType) -> None:
    """A tendon of MuJoCo's through the same eight points asks the same effort of a steadily
    hauling hand, and the same way of it; with a load 1 % heavier it does not."""
    effort, pull, ratio = hauled(mujoco, 1.12)
    measured = engine.measure(engine.run(build(FOUR_PARTS))).quantities
    # Both are steady and all parts of rope parallel: what is left is the last of the starting
    # stretch and rounding.
    assert near(effort, pull, rel=1e-9)
    assert near(measured["hand.force"], effort, rel=1e-9)
    for part in range(1, 6):
        assert near(measured[f"fall.tension_{part}"], pull, rel=1e-9)
    assert near(measured["machine.velocity_ratio"], ratio, rel=1e-9)
    assert not near(measured["hand.force"], hauled(mujoco, 1.12 * 1.01)[0], rel=1e-9)


SLOPING = """
<mujoco>
  <option timestep="2e-4" gravity="{along} 0 {across}" cone="elliptic" impratio="100"
    iterations="200" tolerance="1e-14"/>
  <default>
    <geom condim="3" friction="{mu} 0 0" solref="0.01 1" solimp="0.99 0.99 0.001"/>
  </default>
  <worldbody>
    <geom type="plane" size="5 5 0.1"/>
    <body pos="0 0 0.03"><freejoint/><geom type="box" size="0.05 0.05 0.03" mass="1.5"/></body>
  </worldbody>
</mujoco>
"""


def sloped(mujoco: ModuleType, angle: float, mu: float, end: float) -> tuple[float, float]:
    """A box on a slope of MuJoCo's: its acceleration down it after a fifth of the run, and its
    speed at the end."""
    text = SLOPING.format(along=G * np.sin(angle), across=-G * np.cos(angle), mu=mu)
    model = mujoco.MjModel.from_xml_string(text)
    data = mujoco.MjData(model)
    rows = []
    while data.time < end:
        mujoco.mj_step(model, data)
        rows.append((data.time, data.qpos[0]))
    time, way = np.array(rows).T
    late = time > 0.2 * end
    return 2.0 * float(np.polyfit(time[late], way[late], 2)[0]), float(data.qvel[0])


REPOSE = """
[scene]
title = "About the angle of repose"
watch = "The sled."
mode = "released"
duration = "1 s"
[ramp.slip]
at = ["0 cm", "0 cm"]
length = "150 cm"
angle = "{angle} deg"
static_friction = {mu}
kinetic_friction = {mu}
[body.sled]
mass = "1.5 kg"
on = "slip@130 cm"
"""


@pytest.mark.parametrize(("angle", "mu"), [(25.0, 0.25), (20.5, 0.364)])
def test_mujoco_box_slides(mujoco: ModuleType, angle: float, mu: float) -> None:
    """A box on MuJoCo's frictional contact gathers speed down a slope as the sled does; with its
    friction 1 % greater it does not."""
    text = REPOSE.format(angle=angle, mu=mu)
    measured = engine.measure(engine.run(build(text))).quantities["sled.acceleration"]
    found, _ = sloped(mujoco, np.radians(angle), mu, 0.8)
    # MuJoCo's contact is a spring that lets the box sink, and tilt, by some micrometres.
    allowed = 2e-5 * G * mu * np.cos(np.radians(angle))
    assert near(measured, -found, abs=allowed)
    more, _ = sloped(mujoco, np.radians(angle), 1.01 * mu, 0.8)
    assert not near(measured, -more, abs=allowed)


def test_mujoco_box_holds(mujoco: ModuleType) -> None:
    """Half a degree below the angle of repose both engines hold the box."""
    _, creep = sloped(mujoco, np.radians(19.5), 0.364, 1.0)
    track = follow(REPOSE.format(angle=19.5, mu=0.364))
    # MuJoCo's friction is softened and creeps: g sin a times its regularised time of 1.5e-7 s.
    assert near(creep, 0.0, abs=1e-6)
    assert near(worst(track.moved("sled", UP), 0.0 * track.times), 0.0, abs=1e-9)
