"""What has to be set out on the bench for a scene, and what to beware of there."""

from __future__ import annotations

from collections.abc import Iterable

from sandbox import units
from sandbox.lab.parts import ENTRIES, entry_of
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Body, Gauge, Lever, Rule, Stopwatch

RULE_LENGTH, RULE_DIVISION = 1.0, 0.001
"""Of a rule where the scene has none, m."""


def apparatus(scene: Scene, display: Display) -> Iterable[str]:
    """What is needed, a line for each thing, with its sizes and its friction."""
    for kind, entry in ENTRIES.items():
        for part in scene.of(kind):
            yield from entry.apparatus(scene, part, display)
    yield from _instruments(scene, display)


def _instruments(scene: Scene, display: Display) -> Iterable[str]:
    """What the readings of the data table are taken with, beside the scene's own instruments."""
    say, mode = display.say, scene.about.mode
    slides = mode == "released" and bool(scene.of(Body))
    if not scene.of(Rule):
        yield say(
            "a rule beside the track, {length} in {division}"
            if slides
            else "a rule, {length} in {division}",
            length=display.size(RULE_LENGTH, units.LENGTH),
            division=display.size(RULE_DIVISION, units.LENGTH),
        )
    if not scene.of(Gauge) and scene.hand is not None and mode != "released":
        yield say("a force meter between the hand and the line")
    if is_tilt_read(scene):
        yield say("a protractor, or a level and a set square")
    if slides and not scene.of(Stopwatch):
        yield say("a stop-watch, or a camera whose rate is known")
    if any(lever.supports for lever in scene.of(Lever)):
        yield say("a balance or force meter to put under each prop in turn")


def is_tilt_read(scene: Scene) -> bool:
    """Whether a lever is let come to rest, so that its tilt is read."""
    still = scene.about.mode in ("held", "released") and scene.hand is None
    return still and any(lever.fulcrum is not None for lever in scene.of(Lever))


def cautions(scene: Scene, display: Display) -> Iterable[str]:
    """What to take care of, a sentence each: what suits the parts, and what holds of any bench."""
    yield display.say("Local rules come first: ask before you load anything.")
    parts = scene.parts.values()
    found = {each for part in parts for each in entry_of(part).cautions(scene, part, display)}
    for caution in sorted(found):
        yield caution.text
    yield display.say("For this teaching bench only: never for lifting people or real loads.")
