"""The post in the lab."""

from __future__ import annotations

from collections.abc import Iterator

from sandbox import units
from sandbox.facts import label
from sandbox.lab.parts.entry import (
    Caution,
    Danger,
    Friction,
    PartEntry,
    clamp,
    no_least_mass,
    nothing,
)
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.parts import Loss, Post

MOST = 1.0
"""Of a coefficient between rope and post: natural fibre on dry timber."""
SOURCE = "0.5 for hemp on timber, with a margin of two: common practice, no source"


def _apparatus(_scene: Scene, post: Post, display: Display) -> Iterator[str]:
    yield display.say(
        "“{post}”: a smooth round post (bar) {across} across that cannot turn; coefficient of "
        "friction with the line {still} at rest, {sliding} sliding; {turns}",
        post=post.name,
        across=display.size(2 * post.radius, units.LENGTH),
        still=display.number(post.static_friction, 6),
        sliding=display.number(post.kinetic_friction, 6),
        turns=display.say_count(
            post.turns,
            "{count} whole turn of the line round it",
            "{count} whole turns of the line round it",
        ),
    )


def _cautions(_scene: Scene, _post: Post, display: Display) -> Iterator[Caution]:
    yield Caution(
        Danger.SLIPPING_TURN,
        display.say(
            "Fingers off the turns round a post: a line that slips draws them in. Pay out slowly, "
            "hand over hand."
        ),
    )
    yield clamp(display)


def _frictions(scene: Scene, _post: Post, loss: Loss) -> Iterator[Friction]:
    """That at rest of a machine that is held, else that of sliding."""
    if loss == ("static" if scene.about.mode == "held" else "kinetic"):
        yield Friction("friction on the post", False, MOST, SOURCE)


def _stand(_scene: Scene, _post: Post) -> float:
    return 0.0


ENTRY: PartEntry[Post] = PartEntry(
    apparatus=_apparatus,
    cautions=_cautions,
    frictions=_frictions,
    instruments=nothing,
    stand=_stand,
    least_mass=no_least_mass,
    varied=nothing,
    moving=None,
    reaction=label("force on the post “{part}”"),
    forward="",
)
