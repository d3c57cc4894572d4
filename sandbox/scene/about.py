"""The [scene] table of a scene file."""

from __future__ import annotations

from dataclasses import dataclass

from sandbox import units
from sandbox.facts import label
from sandbox.scene import keys


@dataclass(frozen=True, kw_only=True)
class Translation:
    """A [scene.translations.CODE] table: what the scene says of itself, in another language."""

    title: str | None = keys.key("text", "a title", None, most=100)
    watch: str | None = keys.key("text", "what to watch", None, most=400)


@dataclass(frozen=True, kw_only=True)
class About:
    """The [scene] table: what the scene is, and how the machine is worked."""

    title: str = keys.key("text", "a title", most=100, called=label("title"))
    watch: str = keys.key("text", "what to watch", most=400, called=label("what to watch"))
    predict: tuple[str, ...] = keys.key(
        "names",
        "quantities worth predicting before it is run",
        (),
        most=20,
        called=label("what is to be predicted"),
    )
    mode: str = keys.key(
        "choice",
        "how the machine is worked",
        choices=("raising", "lowering", "held", "released"),
        called=label("how the machine is worked"),
        # Translators: the next four say how the machine is worked.
        words=(label("raising"), label("lowering"), label("held"), label("released")),
    )
    load: str | None = keys.key(
        "name",
        "the part that is raised, with all it carries; the only weight or body",
        None,
        called=label("which part is the load"),
        left_out=label("the only weight or body"),
    )
    gravity: float = keys.value(
        label("acceleration of free fall"),
        units.ACCELERATION,
        "acceleration of free fall",
        9.80665,
        low=0.01,
        high=100.0,
    )
    floor: float | None = keys.length(
        label("height of the floor"),
        "height of a floor on which things land",
        None,
        low=-100.0,
        left_out=label("no floor"),
    )
    duration: float | None = keys.value(
        label("how long it runs"),
        units.TIME,
        "how long to run",
        None,
        low=0.05,
        high=600.0,
        left_out=label("until its work is done"),
        first=5.0,
    )
    translations: tuple[tuple[str, Translation], ...] = keys.key(
        "translations", "title and watch in other languages", (), most=20
    )
    dealt: str | None = keys.key("text", "what a deal sealed for one student", None, most=4000)

    def title_in(self, language: str) -> str:
        """The title in a language, "es"; as the scene has it where it is not translated."""
        return self._translated(language).title or self.title

    def watch_in(self, language: str) -> str:
        """What to watch, in the same way."""
        return self._translated(language).watch or self.watch

    def _translated(self, language: str) -> Translation:
        return dict(self.translations).get(language, Translation())


def text_key(key: str, language: str) -> str:
    """Where a scene file has its "title" or "watch" in a language, to be edited there.

    >>> text_key("title", "en"), text_key("title", "es")
    ('scene.title', 'scene.translations.es.title')
    """
    return f"scene.{key}" if language == "en" else f"scene.translations.{language}.{key}"
