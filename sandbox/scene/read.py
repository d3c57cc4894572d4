"""A scene file's text -> checked SI values, key by key. Files are not trusted: sizes are bounded,
nothing is evaluated, and the first thing wrong is said in one message."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from sandbox import files, source_text, units
from sandbox.facts import Fact, label, stated, why
from sandbox.scene import facts
from sandbox.scene.about import Translation
from sandbox.scene.errors import Plain, SceneError, brief, nearest
from sandbox.scene.facts import AT_LEAST, FROM_TO, MORE_THAN
from sandbox.scene.parts import (
    DRUMS,
    JACK_DRUMS,
    JAWS,
    KINDS,
    RENAMED,
    REQUIRED,
    WEDGE_ENDS,
    About,
    Key,
    Mount,
    Move,
    Part,
    Place,
    ReeveEntry,
    keys_of,
)

LARGEST_FILE = 1_000_000
MOST_PARTS = 100
MOST_WAYPOINTS = 30
MOST_PARSING_STEPS = 2_000_000
"""Of tomllib, which walks from the top for each piece of a dotted key, its table's header too."""
RESERVED = ("scene", "machine")
_CODE = re.compile(r"[a-z]{2,3}")
JOINING = ("on", "name", "reeve")
"""The forms of key that join a part to others."""
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,30}")

Values = dict[str, Any]
"""The keys written for one part, in SI."""
KnownTables = dict[str, tuple[Mapping[str, Any], Values]]
"""Tables of a document that were read before, and what they say, by "KIND.NAME"."""


def read_file(path: Path) -> dict[str, Any]:
    """The TOML document in the file at `path`. Raises SceneError, naming what is wrong with it."""
    return read_bytes(file_bytes(path))


SCENE_FILE = label("a scene file (.toml)")


def file_bytes(path: Path, what: str = SCENE_FILE, most: int = LARGEST_FILE) -> bytes:
    """What is in the file at `path`, but no more than one byte over `most`; `what` it should be is
    said where it is not there. Raises SceneError."""
    try:
        if not path.exists():
            raise SceneError("", Plain("no such file"), what)
        if not path.is_file():
            raise SceneError("", Plain("a folder or a device"), what)
        return files.read_bounded(path, most)
    except (OSError, ValueError) as error:
        raise SceneError("", Plain(why(error)), "a file that can be read") from None


