"""Every word the sheet and the window show, by key, in each language. `say` is the front door.

A text's fields are named in braces. Numbers come written, with a decimal point in every language;
names, titles and what to watch come from the scene file as its author wrote them. A language is
added by a dictionary with the same keys and fields.
"""

from __future__ import annotations

import os
import re
from functools import lru_cache
from typing import Literal, get_args

from sandbox.language import glossary, window_words
from sandbox.scene import SceneError

Language = Literal["en", "es"]
LANGUAGES: tuple[Language, ...] = get_args(Language)
VARIABLE = "SANDBOX_LANGUAGE"
"""The environment variable that chooses a language where no argument does."""

ENGLISH = {
    # Forces, by their kind in a snapshot.
    "weight": "weight",
    "effort": "effort",
    "reaction": "reaction",
    "normal": "normal",
    "friction": "friction",
    "tension": "tension",
    "force_label": "{kind} {force}",
    # Parts of the machine.
    "named": "{name} {value}",
    "long": "{name} {length} long",
    "static": "µ {value} at rest",
    "kinetic": "µ {value} sliding",
    "bearing": "bearing {value}",
    "ramp_rise": "rise {length}",
    "rise": "rise {length}",
    "fall": "fall {length}",
    "travel": "travel {length}",
    "slack": "slack",
    "parted": "parted",
    "parts_each": "{count} parts, each {force}",
    "let_go": "let go",
    "over_range": "over range",
    "no_reading": "no reading",
    # Title block and headings.
    "at_rest": "at rest",
    "at_end": "at the end",
    "gravity": "g = {value}",
    "time": "t = {time}",
    "at_time": "{title}, t = {time}",
    "scale": "scale {ratio}",
    "force_scale": "force {force}",
    "raising": "raising",
    "lowering": "lowering",
    "held": "held",
    "released": "released",
    "agreement": "simulation and theory agree in {agree} of {count} quantities",
    "left_out": "labels without room: {count}",
    "description": "{title}. {watch} On the drawing: {texts}.",
    # Charts.
    "force_axis": "force ({unit})",
    "distance_axis": "distance ({unit})",
    "energy_axis": "energy ({unit})",
    "time_axis": "time (s)",
    "load": "load",
    "work_in": "work in {energy}",
    "work_out": "work out {energy}",
    "work_in_label": "work in {energy}",
    "put_in_label": "work in and changes {energy}",
    "potential_label": "potential {energy}",
    "kinetic_label": "kinetic {energy}",
    "elastic_label": "elastic {energy}",
    "heat_label": "heat {energy}",
    "nothing_hauled": "nothing is hauled",
    "nothing_moves": "nothing has moved",
}

SPANISH = {
    "weight": "peso",
    "effort": "esfuerzo",
    "reaction": "reacción",
    "normal": "normal",
    "friction": "rozamiento",
    "tension": "tensión",
    "force_label": "{kind} {force}",
    "named": "{name} {value}",
    "long": "{name} {length} de largo",
    "static": "µ {value} en reposo",
    "kinetic": "µ {value} al deslizar",
    "bearing": "cojinete {value}",
    "ramp_rise": "altura {length}",
    "rise": "sube {length}",
    "fall": "baja {length}",
    "travel": "recorrido {length}",
    "slack": "flojo",
    "parted": "roto",
    "parts_each": "{count} ramales, {force} cada uno",
    "let_go": "suelta",
    "over_range": "fuera de escala",
    "no_reading": "sin lectura",
    "at_rest": "en reposo",
    "at_end": "al final",
    "gravity": "g = {value}",
    "time": "t = {time}",
    "at_time": "{title}, t = {time}",
    "scale": "escala {ratio}",
    "force_scale": "fuerza {force}",
    "raising": "subiendo",
    "lowering": "bajando",
    "held": "sostenida",
    "released": "soltada",
    "agreement": "simulación y teoría coinciden en {agree} de {count} magnitudes",
    "left_out": "rótulos sin sitio: {count}",
    "description": "{title}. {watch} En el dibujo: {texts}.",
    "force_axis": "fuerza ({unit})",
    "distance_axis": "distancia ({unit})",
    "energy_axis": "energía ({unit})",
    "time_axis": "tiempo (s)",
    "load": "carga",
    "work_in": "trabajo {energy}",
    "work_out": "trabajo {energy}",
    "work_in_label": "trabajo {energy}",
    "put_in_label": "trabajo y cambios {energy}",
    "potential_label": "potencial {energy}",
    "kinetic_label": "cinética {energy}",
    "elastic_label": "elástica {energy}",
    "heat_label": "calor {energy}",
    "nothing_hauled": "no se tira de nada",
    "nothing_moves": "nada se ha movido",
}

CATALOGUE: dict[Language, dict[str, str]] = {
    "en": ENGLISH | window_words.ENGLISH | glossary.ENGLISH,
    "es": SPANISH | window_words.SPANISH | glossary.SPANISH,
}


def chosen(code: str | None = None) -> Language:
    """The language to speak: that of `code` ("es", "es_MX.UTF-8"), else of SANDBOX_LANGUAGE, else
    English.

    Raises SceneError, saying which there are, for a language there is not.

    >>> chosen("es_MX.UTF-8")
    'es'
    """
    wanted = code or os.environ.get(VARIABLE) or "en"
    stem = wanted.replace("-", "_").partition("_")[0].lower()
    for language in LANGUAGES:
        if language == stem:
            return language
    raise SceneError("language" if code else VARIABLE, wanted, f"one of {', '.join(LANGUAGES)}")


def say(key: str, *, language: Language | None = None, **values: object) -> str:
    """The text of `key` with its fields filled in, in `language` or else as `chosen` says.

    Raises KeyError for a key or a field there is not.

    >>> say("parts_each", language="es", count=4, force="2.94 N")
    '4 ramales, 2.94 N cada uno'
    """
    return CATALOGUE[language or chosen()][key].format_map(values)


_NAME = r"[\w.\[\]-]+"
_FIELDS = {"number": r"\d+", "time": r"[\d.]+", "name": _NAME, "block": _NAME, "body": _NAME}
"""What these fields look like: plain names and numbers; the others may be sentences themselves."""


@lru_cache(maxsize=1)
def _templates() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """What other rooms tell, as patterns, those with most words of their own first."""
    found = []
    for key, template in CATALOGUE["en"].items():
        if key.startswith("told_"):
            pieces = re.split(r"{(\w+)}", template)
            named = [f"(?P<{name}>{_FIELDS.get(name, '.+?')})" for name in pieces[1::2]]
            plain = [re.escape(piece) for piece in pieces[::2]]
            pattern = plain[0] + "".join(a + b for a, b in zip(named, plain[1:], strict=True))
            found.append((sum(map(len, pieces[::2])), key, re.compile(pattern)))
    return tuple((key, pattern) for _, key, pattern in sorted(found, key=lambda each: -each[0]))


def reworded(text: str, language: Language) -> str:
    """What scene, theory, engine or draft tell in English, in a language; as it is where it is not
    known. So those rooms need no catalogue.

    >>> reworded("fall parts in part 2", "es"), reworded("theory: line goes slack", "es")
    ('fall se rompe en el ramal 2', 'teoría: line se afloja')
    """
    if language == "en":
        return text
    for key, pattern in _templates():
        if found := pattern.fullmatch(text):
            fields = {
                name: value if name in _FIELDS else reworded(value, language)
                for name, value in found.groupdict().items()
            }
            return say(key, language=language, **fields)
    return text
