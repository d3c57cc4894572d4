"""Which language is spoken, and how a text of it is asked for."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from sandbox.facts import Kind
from sandbox.language import words
from sandbox.language.display import Display
from sandbox.language.words import chosen, say, say_as, text_of
from sandbox.scene import SceneError


def test_language_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    """An argument goes before the environment, which goes before English; a language that is not
    there is refused by name."""
    monkeypatch.delenv(words.VARIABLE, raising=False)
    assert chosen() == "en"
    monkeypatch.setenv(words.VARIABLE, "es_ES.UTF-8")
    assert chosen() == "es" and say("load") == "carga" and Display.chosen().language == "es"
    assert chosen("en") == "en" and say("load", language="en") == "load"
    with pytest.raises(SceneError, match=r"--language: found 'tlh'; allowed: one of en, es"):
        chosen("tlh")


def test_a_text_has_its_fields_and_context() -> None:
    """A field that is missing is an error; one English text is two in Spanish by its context."""
    with pytest.raises(KeyError):
        say("rise {length}")
    assert say("rise {length}", language="es", length="1 m") == "sube 1 m"
    assert say_as("ramp", "height {length}", language="es", length="1 m") == "altura 1 m"
    assert say_as("ramp", "height {length}", language="en", length="1 m") == "height 1 m"


def test_a_text_that_no_catalogue_has_is_said_in_english() -> None:
    """So that a text shows even before it is translated, in its number."""
    kind = Kind("test_ropes", "one rope", plural="{count} ropes")
    for language in words.LANGUAGES:
        texts = [text_of(kind, count, language) for count in (1, 2, None)]
        assert texts == ["one rope", "{count} ropes", "one rope"]


def test_english_needs_no_catalogue() -> None:
    """Only another language is read from a catalogue; pint takes the core of Babel in any case."""
    program = (
        "import sys; from sandbox.language.display import Display; "
        "display = Display(); display.say('slack'); display.names(['a', 'b']); display.number(0.5);"
        "assert 'babel.messages' not in sys.modules; Display('es').say('slack');"
        "assert 'babel.messages' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_the_environment_reaches_the_program() -> None:
    """`SANDBOX_LANGUAGE=es` is heard by a new process."""
    program = "from sandbox.language import words; print(words.say('load'))"
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, words.VARIABLE: "es"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "carga"
