"""A scene being edited: the author's text is kept, every change can be undone, and what can be
taken hold of follows the drag."""

from __future__ import annotations

import contextlib
import math
import os
import shutil
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox import shipped
from sandbox.editing.draft import Draft, new_path
from sandbox.editing.handles import Handle, fit_at, handle_of, handles
from sandbox.editing.steps import ADD, CHANGE, REEVE, RENAME
from sandbox.editing.unsaved import MOST, Rescue
from sandbox.scene import KINDS, LARGEST_FILE, Pose, SceneError, Vector, load, parse, with_loose
from sandbox.scene.parts import (
    Block,
    Body,
    Gear,
    Hand,
    Lever,
    Place,
    Ramp,
    Screw,
    SplittingWedge,
    Wedge,
    Weight,
    keys_of,
)
from sandbox.source_text import SourceText
from sandbox.units import ANGLE, LENGTH
from tests.every_scene import few_of_each
from tests.outcomes import LONG
from tests.sheets import scenes_with_every_handle
from tests.tolerance import near

PATHS = shipped.shipped_scenes()
EVERY_HANDLE = scenes_with_every_handle()
SCENES = [pytest.param(path, id=path.stem) for path in (PATHS if LONG else few_of_each())]
"""Scenes with each two kinds of parts; all of them where a campaign is asked for."""

NOTED = """\
# A spar on the bench.
[scene]
title = "A spar"   # for the board
watch = 'It swings.'
mode = "released"
predict = [
  "spar.tilt",  # the main thing
  "spar.reaction",
]

# The bar itself
[lever.spar]
length = "120 cm"
mass="800 g"   # weighed by Student A
at = [ "0 cm", "40 cm" ]
fulcrum = "24 in" # a foot on either side
# a heavy oil
rotational_damping = "2 N m s"


# The can is half full
[weight.can]
mass = '300 g'
on = "spar @ 10 cm"     # near the end

# Its twin
[weight.twin]
mass = "0.3 kg"
on = "spar@110 cm"

# end of file
"""


@pytest.fixture(params=SCENES)
def path(request: pytest.FixtureRequest) -> Path:
    """Each shipped scene file in turn."""
    found: Path = request.param
    return found


def undo_all(draft: Draft) -> None:
    while draft.undo():
        pass


def changed_lines(before: str, after: str) -> list[str]:
    old, new = before.splitlines(), after.splitlines()
    assert len(old) == len(new)
    return [b for a, b in zip(old, new, strict=True) if a != b]


# The author's text.


def test_statements_make_up_the_text(path: Path) -> None:
    """A text falls into statements without losing a byte, and each key is found in its place."""
    source = SourceText(path.read_text())
    assert "".join(line.text for line in source.lines) == source.text
    for line in source.lines:
        if line.path and not line.header:
            alone = tomllib.loads(line.text)
            for key in line.path[line.above :]:
                alone = alone[key]
            assert source.get(line.path) == alone


def test_one_key_changes_one_line() -> None:
    """Setting a key changes its value and nothing else: comments, quotes and spaces stay."""
    draft = Draft(NOTED)
    draft.set("spar.mass", "1.2 lb")
    assert changed_lines(NOTED, draft.text) == ['mass="1.2 lb"   # weighed by Student A']
    draft.undo()
    draft.set_value("spar.fulcrum", 0.3048)
    assert changed_lines(NOTED, draft.text) == ['fulcrum = "12 in" # a foot on either side']
    draft.undo()
    draft.set_value("can.on", 0.123456)
    assert changed_lines(NOTED, draft.text) == ['on = "spar @ 12.35 cm"     # near the end']
    draft.undo()
    draft.set_value("spar.at[1]", 0.5)
    assert changed_lines(NOTED, draft.text) == ['at = [ "0 cm", "50 cm" ]']
    draft.undo()
    draft.set("scene.predict[1]", "spar.turn")
    assert changed_lines(NOTED, draft.text) == ['  "spar.turn",']
    draft.undo()
    assert draft.text == NOTED


@pytest.mark.parametrize(
    ("where", "value", "text"),
    [
        ("can.mass", 0.35, "350 g"),
        ("can.mass", 0.3512345, "351.2 g"),
        ("twin.mass", 0.35, "0.35 kg"),
        ("spar.length", 1.30004, "130 cm"),
        ("spar.rotational_damping", 1.5, "1.5 N m s"),
        ("spar.tilt", math.radians(2.0), "2 deg"),
        ("spar.bearing_friction", 0.2, "0.2"),
        ("scene.gravity", 1.62, "1.62 m/s^2"),
        ("spar.pivot_height", 0.015, "1.5 cm"),
        ("spar.at[0]", -1e-9, "0 cm"),
    ],
)
def test_values_are_written_as_the_author_would(where: str, value: float, text: str) -> None:
    """A value goes in the unit that stood there, or a handy one, with honest digits."""
    draft = Draft(NOTED)
    draft.set_value(where, value)
    assert draft.written(where) == text


def test_a_key_left_out_goes_in_among_its_neighbours() -> None:
    """A new key stands in its own table, after those that usually come before it."""
    draft = Draft(NOTED)
    draft.set("spar.tilt", "3 deg")
    assert 'either side\ntilt = "3 deg"\n# a heavy oil\nrotational_damping' in draft.text
    draft.set("spar.bearing_friction", "0.1")
    assert 'tilt = "3 deg"\nbearing_friction = 0.1\n# a heavy oil' in draft.text
    draft.set("twin.height", "1 cm")
    assert 'on = "spar@110 cm"\nheight = "1 cm"\n\n# end of file\n' in draft.text
    draft.unset("spar.tilt")
    assert draft.scene.part("spar", Lever).tilt == 0.0
    undo_all(draft)
    assert draft.text == NOTED


