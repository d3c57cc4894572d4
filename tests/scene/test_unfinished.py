"""Scenes that are put together piece by piece: what is sound of them, and what is loose."""

from __future__ import annotations

import pytest

from sandbox.engine import Live
from sandbox.scene import SceneError, Unfinished, parse, parse_unfinished
from tests.small_scenes import Tables, about, bar, document_of, sled, two_bags, whip

HUNG = {"weight.bag": {"mass": "1 kg", "at": ["10 cm", "20 cm"]}}


def without(tables: Tables, *names: str) -> Tables:
    return {name: keys for name, keys in tables.items() if name not in names}


CASES = {
    "nothing at all": (about("released"), [], {}),
    "a weight in the air": (about("released") | HUNG, [], {"bag": "hangs_on_nothing"}),
    "a weight beside a bar": (bar(fulcrum="50 cm") | HUNG, ["bar"], {"bag": "hangs_on_nothing"}),
    "a body on no ramp": (
        about("released") | {"body.sled": {"mass": "1 kg", "at": ["0 cm", "0 cm"]}},
        [],
        {"sled": "stands_on_nothing"},
    ),
    "a ramp alone": (
        without(sled(angle=20, place=40), "body.sled"),
        [],
        {"slip": "carries_nothing"},
    ),
    "a whip without its rope": (
        without(whip(), "rope.whip"),
        [],
        {"head": "no_rope_to", "bag": "hangs_on_nothing", "hand": "no_rope_to"},
    ),
    "a gauge in no rope": (
        whip() | {"gauge.balance": {"range": "10 N", "graduation": "1 N"}},
        ["head", "whip", "bag", "hand"],
        {"balance": "in_no_rope"},
    ),
    "a rope from post to post": (
        bar(fulcrum="50 cm")
        | {
            "anchor.one": {"at": ["0 cm", "1 m"]},
            "anchor.other": {"at": ["1 m", "1 m"]},
            "rope.line": {"reeve": ["one", "other"]},
        },
        ["bar"],
        {"one": "no_rope_to", "other": "no_rope_to", "line": "joined_to_nothing"},
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_the_sound_rest_and_what_is_missing(case: str) -> None:
    """The parts that are joined are the scene, the others are loose, each with what it lacks; read
    as a whole scene it is refused with what is said to be missing first."""
    tables, sound, loose = CASES[case]
    found = parse_unfinished(document_of(tables))
    assert sorted(found.scene.parts) == sorted(sound)
    assert {each.part.name: each.missing.code for each in found.loose} == loose
    with pytest.raises(SceneError) as refused:
        parse(document_of(tables))
    assert refused.value.missing == found.missing is not None
    assert str(found.missing) in str(refused.value)


@pytest.mark.parametrize(
    "tables",
    [
        whip(predict=["hand.force"]),
        bar(fulcrum="50 cm"),
        sled(angle=20, place=40) | about("released", predict=["sled.normal"]),
        two_bags("1 kg", "1 kg"),
    ],
)
def test_a_whole_scene_is_itself(tables: Tables) -> None:
    """Where nothing is missing it is the scene that `parse` gives."""
    document = document_of(tables)
    assert parse_unfinished(document) == Unfinished(parse(document))


@pytest.mark.parametrize(
    ("tables", "key"),
    [
        (bar(fulcrum="2 m") | HUNG, "lever.bar.fulcrum"),
        (about("released") | {"weight.bag": {"mass": "-1 kg", "at": ["0 m", "0 m"]}}, "mass"),
        (bar(fulcrum="50 cm") | {"weight.bag": {"mass": "1 kg", "on": "spar@1 cm"}}, "on"),
        (about("released") | {"weight.bag": {"at": ["0 m", "0 m"]}}, "mass"),
    ],
)
def test_what_is_wrong_is_refused_all_the_same(tables: Tables, key: str) -> None:
    """A value or a name that would be wrong whatever comes to the scene makes nothing loose."""
    with pytest.raises(SceneError) as refused:
        parse_unfinished(document_of(tables))
    assert key in refused.value.key and refused.value.missing is None


@pytest.mark.parametrize("mode", ["raising", "lowering", "held", "released"])
def test_a_scene_without_parts_stands_still(mode: str) -> None:
    """The machine of a scene without parts can be run, and nothing moves."""
    live = Live(parse_unfinished(document_of(about(mode))).scene)
    live.run_on(0.1)
    assert not live.now.poses and not live.events
