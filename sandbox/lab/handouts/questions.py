"""Questions to think about after the measuring, each with an answer worked out for the scene.

A question is a function from a scene, what theory predicts of it (SI, by name) and how the reader
has it written to its text and answer, or None where it does not suit the machine. The numbers of a
"what if" come from `theory`, asked anew.
"""

from __future__ import annotations

from collections.abc import Mapping

from sandbox.lab.handouts.asking import (
    bars,
    gears,
    let_go,
    measuring,
    posts,
    worked_levers,
    worked_machines,
    worked_screws,
    worked_slopes,
    worked_wedges,
)
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
from sandbox.scene import Scene, SceneError, Unanswerable
from sandbox.scene.parts import (
    Block,
    Body,
    Gear,
    Lever,
    Post,
    Ramp,
    Screw,
    SplittingWedge,
    Wedge,
    WheelAndAxle,
)

MOST_QUESTIONS = 6


def questions(scene: Scene, values: Mapping[str, float], display: Display) -> list[Question]:
    """At most MOST_QUESTIONS that suit the machine, `values` being what theory predicts of it.

    Those whose "what if" has no answer are left out.
    """
    makers: list[Asking] = []
    sense = scene.about.mode
    moving = any(block.moves or scene.carriers.get(block.name) for block in scene.of(Block))
    if scene.of(Post) and scene.hand is not None:
        makers += posts.POSTS
    if sense in ("raising", "lowering"):
        if moving:
            makers += worked_machines.MOVING_BLOCK
        if scene.of(Ramp):
            makers += worked_slopes.DRAWN
        if scene.of(Lever):
            makers += worked_levers.LEVER
        if scene.of(Gear):
            makers += gears.GEARS
        elif scene.of(WheelAndAxle):
            makers += worked_machines.WHEEL_AND_AXLE
        elif scene.of(Screw):
            makers += worked_screws.SCREW
        elif scene.of(Wedge):
            makers += worked_wedges.WEDGE
        elif scene.of(SplittingWedge):
            makers += worked_wedges.SPLITTING
        elif scene.of(Block) and not moving:
            makers += worked_machines.FIXED_BLOCKS
        makers += worked_machines.ANY
    elif sense == "held" and scene.hand is not None:
        if scene.of(Screw):
            makers += worked_screws.SCREW
        elif scene.of(Wedge):
            makers += worked_wedges.WEDGE
        elif scene.of(SplittingWedge):
            makers += worked_wedges.SPLITTING
        else:
            makers += worked_slopes.HELD
    elif sense == "held":
        makers += bars.TWO_SUPPORTS
    elif scene.of(Lever):
        makers += bars.BALANCE
    elif scene.of(Body):
        makers += let_go.LET_GO
    elif scene.of(Wedge):
        makers += worked_wedges.LET_GO
    elif scene.of(SplittingWedge):
        makers += worked_wedges.SPLITTING_LET_GO
    makers += measuring.MEASURING
    found: list[Question] = []
    for ask in dict.fromkeys(makers):
        try:
            question = ask(scene, values, display)
        except (Unanswerable, SceneError, LookupError, StopIteration):
            continue
        if question is not None:
            found.append(question)
    # The two about measuring close every sheet.
    return [*found[: MOST_QUESTIONS - 2], *found[-2:]] if len(found) > MOST_QUESTIONS else found
