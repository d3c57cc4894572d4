"""Figures for print, drawn by matplotlib: the same bytes whatever notebook or machine asks."""

from __future__ import annotations

import io
import logging
import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Form = Literal["svg", "png"]
FORMS: tuple[Form, ...] = ("svg", "png")


def drawn(size: tuple[float, float], form: Form, draw: Callable[[Figure], None]) -> bytes:
    """A figure of that width and height, inches, as `draw` fills it."""
    # What a notebook asks for may not be there. Nor does it matter that there is no place to keep a
    # list of fonts in: it is made anew.
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    asked = os.environ.pop("MPLBACKEND", None)
    try:
        import matplotlib
    finally:
        if asked is not None:
            os.environ["MPLBACKEND"] = asked
    from matplotlib.figure import Figure

    settings: Any = {
        "font.size": 10,
        "svg.fonttype": "path",
        "svg.hashsalt": "sandbox",
        "hatch.linewidth": 0.5,
        "hatch.color": "#555555",
    }
    with matplotlib.rc_context(settings):
        figure = Figure(figsize=size, layout="constrained")
        draw(figure)
        out = io.BytesIO()
        metadata = {"Date": None} if form == "svg" else None
        figure.savefig(out, format=form, dpi=150, metadata=metadata)
        return out.getvalue()
