"""The catalogue: both languages whole, every word through it, every letter in the font; units."""

from __future__ import annotations

import ast
import os
import re
import string
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sandbox
from sandbox import units
from sandbox.drawing import lettering
from sandbox.drawing.layout import sheet
from sandbox.drawing.strokes import LINES, TEXTS
from sandbox.editing.draft import Draft
from sandbox.editing.handles import handles
from sandbox.engine import run
from sandbox.language import words
from sandbox.language.display import Display
from sandbox.language.words import CATALOGUE, LANGUAGES, chosen, say
from sandbox.painting.film import Reel
from sandbox.scene import SceneError, load
from sandbox.scene.parts import KINDS, About, Gauge, WheelAndAxle, keys_of
from sandbox.scene.quantities import QUANTITIES, names
from tests.places import SCENES

PACKAGE = Path(sandbox.__file__).parent
ROOMS = ("drawing", "editing", "language", "painting", "window")


def fields(template: str) -> set[str | None]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


def test_languages_have_the_same_keys_and_fields() -> None:
    """Every language has every key, with the same fields and with text of its own around them."""
    english = CATALOGUE["en"]
    assert set(CATALOGUE) == set(LANGUAGES)
    for language in LANGUAGES:
        assert set(CATALOGUE[language]) == set(english)
        for key, template in CATALOGUE[language].items():
            assert template.strip() == template and template
            assert fields(template) == fields(english[key]), (language, key)
            assert all(name for name in fields(template)), "fields have names"


def test_spanish_is_not_english() -> None:
    """Where a text has a word of three letters or more outside its fields, the two languages
    differ; what is the same in both is on this list and no other."""
    same = {"normal"}
    for key, template in CATALOGUE["en"].items():
        bare = re.sub(r"{.*?}", "", template)
        if re.search(r"[A-Za-z]{3,}", bare) and CATALOGUE["es"][key] == template:
            assert key in same, key


@pytest.mark.parametrize("bold", [False, True])
def test_every_character_is_in_the_font(bold: bool) -> None:
    """The sheet's font has a shape for every character of every text in every language."""
    known, _ = lettering._advances(bold)
    for language in LANGUAGES:
        for key, template in CATALOGUE[language].items():
            missing = {c for c in template if ord(c) not in known}
            assert not missing, (language, key, missing)


def test_a_missing_character_is_seen_to_be_missing() -> None:
    """A character without a shape in the font is drawn as a lozenge, as wide as its box says."""
    assert lettering.tidy("плита 5 µm") == "◊◊◊◊◊ 5 µm"
    assert ord(lettering.MISSING) in lettering._advances(True)[0]
    assert lettering.width("п", 5.0) == lettering.width("◊", 5.0) > 0.0


def test_language_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    """An argument goes before the environment, which goes before English; a language that is not
    there is refused by name."""
    monkeypatch.delenv(words.VARIABLE, raising=False)
    assert chosen() == "en"
    monkeypatch.setenv(words.VARIABLE, "es_ES.UTF-8")
    assert chosen() == "es" and say("weight") == "peso" and Display.chosen().language == "es"
    assert chosen("en") == "en" and say("weight", language="en") == "weight"
    with pytest.raises(SceneError, match=r"language: found 'tlh'; allowed: one of en, es"):
        chosen("tlh")
    with pytest.raises(KeyError):
        say("no such key")
    with pytest.raises(KeyError):
        say("rise")


def test_decimal_sign_is_a_point_in_every_language() -> None:
    """Numbers are written alike in all languages."""
    for language in LANGUAGES:
        assert (
            Display(language)
            .say("travel", length=Display(language).length(0.0123))
            .endswith("1.23 cm")
        )


# Every word through the catalogue.


