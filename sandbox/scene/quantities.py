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
    in. Its names are texts of the catalogues: {part} is whose it is, {number} which of them."""

    label: str
    """Its name, within a text."""
    heading: str
    """The same as a student's table is headed."""
    about: str
    """The same for those who are asked for it."""
    dimension: units.Dimension
    unit: str


QUANTITIES: dict[str, Quantity] = {
    "force": Quantity(
        label("effort"),
        label("Effort"),
        label("Effort: the pull of the hand"),
        units.FORCE,
        "N",
    ),
    "least_force": Quantity(
        label("least effort that holds"),
        label("Least effort that holds"),
        label("Least effort that holds"),
        units.FORCE,
        "N",
    ),
    "greatest_force": Quantity(
        label("greatest effort that holds"),
        label("Greatest effort that holds"),
        label("Greatest effort that holds"),
        units.FORCE,
        "N",
    ),
    "travel": Quantity(
        label("effort distance"),
        label("Effort distance"),
        label("Effort distance: how far the hand moves"),
        units.LENGTH,
        "m",
    ),
    "rise": Quantity(
        label("load distance of {part}"),
        label("Load distance of {part}"),
        label("Load distance: how far “{part}” rises"),
        units.LENGTH,
        "m",
    ),
    "tension": Quantity(
        label("tension in part {number} of {part}"),
        label("Tension in part {number} of {part}"),
        label("Tension in part {number} of “{part}”, counted from its standing (fixed) end"),
        units.FORCE,
        "N",
    ),
    "pin_load": Quantity(
        label("load on pin {number} of {part}"),
        label("Load on pin {number} of {part}"),
        label("Load on the pin of sheave (wheel) {number} of “{part}”"),
        units.FORCE,
        "N",
    ),
    "reaction": Quantity(
        label("force on what holds {part}"),
        label("Force on what holds {part}"),
        label("Force on what holds “{part}”"),
        units.FORCE,
        "N",
    ),
    "support": Quantity(
        label("force of support {number} of {part}"),
        label("Force of support {number} of {part}"),
        label("Force of support (prop) {number} of “{part}”, counted from the left"),
        units.FORCE,
        "N",
    ),
    "tilt": Quantity(
        label("tilt of {part}"),
        label("Tilt of {part}"),
        label("Tilt at which “{part}” comes to rest (anticlockwise positive)"),
        units.ANGLE,
        "deg",
    ),
    "turn": Quantity(
        label("turn of {part}"),
        label("Turn of {part}"),
        label("Turn of “{part}” over the stroke"),
        units.ANGLE,
        "deg",
    ),
    "tooth_force": Quantity(
        label("tooth force on {part}"),
        label("Tooth force on {part}"),
        label("Tooth force: with what force the gear it meshes with drives or holds “{part}”"),
        units.FORCE,
        "N",
    ),
    "contact_angle": Quantity(
        label("contact angle on {part}"),
        label("Contact angle on {part}"),
        label("Contact angle: how far the rope goes round “{part}”"),
        units.ANGLE,
        "deg",
    ),
    "driven": Quantity(
        label("travel of {part}"),
        label("Travel of {part}"),
        label("Travel of “{part}” over the stroke (driven in positive)"),
        units.LENGTH,
        "m",
    ),
    "face_force": Quantity(
        label("force on the inclined face of {part}"),
        label("Force on the inclined face of {part}"),
        label("Force between the inclined face of “{part}” and its follower, friction included"),
        units.FORCE,
        "N",
    ),
    "left_face_force": Quantity(
        label("force on the left face of {part}"),
        label("Force on the left face of {part}"),
        label("Force between the left face of “{part}” and its jaw, friction included"),
        units.FORCE,
        "N",
    ),
    "right_face_force": Quantity(
        label("force on the right face of {part}"),
        label("Force on the right face of {part}"),
        label("Force between the right face of “{part}” and its jaw, friction included"),
        units.FORCE,
        "N",
    ),
    "normal": Quantity(
        label("normal force on {part}"),
        label("Normal force on {part}"),
        label("Normal force of the ramp on “{part}”"),
        units.FORCE,
        "N",
    ),
    "friction": Quantity(
        label("friction on {part}"),
        label("Friction on {part}"),
        label("Friction of the ramp on “{part}” (up the slope positive)"),
        units.FORCE,
        "N",
    ),
    "stop_force": Quantity(
        label("force of the stop of {part}"),
        label("Force of the stop of {part}"),
        label("Force of the stop of “{part}”"),
        units.FORCE,
        "N",
    ),
    "acceleration": Quantity(
        label("acceleration of {part}"),
        label("Acceleration of {part}"),
        label("Acceleration of “{part}”: up the slope for a body, upward for others"),
        units.ACCELERATION,
        "m/s²",
    ),
    "reading": Quantity(
        label("force meter reading, {part}"),
        label("Force meter reading, {part}"),
        label("Force meter reading, “{part}”"),
        units.FORCE,
        "N",
    ),
    "least_reading": Quantity(
        label("force meter reading, {part}, just before it slips back"),
        label("Force meter reading, {part}, just before it slips back"),
        label("Force meter reading, “{part}”, eased off, just before the load slips back"),
        units.FORCE,
        "N",
    ),
    "greatest_reading": Quantity(
        label("force meter reading, {part}, just before it starts"),
        label("Force meter reading, {part}, just before it starts"),
        label("Force meter reading, “{part}”, pulled harder, just before the load starts"),
        units.FORCE,
        "N",
    ),
    "time": Quantity(
        label("stopwatch reading, {part}"),
        label("Stopwatch reading, {part}"),
        label("Stopwatch reading, “{part}”: how long from rest to the mark"),
        units.TIME,
        "s",
    ),
    "timed_distance": Quantity(
        label("distance timed by {part}"),
        label("Distance timed by {part}"),
        label("Distance timed by “{part}”, from rest to the mark"),
        units.LENGTH,
        "m",
    ),
    "velocity_ratio": Quantity(
        label("velocity ratio"),
        label("Velocity ratio (effort distance / load distance)"),
        label("Velocity ratio (effort distance / load distance)"),
        units.NUMBER,
        "",
    ),
    "ideal_mechanical_advantage": Quantity(
        label("ideal mechanical advantage"),
        label("Ideal mechanical advantage (load / effort without losses)"),
        label("Ideal mechanical advantage (load / effort without losses)"),
        units.NUMBER,
        "",
    ),
    "mechanical_advantage": Quantity(
        label("mechanical advantage"),
        label("Mechanical advantage (load / effort)"),
        label("Mechanical advantage (load / effort)"),
        units.NUMBER,
        "",
    ),
    "work_in": Quantity(
        label("work in"),
        label("Work in"),
        label("Work in: the work of the effort"),
        units.ENERGY,
        "J",
    ),
    "work_out": Quantity(
        label("useful work out"),
        label("Useful work out"),
        label("Useful work out: the work on the load"),
        units.ENERGY,
        "J",
    ),
    "power_in": Quantity(
        label("power put in"),
        label("Power put in"),
        label("Power put in: effort × its speed, in the middle of the stroke"),
        units.POWER,
        "W",
    ),
    "power_out": Quantity(
        label("useful power out"),
        label("Useful power out"),
        label("Useful power out: the load’s weight × the speed of its rise, in mid-stroke"),
        units.POWER,
        "W",
    ),
    "efficiency": Quantity(
        label("efficiency"),
        label("Efficiency (useful work out / work in)"),
        label("Efficiency (useful work out / work in)"),
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
    "power_in",
    "power_out",
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
