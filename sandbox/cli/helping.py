"""What the command line says of itself in the reader's language: help, and what is wrong with a
line that cannot be read."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from typer.core import TyperGroup

from sandbox.facts import label

Translate = Callable[[str], str]

OPTION = "--language"
HELP = label("Show this help.")
TITLES = {
    "OPTIONS_PANEL_TITLE": label("Options"),
    "ARGUMENTS_PANEL_TITLE": label("Arguments"),
    "COMMANDS_PANEL_TITLE": label("Commands"),
    "REQUIRED_LONG_STRING": label("[required]"),
    "DEFAULT_STRING": label("[default: {value}]"),
    "ERRORS_PANEL_TITLE": label("Error"),
    "RICH_HELP": label("Try [blue]'{command_path} {help_option}'[/] for help."),
    "ABORTED_TEXT": label("Stopped."),
}
"""What stands around help and refusals, by the names that typer has for it."""
USAGE = label("Usage:")
OPTIONS, COMMAND = label("[OPTIONS]"), label("COMMAND [ARGS]...")
SAID = ("help", "epilog")
"""What a command or an option says of itself."""
RANGE = label("{takes} ({low} to {high})")

NO_OPTION = label("There is no option {option}.")
NO_COMMAND = label("There is no command {command}.")
NEAREST = label("{refusal} Did you mean {name}?")
OPTION_MISSING = label("The option {option} is missing.")
ARGUMENT_MISSING = label("{argument} is missing.")
VALUE_MISSING = label("The option {option} takes a value, and none follows it.")
NO_VALUE = label("The option {option} takes no value.")
TOO_MANY = label("There is more on the line than the command takes: {words}.")
WHOLE_NUMBER = label("{option}: found {found}; allowed: a whole number.")
WHOLE_NUMBER_BETWEEN = label(
    "{option}: found {found}; allowed: a whole number from {low} to {high}."
)
NUMBER = label("{option}: found {found}; allowed: a number, as 0.5.")
NUMBER_BETWEEN = label("{option}: found {found}; allowed: a number from {low} to {high}.")


class Speaking(TyperGroup):
    """Commands that say what concerns the command line in the language that is asked for."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read a command line; first, where it asks for help, translate that."""
        ctx.meta[__name__] = line = list(args)
        if not args or "--help" in args:
            _translate(self, ctx, _translation(line))
            if not set(self.commands).intersection(args):
                args = _without_language(args)
        with self._refusing(ctx, line):
            return super().parse_args(ctx, args)

    def invoke(self, ctx: Any) -> Any:
        """Run the command of a line that is read."""
        with self._refusing(ctx, ctx.meta[__name__]):
            return super().invoke(ctx)

    @contextmanager
    def _refusing(self, ctx: Any, line: Sequence[str]) -> Iterator[None]:
        """Have what typer refuses said in our words."""
        try:
            yield
        except Exception as error:
            translated = _translation(line)
            if text := _refusal(self, error, line, translated):
                _translate(self, ctx, translated)
                # A terminal might obey what is on the line.
                shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)
                error.format_message = lambda: shown  # type: ignore[attr-defined]
            raise


def _without_language(args: Sequence[str]) -> list[str]:
    return [
        here
        for before, here in zip(["", *args], args, strict=False)
        if OPTION not in (before, here.partition("=")[0])
    ]


def _asked(line: Sequence[str]) -> str | None:
    """The language that a command line asks for, as far as it does."""
    return _given(line, OPTION) or os.environ.get("SANDBOX_LANGUAGE")


def _given(line: Sequence[str], *options: str) -> str | None:
    """What a command line gives an option, by one of its names."""
    for here, after in zip(line, [*line[1:], ""], strict=False):
        name, equals, value = here.partition("=")
        if name in options:
            return value if equals else after
    return None


def _translation(line: Sequence[str]) -> Translate:
    """How texts are put in the language that a command line asks for."""
    if not (code := _asked(line)):
        return str
    from sandbox.language.words import chosen, translations
    from sandbox.scene import SceneError

    try:
        return translations(chosen(code)).gettext
    except SceneError:
        return str  # this is no place to refuse it


def _translate(group: TyperGroup, ctx: Any, translated: Translate) -> None:
    from typer import rich_utils  # which takes as long as all else that a command loads

    for name, text in TITLES.items():
        setattr(rich_utils, name, translated(text).replace("{value}", "{}"))
    rich_utils.RANGE_STRING = ""  # it is said with what the option takes
    group.subcommand_metavar = translated(COMMAND)
    for command in (group, *group.commands.values()):
        _translate_one(command, ctx, translated)