def read_bytes(raw: bytes) -> dict[str, Any]:
    """The TOML document in a file's bytes. Raises SceneError, naming what is wrong with it."""
    if len(raw) > LARGEST_FILE:
        raise SceneError(
            "",
            Plain("a larger file"),
            stated("at most {most} bytes", most=units.grouped(LARGEST_FILE)),
        )
    if _steps(raw) > MOST_PARSING_STEPS:
        raise SceneError("", Plain("too many dots in its lines"), "TOML text with shorter keys")
    try:
        text = raw.decode("utf-8-sig")
        return tomllib.loads(text)
    except UnicodeDecodeError:
        raise SceneError("", Plain("bytes that are not text"), "TOML text in UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        raise _unread(text, str(error)) from None
    except (RecursionError, ValueError):
        raise SceneError("", Plain("TOML nested too deep or too long"), "TOML text") from None


def _unread(text: str, error: str) -> SceneError:
    """What is wrong with a text that is no TOML, by what its reader says: the line, as it is."""
    number = re.search(r"\(at line (\d+), ", error)
    allowed = stated(
        "TOML text, such as {text}, {number} or {table}: texts in quotation marks, decimals with a "
        "point, each name once",
        text='title = "Lever"',
        number="sheaves = 2",
        table="[weight.bag]",
    )
    if not number:
        return SceneError("", Plain("text that ends too soon"), allowed)
    lines = text.replace("\r\n", "\n").split("\n")
    line = brief(lines[int(number[1]) - 1].strip())
    found = Plain(stated("line {number}, {text}", number=int(number[1]), text=line))
    return SceneError("", found, allowed)


@lru_cache(maxsize=4)
def has_room(text: str) -> bool:
    """Whether a text is so far from what `read_bytes` refuses that other values in it may stand
    there unread."""
    raw = text.encode()
    return len(raw) <= LARGEST_FILE // 2 and _steps(raw) <= MOST_PARSING_STEPS // 2


def _steps(raw: bytes) -> int:
    """About how many steps tomllib takes over dotted keys, every dot being taken for one."""
    header = steps = 0
    for line in raw.split(b"\n"):
        dots = 1 + line.count(b".")
        if line.lstrip().startswith(b"["):
            header = dots
        steps += dots * (header + dots)
    return steps


def read_document(
    document: Mapping[str, Any],
    missing: dict[str, Fact] | None = None,
    known: KnownTables | None = None,
) -> tuple[Values, dict[str, tuple[str, Values]]]:
    """The [scene] table's values, and for each part name its kind and values.

    Raises SceneError for an unknown kind or key, a missing key, or a value that is not allowed.
    With `missing`, keys that would join a part to others may be: it is then told, by part. A table
    that is the very one in `known` is not read again; what is read is kept there.
    """
    known = {} if known is None else known
    kinds = ["scene", *KINDS]
    for kind, table in document.items():
        if kind not in kinds:
            if RENAMED.get(kind) in kinds:
                raise SceneError(
                    kind, None, stated("{name}, as it is called now", name=RENAMED[kind])
                )
            raise SceneError(
                kind,
                None,
                stated("one of {names}", names=", ".join(kinds)),
                nearest=nearest(kind, kinds),
            )
        if not isinstance(table, dict):
            raise SceneError(
                kind,
                table,
                stated(
                    "a table, as in [{name}]",
                    name=kind if kind == "scene" else f"{kind}.NAME",
                ),
            )
    if "scene" not in document:
        raise SceneError("scene", None, "a [scene] table with title, watch and mode")
    count = sum(len(document[kind]) for kind in KINDS if kind in document)
    if count > MOST_PARTS:
        raise SceneError(
            "",
            Plain(stated("{count} parts", count=units.grouped(count))),
            stated("at most {most} parts", most=MOST_PARTS),
        )
    about = _read_once(About, "scene", document["scene"], known)
    parts: dict[str, tuple[str, Values]] = {}
    for kind, part_type in KINDS.items():
        for name, table in document.get(kind, {}).items():
            where = f"{kind}.{name}"
            if not _NAME.fullmatch(name):
                raise SceneError(
                    kind, name, "a name of letters, digits, - and _, 31 at most, a letter first"
                )
            if name in RESERVED:
                raise SceneError(
                    where, name, stated("any name but {names}", names=", ".join(RESERVED))
                )
            if name in parts:
                raise SceneError(
                    where,
                    name,
                    stated(
                        "a name used once (there is a {parts} of that name)", parts=parts[name][0]
                    ),
                )
            if not isinstance(table, dict):
                raise SceneError(where, table, stated("a table, as in [{where}]", where=where))
            try:
                read = _read_once(part_type, where, table, known)
            except SceneError as error:
                if missing is None or error.missing is None:
                    raise
                missing[name] = error.missing
                read = read_table(part_type, where, table, joined=False)
            parts[name] = (kind, read)
    for code, translation in about.get("translations", ()):
        for name, _ in translation.names:
            if name not in parts:
                where = f"scene.translations.{code}.names.{name}"
                allowed = stated("a part: one of {names}", names=", ".join(parts))
                raise SceneError(where, None, allowed, nearest=nearest(name, parts))
    return about, parts


def _read_once(
    kind: type[Part | About], where: str, table: Mapping[str, Any], known: KnownTables
) -> Values:
    """As `read_table`, unless the same is known."""
    before = known.get(where)
    if before is None or before[0] is not table:
        before = known[where] = table, read_table(kind, where, table)
    return before[1]


def read_table(
    kind: type[Part | About | Translation],
    where: str,
    table: Mapping[str, Any],
    joined: bool = True,
) -> Values:
    """The SI values of one table's keys; keys left out are left out here too. With not `joined`,
    that may be those which join it to others."""
    keys = keys_of(kind)
    for name in table:
        if name not in keys:
            raise _unknown_key(f"{where}.{name}", name, keys)
    for name, (key, default) in keys.items():
        if default is REQUIRED and name not in table and (joined or key.form not in JOINING):
            found: Plain | Fact = Plain("nothing")
            if issubclass(kind, Part) and key.form in JOINING:
                found = kind.unjoined(name=where.partition(".")[2])
            raise SceneError(
                f"{where}.{name}",
                found,
                stated("a key that is required: {about}", about=stated(key.about)),
            )
    return {
        name: read_key(keys[name][0], f"{where}.{name}", found) for name, found in table.items()
    }


def _unknown_key(where: str, name: str, keys: Iterable[str]) -> SceneError:
    known = list(keys)
    if RENAMED.get(name) in known:
        return SceneError(where, None, facts.CALLED_NOW(name=RENAMED[name]))
    allowed = facts.KEYS_ARE(names=", ".join(known))
    return SceneError(where, None, allowed, nearest=nearest(name, known))


def read_key(key: Key, where: str, found: Any) -> Any:
    """The SI value of one key. Raises SceneError where it is not allowed."""
    return _READERS[key.form](key, where, found)


def read_change(kind: type[Part | About], where: str, text: str) -> Any:
    """The value that `text` from a command line gives a key, quotation marks being optional."""
    keys = keys_of(kind)
    name = where.rpartition(".")[2]
    if name not in keys:
        raise _unknown_key(where, name, keys)
    key = keys[name][0]
    plain = key.form == "value" and key.dimension is units.NUMBER
    return read_key(key, where, source_text.typed(units.pointed(text) if plain else text))


def check_range(key: Key, where: str, value: float, found: object) -> float:
    """`value`, or SceneError where it lies outside what the key allows."""
    if key.above is not None and value <= key.above:
        raise SceneError(where, found, MORE_THAN(low=_bound(key, key.above)))
    if not key.low <= value <= key.high:
        if key.high == float("inf"):
            raise SceneError(where, found, AT_LEAST(low=_bound(key, key.low)))
        low, high = _bound(key, key.low), _bound(key, key.high)
        raise SceneError(where, found, FROM_TO(low=low, high=high))
    return value


def _bound(key: Key, value: float) -> str:
    shown = f"{units.convert(value, key.dimension):g}"
    return f"{shown} {key.dimension.display}".rstrip()


def _read_value(key: Key, where: str, found: Any) -> float:
    if key.dimension is units.NUMBER and isinstance(found, str):
        raise SceneError(where, found, without_comma(facts.NO_UNIT_OR_QUOTES(), found))
    try:
        return check_range(key, where, units.read(found, key.dimension), found)
    except units.UnitError as error:
        raise SceneError(where, found, wanted(key.dimension, error)) from None


def wanted(dimension: units.Dimension, error: units.UnitError) -> Fact:
    """What a value of a dimension should have been, and what is wrong with what was read."""
    return _at_fault(facts.WITH_UNIT[dimension](), error.fault, error.examples)


def without_comma(allowed: Fact, text: str) -> Fact:
    """What is allowed, and how to write it without the comma that a text has in its number."""
    return _at_fault(allowed, *units.comma_fault(text))


def _at_fault(allowed: Fact, fault: units.Fault, examples: tuple[str, ...]) -> Fact:
    if not fault:
        return allowed
    fields = dict(zip(("example", "other"), examples, strict=False))
    return facts.FAULTS[fault](wanted=allowed, **fields)


def _read_text(key: Key, where: str, found: Any) -> str:
    if not isinstance(found, str) or not found.strip() or len(found) > key.most:
        raise SceneError(
            where,
            found,
            stated("{about}, {most} characters at most", about=stated(key.about), most=key.most),
        )
    if not found.isprintable():
        raise SceneError(
            where,
            found,
            stated("{about}, on one line of printable characters", about=stated(key.about)),
        )
    return found


def _read_translations(key: Key, where: str, found: Any) -> tuple[tuple[str, Translation], ...]:
    if not isinstance(found, dict):
        raise SceneError(
            where, found, stated("a table for each language, as in [{where}.es]", where=where)
        )
    if len(found) > key.most:
        raise SceneError(
            where,
            Plain(stated("{count} languages", count=len(found))),
            stated("at most {most}", most=key.most),
        )
    read = []
    for code, table in found.items():
        if not _CODE.fullmatch(code):
            raise SceneError(where, code, 'the code of a language (ISO 639), as in "es"')
        if not isinstance(table, dict):
            raise SceneError(
                f"{where}.{code}",
                table,
                stated("a table, as in [{where}.{code}]", where=where, code=code),
            )
        read.append((code, Translation(**read_table(Translation, f"{where}.{code}", table))))
    return tuple(read)


def _read_words(key: Key, where: str, found: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(found, dict):
        raise SceneError(
            where, found, stated('a table such as [{where}]: name = "word"', where=where)
        )
    words = {name: _read_text(key, f"{where}.{name}", text) for name, text in found.items()}
    for name, text in words.items():
        if list(words.values()).count(text) > 1:
            raise SceneError(f"{where}.{name}", text, "a word that no other part is called by")
    return tuple(words.items())


def _read_name(key: Key, where: str, found: Any) -> str:
    if not isinstance(found, str) or not _NAME.fullmatch(found):
        raise SceneError(where, found, stated("the name of {about}", about=stated(key.about)))
    return found


def _read_choice(key: Key, where: str, found: Any) -> str:
    if not isinstance(found, str) or found not in key.choices:
        hint = nearest(found, key.choices) if isinstance(found, str) else None
        raise SceneError(
            where, found, stated("one of {names}", names=", ".join(key.choices)), nearest=hint
        )
    return found


def _read_flag(key: Key, where: str, found: Any) -> bool:
    if not isinstance(found, bool):
        raise SceneError(where, found, stated("true or false ({about})", about=stated(key.about)))
    return found


def _read_count(key: Key, where: str, found: Any) -> int:
    if isinstance(found, bool) or not isinstance(found, int):
        raise SceneError(where, found, stated("a whole number: {about}", about=stated(key.about)))
    if not key.low <= found <= key.high:
        allowed = facts.WHOLE_NUMBER(low=str(key.low), high=str(key.high))
        raise SceneError(where, found, allowed)
    return found


def _list(key: Key, where: str, found: Any, most: int) -> list[Any]:
    if not isinstance(found, list):
        raise SceneError(where, found, stated("a list: {about}", about=stated(key.about)))
    if len(found) > most:
        allowed = facts.AT_MOST_SO_MANY(most=most)
        raise SceneError(where, Plain(stated("{count} entries", count=len(found))), allowed)
    return found


def _read_names(key: Key, where: str, found: Any) -> tuple[str, ...]:
    for index, name in enumerate(_list(key, where, found, key.most)):
        if not isinstance(name, str):
            raise SceneError(f"{where}[{index}]", name, facts.A_QUANTITY())
    return tuple(found)


def _read_length(where: str, found: Any, low: float = -100.0) -> float:
    return float(_read_value(Key("value", "", units.LENGTH, low, 100.0), where, found))


def _read_lengths(key: Key, where: str, found: Any) -> tuple[float, ...]:
    items = _list(key, where, found, key.most)
    return tuple(_read_length(f"{where}[{i}]", item, 0.0) for i, item in enumerate(items))


def _read_place(key: Key, where: str, found: Any) -> Place:
    if not isinstance(found, list) or len(found) != 2:
        allowed = stated('{about}, as in ["10 cm", "1 m"]', about=stated(key.about))
        raise SceneError(where, found, allowed)
    plumb = key.plumb and found[0] == "plumb"
    across = None if plumb else _read_length(f"{where}[0]", found[0])
    return Place(across, _read_length(f"{where}[1]", found[1]))


def _split_at(where: str, found: Any, allowed: str | Fact) -> tuple[str, float | None]:
    if not isinstance(found, str):
        raise SceneError(where, found, allowed)
    name, at, distance = found.partition("@")
    return name.strip(), _read_length(where, distance.strip(), 0.0) if at else None


def _read_on(key: Key, where: str, found: Any) -> Mount:
    name, distance = _split_at(where, found, f"{key.about}")
    if not _NAME.fullmatch(name):
        raise SceneError(where, found, key.about)
    return Mount(name, distance)


def _read_reeve(key: Key, where: str, found: Any) -> tuple[ReeveEntry, ...]:
    items = _list(key, where, found, MOST_WAYPOINTS)
    if len(items) < 2:
        raise SceneError(where, found, facts.TWO_ENDS())
    return tuple(_read_entry(f"{where}[{i}]", item) for i, item in enumerate(items))


def _read_entry(where: str, found: Any) -> ReeveEntry:
    allowed = stated(
        'a part, as in "stone", "upper.1" (a sheave), "upper.becket", "winch.axle" (a drum: '
        '{names}), "chock.thin" (an end of a wedge: {ends}), "splitter.left" (a jaw of a '
        'splitting wedge: {jaws}) or "spar@20 cm"',
        names=", ".join((*DRUMS, *JACK_DRUMS)),
        ends=", ".join(WEDGE_ENDS),
        jaws=", ".join(JAWS),
    )
    whole, distance = _split_at(where, found, allowed)
    name, dot, detail = whole.partition(".")
    if not _NAME.fullmatch(name) or (dot and distance is not None):
        raise SceneError(where, found, allowed)
    if not dot:
        return ReeveEntry(name, distance=distance)
    if detail == "becket":
        return ReeveEntry(name, becket=True)
    if detail in (*DRUMS, *JACK_DRUMS):
        return ReeveEntry(name, drum=detail)
    if detail in (*WEDGE_ENDS, *JAWS):
        return ReeveEntry(name, end=detail)
    if not re.fullmatch(r"[0-9]{1,2}", detail):
        raise SceneError(where, found, allowed)
    return ReeveEntry(name, sheave=int(detail))


_MOVES: tuple[tuple[re.Pattern[str], Callable[[str, re.Match[str]], Move]], ...] = (
    (
        re.compile(r"hold (?P<time>.+)"),
        lambda where, m: Move("hold", duration=_quantity(where, m["time"], units.TIME)),
    ),
    (
        re.compile(r"(?P<verb>haul|pay out) (?P<distance>.+) at (?P<speed>.+)"),
        lambda where, m: _hauling(where, m),
    ),
    (
        re.compile(r"pull (?P<force>.+) for (?P<time>.+)"),
        lambda where, m: Move(
            "pull",
            force=_quantity(where, m["force"], units.FORCE),
            duration=_quantity(where, m["time"], units.TIME),
        ),
    ),
    (re.compile(r"let go"), lambda _where, _match: Move("let go")),
)
_LIMITS = {units.TIME: 600.0, units.FORCE: 1e6, units.LENGTH: 100.0, units.SPEED: 5.0}


def _quantity(where: str, text: str, dimension: units.Dimension) -> float:
    key = Key("value", "", dimension, high=_LIMITS[dimension], above=0.0)
    return float(_read_value(key, where, text))


def _hauling(where: str, match: re.Match[str]) -> Move:
    sign = 1.0 if match["verb"] == "haul" else -1.0
    distance = _quantity(where, match["distance"], units.LENGTH)
    speed = _quantity(where, match["speed"], units.SPEED)
    return Move("haul", sign * distance, speed, distance / speed)


def _read_moves(key: Key, where: str, found: Any) -> tuple[Move, ...]:
    moves: list[Move] = []
    for index, text in enumerate(_list(key, where, found, key.most)):
        here = f"{where}[{index}]"
        for pattern, make in _MOVES:
            match = pattern.fullmatch(text) if isinstance(text, str) else None
            if match:
                moves.append(make(here, match))
                break
        else:
            raise SceneError(here, text, key.about)
    for index, move in enumerate(moves[:-1]):
        if move.kind == "let go":
            raise SceneError(f"{where}[{index}]", found[index], '"let go" as the last move')
    return tuple(moves)


_READERS: dict[str, Callable[[Key, str, Any], Any]] = {
    "value": _read_value,
    "text": _read_text,
    "translations": _read_translations,
    "words": _read_words,
    "name": _read_name,
    "names": _read_names,
    "choice": _read_choice,
    "flag": _read_flag,
    "count": _read_count,
    "lengths": _read_lengths,
    "place": _read_place,
    "on": _read_on,
    "reeve": _read_reeve,
    "moves": _read_moves,
}
