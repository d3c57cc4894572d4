"""A machine put together on the sheet: parts put down where the pointer says, ropes led from part
to part, loose parts moved, and the empty sheet with what to begin with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sandbox.drawing.building import Building, Loose, Word
from sandbox.editing.addition import Keys, cm, free_name
from sandbox.editing.draft import Draft
from sandbox.editing.handles import fit_at, reeve_entry_at, reeve_points
from sandbox.editing.parts import PARTS
from sandbox.editing.questions import ReevePoint
from sandbox.editing.references import part_of
from sandbox.editing.spot import Chain, RopePart, Spot, outline_of
from sandbox.editing.starters import EMPTY, NEW, STARTERS
from sandbox.language.display import Display
from sandbox.scene import KINDS, Pose, Scene, SceneError, Vector, with_loose
from sandbox.scene.parts import Hand
from sandbox.sheet import edits
from sandbox.sheet.state import SheetState
from sandbox.sheet.text_entry import TypedLine
from sandbox.sheet.wording import refusal_said

REACH = 4.0
"""mm. How near to what a part goes on, or a rope passes, a click has to be."""
PLUMB = 8.0
"""mm. What hangs so near to plumb is set plumb."""
NUDGE = 0.01
"""m. One stroke of an arrow key moves a loose part so far."""


def empty_draft(display: Display) -> Draft:
    """A scene without parts, which no file has."""
    return Draft(EMPTY.text(display.say), NEW, unfinished=True)


# Where things are.


def bench(state: SheetState, without: str = "") -> tuple[Scene, Mapping[str, Pose]]:
    """The machine and the loose parts as they now are, but for one of these."""
    loose = [each for each in state.draft.loose if each.part.name != without]
    scene = with_loose(state.scene, loose)
    return scene, {**scene.start, **state.live.now.poses}


def spot(state: SheetState, place: Vector, without: str = "") -> Spot:
    """A place of the bench, and what is there but for one loose part."""
    scene, poses = bench(state, without)
    ropes = [RopePart(s.rope, s.number, s.start, s.end) for s in state.live.now.spans]
    for each in state.draft.loose:
        pairs = zip(each.through, each.through[1:], strict=False)
        ropes += [RopePart(each.part.name, i + 1, a, b) for i, (a, b) in enumerate(pairs)]
    return Spot(scene, poses, ropes, place, REACH / state.board.view.scale, PARTS)


def waypoint(state: SheetState, place: Vector) -> str:
    """What a rope could pass at a place of the bench, as a reeving names it; "" for nothing."""
    here = spot(state, place)
    if entry := reeve_entry_at(here.scene, here.poses, place, here.reach):
        return entry
    # Anywhere on what has one such place.
    part = here.under()
    points = PARTS[type(part)].rope_points if part else None
    found = points(here.scene, part, here.poses, place) if points and part else ()
    return min(found, default=ReevePoint(0.0, "")).entry


# Parts put down.


def put_down(state: SheetState, place: Vector) -> None:
    """Put the part that is being added at a place of the bench, or say where it can go."""
    entry = state.entry
    assert entry is not None
    asked = PARTS[KINDS[entry.where]]
    keys = asked.put_down(spot(state, place)) if asked.put_down else None
    if keys is None:
        state.show_message(state.say(asked.put_where), loud=True)
        return
    state.entry = None
    try:
        name = state.draft.add_part(entry.where, join=False, **{**entry.keys, **keys})
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
    else:
        edits.begin_anew(state, state.say("put down: {name}", name=name))


def begin_with(state: SheetState, name: str) -> None:
    """Put a machine to begin with on the empty sheet."""
    starter = next(each for each in STARTERS if each.name == name)
    state.draft.take_up(starter.text(state.say))
    edits.begin_anew(state, state.say(starter.title))


def move(state: SheetState, name: str, place: Vector, pointed: Vector | None = None) -> None:
    """Put a loose part at a place of the bench, or on what is there or where it was pointed."""
    part = next(each.part for each in state.draft.loose if each.part.name == name)
    rule = PARTS[type(part)].put_down
    if rule is None:
        return
    keys = rule(spot(state, place, name))
    if pointed is not None and (keys is None or "at" in keys):
        there = rule(spot(state, pointed, name))
        keys = there if there is not None and "at" not in there else keys
    if keys is None:
        state.show_message(state.say(PARTS[type(part)].put_where), loud=True)
        return
    fit = fit_at(bench(state)[0], part, place, REACH / state.board.view.scale)
    if fit and "at" in keys:
        keys = {"at": [cm(fit.at.x), cm(fit.at.y)]}
    try:
        state.draft.move_part(name, keys)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
        return
    if fit and fit.joins:
        edits.join(state, *fit.joins)
    else:
        edits.begin_anew(state, state.say("moved: {name}", name=name))


def nudge(state: SheetState, name: str, direction: Vector, times: int) -> None:
    """Move a loose part by strokes of an arrow key."""
    at = next(each.at for each in state.draft.loose if each.part.name == name)
    if at is not None:
        move(state, name, at + abs(times) * NUDGE * direction)


# Ropes led.


def lead(state: SheetState, place: Vector) -> None:
    """Lead the rope that is being added on to a place of the bench, and lay it with its end."""
    entry = state.entry
    assert entry is not None
    if entry.purpose == "add":
        entry = state.entry = TypedLine("lay", "rope", "", fresh=False)
    passed, name = entry.entries, waypoint(state, place)
    if passed and name == passed[-1]:
        lay(state)
        return
    if not name:
        under = spot(state, place).under()
        if under is not None and under.has_frame and PARTS[type(under)].rope_points is None:
            no_rope = state.say("no rope goes on {name}: one goes on a drum", name=under.name)
            state.show_message(no_rope, loud=True)
            return
        name = _new_end(state, entry, place)
    elif not passed:
        if _only_passed(state, name):
            state.show_message(_between_ends(state, name), loud=True)
            return
        name = _as_end(state, name)
    state.dismiss_message()
    entry.add_waypoint(name)
    entry.points += (place,)
    if passed and not (_is_sheave(name) or _only_passed(state, name)):
        lay(state)


def lay(state: SheetState) -> None:
    """Lay the rope that has been led, made fast at what it came to last."""
    entry = state.entry
    assert entry is not None
    entries = entry.entries
    if len(entries) < 2:
        state.show_message(state.say("a rope has two ends: click the other"), loud=True)
        return
    if _only_passed(state, entries[-1]):
        state.show_message(_between_ends(state, entries[-1]), loud=True)
        return
    state.entry = None
    _set_level(state, entry)
    entries = [*entries[:-1], _as_end(state, entries[-1])]
    ends = {name: end for name, end in entry.ends.items() if name in entries}
    try:
        name = state.draft.lay_rope(entries, ends, PLUMB / state.board.view.scale)
    except SceneError as error:
        state.show_message(refusal_said(state, error), loud=True)
        # Led on from before what it cannot be made fast to.
        entry.text, entry.points = ", ".join(entries[:-1]), entry.points[:-1]
        entry.ends = {name: end for name, end in ends.items() if name in entries[:-1]}
        state.entry = entry
    else:
        edits.begin_anew(state, state.say("put down: {name}", name=name))


def _is_sheave(entry: str) -> bool:
    return entry.rpartition(".")[2].isdigit()


def _only_passed(state: SheetState, entry: str) -> bool:
    """Whether nothing is made fast at what a rope comes to, which goes round it."""
    part = bench(state)[0].parts.get(entry)
    return part is not None and part.leads_ropes and PARTS[type(part)].rope_end is None


def _between_ends(state: SheetState, name: str) -> str:
    return state.say("a rope goes round {name}: its ends are made fast elsewhere", name=name)


def _set_level(state: SheetState, entry: TypedLine) -> None:
    """Set a new end of a rope so high that the rope leads off level, where what is at its other end
    asks for that and it was meant to."""
    scene, poses = bench(state)
    names = entry.entries
    for end, near in ((0, 1), (-1, -2)):
        place = entry.ends.get(names[end], ("", {}))[1]
        levels = [
            point.level
            for point in reeve_points(scene, poses, Vector(0.0, 0.0))
            if point.entry == names[near] and point.level is not None
        ]
        if not levels or "at" not in place or abs(near) > len(entry.points):
            continue
        across, _ = place["at"]
        if abs(entry.points[end].y - levels[0]) <= PLUMB / state.board.view.scale:
            place["at"] = [across, cm(levels[0])]


def _as_end(state: SheetState, entry: str) -> str:
    """What a rope is made fast to at what it passes: at a sheave, the block's becket."""
    if not _is_sheave(entry):
        return entry
    name = entry.partition(".")[0]
    block = bench(state)[0].parts.get(name)
    return f"{name}.becket" if getattr(block, "becket", False) else name