@pytest.mark.parametrize(
    ("where", "text", "key", "value"),
    [
        ("line.reeve", '["sled", "hand"]', "reeve", ["sled", "hand"]),
        ("line.reeve", "sled, hand", "reeve", ["sled", "hand"]),
        ("hand.moves", "hold 1 s, haul 20 cm at 5 cm/s", "moves", None),
        ("hand.moves", '["haul 20 cm at 5 cm/s"]', "moves", ["haul 20 cm at 5 cm/s"]),
        ("sled.on", "slip@30 cm", "on", "slip@30 cm"),
        ("sled.mass", ' "3 lb" ', "mass", "3 lb"),
        ("slip.rises", "right", "rises", "right"),
        ("slip.at", "1 cm, 2 cm", "at", ["1 cm", "2 cm"]),
        ("slip.static_friction", "0.4", "static_friction", 0.4),
        ("scene.title", "A sled", "title", "A sled"),
        ("scene.title", "1", "title", "1"),
        ("balance.part", "1", "part", 1),
        ("sled.rolls", "true", "rolls", True),
    ],
)
def test_typed_values(where: str, text: str, key: str, value: Any) -> None:
    """What is typed needs neither quotation marks nor brackets; the file gets what TOML wants."""
    draft = Draft.open(shipped.find_scene("sled_drawn_up"))
    draft.set(where, text)
    part = where.partition(".")[0]
    document = tomllib.loads(draft.text)
    table = (
        document["scene"]
        if part == "scene"
        else next(tables[part] for tables in document.values() if part in tables)
    )
    assert table[key] == (["hold 1 s", "haul 20 cm at 5 cm/s"] if value is None else value)


@pytest.mark.parametrize(
    ("where", "text", "says"),
    [
        ("can.mass", "350", "the unit is missing"),
        ("can.mass", "350 cm", "a mass"),
        ("can.mas", "350 g", "Did you mean 'mass'"),
        ("cam.mass", "350 g", "Did you mean 'can'"),
        ("can", "350 g", "allowed: keys"),
        ("can.on", "spar@2 m", "at most 1.2 m"),
        ("spar.bearing_friction", "much", "a plain number"),
        ("spar.at[2]", "1 cm", "2 entries"),
        ("spar.mass[0]", "1 kg", "no list"),
        ("scene.predict", '["spar.tint"]', "Did you mean 'spar.tilt'"),
        ("scene.predict", "5", "a list"),
        ("scene.title", "two\nlines", "one line"),
        ("scene.title", "a \x00", "one line"),
        ("scene.title", "", "a title"),
        ("spar.at", "5", "the place"),
    ],
)
def test_what_is_not_allowed_changes_nothing(where: str, text: str, says: str) -> None:
    """A change that does not leave a valid scene is refused in one message, and nothing changed."""
    draft = Draft(NOTED)
    scene = draft.scene
    with pytest.raises(SceneError, match="allowed") as caught:
        draft.set(where, text)
    assert says in str(caught.value)
    assert draft.scene is scene and draft.text == NOTED and draft.undoes is None


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0, 1e30])
def test_values_not_allowed(value: float) -> None:
    """A mass that cannot be is refused whatever float it is."""
    with pytest.raises(SceneError):
        Draft(NOTED).set_value("can.mass", value)


