"""The surface of a window, where no more is painted in a frame than has changed."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sandbox.drawing.strokes import Box, Drawing, bounds
from sandbox.painting.amending import Patch, places
from sandbox.painting.paper import Paper
from sandbox.painting.raster import paint, painter
from sandbox.painting.settled import Settled

AT_ONCE = 15
"""How many items are painted in a frame, about, where what seldom changes is amended: unless more
comes and goes than there is in the end."""


class Canvas:
    """A window's surface: what seldom changes is painted once and kept beneath what moves."""

    def __init__(self) -> None:
        self._kept: pygame.Surface | None = None
        self._aside: pygame.Surface | None = None
        """Where pieces of it are painted that are to be amended."""
        self._painted: Drawing | None = None
        self._settled: Settled | None = None
        self._boxes: dict[int, Box] = {}
        """Of what of that is painted, by identity."""
        self._look: object = None
        self._amending: Iterator[Patch | None] | None = None
        self.behind = False
        """Whether some of what seldom changes is still to be amended, in the next frames."""

    def forget(self) -> None:
        """What was painted on the surface may be lost: paint all of it in the next frame."""
        if self._settled is not None:
            self._settled.shown_on = None

    def paint(self, under: Drawing, over: Drawing, paper: Paper, surface: pygame.Surface) -> None:
        """Paint two drawings of one sheet, the first of which is known by its being the same."""
        look = (paper.name, surface.get_size(), under.width, under.height)
        scale = surface.get_height() / under.height
        amended: list[Patch] = []
        if self._settled is None or self._kept is None or self._look != look:
            self._kept, self._aside, self._boxes = surface.copy(), surface.copy(), {}
            self._painted, self._look, self._amending = under, look, None
            paint(under, paper, self._kept)
            self._settled = Settled(self._kept, paper, scale, under.height)
        elif self._painted is not None and under is not self._painted:
            other = under.arrangement != self._painted.arrangement
            if other:
                amended += filter(None, self._amending or ())
            if other or self._amending is None:
                self._amending = self._amend(self._kept, self._painted, under, paper, other)
                self._painted = under
        if self._amending is not None:
            for place in self._amending:
                if place is None:
                    break
                amended.append(place)
            else:
                self._amending = None
        self.behind = self._amending is not None or under is not self._painted
        self._settled.paint(over.items, surface, amended)

    def _amend(
        self, surface: pygame.Surface, old: Drawing, new: Drawing, paper: Paper, at_once: bool
    ) -> Iterator[Patch | None]:
        """Paint anew only where one drawing differs from the other, and give each place when all of
        it is painted; much of it in several pieces, one in a frame, with None after each, if not
        `at_once`."""
        known, self._boxes = self._boxes, {}
        for item in new.items:
            self._boxes[id(item)] = known.get(id(item)) or bounds(item)
        # Most of it is the very same, and need not be compared.
        same = self._boxes.keys() & {id(item) for item in old.items}
        gone = [item for item in old.items if id(item) not in same]
        come = [item for item in new.items if id(item) not in same]
        before, after = set(gone), set(come)
        boxes = [known.get(id(item)) or bounds(item) for item in gone if item not in after]
        boxes += [self._boxes[id(item)] for item in come if item not in before]
        scale = surface.get_height() / new.height
        painted, gradually = 0, not at_once and len(boxes) <= len(new.items)
        if gradually and len(boxes) > AT_ONCE:
            # To find what differs takes as long as to paint some of it.
            yield None
        aside = self._aside
        assert aside is not None
        paint_item = painter(paper, aside, scale, new.height)
        for place in places(boxes, scale, new.height):
            aside.fill(paper.ground, place.pixels)
            for item in new.items:
                if place.near.meets(self._boxes[id(item)]):
                    paint_item(item)
                    painted += 1
                    if gradually and painted % AT_ONCE == 0:
                        yield None
            surface.blit(aside, place.pixels, place.pixels)
            yield place
