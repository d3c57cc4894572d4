"""Questions on measuring, which close every sheet."""

from __future__ import annotations

from collections.abc import Mapping

from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.planning.bench import Dial, standard_share
from sandbox.lab.wording import number
from sandbox.scene import Scene
from sandbox.scene.parts import Block, Body, Gauge, Lever, Ramp, Rope


def _divisions(scene: Scene, values: Mapping[str, float]) -> Question | None:
    gauges = scene.of(Gauge)
    if not gauges:
        return Question(
            "Your rule is read to 1 mm. What is the standard uncertainty of a length between two "
            "readings, from the divisions alone?",
            "Each reading: 1 mm / √12 = 0.29 mm. A length is the difference of two: √2 × 0.29 mm "
            "= 0.41 mm.",
        )
    gauge = gauges[0]
    reading = values.get(f"{gauge.name}.reading")
    if reading is None and scene.hand is not None:
        reading = values.get(f"{scene.hand.name}.greatest_force")
    if not reading:
        return None
    dial = Dial(gauge.range, gauge.graduation)
    share = standard_share(dial, reading)
    return Question(
        f"“{gauge.name}” is divided to {gauge.graduation:g} N. What is the standard uncertainty of "
        "one reading from that alone, and what share of the reading?",
        f"{gauge.graduation:g} N / √12 = {number(share * reading, 'N', 2)}, which is "
        f"{100 * share:.2g} % of {number(reading, 'N')}.",
    )


def _left_out(scene: Scene, _values: Mapping[str, float]) -> Question:
    found = []
    if scene.of(Block):
        found.append("the line's own weight and its stiffness over sheaves (more effort)")
    elif scene.of(Rope):
        found.append("the line's own weight (a shifted reading)")
    if scene.of(Gauge):
        found.append("the gauge's own weight (where it hangs from the line, a shifted reading)")
    if scene.of(Ramp):
        found.append("unevenness of the board (readings that wander)")
    if scene.of(Lever) and not scene.of(Rope):
        found.append("friction at the pivot (it may stop a little off its place)")
        found.append("a bar that bends, or whose centre of mass is not where it was taken to be")
    if scene.about.mode == "released" and scene.of(Body):
        found.append("drag of the air and the time of your reaction (a slower motion)")
    return Question(
        "Name something on your bench that the prediction leaves out, and say which way it would "
        "shift the result.",
        "For instance: " + "; ".join(found) + ".",
    )


MEASURING: tuple[Asking, ...] = (_divisions, _left_out)
