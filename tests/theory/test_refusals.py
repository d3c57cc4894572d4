"""What mechanics does not answer: said plainly, by name, and soon."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from typing import Any

import pytest

from sandbox.scene import (
    Unanswerable,
    load,
)
from sandbox.shipped import find_scene
from sandbox.theory import facts, predict, textbook
from sandbox.theory.equations import Machine
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
    YARD,
    G,
    answers,
    drawn,
    head,
    parsed,
    tackle,
)
from tests.tolerance import near


def test_beam_on_two_props() -> None:
    """Two props share by moments."""
    found = answers(PROPS.format(props='["0.2 m", "1.4 m"]'))
    assert near(found["beam.support_1"], 3 * G * 0.4 / 1.2, rel=EXACT)
    assert near(found["beam.support_2"], 3 * G * 0.8 / 1.2, rel=EXACT)
    assert [name for name in found if "support" in name] == ["beam.support_1", "beam.support_2"]


THREE_ROPES = (
    head("held")
    + '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\n'
    + "".join(
        f'[anchor.hook{i}]\nat = ["plumb", "2 m"]\n'
        f'[rope.sling{i}]\nreeve = ["beam@{place} m", "hook{i}"]\n'
        for i, place in enumerate((0.1, 1.0, 1.8))
    )
)
FULCRUM_AND_PROPS = PROPS.format(props='["0.2 m", "1.4 m"]').replace(
    "supports", 'fulcrum = "0 m"\nsupports', 1
)


@pytest.mark.parametrize(
    "text",
    [PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'), THREE_ROPES, FULCRUM_AND_PROPS],
    ids=["three props", "three ropes", "fulcrum and two props"],
)
@pytest.mark.parametrize("sense", ["held", "released"])
def test_statically_indeterminate_is_said(text: str, sense: str) -> None:
    """Where equilibrium alone does not settle how supports share, it is said, and which."""
    with pytest.raises(Unanswerable, match=r"statically indeterminate.*(beam|sling)"):
        predict(parsed(text, scene__mode=f'"{sense}"'))


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        # A knife edge cannot hold down a third-class lever.
        (
            LEVER.format(fulcrum=0.0, load=0.9, effort=0.25, hand=2).replace(
                '"pin"', '"knife edge"'
            ),
            "knife edge cannot hold it down",
        ),
        # The hand is on the side that already sinks.
        (LEVER.format(fulcrum=0.6, load=0.9, effort=1.0, hand=0), "would have to push"),
        (drawn("raising", 20.0, -75.0), "self-locking"),
        (drawn("lowering", 12.0, 0.0), "friction alone holds"),
        (
            tackle(4, to_advantage=False, bearing=5.0).replace(
                "bearing_friction = 5.0", 'bearing_friction = 5.0\npin_radius = "20 mm"'
            ),
            "cannot turn",
        ),
        (
            drawn("raising", 20.0, 0.0).replace(
                "[body.sled]\n", '[body.sled]\nrolls = true\nrolling_arm = "20 mm"\n'
            ),
            "would slip",
        ),
        (
            WHIP.replace("raising", "held").replace(', "hand"]', ', "can"]').partition("[hand")[0]
            + '[weight.can]\nmass = "2 kg"\nat = ["plumb", "40 cm"]\n',
            "nothing holds it as drawn: it would set off",
        ),
        (YARD.format(height=0.0), "yard is free to move while the hand keeps still"),
        (YARD.format(height=0.01), "yard does not stay where it is while the hand keeps still"),
        (YARD.format(height=0.01).replace("raising", "held"), "yard does not stay where it is"),
        (
            tackle(4, to_advantage=False).replace('travel = "10 cm"', 'travel = "6 m"'),
            "two sheaves come together",
        ),
        (
            WHIP.replace('["plumb", "50 cm"]', '["10 cm", "1.2 m"]\nheading = "180 deg"'),
            "whip leaves a sheave of head",
        ),
        (
            head("released")
            + '[lever.beam]\nlength = "2 m"\nmass = "3 kg"\nat = ["0 m", "1 m"]\n'
            + f"supports = {[f'{10 + 20 * i} cm' for i in range(8)]}\n".replace("'", '"')
            + "".join(
                f'[anchor.hook{i}]\nat = ["plumb", "2 m"]\n'
                f'[rope.sling{i}]\nreeve = ["beam@{0.1 + 0.3 * i} m", "hook{i}"]\n'
                for i in range(5)
            ),
            "too many ropes and supports",
        ),
    ],
    ids=[
        "lifts off",
        "rope pushes",
        "self-locking",
        "stays by itself",
        "jammed sheave",
        "slips",
        "sets off",
        "hung by its middle",
        "hung by its foot",
        "held by its foot",
        "block to block",
        "past its sheave",
        "many ropes and supports",
    ],
)
def test_refusals_are_plain(text: str, reason: str) -> None:
    """What mechanics gives no answer to is refused in words, never with a number."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed(text))


