"""Each student their own bench: values drawn by a stated rule, the hidden ones sealed in the file.

The draw is the same on every machine: the first 64 bits of the SHA-256 of "SEED|STUDENT|KEY" in
UTF-8, as a share of 2^64, choose one of the evenly spaced values between the bounds, in whole
decimal arithmetic. KEY is as the user wrote it: "upper.bearing_friction+lower.bearing_friction" is
one draw.

A further attempt has other hidden values, and all else as the first has it. They are drawn by the
same rule from "TOKEN|STUDENT|KEY|attempt N", where TOKEN is the first deal's, which stands for its
seed, student and scene, and KEY has every key of the same value and bounds, in alphabetical order,
joined by "+". So the file of the first attempt is all that is needed for any other, and everybody
draws the same.

The seal (`scene.seal`) is no security for an examination.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from sandbox import files, theory, units
from sandbox.facts import Amount, Fact, label, stated
from sandbox.lab import facts
from sandbox.lab.class_work.record import LONGEST_LABEL, digest, is_label
from sandbox.lab.tables import LARGEST_FILE, naming, read_table, table_text
from sandbox.scene import (
    Plain,
    Scene,
    SceneError,
    Unanswerable,
    dimension_of,
    parse,
    quantities,
    revised,
    seal,
    wanted,
)
from sandbox.scene.errors import FilePlace
from sandbox.scene.parts import Gauge, Mount
from sandbox.scene.read import file_bytes, read_bytes, without_comma
from sandbox.scene.seal import Held
from sandbox.source_text import KeyPath, SourceText, typed

MOST_STUDENTS = 1_000
KEY_FILE = "key.csv"
FIRST_HASH = "first_scene_sha256"
"""The column of a key that has, for a further attempt, the hash of the first one's scene."""
DEALT_TO = "# Dealt to "
ROSTER = label("a roster (.csv)")


# Chance.


def drawn_number(count: int, *words: object) -> int:
    """A whole number from 0 to `count` - 1, drawn by the SHA-256 of the words joined by "|".

    >>> drawn_number(1000, 7, "Student A", "bag.mass")
    806
    """
    bits = hashlib.sha256("|".join(map(str, words)).encode()).digest()[:8]
    return (int.from_bytes(bits, "big") * count) >> 64


def fraction(*words: object) -> float:
    """A number from 0 up to 1, drawn in the same way, to 53 bits."""
    return drawn_number(1 << 53, *words) / (1 << 53)


# What is dealt.


@dataclass(frozen=True)
class Variation:
    """What a deal varies: one or more keys that get one value, in a unit, between two bounds."""

    keys: tuple[str, ...]
    low: Decimal
    high: Decimal
    unit: str
    hidden: bool

    @property
    def name(self) -> str:
        """The keys as the user wrote them."""
        return "+".join(self.keys)

    def draw(self, seed: object, student: str, *more: str) -> str:
        """This student's value with its unit: one of 100 to 1000 steps between the bounds; drawn by
        `more` words too."""
        step = Decimal(1).scaleb((self.high - self.low).adjusted() - 2)
        steps = int((self.high - self.low) / step) + 1
        value = self.low + step * drawn_number(steps, seed, student, self.name, *more)
        return f"{value:f} {self.unit}".strip()


def variation(text: str, scene: Scene, *, hidden: bool) -> Variation:
    """What "KEY=LOW..HIGH" says, as in "stone.mass=300 g..500 g" or "head.radius=2 cm..3 cm".

    Raises SceneError where a key is not a single value of the scene, or a bound is not allowed.
    """
    option = "--vary" if hidden else "--give"
    keys, equals, bounds = text.partition("=")
    low, dots, high = bounds.partition("..")
    lower, higher = (units.split_number(units.pointed(end)) for end in (low, high))
    if not equals or not dots or not lower or not higher:
        allowed = stated("KEY=LOW..HIGH, as in 'stone.mass=300 g..500 g'")
        raise SceneError(option, text, without_comma(allowed, bounds))
    (low_number, low_unit), (high_number, high_unit) = lower, higher
    if low_unit and high_unit and low_unit != high_unit:
        raise SceneError(f"{option} {keys}", Plain("two units"), "both bounds in one unit")
    found = Variation(
        tuple(key.strip() for key in keys.split("+")),
        Decimal(low_number),
        Decimal(high_number),
        high_unit or low_unit,
        hidden,
    )
    if not found.low < found.high:
        raise SceneError(f"{option} {keys}", bounds, "a lower bound below the higher")
    if len(set(found.keys)) < len(found.keys) or len(found.keys) > 20:
        raise SceneError(option, keys, "each key once, 20 at most")
    for key in found.keys:
        if key.startswith("scene.") and key != "scene.gravity":
            raise SceneError(option, key, "a key of a part, or scene.gravity")
        dimension = dimension_of(scene, key)
        for bound in (found.low, found.high):
            shown = f"{bound:f} {found.unit}".strip()
            try:
                units.read(shown, dimension)
            except units.UnitError as error:
                raise SceneError(f"{option} {key}", shown, wanted(dimension, error)) from None
    return found


