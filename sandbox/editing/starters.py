"""Texts of scenes to begin with: an empty sheet, and machines to build on."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from sandbox.facts import label
from sandbox.source_text import SourceText

NEW = "new_sheet"
"""The name of a scene that no file has yet."""
_HEAD = '[scene]\ntitle = ""\nwatch = ""\nmode = "{mode}"\n'


class Starter(NamedTuple):
    """A machine to begin with."""

    name: str
    title: str
    """A text of the catalogues, as is the next."""
    watch: str
    mode: str
    parts: str

    def text(self, say: Callable[[str], str]) -> str:
        """The text of its scene file, with title and hint in the language of `say`."""
        source = SourceText(_HEAD.format(mode=self.mode) + self.parts)
        source = source.put(("scene", "title"), say(self.title))
        return source.put(("scene", "watch"), say(self.watch)).text


EMPTY = Starter(
    NEW,
    label("New sheet"),
    label("What moves, and what holds it?"),
    "released",
    "",
)
STARTERS = (
    Starter(
        "lever",
        label("A lever on its fulcrum"),
        label("Hang a weight on either side: where does the spar come to rest?"),
        "released",
        """
[lever.spar]
length = "1 m"
mass = "400 g"
at = ["0 cm", "60 cm"]
fulcrum = "50 cm"
pivot_height = "2 cm"
rotational_damping = "0.1 N m s"
""",
    ),
    Starter(
        "tackle",
        label("A two-part tackle"),
        label("How far does the hand haul for each centimetre that the ballast rises?"),
        "raising",
        """
[block.upper]
at = ["0 cm", "100 cm"]
bearing_friction = 0.2

[block.lower]
under = "upper"
drop = "60 cm"
bearing_friction = 0.2
mass = "80 g"
moves = true

[weight.ballast]
mass = "1 kg"
on = "lower"

[rope.fall]
reeve = ["upper.becket", "lower.1", "upper.1", "hand"]

[hand.hand]
at = ["plumb", "60 cm"]
""",
    ),
    Starter(
        "ramp",
        label("A ramp with a body on it"),
        label("Does the sled stay where it is put?"),
        "released",
        """
[ramp.slip]
at = ["0 cm", "0 cm"]
length = "1 m"
angle = "15 deg"
static_friction = 0.35
kinetic_friction = 0.3

[body.sled]
mass = "1 kg"
on = "slip@30 cm"
""",
    ),
)
