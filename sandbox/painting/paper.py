"""The two papers and their inks: white for print, dark for a projector.

Hues are Okabe and Ito's, "Color Universal Design" (2008), which people with the common kinds of
colour blindness tell apart; each is darkened or lightened no more than it takes to be legible on
its paper by the contrast ratios of WCAG 2.1 (4.5:1 for text, 3:1 for graphics). Colour never
carries a meaning alone: every force has its name beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Colour = tuple[int, int, int]
PaperName = Literal["white", "dark"]

OKABE_ITO: dict[str, Colour] = {
    "black": (0, 0, 0),
    "orange": (230, 159, 0),
    "sky blue": (86, 180, 233),
    "bluish green": (0, 158, 115),
    "yellow": (240, 228, 66),
    "blue": (0, 114, 178),
    "vermillion": (213, 94, 0),
    "reddish purple": (204, 121, 167),
}
TEXT_CONTRAST, GRAPHIC_CONTRAST = 4.5, 3.0

_HUES = {
    "rope": "blue",
    "tension": "blue",
    "weight": "reddish purple",
    "effort": "vermillion",
    "reaction": "bluish green",
    "normal": "bluish green",
    "friction": "orange",
    "focus": "yellow",
}
PEN: Colour = (138, 100, 243)
"""Of what is drawn on the sheet by hand: one colour for both papers, so that what was called violet
stays so; of another hue than any force."""
_BANDS = {
    "potential": "bluish green",
    "elastic": "reddish purple",
    "kinetic": "sky blue",
    "heat": "orange",
}
"""Of the bars of the energy chart, each of which has its name beside it."""


@dataclass(frozen=True)
class Paper:
    """A paper's colours, by role."""

    name: PaperName
    inks: dict[str, Colour]
    fills: dict[str, Colour]
    areas: dict[str, Colour]
    """Under the curves of a chart, where no text stands."""

    @property
    def ground(self) -> Colour:
        """The bare paper."""
        return self.fills["paper"]

    def __getitem__(self, role: str) -> Colour:
        return self.inks.get(role) or self.fills.get(role) or self.areas[role]


def luminance(colour: Colour) -> float:
    """Relative luminance, 0 to 1, as WCAG 2.1 defines it."""

    def linear(channel: int) -> float:
        c = channel / 255
        return c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(channel) for channel in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio, 1 to 21, as WCAG 2.1 defines it."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def mixed(one: Colour, other: Colour, share: float) -> Colour:
    """A colour with a share (0 to 1) of another in it."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
    return red, green, blue


def legible(colour: Colour, grounds: Sequence[Colour], ratio: float) -> Colour:
    """The colour, with just as much black or white in it as it takes to stand out by `ratio` from
    every one of `grounds`, which are all light or all dark."""
    end: Colour = (0, 0, 0) if luminance(grounds[0]) > 0.18 else (255, 255, 255)
    for share in range(101):
        found = mixed(colour, end, share / 100)
        if all(contrast(found, ground) >= ratio for ground in grounds):
            return found
    raise ValueError("grounds on which nothing is legible")


def _paper(name: PaperName, ground: Colour, ink: Colour, tints: dict[str, Colour]) -> Paper:
    fills = {"paper": ground, **tints}
    grounds = list(fills.values())
    quiet = legible(mixed(ground, ink, 0.5), grounds, GRAPHIC_CONTRAST)
    inks = {role: legible(OKABE_ITO[hue], grounds, TEXT_CONTRAST) for role, hue in _HUES.items()}
    bands = {
        role: legible(OKABE_ITO[hue], [ground], GRAPHIC_CONTRAST) for role, hue in _BANDS.items()
    }
    areas = {f"{role} area": mixed(ground, inks[role], 0.2) for role in ("effort", "weight")}
    faint = mixed(ground, ink, 0.16)
    inks |= {"ink": ink, "quiet": quiet, "faint": faint, "pen": PEN, **bands}
    return Paper(name, inks, fills, areas)


PAPERS: dict[PaperName, Paper] = {
    "white": _paper(
        "white",
        (255, 255, 255),
        (22, 26, 32),
        {"metal": (234, 239, 243), "wood": (247, 238, 220), "mass": (222, 226, 232)},
    ),
    "dark": _paper(
        "dark",
        (15, 19, 25),
        (238, 241, 245),
        {"metal": (32, 40, 50), "wood": (46, 38, 26), "mass": (44, 50, 60)},
    ),
}