def _texts(call: ast.Call) -> list[ast.expr]:
    """The arguments of a call that are or may be shown."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name == "Text":
        return [*call.args[1:2], *(k.value for k in call.keywords if k.arg == "text")]
    if name in ("Label", "note"):
        return [*call.args[: 2 if name == "note" else 1]]
    if name == "dimension":
        return call.args[3:4]
    return []


def modules() -> list[Path]:
    paths = [path for room in ROOMS for path in sorted((PACKAGE / room).glob("*.py"))]
    return [path for path in paths if path.name != "words.py"]


@pytest.mark.parametrize("path", modules(), ids=lambda path: path.stem)
def test_no_words_for_display_outside_the_catalogue(path: Path) -> None:
    """Nothing handed to a text, a label or a dimension has letters written in the code: neither
    plain nor within an f-string. The names of styles are not shown."""
    for node in ast.walk(ast.parse(path.read_text())):
        if not isinstance(node, ast.Call):
            continue
        for argument in _texts(node):
            pairs = [n for n in ast.walk(argument) if isinstance(n, ast.Tuple)]
            styles = [pair.elts[1] for pair in pairs if len(pair.elts) == 2]
            for inner in ast.walk(argument):
                if isinstance(inner, ast.Call) and inner is not argument and _is_say(inner):
                    for deep in ast.walk(inner):
                        deep.shown = False  # type: ignore[attr-defined]
            for inner in ast.walk(argument):
                if not getattr(inner, "shown", True) or not isinstance(inner, ast.Constant):
                    continue
                if isinstance(inner.value, str) and re.search(r"[A-Za-z]", inner.value):
                    # A line of a label is a text and a style; a text's style stands apart.
                    pair = inner in styles
                    known = pair and (inner.value in TEXTS or inner.value in LINES)
                    assert known or _keyed(argument, inner), (path.name, inner.lineno, inner.value)


def _is_say(call: ast.Call) -> bool:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    return name in ("say", "stamped")


def _keyed(argument: ast.expr, constant: ast.Constant) -> bool:
    """Whether a constant is the key of a text of the catalogue, handed to `say` itself."""
    calls = [n for n in ast.walk(argument) if isinstance(n, ast.Call) and _is_say(n)]
    return any(constant in ast.walk(call) for call in calls)


def test_every_word_on_a_sheet_comes_from_the_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every letter of the catalogue put out, the sheets of all kinds of scene have no letters
    left but those of the scene file, of units and of numbers."""
    blank = {
        key: re.sub(r"[^\W\d_](?![^{]*})", "·", template)
        for key, template in CATALOGUE["en"].items()
    }
    monkeypatch.setitem(CATALOGUE, "en", blank)
    known = {"N", "cm", "m", "kg", "g", "s", "J", "mJ", "in", "ft", "lbf", "oz", "lb"}
    for name in ("tackle_up_a_ramp", "off_centre_pivot", "roller_up_a_ramp", "spar_on_two_props"):
        scene = load(SCENES / f"{name}.toml")
        shots = run(scene, duration=0.6).snapshots
        drawings = [
            sheet(scene, [shots[0], shots[-1]], ["", ""], display=Display("en", "US")),
            Reel(scene, shots).frame(shots[-1]),
        ]
        mine = set(re.findall(r"[A-Za-zÀ-ÿ]+", " ".join((*scene.parts, scene.name))))
        for drawing in drawings:
            for text in drawing.texts:
                if text.text in (scene.about.title, scene.name):
                    continue
                for word in re.findall(r"[A-Za-zÀ-ÿ]+", text.text):
                    assert word in known | mine, (name, text.text)


# What other rooms say.


def _sentences(path: Path) -> list[tuple[int, str]]:
    """What a module writes as sentences, the values in them put as 7: not its docstrings."""
    tree = ast.parse(path.read_text())
    silent: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            silent.add(id(node.value))
        if isinstance(node, ast.JoinedStr):
            silent |= {id(inner) for inner in ast.walk(node) if inner is not node}
    found = []
    for node in ast.walk(tree):
        if id(node) in silent:
            continue
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            found.append((node.lineno, node.value))
        elif isinstance(node, ast.JoinedStr):
            pieces = [n.value if isinstance(n, ast.Constant) else "7" for n in node.values]
            found.append((node.lineno, "".join(map(str, pieces))))
    # A word or two are names, styles and the like, or a piece of a longer sentence.
    return [
        (line, text)
        for line, text in found
        if len(re.findall(r"[A-Za-z]{2,}", text)) > 1 and not re.fullmatch(r"[\w.]+", text)
    ]


