"""Help in the reader's language: what commands and their options say of themselves."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from typing import Any

from typer import rich_utils
from typer.core import TyperGroup

from sandbox.facts import label

Translate = Callable[[str], str]

OPTION = "--language"
HELP = label("Show this message and exit.")
TITLES = {
    "OPTIONS_PANEL_TITLE": label("Options"),
    "ARGUMENTS_PANEL_TITLE": label("Arguments"),
    "COMMANDS_PANEL_TITLE": label("Commands"),
    "REQUIRED_LONG_STRING": label("[required]"),
    "DEFAULT_STRING": label("[default: {value}]"),
}
"""What stands around help, by the names that typer has for it."""
USAGE = label("Usage:")


class Speaking(TyperGroup):
    """Commands whose help is in the language that is asked for."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read a command line; first, where it asks for help, translate that."""
        if not args or "--help" in args:
            _translate(self, ctx, _asked(args))
            if not set(self.commands).intersection(args):
                args = _without_language(args)
        return super().parse_args(ctx, args)


def _without_language(args: Sequence[str]) -> list[str]:
    return [
        here
        for before, here in zip(["", *args], args, strict=False)
        if OPTION not in (before, here.partition("=")[0])
    ]


def _asked(args: Sequence[str]) -> str | None:
    """The language that a command line asks for, as far as it does."""
    for here, after in zip(args, [*args[1:], ""], strict=True):
        if here == OPTION:
            return after
        if here.startswith(f"{OPTION}="):
            return here.partition("=")[2]
    return os.environ.get("SANDBOX_LANGUAGE")


def _translate(group: TyperGroup, ctx: Any, code: str | None) -> None:
    for name, text in TITLES.items():
        setattr(rich_utils, name, text.replace("{value}", "{}"))
    if not code:
        return
    from sandbox.language.words import chosen, translations
    from sandbox.scene import SceneError

    try:
        translated = translations(chosen(code)).gettext
    except SceneError:
        return  # help is no place to refuse it
    for name, text in TITLES.items():
        setattr(rich_utils, name, translated(text).replace("{value}", "{}"))
    for command in (group, *group.commands.values()):
        _translate_one(command, ctx, translated)


def _translate_one(command: Any, ctx: Any, translated: Translate) -> None:
    usage = command.get_usage
    command.get_usage = lambda ctx: usage(ctx).replace(USAGE, translated(USAGE), 1)
    for said in (command, *command.params, command.get_help_option(ctx)):
        if text := getattr(said, "help", None):
            said.help = "\n\n".join(map(translated, paragraphs(text)))


def paragraphs(text: str) -> list[str]:
    """The paragraphs of a text, one line each."""
    return [" ".join(each.split()) for each in text.split("\n\n")]


def texts(group: TyperGroup) -> Iterator[str]:
    """All that commands and options say of themselves, as the catalogues have it."""
    for command in (group, *group.commands.values()):
        for said in (command, *command.params):
            if text := getattr(said, "help", None):
                yield from paragraphs(text)
