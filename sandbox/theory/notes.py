"""Notes on an answer: what is worth saying of its states and quantities."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from sandbox.facts import Fact
from sandbox.scene import Scene
from sandbox.theory import facts
from sandbox.theory.parts import answers, frame_theory, theory_of
from sandbox.theory.quasi_static import QuasiStaticPath
from sandbox.theory.state import State


def parting(scene: Scene, states: Sequence[State]) -> tuple[Fact, ...]:
    """The ropes that part, as they are strained more in some of the states than they bear."""
    found = []
    for part, theory in answers(scene):
        strength = theory.strength(part) if theory.strength else None
        tensions = [
            tension
            for state in states
            for line, parts in zip(state.machine.lines, state.tensions, strict=True)
            if line.rope == part.name
            for tension in parts
        ]
        if strength is not None and tensions and max(tensions) > strength:
            found.append(
                facts.ROPE_TOO_WEAK(
                    rope=part.name,
                    tension=facts.force(max(tensions)),
                    strength=facts.force(strength),
                )
            )
    return tuple(found)


def reading_notes(scene: Scene, quantities: Mapping[str, float]) -> tuple[Fact, ...]:
    """Notes on what gauges read."""
    return tuple(
        note
        for part, theory in answers(scene)
        if theory.reading_note and (note := theory.reading_note(part, quantities))
    )


def still_sheaves(path: QuasiStaticPath) -> tuple[Fact, ...]:
    """The sheaves with friction that do not rotate as the machine is worked."""
    return tuple(
        facts.SHEAVE_STILL(sheave=contact.label)
        for k, contact in path.machine.sheaves
        if contact.static and path.signs[k] == 0.0
    )


def friction_notes(state: State) -> tuple[Fact, ...]:
    """Notes on the friction of ropes on what they pass, and of parts on what holds them."""
    machine, scene = state.machine, state.machine.scene
    found: list[Fact] = []
    for k, rope_contact in machine.rope_contacts:
        part = scene.parts[rope_contact.part]
        if rope_notes := theory_of(part).rope_notes:
            passing = machine.passing(state.geometry, rope_contact)
            found += rope_notes(scene, part, passing, float(state.resistances[k]))
    for k, contact in machine.frame_contacts:
        frame = machine.bodies[contact.resisted[0].frame]
        if notes := frame_theory(frame.part).friction_notes:
            slipping = contact.part in machine.slipping
            friction = float(state.resistances[k])
            found += notes(scene, frame.part, frame, contact, friction, slipping)
    return tuple(found)


def tipping(state: State, said: Callable[..., Fact]) -> tuple[Fact, ...]:
    """About which of its supports each bar tips that leaves the others; `said` is a kind of fact
    with the fields lever, number and distance."""
    machine = state.machine
    found = []
    for i, frame in enumerate(machine.frames):
        tips = frame_theory(frame.part).tips
        own = [each for each in machine.supports if each.frame == i and each.kind == "point"]
        if tips and (about := tips(frame.part, own)):
            distance = facts.length(about.local.x)
            found.append(said(lever=frame.name, number=about.number, distance=distance))
    return tuple(found)