@pytest.mark.parametrize("ends", ["\r\n", "\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_mark_are_kept(ends: str, mark: str, tmp_path: Path) -> None:
    """A file keeps its line ends and its byte order mark through edits and saving."""
    file = tmp_path / "spar.toml"
    file.write_bytes((mark + NOTED.replace("\n", ends)).encode())
    draft = Draft.open(file)
    draft.set("spar.tilt", "3 deg")
    draft.set("scene.predict", '["spar.tilt"]')
    draft.add_part("weight", mass="1 kg")
    draft.save(over=True)
    raw = file.read_bytes()
    assert raw.startswith(mark.encode())
    assert raw.count(b"\n") == raw.count(ends.encode()) and raw.count(b"\r") % len(ends) in (0, 1)
    assert load(file) == draft.scene
    undo_all(draft)
    assert draft.text == mark + NOTED.replace("\n", ends)


UNUSUAL = """\
scene = { title = "x", watch = "y", mode = "released" } # all in one
lever.spar = {length = "1 m", mass = "1 kg", at = ["0 m", "1 m"], fulcrum = "40 cm" }
[weight]
can.mass = "1 kg" # dotted
can.on = "spar@10 cm"
"tw-in" = { mass = "2 kg", on = "spar@90 cm" }
"""


def test_unusual_layouts() -> None:
    """Inline tables and dotted keys are edited where they stand."""
    draft = Draft(UNUSUAL)
    draft.set("can.mass", "3 kg")
    draft.set("can.height", "1 cm")
    draft.set("spar.tilt", "2 deg")
    draft.set("scene.title", "z")
    draft.set_value("tw-in.mass", 2.5)
    draft.unset("spar.tilt")
    assert draft.text == UNUSUAL.replace('"1 kg" # dotted', '"3 kg" # dotted').replace(
        '10 cm"\n', '10 cm"\ncan.height = "1 cm"\n'
    ).replace('"x"', '"z"').replace("2 kg", "2.5 kg")
    draft.rename("can", "tin")
    draft.rename("tw-in", "twin")
    draft.rename("spar", "bar")
    draft.add_part("weight", "third")
    draft.remove_part("twin")
    assert list(draft.scene.parts) == ["bar", "tin", "third"]
    undo_all(draft)
    assert draft.text == UNUSUAL


# Steps.


def test_set_and_undo_restore_the_text(path: Path) -> None:
    """Whatever handle is nudged, undoing brings back the file's own bytes."""
    draft = Draft.open(path)
    for handle in handles(draft.scene):
        for steps in (1, -1):
            with contextlib.suppress(SceneError):
                draft.set_value(handle.where, handle.nudged(steps))
    undo_all(draft)
    assert draft.text.encode() == path.read_bytes()
    assert draft.scene == load(path) and not draft.changed


EDITS = st.lists(
    st.tuples(
        st.sampled_from(
            ["nudge", "nudge", "nudge", "add", "remove", "rename", "reeve", "flag", "undo", "redo"]
        ),
        st.integers(0, 999),
        st.integers(-5, 5),
    ),
    min_size=1,
    max_size=10,
)


def edit(draft: Draft, what: str, which: int, much: int) -> None:
    """One change out of all that a hand could make."""
    scene = draft.scene
    names = list(scene.parts)
    name = names[which % len(names)]
    if what == "nudge":
        handle = handles(scene)[which % len(handles(scene))]
        if handle.choices:
            draft.choose(handle.where, handle.choices[much % len(handle.choices)])
            return
        draft.set_value(handle.where, handle.nudged(much, us=which % 2 == 0), merge=much > 0)
    elif what == "add":
        draft.add_part(
            list(KINDS)[which % len(KINDS)], moves=True
        ) if much == 5 else draft.add_part(list(KINDS)[which % len(KINDS)])
    elif what == "remove":
        draft.remove_part(name)
    elif what == "rename":
        draft.rename(name, f"part{which}")
    elif what == "reeve" and scene.lines:
        rope = scene.lines[which % len(scene.lines)].rope
        document = tomllib.loads(draft.text)
        entries = document["rope"][rope]["reeve"]
        draft.reeve(rope, [e for i, e in enumerate(entries) if i != abs(much)])
    elif what == "flag":
        with draft.together(CHANGE(where=name)):
            draft.set(f"{name}.becket", "false")
            draft.set(f"{name}.moves", "true")
    elif what == "undo":
        draft.undo()
    elif what == "redo":
        draft.redo()


@settings(max_examples=max(LONG, 60), deadline=None)
@given(st.sampled_from(PATHS), EDITS)
def test_any_edits_can_be_undone_and_redone(
    source: Path, edits: list[tuple[str, int, int]]
) -> None:
    """After any edits the scene is what the text says; undo, redo and saving lose nothing."""
    draft = Draft.open(source)
    for what, which, much in edits:
        before = draft.text
        try:
            edit(draft, what, which, much)
        except SceneError:
            assert draft.text == before
        assert parse(tomllib.loads(draft.text), source.stem) == draft.scene
    while draft.redo():
        pass
    text, scene = draft.text, draft.scene
    undo_all(draft)
    assert draft.text.encode() == source.read_bytes()
    while draft.redo():
        pass
    assert draft.text == text and draft.scene == scene
    with tempfile.TemporaryDirectory() as folder:
        saved = draft.save(Path(folder) / "copy.toml")
        assert load(saved) == draft.scene
    comments = [line for line in source.read_text().splitlines() if line.startswith("#")]
    if not any(what == "remove" for what, _, _ in edits):
        assert all(comment in text.splitlines() for comment in comments)


def test_drags_of_one_key_make_one_step() -> None:
    """Drags of a key merge until something else happens or the drag ends."""
    draft = Draft(NOTED)
    for value in (0.31, 0.32, 0.33):
        draft.set_value("can.mass", value, merge=True)
    assert draft.written("can.mass") == "330 g" and draft.undoes == CHANGE(where="can.mass")
    draft.settle()
    for value in (0.34, 0.35):
        draft.set_value("can.mass", value, merge=True)
    draft.set_value("spar.fulcrum", 0.5, merge=True)
    draft.set_value("can.mass", 0.36, merge=True)
    seen = []
    while draft.undo():
        seen.append(draft.written("can.mass"))
    assert seen == ["350 g", "350 g", "330 g", "300 g"]
    assert draft.text == NOTED
    draft.redo()
    draft.set_value("can.mass", 0.4, merge=True)
    assert draft.undo() and draft.written("can.mass") == "330 g"


def dragged_through(
    draft: Draft, handle: Handle, written: bool
) -> tuple[list[str | None], str, object, object]:
    """Drag a value to and fro, and further than it can go, its text being written at each step or
    only at the end: what was refused, the text, what an undo takes back, and the scene."""
    key, _, entry = handle.where.partition("[")
    twin = f"{key}[{1 - int(entry[0])}]" if key.endswith(".at") else ""
    others = {twin: handle_of(draft.scene, twin)} if twin else {}
    size = max(abs(handle.value), 10.0 * handle.step)
    said: list[str | None] = []
    for by in (0.1, 0.0, 40.0, -3.0, 0.021):
        values = {handle.where: handle.value + by * size}
        values |= {where: h.value + 0.1 * by * size for where, h in others.items() if h}
        try:
            draft.set_values(values, merge=True)
            said.append(None)
        except SceneError as error:
            said.append(f"{error} {error.key} {error.found} {error.nearest}")
        if written:
            assert draft.text
    draft.settle()
    return said, draft.text, draft.undoes, (draft.scene.about, draft.scene.parts)


def test_a_drag_comes_to_the_same_whether_each_step_is_written_or_the_last() -> None:
    """Values dragged to and fro, allowed or not, give the same refusals, file, step and scene
    whether the text is written for each of them or once at the end; and what is on the file then
    is the scene. An undo gives the text that was opened."""
    done = set[tuple[str, str]]()
    texts = [NOTED, *(shipped.find_scene(name).read_text() for name in EVERY_HANDLE)]
    for before in texts:
        scene = parse(tomllib.loads(before))
        for handle in handles(scene):
            part, _, key = handle.where.partition(".")
            kind = (scene.parts[part].kind if part in scene.parts else part, key)
            if kind in done and before != NOTED:
                continue
            done.add(kind)
            once, each = Draft(before), Draft(before)
            one, other = (dragged_through(draft, handle, draft is each) for draft in (once, each))
            assert one == other, handle.where
            found = parse(tomllib.loads(once.text))
            assert (found.about, found.parts) == one[-1]
            if once.undo():
                assert once.text == before and once.scene == scene


def test_a_drag_writes_its_text_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """While a value is dragged no text is written, and when the text is asked for it is written by
    as many changes as there are keys."""
    put, puts = SourceText.put, list[object]()

    def counted(source: SourceText, path: tuple[str, ...], *more: Any) -> SourceText:
        puts.append(path)
        return put(source, path, *more)

    monkeypatch.setattr(SourceText, "put", counted)
    draft = Draft(NOTED)
    for i in range(20):
        draft.set_values({"spar.at[0]": 0.01 * i, "spar.at[1]": 0.4 + 0.01 * i}, merge=True)
    draft.settle()
    assert draft.scene.parts["spar"].at == Place(0.19, 0.59) and not puts
    assert '"19 cm", "59 cm"' in draft.text and puts == [("lever", "spar", "at")]
    draft.set_values({"can.mass": 0.4}, merge=True)
    assert 'mass = "400 g"' in draft.text and len(puts) == 2


def test_a_text_near_its_limits_is_written_at_each_step() -> None:
    """A scene file that would come to be larger than files may be by a drag is refused as at any
    other change, in the step that makes it so."""
    text = NOTED + "#" * (LARGEST_FILE - len(NOTED) - 1) + "\n"
    draft = Draft(text)
    with pytest.raises(SceneError, match="bytes"):
        draft.set_values({"can.mass": 0.3125}, merge=True)
    assert draft.text == text


def test_steps_say_what_they_did() -> None:
    """Each step has a short description, and a new change forgets what was undone."""
    draft = Draft(NOTED)
    assert (draft.undoes, draft.redoes, draft.undo(), draft.redo()) == (None,) * 4
    draft.set("can.mass", "300 g")
    assert draft.undoes is None, "nothing was changed"
    draft.set("can.mass", "400 g")
    draft.rename("can", "tin")
    renaming = RENAME(name="can", other="tin")
    assert draft.undoes == renaming
    assert draft.undo() == renaming and draft.redoes == renaming
    draft.set("can.mass", "500 g")
    assert draft.redoes is None and draft.redo() is None
    assert draft.undo() == CHANGE(where="can.mass") and draft.changed


def test_edits_together_are_one_step_checked_at_its_end() -> None:
    """Edits that are valid only together make one step, or none where they are not valid."""
    draft = Draft.open(shipped.find_scene("two_part_tackle"))
    original = draft.text
    third_part = REEVE(name="fall")
    with draft.together(third_part):
        draft.set("upper.sheaves", "2")
        with draft.together(CHANGE(where="inside")):
            draft.reeve("fall", ["lower.becket", "upper.1", "lower.1", "upper.2", "hand"])
        assert draft.text == original, "not yet"
    assert draft.undoes == third_part and draft.scene.lines[0].spans == 4
    with pytest.raises(SceneError), draft.together(third_part):
        draft.set("upper.sheaves", "1")
    with pytest.raises(ZeroDivisionError), draft.together(third_part):
        draft.set("ballast.mass", f"{9 / 0} kg")
    assert draft.undoes == third_part
    draft.undo()
    assert draft.text == original


# Parts.


@pytest.mark.parametrize("kind", KINDS)
def test_parts_added_by_default_are_valid(kind: str, path: Path) -> None:
    """Each kind of part can be put in any shipped scene as it comes, but for a second hand, a gauge
    without a rope and a stopwatch where no body, weight or wedge moves by itself."""
    draft = Draft.open(path)
    moving = [frame.part for frame in draft.scene.frames.values()]
    nothing_for = {
        "hand": draft.scene.hand is not None,
        "gauge": not draft.scene.lines,
        "stopwatch": not any(
            isinstance(part, Body | Weight | Wedge | SplittingWedge) for part in moving
        ),
    }
    if nothing_for.get(kind):
        with pytest.raises(SceneError, match=r"a second hand|in no rope yet|times nothing yet"):
            draft.add_part(kind)
        return
    load_before = draft.scene.load
    name = draft.add_part(kind)
    assert isinstance(draft.scene.parts[name], KINDS[kind]) and draft.undoes == ADD(name=name)
    assert draft.scene.load == load_before or load_before is None
    draft.undo()
    assert draft.text.encode() == path.read_bytes()


def test_a_weight_goes_on_the_lever_beside_its_like() -> None:
    """A weight comes on the bar at 30 cm, and stands in the file after the other weights."""
    draft = Draft(NOTED)
    assert draft.add_part("weight") == "weight"
    new = '\n[weight.weight]\nmass = "500 g"\non = "spar@30 cm"\n\n# end of file\n'
    assert draft.text == NOTED.replace("\n# end of file\n", new)
    assert draft.add_part("weight", mass="1 lb") == "weight_2"
    with pytest.raises(SceneError, match="no part has yet"):
        draft.add_part("weight", "can")
    with pytest.raises(SceneError, match="Did you mean 'lever'"):
        draft.add_part("levre")
    with pytest.raises(SceneError, match="Did you mean 'mass'"):
        draft.add_part("weight", mas="1 lb")


def test_a_block_is_put_in_the_fall() -> None:
    """A block comes into the hauling part, as lead sheave or as one that moves."""
    for moves in (False, True):
        draft = Draft.open(shipped.find_scene("two_part_tackle"))
        draft.add_part("block", "lead", moves=moves)
        assert draft.scene.lines[0].waypoints[-2].block == "lead"
        assert ("lead" in draft.scene.frames) is moves


def test_removing_takes_along_what_hangs_on_it() -> None:
    """Weights, ropes that end there, their gauges and a hand left empty go with a part."""
    draft = Draft.open(shipped.find_scene("lever_hauling_a_fall"))
    gone = draft.remove_part("fall")
    assert set(gone) == {"fall", "upper", "lower", "lead", "ballast"}
    assert set(draft.scene.parts) == {"bar", "line", "hand", "balance"}
    assert draft.scene.load == "bar"
    assert draft.scene.about.predict == ("hand.force", "machine.velocity_ratio")
    draft.remove_part("hand")
    assert set(draft.scene.parts) == {"bar"} and draft.scene.about.mode == "held"
    with pytest.raises(SceneError, match="cannot do without"):
        draft.remove_part("bar")
    with pytest.raises(SceneError, match="Did you mean"):
        draft.remove_part("bra")


def test_removing_a_block_shortens_its_rope() -> None:
    """A rope that only passes a block loses that sheave, and gauges and predictions follow."""
    draft = Draft.open(shipped.find_scene("lever_hauling_a_fall"))
    draft.add_part("gauge", "last", rope="fall", part=4)
    assert draft.remove_part("lead") == ("lead",)
    assert [site.part for site in draft.scene.lines[0].waypoints] == [
        "upper",
        "lower",
        "upper",
        "bar",
    ]
    assert draft.scene.about.predict == ("hand.force", "machine.velocity_ratio")
    assert draft.written("last.part") is None
    draft.undo()
    assert draft.written("last.part") == "4" and "fall.tension_4" in draft.scene.about.predict


def test_removing_keeps_the_comments_of_others() -> None:
    """With a part go the comment over it and those inside it, and no others."""
    draft = Draft(NOTED)
    draft.remove_part("can")
    start, end = NOTED.index("# The can"), NOTED.index("# Its twin")
    assert draft.text == NOTED[:start] + NOTED[end:]
    draft.remove_part("twin")
    assert draft.text.endswith('rotational_damping = "2 N m s"\n\n\n# end of file\n')


def test_what_was_plumb_of_a_part_stays_put() -> None:
    """A part that was plumb of what is removed keeps its place, now written out."""
    draft = Draft.open(shipped.find_scene("tackle_on_tackle"))
    was = draft.scene.start["traveller"]
    draft.remove_part("first")
    assert draft.scene.start["traveller"] == pytest.approx(was, abs=1e-6)
    assert "ballast" not in draft.scene.parts


def test_renaming_reaches_every_mention(path: Path) -> None:
    """A part renamed is the same machine, and renamed back the same text."""
    draft = Draft.open(path)
    before = draft.scene
    for name in before.parts:
        draft.rename(name, f"{name}_x")
    assert list(draft.scene.parts) == [f"{name}_x" for name in before.parts]
    assert len(draft.scene.about.predict) == len(before.about.predict)
    assert [f.mass for f in draft.scene.frames.values()] == [f.mass for f in before.frames.values()]
    for name in before.parts:
        draft.rename(f"{name}_x", name)
    assert draft.text.encode() == path.read_bytes()


@pytest.mark.parametrize("new", ["twin", "scene", "", "9", "a b", "x" * 40, "é"])
def test_names_that_cannot_be(new: str) -> None:
    """A name that is taken, reserved or no name is refused."""
    draft = Draft(NOTED)
    with pytest.raises(SceneError):
        draft.rename("can", new)
    assert draft.text == NOTED


def test_places_and_slopes_exclude_one_another() -> None:
    """A part has one place and a ramp two measures: writing another takes the first one's line."""
    draft = Draft.open(shipped.find_scene("sled_drawn_up"))
    length = draft.written("slip.length")
    draft.set("slip.angle", "15 deg")
    assert draft.written("slip.rise") is None and draft.written("slip.length") == length
    assert f'length = "{length}"\nangle = "15 deg"\nstatic' in draft.text
    draft.set_value("slip.rise", 0.3)
    assert draft.written("slip.angle") is None
    draft.set("hand.at", "1 m, 40 cm")
    assert draft.written("hand.on") is None and draft.scene.part("hand", Hand).on is None


# Files.


def test_a_file_is_never_written_over_unasked(tmp_path: Path) -> None:
    """Saving where a file is needs `over`; the message offers a name that is free."""
    file = tmp_path / "spar.toml"
    file.write_text(NOTED)
    (tmp_path / "spar-2.toml").write_text("taken")
    draft = Draft.open(file)
    draft.set("can.mass", "1 kg")
    for target in (None, file, tmp_path / "spar-2.toml"):
        with pytest.raises(SceneError, match=r"spar-3\.toml"):
            draft.save(target)
    assert file.read_text() == NOTED and draft.changed and draft.path == file
    copy = draft.save(new_path(file))
    assert copy.name == "spar-3.toml" and draft.path == copy and not draft.changed
    assert load(copy) == draft.scene
    draft.undo()
    assert draft.changed
    draft.save(over=True)
    assert copy.read_text() == NOTED and draft.scene == load(copy)
    assert new_path(copy).name == "spar-4.toml"


def test_saving_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stopped in mid-save, the old file is whole and no other is left about."""
    file = tmp_path / "spar.toml"
    file.write_text(NOTED)
    draft = Draft.open(file)
    draft.set("can.mass", "1 kg")

    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", broken)
        with pytest.raises(SceneError, match="No space left"):
            draft.save(over=True)
    assert file.read_text() == NOTED and list(tmp_path.iterdir()) == [file] and draft.changed
    with pytest.raises(SceneError, match=r"nowhere.*No such file"):
        draft.save(tmp_path / "nowhere" / "spar.toml")
    with pytest.raises(SceneError, match="no file name"):
        Draft(NOTED).save()


def test_only_sound_files_open(tmp_path: Path) -> None:
    """A file that is no scene is refused, naming it."""
    file = tmp_path / "bad.toml"
    for raw in (b"\xff", b"[scene", b"", NOTED.replace("300 g", "300 cm").encode()):
        file.write_bytes(raw)
        with pytest.raises(SceneError, match=r"bad\.toml"):
            Draft.open(file)
    with pytest.raises(SceneError, match="no such file"):
        Draft.open(tmp_path / "none.toml")


# What can be taken hold of.

UNSHOWN = {
    "pin_radius", "rolling_arm", "graduation", "speed", "damping",  # dragged upward, not along
    "lead", "flank_angle", "radius_of_gyration",  # likewise
    "fulcrum", "pivot_height",  # stays where it is on the sheet: the bar shifts
    "length",  # of a ramp the head goes where rise or angle let it
}  # fmt: skip


def drag(draft: Draft, handle: Handle, poses: dict[str, Pose], by: float) -> float:
    """Drag a handle so far along its way; returns the value it was given."""
    grip = handle.grip(poses)
    assert grip is not None
    if grip.centre is None:
        to = grip.at + by * grip.along
    else:
        arm = grip.at - grip.centre
        to = grip.centre + arm.rotated(by)
    value = handle.dragged(poses, grip.at, to)
    draft.set_value(handle.where, value, digits=9)
    return value


HUNG_AS_A_WHOLE = (Block, Screw, Wedge, SplittingWedge, Weight)
"""What a weight can be on at no height."""


def test_every_number_of_a_scene_has_a_handle(path: Path) -> None:
    """Each single value that a part has can be taken hold of, once."""
    scene = load(path)
    found = [handle.where for handle in handles(scene)]
    assert len(found) == len(set(found))
    for part in scene.parts.values():
        numbers = {
            name
            for name, (key, _) in keys_of(type(part)).items()
            if key.form == "value" and part.value(name) is not None
        }
        on = getattr(part, "on", None)
        # What follows has no effect in such a part.
        if isinstance(part, Lever) and part.fulcrum is None:
            numbers -= {
                "pivot_height",
                "stop",
                "bearing_friction",
                "pin_radius",
                "rotational_damping",
            }
        if isinstance(part, Lever) and part.supports:
            numbers -= {"tilt"}
        if isinstance(part, Body):
            numbers -= {"width", "attachment_height"} if part.rolls else {"rolling_arm"}
        elif on is None or isinstance(
            scene.parts[on.part], Block | Screw | Wedge | SplittingWedge | Weight
        ):
            numbers -= {"height"}
        assert numbers <= {
            where.partition(".")[2] for where in found if where.startswith(f"{part.name}.")
        }


def test_handles_are_consistent(path: Path) -> None:
    """Nudged either way, each value becomes what the handle says or is refused; no third thing."""
    draft = Draft.open(path)
    taken, numbers = 0, [h for h in handles(draft.scene) if not h.choices]
    for handle in numbers:
        assert handle.low <= handle.value <= handle.high and handle.step > 0 < handle.us_step
        assert handle.label.format_map(handle.of)
        for steps, us in ((1, False), (-1, False), (3, True), (-3, True)):
            value = handle.nudged(steps, us)
            assert (value >= handle.value) if steps > 0 else (value <= handle.value)
            try:
                draft.set_value(handle.where, value, digits=9)
            except SceneError:
                continue
            after = handle_of(draft.scene, handle.where)
            assert after is not None
            assert after.value == pytest.approx(
                value, rel=1e-7, abs=1.1e-4 if after.dimension is ANGLE else 1.1e-5
            )
            taken += 1
            undo_all(draft)
    assert taken > 3 * len(numbers)


def test_the_grip_follows_the_drag(path: Path) -> None:
    """Whatever shows a length or an angle moves with the mouse as far as the mouse moves."""
    draft = Draft.open(path)
    tried = 0
    for handle in handles(draft.scene):
        key = handle.where.partition(".")[2].partition("[")[0]
        part = draft.scene.parts.get(handle.where.partition(".")[0])
        if handle.dimension not in (LENGTH, ANGLE) or key in UNSHOWN - {"length"}:
            continue
        if key == "length" and isinstance(part, Ramp):
            continue
        if handle.absent:
            continue
        start = draft.scene.start
        grip = handle.grip(start)
        assert grip is not None
        by = handle.step / abs(grip.rate)
        with contextlib.suppress(SceneError):
            value = drag(draft, handle, start, by)
            after = handle_of(draft.scene, handle.where)
            assert after is not None
            now = after.grip(draft.scene.start)
            assert now is not None
            if value != handle.value:
                tried += 1
                expected = value - handle.value
                if grip.centre is None:
                    moved = (now.at - grip.at).dot(grip.along)
                    assert moved == pytest.approx(expected / grip.rate, abs=2.1e-5), handle.where
                else:
                    assert now.centre is not None
                    old, new = grip.at - grip.centre, now.at - now.centre
                    turned = math.atan2(old.cross(new), old.dot(new))
                    assert turned == pytest.approx(expected / grip.rate, abs=2e-4), handle.where
        undo_all(draft)
    assert tried > 3


@pytest.mark.parametrize("tilt", [-0.5, 0.0, 0.3])
@pytest.mark.parametrize("by", [0.03, -0.03])
def test_a_weight_is_dragged_along_the_bar(tilt: float, by: float) -> None:
    """Dragged 3 cm along the bar, however it is tilted just now, a weight is 3 cm further on."""
    draft = Draft(NOTED)
    pose = Pose(0.1, 0.2, tilt)
    poses = {**draft.scene.start, "spar": pose}
    handle = handle_of(draft.scene, "can.on")
    assert handle is not None
    here = pose.point(Vector(0.10, 0.0))
    aside = Vector(-math.sin(tilt), math.cos(tilt))
    to = pose.point(Vector(0.10 + by, 0.0)) + 0.05 * aside
    grip = handle.grip(poses)
    assert grip is not None and grip.at == pytest.approx(here)
    assert grip.start == pytest.approx(pose.point(Vector(0.6096, 0.0)))
    draft.set_value("can.on", handle.dragged(poses, here, to))
    assert draft.scene.frames["spar"].point_masses[0].local.x == pytest.approx(0.10 + by)
    far = handle.dragged(poses, here, pose.point(Vector(-3.0, 0.0)))
    assert far == 0.0, "no further than the bar's end"


@pytest.mark.parametrize("rises", ["right", "left"])
def test_the_ramps_head_gives_its_rise(rises: str) -> None:
    """The head drawn 2 cm up makes the rise 2 cm more; the slope turned, the angle follows it."""
    draft = Draft.open(shipped.find_scene("sled_let_slide"))
    draft.set("slip.rises", rises)
    ramp = draft.scene.part("slip", Ramp)
    handle = handle_of(draft.scene, "slip.rise")
    assert handle is not None and ramp.rise is not None
    drag(draft, handle, draft.scene.start, 0.02)
    after = draft.scene.part("slip", Ramp)
    assert after.rise == pytest.approx(ramp.rise + 0.02, abs=1e-5)
    assert after.length == ramp.length
    assert math.sin(after.slope) * ramp.length == pytest.approx(after.rise)
    handle = handle_of(draft.scene, "slip.angle")
    assert handle is not None
    way = 1.0 if rises == "right" else -1.0
    drag(draft, handle, draft.scene.start, way * 0.1)
    steeper = draft.scene.part("slip", Ramp)
    assert steeper.slope == pytest.approx(after.slope + 0.1, abs=1e-4)
    assert abs(steeper.upslope.cross(after.upslope)) == pytest.approx(math.sin(0.1), abs=1e-4)


def test_the_fulcrum_is_dragged_along_the_bar() -> None:
    """The fulcrum drawn 3 cm to the right is 3 cm further from the left end."""
    draft = Draft(NOTED)
    handle = handle_of(draft.scene, "spar.fulcrum")
    assert handle is not None
    drag(draft, handle, draft.scene.start, 0.03)
    assert draft.scene.part("spar", Lever).fulcrum == pytest.approx(0.6396)


def test_nudges_are_round_in_either_system() -> None:
    """A nudge goes to a round number of centimetres, or of inches."""
    handle = handle_of(Draft(NOTED).scene, "spar.fulcrum")
    assert handle is not None
    assert handle.nudged(1) == pytest.approx(0.61) and handle.nudged(-1) == pytest.approx(0.60)
    assert handle.nudged(1, us=True) == pytest.approx(25 * 0.0254)
    assert handle.nudged(1000) == handle.high == pytest.approx(1.2)


def test_gravity_has_no_place_on_the_bench() -> None:
    """What has no place on the sheet is still a value to type and nudge."""
    draft = Draft(NOTED)
    handle = handle_of(draft.scene, "scene.gravity")
    assert handle is not None and handle.grip(draft.scene.start) is None
    assert handle.dragged(draft.scene.start, Vector(0, 0), Vector(0, 1)) == handle.value
    draft.set_value(handle.where, handle.nudged(-1))
    assert draft.scene.about.gravity == pytest.approx(9.8)


@pytest.mark.skipif(sys.platform == "win32", reason="no such names and no pipes among files")
def test_the_folder_of_unsaved_changes_is_not_trusted(tmp_path: Path) -> None:
    """Files there that are no scene do no harm, the rest are found; there are never many; where
    there can be no folder nothing is kept or found; and a scene may lie in a folder of any name."""
    path, state = Path(os.fsdecode(bytes(tmp_path) + b"/\xff.toml")), tmp_path / "state"
    shutil.copy(shipped.find_scene("fixed_sheave"), path)
    draft = Draft.open(path)
    original = draft.text
    assert Rescue(state).left(path, draft) is None
    draft.set_value("bag.mass", 0.6)
    for _ in range(MOST + 3):
        rescue = Rescue(state)
        rescue.keep(path, draft)
        rescue.close()
    found = list(state.iterdir())
    assert len(found) == MOST and {place.read_text("utf-8") for place in found} == {draft.text}
    mark = found[0].name.split("-")[0]
    os.mkfifo(state / f"{mark}-pipe.toml")
    (state / f"{mark}-folder.toml").mkdir()
    (state / f"{mark}-zero.toml").symlink_to("/dev/zero")
    (state / f"{mark}-bytes.toml").write_bytes(b"\xff")
    fresh = Draft.open(path)
    kept = Rescue(state).left(path, fresh)
    assert kept is not None and kept.text == draft.text
    for i, text in enumerate(("", "[scene", "a = 1", "x" * 2_000_000)):
        place = state / f"{mark}-{i}.toml"
        place.write_text(text)
        os.utime(place, (4e9 + i, 4e9 + i))
        left = Rescue(state).left(path, fresh)
        assert left is not None and left.text == text[: len(left.text)]
        with pytest.raises(SceneError):
            fresh.take_up(left.text)
        assert fresh.text == original
    nowhere = Rescue(path / "state")
    nowhere.keep(path, draft)
    assert nowhere.left(path, draft) is None
    assert path.read_text("utf-8") == original


@pytest.mark.parametrize("name", ["crab_winch", "gears_with_an_idler"])
def test_gears_mesh_still_with_other_teeth(name: str) -> None:
    """Whatever number of teeth or module one gear of a train is given, with what then changes along
    the pitch circles touch, and each gear stands in the direction from the other that it had."""
    path = shipped.find_scene(name)
    before = load(path)
    asked = [h for h in handles(before) if h.where.endswith((".teeth", ".module"))]
    assert len(asked) >= 4
    for handle in asked:
        draft, where = Draft.open(path), handle.where
        value = handle.nudged(6)
        draft.set_values({**handle.along(value), where: value})
        scene = draft.scene
        part, _, key = where.partition(".")
        assert near(getattr(scene.parts[part], key), value, rel=1e-9)
        for mesh in scene.meshes:
            ways = []
            for each in (before, scene):
                one, other = (each.part(n, Gear) for n in (mesh.gear, mesh.other))
                ways.append(each.middle_of(one) - each.middle_of(other))
            apart = one.module * (one.teeth + other.teeth) / 2
            assert near(ways[1].norm, apart, rel=1e-3)
            assert near(ways[0].cross(ways[1]), 0.0, abs=1e-3 * apart**2)


@pytest.mark.parametrize("to", [Vector(0.1, 1.3), Vector(0.3, 1.0), Vector(-0.2, 0.9)])
def test_a_spindle_that_is_dragged_stays_in_mesh(to: Vector) -> None:
    """Wherever a spindle is dragged, its gear's pitch circle touches that of the gear it meshes
    with, in the direction of that place; one number of its place takes the other along."""
    path = shipped.find_scene("crab_winch")
    draft, apart = Draft.open(path), 0.15
    across, up = (handle_of(draft.scene, f"crank.at[{i}]") for i in (0, 1))
    assert across is not None and up is not None
    middle = draft.scene.middle_of(draft.scene.part("wheel", Gear))
    fit = across.fit(Vector(across.value, up.value), to, 0.01)
    assert fit is not None and fit.joins is None
    assert near((fit.at - middle).norm, apart, rel=1e-12)
    assert near((fit.at - middle).cross(to - middle), 0.0, abs=1e-12)
    draft.set_values({across.where: fit.at.x, up.where: fit.at.y}, digits=6)
    along = up.along(up.value + 0.01)
    assert list(along) == [across.where]
    other = Vector(along[across.where], up.value + 0.01)
    assert near((other - middle).norm, apart, rel=1e-12)


def test_a_spindle_that_comes_near_goes_into_mesh() -> None:
    """A spindle dragged to where its gear's pitch circle is near another's goes on, or back, in the
    line of the drag to where they touch, and then is to mesh; farther off, or with other teeth, it
    goes where it is dragged."""
    text = shipped.find_scene("crab_winch").read_text().replace('meshes = "pinion"\n', "")
    text = text.replace("mesh_efficiency = 0.95\n", "")
    draft = Draft(text, unfinished=True)
    scene = with_loose(draft.scene, draft.loose)
    loose = scene.parts["barrel"]
    start, there = scene.place_of("barrel", scene.start), Vector(0.1, 1.215)
    crank = scene.place_of("crank", scene.start)
    fit = fit_at(scene, loose, there, 0.02)
    assert fit is not None and fit.joins == ("wheel.meshes", "pinion")
    assert near((fit.at - crank).norm, 0.15, rel=1e-12)
    assert near((fit.at - start).cross(there - start), 0.0, abs=1e-12)
    assert fit_at(scene, loose, there, 1e-3) is None
    other = Draft(text.replace('module = "4 mm"', 'module = "3 mm"', 1), unfinished=True)
    scene = with_loose(other.scene, other.loose)
    assert fit_at(scene, scene.parts["barrel"], there, 0.02) is None
