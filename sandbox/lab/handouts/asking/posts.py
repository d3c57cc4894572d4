"""Questions on a rope round a post."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from sandbox import theory, units
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.language.display import Display
from sandbox.scene import Scene, with_parts
from sandbox.scene.parts import Post


def _asked(scene: Scene) -> str:
    """The quantity that the questions are about: the effort, or the least that holds."""
    hand = scene.hand.name if scene.hand else ""
    return f"{hand}.least_force" if scene.about.mode == "held" else f"{hand}.force"


def _thicker_post(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    post, now = scene.of(Post)[0], values[_asked(scene)]
    # Beside a thicker post the line would lead elsewhere: so much is said as if it did not.
    return Question(
        display.say(
            "“{post}” is replaced by one twice as thick, of the same wood; the line goes round it "
            "by the same angle. What pull is needed then?",
            post=post.name,
        ),
        display.say(
            "{now}, as before: what friction holds depends on the angle and the coefficient, not "
            "on how thick the post is.",
            now=display.value(now, units.FORCE),
        ),
    )


def _one_more_turn(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    post, quantity = scene.of(Post)[0], _asked(scene)
    more = with_parts(scene, {post.name: replace(post, turns=post.turns + 1)})
    now, then = values[quantity], theory.predict(more).quantities[quantity]
    if not now or not then:
        return None
    return Question(
        display.say(
            "The line is taken round “{post}” once more. What pull is needed then?", post=post.name
        ),
        display.say(
            "{then} instead of {now}. Each turn multiplies the pull by the same factor, {factor}; "
            "it does not add the same again.",
            then=display.value(then, units.FORCE),
            now=display.value(now, units.FORCE),
            factor=display.value(then / now, units.NUMBER),
        ),
    )


POSTS: list[Asking] = [_one_more_turn, _thicker_post]