@pytest.mark.parametrize(
    "place",
    [
        "theory/predict.py",
        "theory/motion.py",
        "theory/steady.py",
        "theory/equations.py",
    ],
)
def test_what_other_rooms_tell_is_in_the_catalogue(place: str) -> None:
    """Every sentence that the engines and the check tell is known by its template, and so is told
    in the language spoken."""
    known = [(line, text) for line, text in _sentences(PACKAGE / place) if text not in PIECES]
    for line, text in known:
        assert words.reworded(text, "es") != text, (place, line, text)
    assert known


def test_what_stops_a_wheel_and_axle_is_in_the_catalogue() -> None:
    """So is every end that a rope may come to on every drum, which the scene itself words."""
    scene = load(SCENES / "differential_winch.toml")
    ends = scene.rotation_limits(scene.of(WheelAndAxle)[0])
    assert len(ends) == 6
    assert all(words.reworded(end.reason, "es") != end.reason for end in ends)


PIECES = {
    "knife edge",
    "is free to move",
    "does not stay where it is",
    "goes slack",
    "let go",
    " parts in part ",
    "lifts off its knife edge",
    "7 7 while the hand keeps still: no steady motion",
    "rope stretch, 7 %",
}
"""Of sentences put together, and what nobody is told."""


@pytest.mark.parametrize(
    ("told", "spanish"),
    [
        (
            "fall goes slack at 1.20 s; spar meets its stop at 2.00 s",
            "fall se afloja a los 1.20 s; spar da con su tope a los 2.00 s",
        ),
        (
            "theory: with friction, rope line would have to push: it goes slack",
            "teoría: con rozamiento, el cabo line tendría que empujar: se afloja",
        ),
        ("at 0.50 s line parts in part 2", "a los 0.50 s line se rompe en el ramal 2"),
        (
            "tail runs off the wheel of winch at 0.66 s",
            "tail se sale de la rueda de winch a los 0.66 s",
        ),
        ("change ballast.mass", "cambiar ballast.mass"),
        (
            "sheave 2 of upper does not turn: its friction is taken as nought.",
            "la roldana 2 de upper no gira: su rozamiento se toma por nulo.",
        ),
        ("no such sentence", "no such sentence"),
    ],
)
def test_reworded(told: str, spanish: str) -> None:
    """Names and values stay, sentences within sentences are told too, and English stays as told."""
    assert words.reworded(told, "es") == spanish
    assert words.reworded(told, "en") == told


def test_every_number_of_every_part_has_a_name() -> None:
    """Each key with a number, of each kind of part and of the scene, has a text in each
    language; so has each kind of part and each kind of quantity."""
    for language in LANGUAGES:
        texts = CATALOGUE[language]
        for kind, part in {"scene": About, **KINDS}.items():
            assert kind == "scene" or f"a_{kind}" in texts
            for key, (spec, _) in keys_of(part).items():
                if spec.form in ("value", "count", "lengths", "on", "reeve"):
                    assert f"{kind}.{key}" in texts, (language, kind, key)
                elif spec.form == "place":
                    assert {f"{kind}.{key}[0]", f"{kind}.{key}[1]"} <= texts.keys()
        for quantity in QUANTITIES:
            assert f"of_{quantity}" in texts
    for path in sorted(SCENES.glob("*.toml")):
        scene = load(path)
        for handle in handles(scene):
            assert Display("es").say(handle.key, **handle.of)
        for name in names(scene):
            assert Display("es").quantity(name) != Display("en").quantity(name)


