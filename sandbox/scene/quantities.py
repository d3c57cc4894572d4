"""The names of what can be measured and predicted: "PART.QUANTITY".

Both engines answer under these names, which is how `check` lays the answers side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sandbox import units
from sandbox.facts import label
from sandbox.scene.model import Scene
from sandbox.scene.parts import Hand, Part, Rope


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: what it is called, what it is, its dimension, and the unit it is shown
    in."""

    label: str
    """Its name, a text of the catalogues: {part} is whose it is, {number} which of them."""
    heading: str
    """The same as a student's table is headed."""
    about: str
    dimension: units.Dimension
    unit: str


QUANTITIES: dict[str, Quantity] = {
    "force": Quantity(
        label("{part} effort"),
        label("Effort"),
        "the effort: the pull of the hand",
        units.FORCE,
        "N",
    ),
    "least_force": Quantity(
        label("{part} least effort"),
        label("Least effort that holds"),
        "the least effort that holds",
        units.FORCE,
        "N",
    ),
    "greatest_force": Quantity(
        label("{part} greatest effort"),
        label("Greatest effort that holds"),
        "the greatest effort that holds",
        units.FORCE,
        "N",
    ),
    "travel": Quantity(
        label("{part} travel"),
        label("Effort distance"),
        "how far the hand has hauled",
        units.LENGTH,
        "m",
    ),
    "rise": Quantity(
        label("{part} rise"),
        label("Rise of {part}"),
        "how far the load has risen",
        units.LENGTH,
        "m",
    ),
    "tension": Quantity(
        label("{part} tension {number}"),
        label("Tension in part {number} of {part}"),
        "the tension of one part of a rope",
        units.FORCE,
        "N",
    ),
    "pin_load": Quantity(
        label("{part} pin load {number}"),
        label("Load on pin {number} of {part}"),
        "the load on one sheave's pin",
        units.FORCE,
        "N",
    ),
    "reaction": Quantity(
        label("{part} reaction"),
        label("Reaction at {part}"),
        "the force of a fixed point",
        units.FORCE,
        "N",
    ),
    "support": Quantity(
        label("{part} support {number}"),
        label("Force of support {number} of {part}"),
        "the force of one support",
        units.FORCE,
        "N",
    ),
    "tilt": Quantity(
        label("{part} tilt"),
        label("Tilt of {part}"),
        "the tilt at rest, anticlockwise positive",
        units.ANGLE,
        "deg",
    ),
    "turn": Quantity(
        label("{part} turn"),
        label("Turn of {part}"),
        "how far a lever or wheel and axle turns over the stroke",
        units.ANGLE,
        "deg",
    ),
    "normal": Quantity(
        label("{part} normal force"),
        label("Normal force on {part}"),
        "the normal force of the ramp",
        units.FORCE,
        "N",
    ),
    "friction": Quantity(
        label("{part} friction"),
        label("Friction on {part}"),
        "the friction of the ramp, up the slope positive",
        units.FORCE,
        "N",
    ),
    "stop_force": Quantity(
        label("{part} force of its stop"),
        label("Force of the stop of {part}"),
        "the force of the stop: of a lever's peg, square to the bar; of the toe board at the foot "
        "of a ramp, up the slope",
        units.FORCE,
        "N",
    ),
    "acceleration": Quantity(
        label("{part} acceleration"),
        label("Acceleration of {part}"),
        "the acceleration: up the slope for a body, upward for a weight",
        units.ACCELERATION,
        "m/s²",
    ),
    "reading": Quantity(
        label("{part} reading"),
        label("Reading of {part}"),
        "what the gauge shows, before it is read to a graduation",
        units.FORCE,
        "N",
    ),
    "velocity_ratio": Quantity(
        label("machine velocity ratio"),
        label("Velocity ratio (effort distance / load distance)"),
        "the hand's distance for each of the load's",
        units.NUMBER,
        "",
    ),
    "ideal_mechanical_advantage": Quantity(
        label("machine ideal mechanical advantage"),
        label("Ideal mechanical advantage (load / effort without losses)"),
        "load over effort without losses",
        units.NUMBER,
        "",
    ),
    "mechanical_advantage": Quantity(
        label("machine mechanical advantage"),
        label("Mechanical advantage (load / effort)"),
        "load over effort",
        units.NUMBER,
        "",
    ),
    "work_in": Quantity(
        label("machine work in"), label("Work in"), "the work of the hand", units.ENERGY, "J"
    ),
    "work_out": Quantity(
        label("machine work out"),
        label("Useful work out"),
        "the work done on the load",
        units.ENERGY,
        "J",
    ),
    "efficiency": Quantity(
        label("machine efficiency"),
        label("Efficiency (useful work out / work in)"),
        "work out over work in",
        units.NUMBER,
        "",
    ),
}


def kind_of(name: str) -> Quantity:
    """The kind of the quantity called `name`, such as "fall.tension_2". Raises KeyError."""
    word = name.rpartition(".")[2]
    stem, _, number = word.rpartition("_")
    return QUANTITIES[stem if number.isdigit() else word]


def title(name: str) -> str:
    """The English heading of the quantity called `name`, without a unit. Raises KeyError.

    >>> title("fall.tension_2"), title("hand.force")
    ('Tension in part 2 of fall', 'Effort')
    """
    part, _, word = name.rpartition(".")
    return kind_of(name).heading.format(part=part, number=word.rpartition("_")[2])


MACHINE = (
    "velocity_ratio",
    "ideal_mechanical_advantage",
    "mechanical_advantage",
    "work_in",
    "work_out",
    "efficiency",
)
"""What is asked of a machine as a whole, where a hand works it and it has a load."""


def names(scene: Scene) -> list[str]:
    """Every quantity that could be asked of a scene, whatever its mode: the hand's, the load's and
    the ropes' first."""
    hands, ropes = scene.of(Hand), scene.of(Rope)
    others = [part for part in scene.parts.values() if part not in (*hands, *ropes)]
    found = list(_of(scene, hands))
    if scene.load:
        found.append(f"{scene.load}.rise")
    found += [*_of(scene, ropes), *_of(scene, others)]
    if scene.hand and scene.load:
        found += [f"machine.{word}" for word in MACHINE]
    return found


def _of(scene: Scene, parts: Iterable[Part]) -> Iterator[str]:
    return (f"{part.name}.{word}" for part in parts for word in part.quantities(scene))