def _written(scene: Scene, key: str, value: str) -> str:
    """A drawn value as the scene file writes it: on a part, "stick@45 cm"."""
    part, _, name = key.partition(".")
    on = getattr(scene.parts.get(part), name, None)
    return f"{on.part}@{value}" if isinstance(on, Mount) else value


# The roster.


def read_roster(path: Path) -> list[str]:
    """The students of a roster. Raises SceneError as `read_class` does."""
    return list(read_class(path))


def read_class(path: Path) -> dict[str, dict[str, str]]:
    """The students of a roster, a CSV file with a column "student", each with what its other
    columns say, as an id or a group. Labels come composed (NFC).

    Raises SceneError, naming the row, where a label is missing, too long, unprintable or there
    twice or in two forms that look the same, or the file is not such a table.
    """
    with naming(path):
        names, rows = read_table(path, ROSTER, MOST_STUDENTS)
        columns = [i for i, name in enumerate(names) if name.lower() == "student"]
        if len(columns) != 1:
            found = Plain("two columns student" if columns else "no column student")
            raise SceneError(FilePlace("its first row"), found, 'one column "student"')
        students: dict[str, dict[str, str]] = {}
        taken: set[str] = set()
        for number, cells in rows:
            label = unicodedata.normalize("NFC", cells[columns[0]].strip())
            where = FilePlace("row {row}", row=number)
            if not is_label(label) or not _seen(label):
                allowed = stated(
                    "a label of printable characters, {most} at most",
                    most=LONGEST_LABEL,
                )
                raise SceneError(where, label or Plain("no label"), allowed)
            if _seen(label) in taken:
                raise SceneError(where, label, "each label once, and no two that look the same")
            taken.add(_seen(label))
            others = [i for i, name in enumerate(names) if name and i not in columns]
            students[label] = {names[i]: cells[i].strip() for i in others}
        return students


# Printable by Unicode's rules, and yet nothing is seen of them.
_UNSEEN = re.compile(
    r"[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u2800\u3164\ufe00-\ufe0f\uffa0\U000e0100-\U000e01ef]"
)


def _seen(label: str) -> str:
    """What the eye sees of a label: compatible forms are one, and so are few spaces and many."""
    return " ".join(_UNSEEN.sub("", unicodedata.normalize("NFKC", label)).split())


# Dealing.


@dataclass(frozen=True)
class Dealt:
    """What one student is dealt: the scene file, and for the teacher what is in it."""

    student: str
    file: str
    text: str
    token: str
    values: Mapping[str, str]
    predicted: Mapping[str, float]
    notes: tuple[Fact, ...] = ()
    first_hash: str = ""
    """The hash of the scene of the first attempt, where this is another."""


def deal(
    path: Path,
    students: Sequence[str],
    seed: int,
    vary: Sequence[str],
    give: Sequence[str] = (),
    progress: Callable[[float], None] | None = None,
) -> list[Dealt]:
    """A hand for each student: `vary` is drawn and sealed, `give` drawn and plain to see.

    Raises SceneError, and Unanswerable where some drawn values make a machine that does not work.
    """
    raw = file_bytes(path)
    document = read_bytes(raw)
    scene = parse(document, path.stem)
    if scene.about.dealt is not None:
        raise SceneError("scene.dealt", Plain("a scene that was dealt"), "one that was not")
    variations = [variation(text, scene, hidden=True) for text in vary]
    variations += [variation(text, scene, hidden=False) for text in give]
    keys = [key for each in variations for key in each.keys]
    if not variations or len(set(keys)) < len(keys):
        raise SceneError("--vary", Plain("a key twice" if keys else "nothing"), "each key once")
    text = _text_of(raw)
    hands: list[Dealt] = []
    for student, stem in zip(students, file_stems(students), strict=True):
        hands.append(_hand(scene, text, student, f"{stem}.toml", seed, variations))
        if progress is not None:
            progress(len(hands) / len(students))
    return hands


