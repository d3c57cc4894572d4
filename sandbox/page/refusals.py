"""Why a page is not made: each a kind of fact."""

from __future__ import annotations

from sandbox.facts import Kind

TO_BE_FOUND = Kind("to_be_found", "--vary: {key} is what this student is to find")
TOO_LARGE = Kind(
    "page_too_large",
    "the page would be {size} kB, of {most} kB at most: vary less (--vary KEY=LOW..HIGH)",
)
NOT_MEASURED = Kind("page_not_measured", "{quantity} is not measured")
TOO_SHARP = Kind(
    "too_sharp",
    "over this range of {keys} the machine changes too sharply for {most} runs: narrow it, or "
    "vary one alone (--vary KEY=LOW..HIGH)",
)
DIFFERENT_LENGTHS = Kind("different_lengths", "--vary: its values make runs of different lengths")
BETWEEN = Kind("between", "--vary: between {first} and {last}: {reason}")
SETTING = Kind("setting", "{key} = {value}")
SETTINGS = Kind("settings", "({settings})")