@pytest.mark.parametrize(
    ("winch", "sense", "reason"),
    [
        ("initial_turns = 0.2", "raising", "tail runs off the wheel of winch"),
        ("initial_turns = 0.2", "lowering", "rode runs off the axle of winch"),
        ("initial_turns = 9.9", "raising", "rode has no more room on the axle of winch"),
    ],
)
def test_rope_that_runs_off_its_drum_is_refused(winch: str, sense: str, reason: str) -> None:
    """A stroke that asks for more turns than a drum has, or has room for, is refused in words."""
    with pytest.raises(Unanswerable, match=reason):
        predict(parsed((WINCH + HAULED).format(sense=sense, winch=winch + "\n")))


@pytest.mark.parametrize(
    "text",
    [BALANCE.replace("500 g", "5 kg"), RAMP.format(sense="released", slope=30.0)],
    ids=["at rest", "let go"],
)
def test_figures_beyond_floats_are_refused(text: str) -> None:
    """Where a figure passes what a float can hold the scene is refused, never answered with one
    that is not a number."""
    scene = parsed(text)
    with pytest.raises(Unanswerable, match="out of all proportion"):
        predict(replace(scene, about=replace(scene.about, gravity=1.7e308)))


LASHING = (
    '[block.lead]\non = "spar@50 cm"\nheight = "20 cm"\n'
    '[rope.lashing]\nreeve = ["spar@10 cm", "lead.1", "spar@90 cm"]\n'
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            PROPS.format(props='["0.2 m", "1 m", "1.8 m"]'),
            "how support 1 of beam, support 2 of beam and support 3 of beam share the load",
        ),
        (
            FULCRUM_AND_PROPS,
            "how the fulcrum of beam, support 1 of beam and support 2 of beam share",
        ),
        (THREE_ROPES, "how rope sling0, rope sling1 and rope sling2 share the load"),
        (LEVEL + LASHING, "nothing says what rope lashing carries"),
        (LEVEL.replace("held", "raising") + LASHING, "nothing says what rope lashing carries"),
    ],
    ids=["props", "fulcrum and props", "ropes", "lashing", "lashing lifted"],
)
def test_what_is_indeterminate_is_named(text: str, message: str) -> None:
    """Just those supports and ropes are named that balance among themselves."""
    with pytest.raises(Unanswerable, match=message):
        predict(parsed(text))


def test_what_slides_on_may_never_start() -> None:
    """Between its two angles of repose, 16.7 and 21.8 degrees, a sled would go on sliding as the
    hand pays out, but does not start: no answer; with one coefficient there is one."""
    with pytest.raises(Unanswerable, match="friction alone holds the load"):
        predict(parsed(drawn("lowering", 20.0, 0.0)))
    one = answers(
        drawn("lowering", 20.0, 0.0).replace("static_friction = 0.4", "static_friction = 0.3")
    )
    least = textbook.incline_pull(1.5 * G, math.radians(20.0), -0.3)
    assert near(one["hand.force"], least, rel=EXACT)
    steep = answers(drawn("lowering", 22.0, 0.0))
    least = textbook.incline_pull(1.5 * G, math.radians(22.0), -0.3)
    assert near(steep["hand.force"], least, rel=EXACT)
    # Held, 55 mN are not nought.
    least = textbook.incline_pull(1.5 * G, math.radians(22.0), -0.4)
    assert near(answers(drawn("held", 22.0, 0.0))["hand.least_force"], least, rel=EXACT)