def _hand(
    scene: Scene, text: str, student: str, file: str, seed: int, variations: Sequence[Variation]
) -> Dealt:
    values: dict[str, str] = {}
    plain: dict[str, str] = {}
    hidden: dict[str, str] = {}
    bounds: dict[str, str] = {}
    for each in variations:
        drawn = each.draw(seed, student)
        for key in each.keys:
            values[key] = drawn
            (hidden if each.hidden else plain)[key] = _written(scene, key, drawn)
            if each.hidden:
                bounds[key] = f"{each.low:f} to {each.high:f} {each.unit}".strip()
    token = digest(f"{seed}|{student}|{digest(text)}")[:16]
    dealt = seal.closed({"student": student, "values": hidden, "bounds": bounds}, token)
    written = _rewritten(scene, text, student, plain, tuple(hidden), dealt)
    try:
        bench = open_text(written, scene.name)
        found = theory.predict(bench.scene)
        if found.outcome == "parts":
            raise Unanswerable(facts.ENDS_SO(notes=tuple(found.notes)))
    except (SceneError, Unanswerable) as error:
        drawn = ", ".join(f"{key} = {value}" for key, value in values.items())
        reason = facts.NO_BENCH(student=student, values=drawn, reason=error.fact)
        raise Unanswerable(reason) from None
    notes = _over_range(bench, found.quantities)
    return Dealt(student, file, written, token, values, found.quantities, notes)


def _over_range(bench: Bench, predicted: Mapping[str, float]) -> tuple[Fact, ...]:
    return tuple(
        stated(
            "{student}: {gauge} would read {reading}, beyond its range of {range}",
            student=bench.student,
            gauge=gauge.name,
            reading=Amount(predicted[f"{gauge.name}.reading"], units.FORCE, 3),
            range=Amount(gauge.range, units.FORCE, 3),
        )
        for gauge in bench.scene.of(Gauge)
        if predicted.get(f"{gauge.name}.reading", 0.0) > gauge.range
    )


def _rewritten(
    scene: Scene,
    text: str,
    student: str,
    plain: Mapping[str, str],
    hidden: Sequence[str],
    dealt: str,
) -> str:
    """The scene file with this student's plain values in it, and the seal."""
    source = SourceText(text)
    for key, value in plain.items():
        number = dimension_of(scene, key) is units.NUMBER
        source = source.put(_path(scene, key), float(value) if number else value)
    for key in hidden:
        words = "a stand-in; the bench has another value, which is sealed"
        source = source.remark(_path(scene, key), words)
    source = source.put(("scene", "dealt"), dealt)
    return f"{DEALT_TO}{student}.\n{source.text}"


def file_stems(students: Sequence[str]) -> list[str]:
    """For each label a file name of plain letters, without its ending: no label can name another
    place, a device, the key, or another student's file.

    >>> file_stems(["Student A 3", "../../etc", "Student A", "student-a", "学生", "con", "Ñé"])
    ['student_a_3', 'etc', 'student_a', 'student_a_4', 'student_5', 'student_6', 'ne']
    """
    stems: list[str] = []
    for number, student in enumerate(students, 1):
        bare = unicodedata.normalize("NFKD", student.lower())
        bare = "".join(c for c in bare if not unicodedata.combining(c))
        stem = re.sub(r"[^a-z0-9]+", "_", bare).strip("_")[:40]
        if not stem or re.fullmatch(r"con|prn|aux|nul|com\d|lpt\d|key", stem):
            stem = f"student_{number}"
        while stem in stems:
            stem += f"_{number}"
        stems.append(stem)
    return stems


def key_rows(scene: Scene, hands: Sequence[Dealt]) -> list[list[str]]:
    """The teacher's key: who has which values, and what theory predicts from them."""
    keys = list(hands[0].values)
    asked = [name for name in scene.about.predict if name in hands[0].predicted]
    heading = ["student", "file", "token", "scene_sha256", *keys]
    for name in asked:
        unit = quantities.kind_of(name).unit
        heading.append(f"{name} ({unit})" if unit else name)
    again = any(hand.first_hash for hand in hands)
    rows = [[*heading, FIRST_HASH] if again else heading]
    for hand in hands:
        answers = []
        for name in asked:
            kind = quantities.kind_of(name)
            value = hand.predicted.get(name)
            shown = "" if value is None else units.convert(value, kind.dimension, kind.unit)
            answers.append(units.significant(shown, 5) if isinstance(shown, float) else "")
        cells = [hand.values[key] for key in keys]
        row = [hand.student, hand.file, hand.token, digest(hand.text), *cells, *answers]
        rows.append([*row, hand.first_hash] if again else row)
    return rows


