"""The editing's registry: every kind of part answers every question, in a module of its own."""

from __future__ import annotations

import ast
import dataclasses
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import sandbox.editing
from sandbox.editing.draft import Draft
from sandbox.editing.handles import Handles, handle_of
from sandbox.editing.parts import PARTS
from sandbox.editing.questions import PartEditing
from sandbox.editing.spot import Spot
from sandbox.scene import KINDS, SceneError, load
from sandbox.scene.parts import About, Stopwatch, keys_of
from sandbox.shipped import find_scene, shipped_scenes
from tests.small_scenes import build, sled, whip

ROOM = Path(sandbox.editing.__file__).parent
QUESTIONS = dataclasses.fields(PartEditing)
OTHERWISE = {
    ("body", "at"): "only loose: it is dragged",
    ("gear", "on"): "it is taken out and put down on the other spindle",
    ("hand", "moves"): "the hand is led by pulling at it",
    ("scene", "title"): "written at its place",
    ("scene", "watch"): "written at its place",
    ("scene", "translations"): "written at their places in that language",
    ("scene", "predict"): "chosen by the mark for predictions",
    ("scene", "dealt"): "sealed",
}
"""What is changed on the sheet in another way than as a value, or rightly not."""
LISTS_OF_KEYS = ("one_of", "two_of", "needs", "part_numbers", "held_by")


def flat(answer: Any) -> list[str]:
    return [answer] if isinstance(answer, str) else [key for each in answer for key in flat(each)]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.name)
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_answers_every_question(kind: str, question: dataclasses.Field[Any]) -> None:
    """A kind of part has an entry, and none of its answers is a default that nobody chose."""
    assert question.default is question.default_factory is dataclasses.MISSING
    answer = getattr(PARTS[KINDS[kind]], question.name)
    if question.name in LISTS_OF_KEYS:
        assert set(flat(answer or ())) <= set(keys_of(KINDS[kind]))
    elif question.name == "new":
        assert all(text and set(keys) <= set(keys_of(KINDS[kind])) for text, keys in answer)
    elif question.type == "str":
        assert answer
    elif "None" not in str(question.type):
        assert callable(answer)
    else:
        assert answer is None or callable(answer)


