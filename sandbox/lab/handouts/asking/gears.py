"""Questions on a train of gears."""

from __future__ import annotations

from collections.abc import Mapping

from sandbox import units
from sandbox.lab.handouts.asking.question import Asking, Question
from sandbox.lab.working.trains import train
from sandbox.language.display import Display
from sandbox.scene import Scene


def _ratio(scene: Scene, values: Mapping[str, float], display: Display) -> Question | None:
    found = train(scene)
    if found is None or f"{found.takes.name}.turn" not in values:
        return None
    products = (" × ".join(str(pair[side].teeth) for pair in found.meshes) for side in (1, 0))
    driven, driving = products
    return Question(
        display.say(
            "How often does “{crank}” turn for each turn of “{drum}”? Count teeth.",
            crank=found.hauled.name,
            drum=found.takes.name,
        ),
        display.say(
            "{ratio} times: the teeth of the driven gears over those of the driving ones, "
            "{driven} / {driving}. It is their ratio that counts, not their difference.",
            ratio=display.value(found.ratio, units.NUMBER),
            driven=driven,
            driving=driving,
        ),
    )


def _idler(scene: Scene, _values: Mapping[str, float], display: Display) -> Question | None:
    found = train(scene)
    if found is None or not found.idlers:
        return None
    return Question(
        display.say(
            "“{idler}” is replaced by a gear of twice as many teeth. What becomes of the velocity "
            "ratio, and what does “{idler}” do at all?",
            idler=found.idlers[0].name,
        ),
        display.say(
            "Nothing: its teeth stand above and below the line and cancel. It only makes the next "
            "gear turn the other way, and its bearing rubs."
        ),
    )


GEARS: list[Asking] = [_ratio, _idler]
