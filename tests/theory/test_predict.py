"""What a prediction tells: the load, notes, and what it leaves out."""

from __future__ import annotations

import math

import pytest

from sandbox.scene import (
    Vector,
)
from sandbox.theory import facts, neglected, predict
from tests.theory.scenes import (
    BALANCE,
    EXACT,
    HAULED,
    LEVEL,
    LEVER,
    PROPS,
    RAMP,
    WHIP,
    WINCH,
    G,
    answers,
    drawn,
    head,
    hung,
    parsed,
    sentences,
    tackle,
)
from tests.tolerance import near

# The load.

STACKED = (
    '[block.low]\nat = ["2.5 cm", "1 m"]\nmass = "200 g"\nsheave_mass = "1 mg"\nmoves = true\n'
    '[anchor.beam]\nat = ["0 m", "2 m"]\n[rope.line]\nreeve = ["beam", "low.1", "hand"]\n'
    '[hand.hand]\nat = ["5 cm", "2 m"]\ntravel = "10 cm"\n'
    '[weight.one]\nmass = "1 kg"\non = "low"\n[weight.two]\nmass = "500 g"\non = "{on}"\n'
)


@pytest.mark.parametrize("on", ["low", "one"])
@pytest.mark.parametrize(("load", "mass"), [("", 1.5), ("one", 1.5), ("two", 1.5), ("low", 1.7)])
def test_all_on_one_hook_is_the_load(load: str, mass: float, on: str) -> None:
    """Two weights on a block's hook, side by side or one on the other, are the load together; the
    block, named, is it with all it carries. Work, advantage and efficiency follow; without losses
    half of it is the effort."""
    found = answers(head("raising", load) + STACKED.format(on=on))
    name = load or "one"
    rise, pull = 0.03, 1.7 * G / 2
    assert near(found[f"{name}.rise"], rise, rel=EXACT)
    assert near(found["hand.force"], pull, rel=EXACT)
    assert near(found["machine.work_out"], mass * G * rise, rel=EXACT)
    assert near(found["machine.mechanical_advantage"], mass * G / pull, rel=EXACT)
    assert near(found["machine.ideal_mechanical_advantage"], 2.0, rel=EXACT)
    assert near(found["machine.efficiency"], mass / 1.7, rel=EXACT)


@pytest.mark.parametrize("first", ["one", "two"])
def test_weights_one_on_the_other_are_one_load_however_named(first: str) -> None:
    """A weight on its own rope and another laid on it rise together: the load is both, whichever
    stands first in the file or is named."""
    tables = {
        "one": '[weight.one]\nmass = "1 kg"\nat = ["plumb", "40 cm"]\n',
        "two": '[weight.two]\nmass = "500 g"\non = "one"\n',
    }
    other = {"one": "two", "two": "one"}[first]
    text = WHIP.partition("[weight")[0] + tables[first] + tables[other]
    text += '[rope.whip]\nreeve = ["one", "head.1", "hand"]\n[hand.hand]\nat = ["plumb", "50 cm"]\n'
    for named in ("", "one", "two"):
        scene = parsed(
            text.replace('"raising"\n', f'"raising"\nload = "{named}"\n') if named else text
        )
        found = predict(scene).quantities
        assert near(scene.load_mass, 1.5, rel=EXACT)
        assert near(found["machine.work_out"], 1.5 * G * 0.12, rel=EXACT)


def test_a_lever_is_a_load_with_all_it_carries() -> None:
    """A bar lifted by its end with a weight on it: the rise is that of their common centre."""
    text = LEVEL.replace('"held"', '"raising"').replace('load = "stone"', 'load = "spar"')
    text += 'travel = "10 cm"\nheading = "90 deg"\n'
    found = answers(text)
    centre = (0.3 * 0.45 + 2.0 * 0.3) / 2.3
    start, end = (math.sin(bar_tilt(travel)) for travel in (0.03, 0.09))
    assert near(found["spar.rise"], centre * (end - start), rel=1e-9)
    assert near(found["machine.efficiency"], 1.0, rel=1e-9)


