"""The powers of hand and load, by plain mechanics worked out here."""

import math

from sandbox.check import check
from sandbox.scene import load, revised
from sandbox.shipped import find_scene
from tests.tolerance import near


def rows(name: str, **keys: float) -> dict[str, tuple[float, float]]:
    """Theory's and the simulation's answer for each quantity of a shipped scene."""
    scene = load(find_scene(name))
    if keys:
        scene = revised(scene, {key.replace("__", "."): value for key, value in keys.items()})
    return {row.quantity: (row.predicted, row.simulated) for row in check(scene).rows}


def test_the_power_out_is_the_weight_times_the_speed_of_its_rise():
    """Up a slope a sled's weight gains m g v sin a; a hand that pulls along the slope gives
    m g v (sin a + mu cos a) (textbook mechanics, P = F v)."""
    scene = load(find_scene("sled_drawn_up"))
    ramp, hand = scene.frames["sled"].ramp, scene.hand
    assert ramp is not None and hand is not None
    weight, speed = scene.load_mass * scene.about.gravity, hand.speed
    up = weight * speed * math.sin(ramp.slope)
    rubbing = weight * speed * ramp.kinetic_friction * math.cos(ramp.slope)
    found = rows("sled_drawn_up")
    for answer in found["machine.power_out"]:
        assert near(answer, up, rel=1e-3)
    for answer in found["machine.power_in"]:
        assert near(answer, up + rubbing, rel=1e-3)


def test_twice_the_speed_takes_twice_the_power_at_the_same_efficiency():
    """Effort and work do not depend on how fast a machine is worked slowly; power does. What comes
    out of what is put in is the efficiency."""
    slow, fast = rows("four_part_tackle"), rows("four_part_tackle", hand__speed=0.08)
    scene = load(find_scene("four_part_tackle"))
    assert scene.hand is not None
    for engine in (0, 1):
        ratio = fast["machine.power_in"][engine] / slow["machine.power_in"][engine]
        assert near(ratio, 0.08 / scene.hand.speed, rel=1e-3)
        share = slow["machine.power_out"][engine] / slow["machine.power_in"][engine]
        assert near(share, slow["machine.efficiency"][engine], rel=1e-3)


def test_two_speeds_in_one_stroke(tmp_path):
    """The power is that of the move in which the middle of the stroke lies."""
    text = find_scene("fixed_sheave").read_text()
    start = text.index("[hand.")
    head, sep, rest = text.partition(text[start : text.index("\n", start)] + "\n")
    moves = 'moves = ["haul 20 cm at 3 cm/s", "haul 4 cm at 4 cm/s"]\n'
    kept = "\n".join(line for line in rest.split("\n") if not line.startswith(("speed", "travel")))
    path = tmp_path / "two_speeds.toml"
    path.write_text(head + sep + moves + kept)
    for row in check(load(path)).rows:
        assert row.agrees, row
        if row.quantity == "hand.force":
            effort = row.predicted
        if row.quantity == "machine.power_in":
            assert near(row.predicted, effort * 0.03, rel=1e-9)
