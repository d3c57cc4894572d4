"""What a page gives back once the work is finished: the bench's own numbers, which misconception
gives which number, and the answer line by line.

A recorded page has no program to ask, so the answers travel in it, sealed: compressed (RFC 1950),
then exclusive-or a stream of the SHA-256 of "TOKEN|feedback|0", "TOKEN|feedback|1", ..., in base64.
The token is in the page, as the page must open the seal by itself when the record is closed. That
keeps the answers from being read in passing, in the file or by a search in it; it keeps nobody from
them who can read the page's script, and is no security for an examination. A page made without
feedback has none of it: where answers must not be out before the last student has handed in, that
is the one to give out.
"""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Mapping, Sequence
from typing import Any

from sandbox import units
from sandbox.lab.class_work import misconceptions, predict
from sandbox.lab.class_work.deal import Bench
from sandbox.lab.handouts.handout import SUBSCRIPT
from sandbox.lab.handouts.phrases import Phrases
from sandbox.lab.handouts.worked_answer import work
from sandbox.language.display import Display
from sandbox.language.words import LANGUAGES
from sandbox.scene import Scene, quantities
from sandbox.scene.seal import obfuscated

PURPOSE = "feedback"
DIGITS = 12


def sealed_feedback(bench: Bench, measured: Mapping[str, float]) -> str:
    """What the page of a bench opens when the work is finished; `measured` is what the engine
    measured of it, SI."""
    truth = predict.completed(bench, measured)
    known = misconceptions.told(bench)
    spoken = {code: Display(code).of(bench.scene.about) for code in LANGUAGES}
    held = {
        "rule": {
            "agrees": predict.AGREES,
            "manyTimes": predict.MANY_TIMES,
            "fits": misconceptions.FITS,
            "clearly": misconceptions.CLEARLY,
        },
        "asked": _rounded(
            {
                name: _key(bench.scene, name, truth[name], known)
                for name in bench.scene.about.predict
                if name in truth
            }
        ),
        "working": {code: _working(bench.scene, display) for code, display in spoken.items()},
    }
    data = zlib.compress(json.dumps(held, ensure_ascii=False).encode(), 9)
    return base64.b64encode(obfuscated(data, bench.token, PURPOSE)).decode()


def _rounded(found: Any) -> Any:
    """Numbers to `DIGITS`: the last ones are the algebra library's and change from run to run."""
    if isinstance(found, float):
        return float(f"{found:.{DIGITS}g}")
    if isinstance(found, dict):
        return {key: _rounded(value) for key, value in found.items()}
    return [_rounded(each) for each in found] if isinstance(found, list) else found


def _key(scene: Scene, name: str, right: float, known: Sequence[Scene]) -> dict[str, Any]:
    """What a prediction of a quantity is judged by, SI: the bench's own number, between which two
    it could be by what was told, and what would explain others."""
    could = misconceptions.could_be(name, right, known)
    kind = quantities.kind_of(name)
    return {
        "right": right,
        "low": could.low,
        "high": could.high,
        "open": not could.sharp,
        "nothing": predict.nothing_of(name),
        "explained": _explained(scene, name, right, () if could.sharp else known),
        # A mass for a force is laid beside what the bench does alone.
        "asMass": _explained(scene, name, right, ())
        if kind.dimension is units.FORCE and not could.sharp
        else None,
    }


def _explained(
    scene: Scene, name: str, right: float, known: Sequence[Scene]
) -> list[dict[str, Any]]:
    """Every explanation, with the sentence that says it in each language."""
    return [
        {
            "low": each.candidate.low,
            "high": each.candidate.high,
            "cost": each.cost,
            "vague": not each.candidate.sharp,
            "several": len(each.candidate.names) > 1,
            "said": {
                code: Display(code).describe(predict.comes_of(each.names)) for code in LANGUAGES
            }
            if each.names
            else None,
        }
        for each in misconceptions.explanations(scene, name, right, known)
    ]


def _working(scene: Scene, display: Display) -> dict[str, Any]:
    """The answer line by line, as the key has it: pieces of text, every second one set low."""
    found, phrases = work(scene, display), Phrases(display)
    lines = []
    for number, step in enumerate(found.steps):
        middle = f" = {step.numbers}" if step.numbers != step.result else ""
        lines.append(
            {
                "heading": found.headings.get(number, ""),
                "about": _pieces(step.about),
                "formula": _pieces(f"{step.symbol} = {step.formula}"),
                "rest": f"{middle} = ",
                "result": step.result,
            }
        )
    stopped = found.unworked
    return {
        "title": phrases.working,
        "note": phrases.working_note,
        "lines": lines,
        "unworked": phrases.unworked(display.describe(stopped)) if stopped else "",
    }


def _pieces(text: str) -> list[str]:
    """A text parted at its subscripts, which are every second piece.

    >>> _pieces("T_1 = W / 4")
    ['T', '1', ' = W / 4']
    """
    parted = SUBSCRIPT.split(text)
    pieces = [parted[0]]
    for symbol, low, after in zip(parted[1::3], parted[2::3], parted[3::3], strict=True):
        pieces[-1] += symbol
        pieces += [low, after]
    return pieces