@pytest.mark.parametrize(("tilt", "comes"), [(-0.0995, False), (-0.101, True)])
def test_what_comes_down_must_start(tilt: float, comes: bool) -> None:
    """Of a bar whose centre is 1 cm above its pin, which rubs with 1 mm of its weight, the end
    comes down by itself from 0.1 rad on: from less it stays as drawn however far the hand pays
    out."""
    text = head("lowering", "bar") + (
        '[lever.bar]\nlength = "1 m"\nmass = "2 kg"\nat = ["0 m", "0 m"]\nfulcrum = "50 cm"\n'
        f'pivot_height = "-1 cm"\nsupport = "pin"\nbearing_friction = 0.5\ntilt = "{tilt} rad"\n'
        '[rope.line]\nreeve = ["bar@1 m", "hand"]\n[hand.hand]\nat = ["plumb", "1 m"]\n'
        'travel = "10 cm"\n'
    )
    if comes:
        assert predict(parsed(text)).outcome == "steady"
    else:
        with pytest.raises(Unanswerable, match="friction alone holds the load"):
            predict(parsed(text))


def test_no_combination_of_ropes_is_tried_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bar that two bags lift off its knife edge stays off, whichever of ten ropes are slack: of
    the thousand ways so many are tried as seven ropes have, and no more."""
    text = head("released") + '[ramp.slip]\nat = ["0 m", "0 m"]\nlength = "20 m"\n'
    text += 'angle = "30 deg"\n'
    for i in range(8):
        text += f'[body.sled{i}]\nmass = "{1 + 0.1 * i} kg"\non = "slip@{1 + i} m"\n'
        tied = f"sled{i + 1}" if i < 7 else "bar@50 cm"
        text += f'[rope.line{i}]\nreeve = ["sled{i}", "{tied}"]\n'
    text += '[lever.bar]\nlength = "1 m"\nmass = "200 g"\nfulcrum = "50 cm"\n'
    text += 'at = ["30 m", "1 m"]\n'
    for end, across in ((20, 30), (80, 30.6)):
        text += f'[block.head{end}]\nat = ["{across} m", "4 m"]\n'
        text += f'[rope.over{end}]\nreeve = ["bar@{end} cm", "head{end}.1", "bag{end}"]\n'
        text += f'[weight.bag{end}]\nmass = "5 kg"\nat = ["plumb", "2 m"]\n'
    scene = parsed(text)
    tried = 0

    def counted(_: Machine) -> Any:
        nonlocal tried
        tried += 1
        raise Unanswerable(facts.TOO_MANY())

    monkeypatch.setattr(sys.modules["sandbox.theory.release"], "_released", counted)
    with pytest.raises(Unanswerable, match="too many ropes and supports"):
        predict(scene)
    assert tried == 2**7


def test_a_path_that_ends_is_given_up_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lever whose pivot lies far off its bar, or its fulcrum so near the hand that it turns past
    its stop, has no steady motion; that is said with a few thousand poses at most, and not with
    steps of the hand that once halved stay small."""
    poses, pose = 0, Machine.geometry

    def counted(self: Machine, *given: Any) -> Any:
        nonlocal poses
        poses += 1
        return pose(self, *given)

    monkeypatch.setattr(Machine, "geometry", counted)
    for key, value in (("spike.pivot_height", "-16.6667 m"), ("spike.fulcrum", "958.333 mm")):
        poses = 0
        with pytest.raises(Unanswerable):
            predict(load(find_scene("lever_first_class"), {key: value}))
        assert poses < 4000