def write_deal(scene: Scene, hands: Sequence[Dealt], folder: Path) -> list[Path]:
    """Write every student's scene file and then the teacher's key into a folder.

    Raises OSError, and SceneError where another deal is in it.
    """
    key = table_text(key_rows(scene, hands))
    refuse_another(folder, hands, key)
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, text in [*((hand.file, hand.text) for hand in hands), (KEY_FILE, key)]:
        written.append(folder / name)
        files.write(written[-1], text)
    return written


def refuse_another(folder: Path, hands: Sequence[Dealt], key: str) -> None:
    """Raise SceneError, naming the file, where a folder holds what another deal wrote: one key
    would stand beside the files of two, and the other be lost. The same deal, whole or cut short,
    may be written again, with more students too. Raises OSError."""
    texts = {hand.file: hand.text for hand in hands}
    for path in [folder / KEY_FILE, *sorted(folder.glob("*.toml"))]:
        if not path.is_file():
            continue
        text = files.read_bounded(path, LARGEST_FILE).decode(errors="replace")
        if path.name == KEY_FILE:
            other = "scene_sha256" in text and not set(text.split("\n")) <= set(key.split("\n"))
        else:
            other = text.startswith(DEALT_TO) and text != texts.get(path.name)
        if other:
            allowed = stated(
                "a folder without one, or the same deal again, with more students if need be"
            )
            is_key = path.name == KEY_FILE
            with naming(path):
                found = Plain("another deal, or its key changed" if is_key else "another deal")
                raise SceneError("", found, allowed)


# The seal, and what is under it.


@dataclass(frozen=True)
class Bench:
    """A scene as one student's bench really is, what is hidden included."""

    scene: Scene
    text: str
    """The whole scene file, as it is kept in a record."""
    student: str | None
    token: str
    hidden: Mapping[str, str]
    bounds: Mapping[str, str]
    """Of each hidden key: where it is known to lie."""
    attempt: int = 1

    @property
    def dealt(self) -> bool:
        """True where it was dealt to a student."""
        return self.student is not None

    def at(self, setting: Mapping[str, str]) -> Bench:
        """The bench set otherwise in some keys ("PART.KEY", and entries of places, -> value with
        its unit), as for a trial.

        Raises SceneError where that cannot be set, or is what the student is to find.
        """
        if not setting:
            return self
        values = {}
        for key, text in setting.items():
            if key.partition("[")[0] in self.hidden:
                raise SceneError(key, Plain("a sealed value"), "any key but those")
            dimension = dimension_of(self.scene, key, places=True)
            try:
                values[key] = units.read(text, dimension)
            except units.UnitError as error:
                raise SceneError(key, text, wanted(dimension, error)) from None
        return replace(self, scene=revised(self.scene, values))


def sealed(scene: Scene) -> tuple[str, ...]:
    """The keys whose values in a scene as `load` gives it are stand-ins. Raises SceneError."""
    return () if scene.about.dealt is None else tuple(_unsealed(scene.about.dealt)[1]["values"])


def open_file(path: Path, changes: Mapping[str, str] | None = None) -> Bench:
    """The bench a scene file describes, dealt or not, changed in some keys ("PART.KEY" -> value).

    Raises SceneError, which names the file.
    """
    with naming(path):
        text = _text_of(file_bytes(path))
        return open_text(changed(text, path.stem, changes) if changes else text, path.stem)


def _text_of(raw: bytes) -> str:
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise SceneError("", Plain("bytes that are not text"), "TOML text in UTF-8") from None


def open_text(text: str, name: str) -> Bench:
    """The bench that a scene file's text describes. Raises SceneError."""
    document = read_bytes(text.encode())
    scene = parse(document, name)
    if scene.about.dealt is None:
        return Bench(scene, text, None, digest(text)[:16], {}, {})
    token, held = _unsealed(scene.about.dealt)
    scene = parse(document, name, held["values"])
    attempt = held.get("attempt", 1)
    return Bench(scene, text, held["student"], token, held["values"], held["bounds"], attempt)


# Further attempts.


