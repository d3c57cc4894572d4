"""The [scene] table of a scene file."""

from __future__ import annotations

from dataclasses import dataclass

from sandbox import units
from sandbox.facts import label
from sandbox.scene import keys


@dataclass(frozen=True, kw_only=True)
class About:
    """The [scene] table: what the scene is, and how the machine is worked."""

    title: str = keys.key("text", "a title", most=100, called=label("title"))
    watch: str = keys.key("text", "what to watch", most=400, called=label("what to watch"))
    predict: tuple[str, ...] = keys.key(
        "names",
        "quantities worth predicting before it is run",
        (),
        most=20,
        called=label("what is to be predicted"),
    )
    mode: str = keys.key(
        "choice",
        "how the machine is worked",
        choices=("raising", "lowering", "held", "released"),
        called=label("how the machine is worked"),
    )
    load: str | None = keys.key(
        "name",
        "the part that is raised, with all it carries; the only weight or body",
        None,
        called=label("which part is the load"),
    )
    gravity: float = keys.value(
        label("acceleration of free fall"),
        units.ACCELERATION,
        "acceleration of free fall",
        9.80665,
        low=0.01,
        high=100.0,
    )
    floor: float | None = keys.length(
        label("height of the floor"), "height of a floor on which things land", None, low=-100.0
    )
    duration: float | None = keys.value(
        label("how long it runs"), units.TIME, "how long to run", None, low=0.05, high=600.0
    )
    dealt: str | None = keys.key("text", "what a deal sealed for one student", None, most=4000)