def _new_end(state: SheetState, entry: TypedLine, place: Vector) -> str:
    """A new part for a rope's end at a place where there is none: the hand, where the rope has
    begun and the machine has none, else an anchor."""
    scene = bench(state)[0]
    handed = any(kind == Hand.kind for kind, _ in entry.ends.values()) or scene.of(Hand)
    kind = Hand.kind if entry.entries and not handed else "anchor"
    rule = PARTS[KINDS[kind]].put_down
    here = spot(state, place)
    keys: Keys = dict((rule and rule(here)) or here.at())
    before = scene.parts.get(part_of(entry.entries[-1]) or "") if entry.entries else None
    on = before.mount.part if before is not None and before.mount else ""
    if on and keys.get("on", "").partition("@")[0] == on and before is not None:
        # Along the slope.
        keys["height"] = cm(before.height_above_carrier)
    name = free_name(kind, {*state.draft.names, *entry.ends})
    entry.ends[name] = (kind, keys)
    return name


# What is shown.


def outlines(state: SheetState) -> tuple[Loose, ...]:
    """Every loose part with its outline on the bench; the one that is dragged where it is."""
    scene, poses = bench(state)
    found = []
    for part, _, _, through in state.draft.loose:
        name = part.name
        chains: tuple[Chain, ...] = (through,) if len(through) > 1 else ()
        if name in scene.parts:
            chains = outline_of(scene, poses, part, PARTS)
        if state.carried and state.carried.name == name:
            by = state.carried.by
            chains = tuple(tuple(point + by for point in chain) for chain in chains)
        found.append(Loose(name, chains, state.focus == name))
    return tuple(found)