def attempt_of(bench: Bench, number: int) -> Bench:
    """The bench of a student's attempt of that number, from that of any other.

    Raises SceneError where nothing is hidden that could be drawn anew or there is no such attempt,
    and Unanswerable where the values drawn make a machine that does not work.
    """
    name = bench.scene.name
    if not 1 <= number <= seal.MOST_ATTEMPTS:
        whole = stated("a whole number from 1 to {most}", most=seal.MOST_ATTEMPTS)
        raise SceneError("--attempt", number, whole)
    if number == bench.attempt:
        return bench
    if not bench.hidden:
        allowed = "a bench that was dealt with hidden values (sandbox deal --vary)"
        raise SceneError("--attempt", Plain("a bench that hides nothing"), allowed)
    first = _first_text(bench.text)
    if number == 1:
        return open_text(first, name)
    found = open_text(_attempt_text(first, name, number), name)
    try:
        if theory.predict(found.scene).outcome != "parts":
            return found
        reason = facts.ENDS_SO(notes=tuple(theory.predict(found.scene).notes))
    except Unanswerable as error:
        reason = error.fact
    drawn = ", ".join(f"{key} = {value}" for key, value in found.hidden.items())
    student = found.student or ""
    raise Unanswerable(facts.NO_BENCH(student=student, values=drawn, reason=reason))


def dealt_again(hand: Dealt, name: str, number: int) -> Dealt:
    """What a student is dealt for an attempt of that number. Raises as `attempt_of` does."""
    first = open_text(hand.text, name)
    found = attempt_of(first, number)
    if found is first:
        return hand
    values = {key: found.hidden.get(key, value) for key, value in hand.values.items()}
    predicted = theory.predict(found.scene).quantities
    notes = _over_range(found, predicted)
    return Dealt(
        hand.student, hand.file, found.text, found.token, values, predicted, notes,
        digest(hand.text),
    )  # fmt: skip


def _first_text(text: str) -> str:
    """The scene file of the first attempt, from that of any. Raises SceneError."""
    dealt = _dealt_line(text)
    first = _unsealed(dealt)[1].get("first") if dealt else None
    return SourceText(text).put(("scene", "dealt"), first).text if first else text


def _dealt_line(text: str) -> str | None:
    scene = read_bytes(text.encode()).get("scene")
    dealt = scene.get("dealt") if isinstance(scene, dict) else None
    return dealt if isinstance(dealt, str) else None


def _attempt_text(first: str, name: str, number: int) -> str:
    """The scene file of a further attempt, from that of the first. Raises SceneError."""
    scene = parse(read_bytes(first.encode()), name)
    line = scene.about.dealt or ""
    token, held = _unsealed(line)
    together: dict[tuple[str, str], list[str]] = {}
    for key, value in sorted(held["values"].items()):
        bare = value.rpartition("@")[2]
        together.setdefault((held["bounds"].get(key, ""), bare), []).append(key)
    values: dict[str, str] = {}
    for (bounds, _), keys in together.items():
        low, _, high = bounds.partition(" to ")
        each = variation(f"{'+'.join(keys)}={low}..{high}", scene, hidden=True)
        drawn = each.draw(token, held["student"], f"attempt {number}")
        values |= {key: _written(scene, key, drawn) for key in keys}
    values = {key: values[key] for key in held["values"]}
    again = digest(f"{token}|attempt {number}")[:16]
    sealed_again = seal.closed(
        {
            "student": held["student"], "values": values, "bounds": held["bounds"],
            "attempt": number, "first": line,
        },
        again,
    )  # fmt: skip
    return SourceText(first).put(("scene", "dealt"), sealed_again).text


def which_attempt(text: str, name: str) -> tuple[int, str]:
    """The number of the attempt that a scene file is for, and the hash of the first one's scene
    file: its own, where it is the first, none, or none that was drawn by the rule."""
    try:
        dealt = _dealt_line(text)
        number = _unsealed(dealt)[1].get("attempt", 1) if dealt else 1
        first = _first_text(text)
        if number > 1 and _attempt_text(first, name, number) == text:
            return number, digest(first)
    except SceneError:
        pass
    return 1, digest(text)


def changed(text: str, name: str, changes: Mapping[str, str]) -> str:
    """A scene file's text with some keys ("PART.KEY") given other values, as a file writes them.

    Raises SceneError; a bench that was dealt stays as it is.
    """
    scene = parse(read_bytes(text.encode()), name)
    if scene.about.dealt is not None:
        raise SceneError("--set", Plain("a bench that was dealt"), "that bench as it is")
    parse(read_bytes(text.encode()), name, changes)
    source = SourceText(text)
    for where, value in changes.items():
        source = source.put(_path(scene, where), typed(value))
    return source.text


def _path(scene: Scene, where: str) -> KeyPath:
    """Where in the scene file's text "PART.KEY" is."""
    part, _, key = where.partition(".")
    return (scene.parts[part].kind, part, key) if part in scene.parts else (part, key)


def _unsealed(text: str) -> tuple[str, Held]:
    token, held = seal.opened(text)
    if not is_label(token) or not is_label(held["student"]):
        raise seal.broken()
    return token, held
