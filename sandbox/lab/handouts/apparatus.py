"""What has to be set out on the bench for a scene, and what to beware of there."""

from __future__ import annotations

from collections.abc import Iterable

from sandbox.lab.parts import ENTRIES, entry_of
from sandbox.scene import Scene
from sandbox.scene.parts import Rule


def apparatus(scene: Scene) -> Iterable[str]:
    """What is needed, a line for each thing, with its sizes and its friction."""
    for kind, entry in ENTRIES.items():
        for part in scene.of(kind):
            yield from entry.apparatus(scene, part)
    if not scene.of(Rule):
        yield "a rule, 1 m in 1 mm"
    if any(".tilt" in name for name in scene.about.predict):
        yield "a protractor, or a level and a set square"
    if any(".acceleration" in name for name in scene.about.predict):
        yield "a stop-watch, or a camera whose rate is known"
    if any(".support_" in name for name in scene.about.predict):
        yield "a balance or force gauge to put under each prop in turn"


def cautions(scene: Scene) -> Iterable[str]:
    """What to take care of, a sentence each: what suits the parts, and what holds of any bench."""
    yield "Local rules come first: ask before you load anything."
    found = {each for part in scene.parts.values() for each in entry_of(part).cautions(scene, part)}
    for caution in sorted(found):
        yield caution.text
    yield "For this teaching bench only: never for lifting people or real loads."