def kinds(state: SheetState) -> dict[str, tuple[str, dict[str, Any]]]:
    """What can be put down: a key for each, what it is called and the keys it comes with."""
    scene = bench(state)[0]
    found = {}
    for kind, part_class in KINDS.items():
        if part_class.one_in_a_scene and scene.of(part_class):
            continue
        for number, (text, keys) in enumerate(PARTS[part_class].new):
            found[f"{kind} {number}"] = (state.say(text), dict(keys))
    return found


def ask(state: SheetState, chosen: str, more: Mapping[str, Any] | None = None) -> None:
    """Ask where a new part goes, with `more` keys besides its usual ones."""
    kind, keys = chosen.partition(" ")[0], {**kinds(state)[chosen][1], **(more or {})}
    if state.building:
        state.restart()
    state.dismiss_message()
    state.focus = ""
    state.entry = TypedLine("add", kind, state.draft.offered(kind, keys), keys=keys)


def shown(state: SheetState) -> Building | None:
    """What is shown of it, None where there is nothing of it."""
    entry, say = state.entry, state.say
    rope: tuple[Vector, ...] = ()
    if entry is not None and entry.points:
        rope = (*entry.points, state.pointed_at or entry.points[-1])
    if not state.building:
        return Building(rope=rope) if rope else None
    # Beside another there is no room for the list: the table of parts has all of it.
    offered = {} if state.paired else kinds(state)
    chosen = _chosen(entry, offered) if entry else ""
    words = [Word(key, text, key == chosen) for key, (text, _) in offered.items()]
    empty = not state.draft.names and entry is None
    return Building(
        tuple(words),
        tuple(Word(each.name, say(each.title)) for each in STARTERS) if empty else (),
        say("Choose a part, or begin with:") if empty else "",
        outlines(state),
        rope,
        "" if state.paired else missing(state),
    )


def missing(state: SheetState) -> str:
    """What the machine is still without, in words."""
    fact = state.draft.missing if state.draft.names else None
    return state.say("Still missing: {what}", what=state.display.describe(fact)) if fact else ""


def _chosen(entry: TypedLine, offered: Mapping[str, tuple[str, dict[str, Any]]]) -> str:
    """Which of the parts that are offered is being put down."""
    found = ""
    for key, (_, keys) in offered.items():
        # Of one kind the later have more keys of their own.
        if key.partition(" ")[0] == entry.where and keys.items() <= dict(entry.keys).items():
            found = key
    return found if entry.purpose in ("add", "lay") else ""