def bar_tilt(travel: float) -> float:
    """The tilt of LEVEL's bar as the hand, 1 m above its end, has risen by `travel`: the rope keeps
    its length of 1 m, found by halving."""
    low, high = 0.0, 0.3
    for _ in range(100):
        tilt = (low + high) / 2
        length = math.hypot(1.0 - math.cos(tilt), 1.0 + travel - math.sin(tilt))
        low, high = (tilt, high) if length > 1.0 else (low, tilt)
    return tilt


def test_a_sheave_that_does_not_turn_is_told() -> None:
    """A spar slung by both ends over one sheave and lifted: the sheave keeps still, so its friction
    is not known, and is taken as zero."""
    text = head("raising", "stone") + (
        '[block.yoke]\nat = ["0 m", "1 m"]\nmoves = true\nmass = "100 g"\nbearing_friction = 0.2\n'
        '[lever.spar]\nlength = "5 cm"\nmass = "50 g"\nat = ["-2.5 cm", "40 cm"]\n'
        '[weight.stone]\nmass = "1 kg"\non = "spar@2.5 cm"\nheight = "-5 cm"\n'
        '[rope.sling]\nreeve = ["spar@0 cm", "yoke.1", "spar@5 cm"]\n'
        '[rope.fall]\nreeve = ["yoke", "hand"]\n'
        '[hand.hand]\nat = ["plumb", "2 m"]\ntravel = "10 cm"\n'
    )
    found = predict(parsed(text))
    told = "sheave 1 of yoke does not turn: its friction is taken as zero."
    assert sentences(found.notes) == (told,)
    assert near(found.quantities["hand.force"], 1.15 * G, rel=EXACT)
    assert near(found.quantities["sling.tension_1"], 1.05 * G / 2, rel=EXACT)
    # One that turns is not told of, nor a fulcrum, which never has a sheave.
    assert sentences(predict(parsed(tackle(2, to_advantage=False))).notes) == ()


@pytest.mark.parametrize(
    ("slope", "word"), [(20.0, "stays"), (21.8, "stays"), (21.81, "slides"), (25.0, "slides")]
)
def test_repose_is_told(slope: float, word: str) -> None:
    """It is said whether a body stays by itself, by the static coefficient: below 21.801 degrees
    for 0.4."""
    found = predict(parsed(RAMP.format(sense="released", slope=slope)))
    (note,) = sentences(found.notes)
    assert note.startswith("Angle of repose of slip: 21.80 deg")
    assert note.endswith(f"sled by itself {word}.")
    text = RAMP.format(sense="released", slope=slope)
    smooth = text.replace(
        "static_friction = 0.4\nkinetic_friction = 0.3",
        "static_friction = 0.0\nkinetic_friction = 0.0",
    )
    assert sentences(predict(parsed(smooth)).notes) == ()
    assert sentences(
        predict(parsed(text.replace("kinetic_friction = 0.3", "kinetic_friction = 0.0"))).notes
    ) == (note,)