def _translate_one(command: Any, ctx: Any, translated: Translate) -> None:
    usage = command.get_usage
    command.get_usage = lambda ctx: usage(ctx).replace(USAGE, translated(USAGE), 1)
    command.options_metavar = translated(OPTIONS)
    (helping := command.get_help_option(ctx)).help = HELP
    for said in (command, *command.params, helping):
        for name in SAID:
            if text := getattr(said, name, None):
                setattr(said, name, "\n\n".join(map(translated, paragraphs(text))))
        if said is not command:
            _say_what_it_takes(said, translated)


def _say_what_it_takes(param: Any, translated: Translate) -> None:
    """Have help show what an option takes in words of ours, never the name of a type."""
    param.metavar = translated(param.metavar) if param.metavar else param.metavar
    if param.param_type_name == "argument":
        param.display_type_rich = lambda ctx: None  # noqa: ARG005 - its name says it
    elif param.is_flag:
        param.metavar = ""
    elif (ends := _range_of(param)) != (None, None):
        low, high = (f"{end:g}" for end in ends)
        param.metavar = translated(RANGE).format(takes=param.metavar, low=low, high=high)


def _range_of(param: Any) -> tuple[Any, Any]:
    """The least and the greatest number that an option takes, None where there is none."""
    held = getattr(param, "type", param)
    return getattr(held, "min", None), getattr(held, "max", None)


def _refusal(
    group: TyperGroup, error: Any, line: Sequence[str], translated: Translate
) -> str | None:
    """What an error of typer's says in our words; None where it is none that is known here. They
    are known by their names: it has not always kept them in the same place."""
    kind = type(error).__name__
    param: Any = getattr(error, "param", None)
    option = getattr(error, "option_name", "") or (param.opts[0] if param else "")
    if kind == "NoSuchOption":
        known = [each for p in error.ctx.command.params for each in p.opts]
        return _nearest(translated(NO_OPTION).format(option=option), option, known, translated)
    if kind == "MissingParameter" and param.param_type_name == "argument":
        return translated(ARGUMENT_MISSING).format(argument=translated(param.metavar))
    if kind == "MissingParameter":
        return translated(OPTION_MISSING).format(option=option)
    if kind == "BadOptionUsage":
        given = any(word.startswith(f"{option}=") for word in line)
        return translated(NO_VALUE if given else VALUE_MISSING).format(option=option)
    if kind == "BadParameter" and param is not None:
        return _no_number(param, line, translated)
    if kind != "UsageError":
        return None
    if error.ctx.command is not group:
        words = error.message.partition(" (")[2].removesuffix(")")
        return translated(TOO_MANY).format(words=words)
    command = next((word for word in line if not word.startswith("-")), "")
    refusal = translated(NO_COMMAND).format(command=command)
    return _nearest(refusal, command, list(group.commands), translated)


def _nearest(refusal: str, word: str, known: Sequence[str], translated: Translate) -> str:
    from sandbox.scene import nearest

    name = nearest(word, known)
    return translated(NEAREST).format(refusal=refusal, name=name) if name else refusal


def _no_number(param: Any, line: Sequence[str], translated: Translate) -> str:
    """What is said of an option's value that is no number, or none that it takes."""
    low, high = _range_of(param)
    held = getattr(param, "type", param)
    means = getattr(getattr(param, "type_descriptor", None), "annotation", held)
    whole = "int" in str(means).lower()
    text = WHOLE_NUMBER if whole else NUMBER
    if low is not None:
        text = WHOLE_NUMBER_BETWEEN if whole else NUMBER_BETWEEN
    found = repr(_given(line, *param.opts))
    return translated(text).format(option=param.opts[0], found=found, low=low, high=high)


def paragraphs(text: str) -> list[str]:
    """The paragraphs of a text, one line each."""
    return [" ".join(each.split()) for each in text.split("\n\n") if each]


def texts(group: TyperGroup) -> Iterator[str]:
    """All that commands and options say of themselves, as the catalogues have it."""
    for command in (group, *group.commands.values()):
        for said in (command, *command.params):
            for name in SAID:
                yield from paragraphs(getattr(said, name, None) or "")
            metavar = getattr(said, "metavar", None) or ""
            if re.search("[A-Z]{3}", metavar):
                yield metavar
