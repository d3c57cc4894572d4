"""Every word the sheet and the window show, by key, in each language. `say` is the front door.

A text's fields are named in braces. Numbers come written, with a decimal point in every language;
names, titles and what to watch come from the scene file as its author wrote them. A language is
added by a dictionary with the same keys and fields.
"""

from __future__ import annotations

import os
from typing import Literal, get_args

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
    "coefficients": "µ {static} at rest, {kinetic} sliding",
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
    "at_time": "{title}, t = {time}",
    "scale": "scale {ratio}",
    "force_scale": "force {force}",
    "raising": "raising",
    "lowering": "lowering",
    "held": "held",
    "released": "released",
    "agreement": "simulation and theory agree in {agree} of {count} quantities",
    "left_out": "no room for {count} labels",
    "description": "{title}. {watch} Scene {name}, {sense}, drawn to {scale}. {texts}",
    # Charts.
    "force_distance": "force against distance",
    "distance": "distance in {unit}",
    "force_axis": "force in {unit}",
    "work_in": "work in {energy}",
    "work_out": "work out {energy}",
    "load": "load {force}",
    "nothing_hauled": "nothing is hauled",
    "nothing_moved": "nothing has moved yet",
    "ledger": "energy against time",
    "energy_axis": "energy in {unit}",
    "time_axis": "time in s",
    "work_in_line": "work in",
    "potential": "potential",
    "kinetic": "kinetic",
    "elastic": "elastic",
    "heat": "heat",
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
    "coefficients": "µ {static} en reposo, {kinetic} al deslizar",
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
    "at_time": "{title}, t = {time}",
    "scale": "escala {ratio}",
    "force_scale": "fuerza {force}",
    "raising": "subiendo",
    "lowering": "bajando",
    "held": "sostenida",
    "released": "soltada",
    "agreement": "simulación y teoría coinciden en {agree} de {count} magnitudes",
    "left_out": "sin sitio para {count} rótulos",
    "description": "{title}. {watch} Escena {name}, {sense}, dibujada a {scale}. {texts}",
    "force_distance": "fuerza según la distancia",
    "distance": "distancia en {unit}",
    "force_axis": "fuerza en {unit}",
    "work_in": "trabajo aportado {energy}",
    "work_out": "trabajo útil {energy}",
    "load": "carga {force}",
    "nothing_hauled": "no se tira de nada",
    "nothing_moved": "nada se ha movido todavía",
    "ledger": "energía según el tiempo",
    "energy_axis": "energía en {unit}",
    "time_axis": "tiempo en s",
    "work_in_line": "trabajo aportado",
    "potential": "potencial",
    "kinetic": "cinética",
    "elastic": "elástica",
    "heat": "calor",
}

CATALOGUE: dict[Language, dict[str, str]] = {"en": ENGLISH, "es": SPANISH}


def chosen(code: str | None = None) -> Language:
    """The language to speak: that of `code` ("es", "es_MX.UTF-8"), else of SANDBOX_LANGUAGE, else
    English.

    Raises ValueError, saying which there are, for a language there is not.

    >>> chosen("es_MX.UTF-8")
    'es'
    """
    wanted = code or os.environ.get(VARIABLE) or "en"
    stem = wanted.replace("-", "_").partition("_")[0].lower()
    for language in LANGUAGES:
        if language == stem:
            return language
    raise ValueError(f"language {wanted!r}; allowed: {', '.join(LANGUAGES)}")


def say(key: str, *, language: Language | None = None, **values: object) -> str:
    """The text of `key` with its fields filled in, in `language` or else as `chosen` says.

    Raises KeyError for a key or a field there is not.

    >>> say("parts_each", language="es", count=4, force="2.45 N")
    '4 ramales, 2.45 N cada uno'
    """
    return CATALOGUE[language or chosen()][key].format_map(values)