def test_each_kind_has_a_module_of_its_own() -> None:
    """The registry holds just the kinds there are, in their order, each from another module."""
    assert list(PARTS) == list(KINDS.values())
    assert len({part.handles.__module__ for part in PARTS.values()}) == len(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_each_key_that_names_a_part_says_what_becomes_of_it(kind: str) -> None:
    """A part goes with what it is on, in or along; only for the block that another hangs below is
    that left to the reader of the scene, which refuses it."""
    named = {
        k for k, (key, _) in keys_of(KINDS[kind]).items() if key.form in ("on", "name", "reeve")
    }
    assert set(PARTS[KINDS[kind]].needs) == named - {"under"}


@pytest.mark.parametrize("path", sorted(ROOM.glob("*.py")), ids=lambda path: path.stem)
def test_general_modules_know_no_kind(path: Path) -> None:
    """What concerns any scene that is changed names no kind of part."""
    tree = ast.parse(path.read_text())
    named = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    assert not named & {kind.__name__ for kind in KINDS.values()}


def test_editing_parts_draw_nothing() -> None:
    """The modules of the parts load neither pygame nor anything that draws, by any way at all."""
    probe = (
        "import sys, sandbox.editing.parts; raise SystemExit(sorted(m for m in sys.modules "
        "if m.startswith(('pygame', 'pymunk', 'sandbox.drawing'))) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("scene", "part", "goes"),
    [("sled_let_slide", "sled", True), ("four_part_tackle", "ballast", False)],
)
def test_a_stopwatch_goes_on_what_moves_by_itself(scene: str, part: str, goes: bool) -> None:
    """A stopwatch is put down on a sled, and not on a weight that its block carries along."""
    machine = load(find_scene(scene))
    place = machine.place_of(part, machine.start)
    spot = Spot(machine, machine.start, (), place, 0.02, PARTS)
    put_down = PARTS[Stopwatch].put_down
    assert put_down is not None
    assert spot.under() is machine.parts[part]
    assert put_down(spot) == ({"times": part} if goes else None)


def test_every_key_can_be_changed_on_the_sheet() -> None:
    """Whatever a scene file may say of a part or of the scene has a handle, in a shipped scene or
    in one with what none of them has; the few that have none are changed otherwise."""
    up = {"on": "slip@90 cm", "height": "5 cm"}
    more = [
        build(sled(angle=20, place=30) | {"anchor.eye": up}),
        build(
            sled("held", angle=20, place=30)
            | {"post.bitt": up, "hand.hand": {"at": ["1 m", "2 m"]}}
            | {"rope.line": {"reeve": ["sled", "bitt", "hand"]}}
        ),
        build(
            whip()
            | {
                "wheel_and_axle.winch": {"at": ["1 m", "1 m"]},
                "rope.rode": {"reeve": ["bag", "winch.axle"]},
                "gear.idle": {"at": ["1.04 m", "1 m"]},
                "gear.fast": {"on": "winch", "meshes": "idle"},
            }
        ),
    ]
    found: set[tuple[str, str]] = set()
    for scene in [*map(load, shipped_scenes()), *more]:
        for where in Handles(scene):
            name, _, key = where.partition(".")
            kind = "scene" if name == "scene" else scene.parts[name].kind
            found.add((kind, key.partition("[")[0]))
    allowed = {(kind, key) for kind, cls in KINDS.items() for key in keys_of(cls)}
    allowed |= {("scene", key) for key in keys_of(About)}
    assert allowed - found == set(OTHERWISE)


def test_every_choice_says_in_words_what_it_is() -> None:
    """Each choice of each kind has words; of a key that may be left out, so has that."""
    for cls in (*KINDS.values(), About):
        for key, (spec, default) in keys_of(cls).items():
            if spec.form in ("choice", "flag"):
                assert len(spec.words) == (len(spec.choices) or 2), key
                assert (default is None) == bool(spec.left_out), key


@pytest.mark.parametrize(
    ("scene", "where"),
    [
        ("crab_winch", "barrel.hauls"),
        ("lever_first_class", "spike.support"),
        ("jack_under_a_keel", "jack.hauls"),
        ("sled_let_slide", "slip.rises"),
        ("lowering_round_a_post", "post.winds"),
        ("gears_with_an_idler", "last.meshes"),
        ("tackle_on_tackle", "lower.under"),
        ("tackle_on_tackle", "balance.rope"),
        ("tackle_on_tackle", "scene.load"),
        ("four_part_tackle", "lower.becket"),
    ],
)
def test_a_choice_is_written_and_read_back(scene: str, where: str) -> None:
    """Each choice that a machine allows is what its file says then; one step back is as before."""
    draft = Draft.open(find_scene(scene))
    text, handle = draft.text, handle_of(draft.scene, where)
    assert handle is not None
    written = 0
    for number, choice in enumerate(handle.choices):
        if number == handle.value:
            continue
        try:
            draft.choose(where, choice)
        except SceneError:
            continue
        now = handle_of(draft.scene, where)
        assert now is not None and now.choices[round(now.value)].written == choice.written
        written += 1
        draft.undo()
        assert draft.text == text
    assert written


@pytest.mark.parametrize(
    ("scene", "where", "offered"),
    [
        ("four_part_tackle", "fall.rod", False),
        ("held_over_a_rail", "line.rod", False),
        ("crab_winch", "rode.rod", False),
        ("sled_drawn_up", "line.rod", True),
        ("tackle_up_a_ramp", "moving.moves", False),
        ("four_part_tackle", "lower.moves", True),
    ],
)
def test_what_a_part_cannot_be_is_no_choice(scene: str, where: str, offered: bool) -> None:
    """A choice that a file is refused for is not offered: no rod over a sheave, round a post or on
    a drum, and no block that moves on what carries it."""
    assert (handle_of(load(find_scene(scene)), where) is not None) == offered
