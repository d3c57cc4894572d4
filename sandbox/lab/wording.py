"""How handouts name a quantity of a scene."""

from __future__ import annotations

from sandbox.lab.parts import entry_of
from sandbox.language.display import Display
from sandbox.scene import Scene
from sandbox.scene.keys import Key
from sandbox.scene.parts import keys_of


def spoken(scene: Scene, name: str, display: Display) -> str:
    """What a quantity is, in words that name its part and, where it matters, how it is worked."""
    part, _, word = name.rpartition(".")
    if word == "reaction":
        short = called(scene, name, display)
        return short[0].upper() + short[1:]
    if word == "acceleration":
        return display.say(entry_of(scene.parts[part]).forward, part=part)
    if word == "force" and scene.about.mode == "raising":
        return display.say("Effort: the hand's pull while hauling steadily")
    if word == "force" and scene.about.mode == "lowering":
        return display.say("Effort: the hand's pull while paying out steadily")
    return display.asked(name)


def called(scene: Scene, name: str, display: Display) -> str:
    """The short name of a quantity."""
    part, _, word = name.rpartition(".")
    if word == "reaction" and (text := entry_of(scene.parts[part]).reaction):
        return display.say(text, part=part)
    return display.quantity(name)


def named_value(scene: Scene, key: str, display: Display) -> str:
    """What the value "PART.KEY" of a scene file is, in words: "ballast, mass"."""
    name, _, word = key.partition(".")
    part = scene.parts[name]
    known = keys_of(type(part))
    (text,) = known[word][0].labels if word in known and has_name(known[word][0]) else ("",)
    on = part.mount
    said = display.say(text, part=on.part if on else name)
    return f"{display.part(name)}, {said}" if text else key


def has_name(key: Key) -> bool:
    """Whether a key holds one value, which has a name."""
    return len(key.labels) == 1 and key.form in ("value", "on")


def key_in_words(key: str) -> str:
    """A "PART.KEY" as a reader would say it.

    >>> key_in_words("upper.bearing_friction")
    'upper: bearing friction'
    """
    part, _, name = key.partition(".")
    return f"{part}: {name.replace('_', ' ')}"


def signed(value: float, decimals: int) -> str:
    """A number with its sign, zero without.

    >>> signed(5.11, 1), signed(-0.04, 1)
    ('+5.1', '0.0')
    """
    text = f"{value:+.{decimals}f}"
    return text if float(text) else text[1:]
