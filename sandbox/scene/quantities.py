"""The names of what can be measured and predicted: "PART.QUANTITY".

Both engines answer under these names, which is how `check` lays the answers side by side.
"""

from __future__ import annotations

from dataclasses import dataclass

from sandbox import units
from sandbox.scene.model import Scene
from sandbox.scene.parts import Anchor, Block, Body, Gauge, Lever, Weight, WheelAndAxle


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: what it is, its dimension, and the unit it is shown in."""

    about: str
    dimension: units.Dimension
    unit: str


QUANTITIES: dict[str, Quantity] = {
    "force": Quantity("the effort: the pull of the hand", units.FORCE, "N"),
    "least_force": Quantity("the least effort that holds", units.FORCE, "N"),
    "greatest_force": Quantity("the greatest effort that holds", units.FORCE, "N"),
    "travel": Quantity("how far the hand has hauled", units.LENGTH, "m"),
    "rise": Quantity("how far the load has risen", units.LENGTH, "m"),
    "tension": Quantity("the tension of one part of a rope", units.FORCE, "N"),
    "pin_load": Quantity("the load on one sheave's pin", units.FORCE, "N"),
    "reaction": Quantity("the force a fixed point gives", units.FORCE, "N"),
    "support": Quantity("the force one support gives", units.FORCE, "N"),
    "tilt": Quantity("the tilt at rest, anticlockwise positive", units.ANGLE, "deg"),
    "turn": Quantity("how far a lever or wheel and axle turns over the stroke", units.ANGLE, "deg"),
    "normal": Quantity("the normal force of the ramp", units.FORCE, "N"),
    "friction": Quantity("the friction of the ramp, up the slope positive", units.FORCE, "N"),
    "stop_force": Quantity(
        "the push of the stop: of a lever's peg, square to the bar; of the toe board at the foot "
        "of a ramp, up the slope",
        units.FORCE,
        "N",
    ),
    "acceleration": Quantity(
        "the acceleration: up the slope for a body, upward for a weight",
        units.ACCELERATION,
        "m/s²",
    ),
    "reading": Quantity(
        "what the gauge shows, before it is read to a graduation", units.FORCE, "N"
    ),
    "velocity_ratio": Quantity("the hand's distance for each of the load's", units.NUMBER, ""),
    "ideal_mechanical_advantage": Quantity("load over effort without losses", units.NUMBER, ""),
    "mechanical_advantage": Quantity("load over effort", units.NUMBER, ""),
    "work_in": Quantity("the work of the hand", units.ENERGY, "J"),
    "work_out": Quantity("the work done on the load", units.ENERGY, "J"),
    "efficiency": Quantity("work out over work in", units.NUMBER, ""),
}


def kind_of(name: str) -> Quantity:
    """The kind of the quantity called `name`, such as "fall.tension_2". Raises KeyError."""
    word = name.rpartition(".")[2]
    stem, _, number = word.rpartition("_")
    return QUANTITIES[stem if number.isdigit() else word]


def names(scene: Scene) -> list[str]:
    """Every quantity that could be asked of a scene, whatever its sense."""
    found: list[str] = []
    if scene.hand:
        found += [
            f"{scene.hand.name}.{word}" for word in ("force", "least_force", "greatest_force")
        ]
        found += [f"{scene.hand.name}.travel"]
    if scene.load:
        found.append(f"{scene.load}.rise")
    for line in scene.lines:
        found += [f"{line.rope}.tension_{i + 1}" for i in range(line.spans)]
    for part in scene.parts.values():
        if isinstance(part, Block):
            found += [f"{part.name}.pin_load_{i + 1}" for i in range(part.sheaves)]
            if not part.moves and scene.carriers.get(part.name) is None:
                found.append(f"{part.name}.reaction")
        elif isinstance(part, Anchor):
            found.append(f"{part.name}.reaction")
        elif isinstance(part, Lever):
            found += [f"{part.name}.tilt", f"{part.name}.turn"]
            if part.fulcrum is not None:
                found += [f"{part.name}.reaction", f"{part.name}.stop_force"]
            found += [f"{part.name}.support_{i + 1}" for i in range(len(part.supports))]
        elif isinstance(part, WheelAndAxle):
            found += [f"{part.name}.turn", f"{part.name}.reaction"]
        elif isinstance(part, Body):
            found += [
                f"{part.name}.{w}" for w in ("normal", "friction", "stop_force", "acceleration")
            ]
        elif isinstance(part, Weight) and part.name in scene.frames:
            found.append(f"{part.name}.acceleration")
        elif isinstance(part, Gauge):
            found.append(f"{part.name}.reading")
    if scene.hand and scene.load:
        found += [
            f"machine.{word}"
            for word in (
                "velocity_ratio",
                "ideal_mechanical_advantage",
                "mechanical_advantage",
                "work_in",
                "work_out",
                "efficiency",
            )
        ]
    return found