def test_what_a_prediction_leaves_out() -> None:
    """A bar held up by its end sinks by its rope's stretch, T L / EA; lifted at a steady pace by a
    slanting rope, it turns ever faster, and asks for its moment of inertia times that. A load that
    goes straight takes no more for going faster, and what is let go has nothing left out."""
    held = parsed(LEVEL)
    pull = 0.735 * G
    left_out = neglected(held)
    assert left_out.keys() == {facts.ROPE_STRETCH()}
    assert near(left_out[facts.ROPE_STRETCH()]["spar.tilt"], -pull * 1.0 / 2e5, rel=1e-3)
    text = LEVER.format(fulcrum=0.0, load=0.3, effort=1.0, hand=1.6)
    raised = {"scene__mode": '"raising"', "hand__travel": '"0.5 m"', "spar__stop": '"1.5 rad"'}
    left_out = neglected(parsed(text, **raised))

    def angle(hauled: float, rope: float = 0.6) -> float:
        """Of the bar, 1 m, by the law of cosines."""
        away = math.hypot(1.0, 0.6 + hauled)
        return math.atan2(0.6 + hauled, 1.0) - math.acos((1 + away**2 - rope**2) / (2 * away))

    def force(middle: float, extra: float = 0.0, hauled: float = 0.3) -> float:
        bar = Vector(1.0, 0.0).rotated(middle)
        rope = Vector(1.0, 0.6 + hauled) - bar
        return (pull * math.cos(middle) + extra) / (bar.cross(rope) / rope.norm)

    before, middle, after = (angle(0.3 + way * 1e-3) for way in (-1, 0, 1))

    def reaction(extra: float = 0.0, spin: float = 0.0, gain: float = 0.0) -> float:
        """Of the pin: what the pull leaves of the weights, and what bends its centre's way."""
        bar = Vector(1.0, 0.0).rotated(middle)
        rope = Vector(1.0, 0.9) - bar
        push = Vector(0.0, 2.3 * G) - force(middle, extra) / rope.norm * rope
        return (push + 0.735 * gain * bar.rotated(math.pi / 2) - 0.735 * spin**2 * bar).norm

    inertia = 0.3 / 12 + 0.3 * 0.45**2 + 2.0 * 0.3**2
    spin = (after - before) / 2e-3 * 0.05
    gain = (after - 2 * middle + before) * (0.05 / 1e-3) ** 2
    haste = force(middle, inertia * gain) - force(middle)
    assert near(left_out[facts.INERTIA()]["hand.force"], haste, rel=1e-3)
    bears = reaction(inertia * gain, spin, gain) - reaction()
    assert near(left_out[facts.INERTIA()]["spar.reaction"], bears, rel=1e-3)
    longer = 0.6 * (1 + force(middle) / 2e5)
    stretch = force(angle(0.3, longer)) - force(middle)
    assert near(left_out[facts.ROPE_STRETCH()]["hand.force"], stretch, rel=1e-2)
    # In two slings, one three times as long and half as stiff again, half its weight on each.
    yard = head("held") + (
        '[lever.yard]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\n'
        '[anchor.one]\nat = ["0 m", "1 m"]\n[rope.left]\nreeve = ["yard@0 cm", "one"]\n'
        '[anchor.two]\nat = ["1 m", "3 m"]\n[rope.right]\nreeve = ["yard@1 m", "two"]\n'
    )
    left_out = neglected(parsed(yard, right__stiffness='"300 kN"'))
    assert left_out.keys() == {facts.ROPE_STRETCH()}
    assert near(left_out[facts.ROPE_STRETCH()]["yard.tilt"], G * (1.0 / 2e5 - 3.0 / 3e5), rel=1e-6)
    assert near(left_out[facts.ROPE_STRETCH()]["left.tension_1"], 0.0, abs=1e-6)
    assert neglected(parsed(PROPS.format(props='["0.2 m", "1.4 m"]'))) == {}
    # What is wound on a drum keeps its stretch: however it is hauled, that stays the same.
    for reeve in ('["winch.axle", "grapnel"]', '["grapnel", "winch.axle"]'):
        winch = (WINCH + HAULED).replace('["winch.axle", "grapnel"]', reeve)
        wound = neglected(parsed(winch.format(sense="raising", winch="")))[facts.ROPE_STRETCH()]
        assert near(wound["grapnel.rise"], 0.0, abs=1e-12)
    still = neglected(parsed(drawn("held", 20.0, 0.0)))[facts.ROPE_STRETCH()]
    assert near(still["hand.greatest_force"], 0.0, abs=1e-6)
    straight = neglected(parsed(drawn("raising", 20.0, 0.0)))
    assert abs(straight[facts.INERTIA()]["hand.force"]) < 1e-6
    for let_go in (BALANCE, hung("released", 0.0, 0.0)):
        assert neglected(parsed(let_go)) == {}