def test_steps_of_a_draft_are_told() -> None:
    """What undo and redo say was done is told in the language spoken."""
    draft = Draft.open(SCENES / "two_part_tackle.toml")
    draft.set("ballast.mass", "2 kg")
    draft.unset("upper.bearing_friction")
    draft.add_part("weight", "extra", on="lower")
    draft.rename("extra", "other")
    draft.reeve("fall", ["upper.becket", "lower.1", "upper.1", "hand "])
    draft.remove_part("other")
    while (what := draft.undo()) is not None:
        assert words.reworded(str(what), "es") != str(what)


# Units.


@pytest.mark.parametrize(
    ("shown", "value"),
    [
        # Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
        (Display("en", "US").length(0.254), "10 in"),
        (Display("en", "US").length(3.048), "10 ft"),
        (Display("en", "US").mass(0.45359237), "1 lb"),
        (Display("en", "US").mass(0.028349523125), "1 oz"),
        (Display("en", "US").force(4.4482216152605), "1.00 lbf"),
        (Display("en", "US").energy(1.3558179483314004), "1.00 ft·lbf"),
        (Display("en", "US").gravity(0.3048 * 32.174), "32.174 ft/s²"),
        (Display("en", "US").value(0.0254, units.SPEED), "1.00 in/s"),
        (Display("en", "US").value(1.3558179483314004, units.MOMENT), "1.00 lbf·ft"),
        (Display().length(12.0), "12 m"),
        (Display().mass(1.0), "1 kg"),
    ],
)
def test_values_in_either_system(shown: str, value: str) -> None:
    """US customary values are those that the units' definitions give."""
    assert shown == value


@given(st.floats(1e-4, 90.0), st.sampled_from(["SI", "US"]))
def test_lengths_read_back(metres: float, system: str) -> None:
    """A length as written, read again with its unit, is the length to half of its last digit."""
    text = Display.chosen("en", system).length(metres)
    assert units.read(text, units.LENGTH) == pytest.approx(metres, rel=0.00501)


@given(st.floats(1e-4, 5e3), st.sampled_from(["SI", "US"]))
def test_scales_are_round(size: float, system: str) -> None:
    """The force arrow's and the scale bar's values are round in the unit shown, are what they say
    and no shorter than asked for, nor three times as long."""
    display = Display.chosen("en", system)
    force, text = display.round_force(size)
    assert units.read(text, units.FORCE) == pytest.approx(force, rel=1e-5)
    assert size * (1 - 1e-6) <= force <= 2.51 * size
    length, text = display.round_length(size / 100)
    assert units.read(text, units.LENGTH) == pytest.approx(length, rel=1e-5)
    assert size / 100 * (1 - 1e-6) <= length <= 3.1 * size / 100
    for written in (text, display.round_force(size)[1]):
        mantissa = f"{float(written.split()[0]):.9e}".partition("e")[0]
        assert float(mantissa) in (1.0, 2.0, 5.0)


@given(st.integers(0, 99))
def test_a_gauge_is_read_as_finely_in_pounds_as_in_newtons(divisions: int) -> None:
    """A reading in lbf is that of the same graduation: within the digits shown, and neighbouring
    graduations never look alike."""
    gauge = Gauge(name="balance", rope="fall", range=20.0, graduation=0.2)
    read = 0.2 * divisions
    shown = [float(Display("en", "US").reading(gauge, n).split()[0]) for n in (read, read + 0.2)]
    assert shown[0] == pytest.approx(read / 4.4482216152605, abs=0.00501)
    assert shown[0] != shown[1]


def test_units_that_there_are_not() -> None:
    """A system of units that is not there is refused by name."""
    assert Display.chosen("en", "us").system == "US"
    with pytest.raises(SceneError, match=r"units: found 'CGS'; allowed: one of SI, US"):
        Display.chosen("en", "CGS")


def test_the_environment_reaches_the_program() -> None:
    """`SANDBOX_LANGUAGE=es` is heard by a new process."""
    program = "from sandbox.language import words; print(words.say('friction'))"
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, words.VARIABLE: "es"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "rozamiento"
