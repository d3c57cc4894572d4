"""Every reader of others' files under coverage-guided fuzzing, for as long as you like.

In an environment that holds the project, on Linux: `pip install atheris`, then

    python -m tests.fuzz scene --seconds 600 --out finds

fuzzes one target of `TARGETS`, writes into `finds/scene` a file for each new way to fail (the input
and the traceback), keeps what reached new code in `finds/scene/corpus` for the next time, and
says how much was run. `tests/cli/test_hostile.py` runs the same targets for a few seconds without.

A target takes any bytes. What it reads must end in a value, every number in it finite, or in one of
the program's own errors with a message fit for a terminal, within `PATIENCE`.
"""

from __future__ import annotations

import argparse
import atexit
import base64
import dataclasses
import gc
import hashlib
import json
import math
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
import traceback
import unicodedata
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import FunctionType
from typing import Any

from sandbox import theory, units
from sandbox.editing.draft import Draft
from sandbox.engine import Live
from sandbox.lab import tables
from sandbox.lab.analysis import compare, data, fit
from sandbox.lab.class_work import class_report, deal, judged_record, predict, record, review
from sandbox.language.display import Display
from sandbox.scene import KINDS, Scene, SceneError, Unanswerable, load, parse, quantities, seal
from sandbox.scene.parts import About, keys_of
from sandbox.scene.read import read_bytes, read_change
from sandbox.shipped import scenes_folder, shipped_scenes

PATIENCE, LONG_PATIENCE = 2.0, 20.0
"""s of this process's own time for one input; where a machine is run or a cause is sought."""
SLOWED = 4.0
"""About how much slower a program runs that is watched for new code."""
LONGEST_MESSAGE = 4000
OWN = (SceneError, Unanswerable, record.RecordError, units.UnitError)
CUT = b"\n---\n"
"""Between a scene and what is done with it."""


def shown(text: str) -> None:
    """Assert that a text moves no cursor and hides nothing: it has no control or format character,
    no half of one and no line's end. (Signs newer than Python's tables are let by.)"""
    kinds = {unicodedata.category(c) for c in text}
    assert not kinds & {"Cc", "Cf", "Cs", "Zl", "Zp"}, ascii(text[:200])


def spoken(error: Exception) -> str:
    """An error's message, having made sure that a terminal can show it."""
    message = str(error)
    shown(message)
    assert len(message) <= LONGEST_MESSAGE
    assert not isinstance(error, SceneError) or "allowed: " in message, message
    return message


def numbers(thing: object) -> Iterator[float]:
    """Every float in a record, however deep."""
    if isinstance(thing, float):
        yield thing
    elif isinstance(thing, dict):
        yield from numbers(list(thing.values()))
    elif isinstance(thing, tuple | list):
        for value in thing:
            yield from numbers(value)
    elif dataclasses.is_dataclass(thing):
        for field in dataclasses.fields(thing):
            yield from numbers(getattr(thing, field.name))


def finite(thing: object) -> None:
    """Assert that every float in a record is."""
    assert all(map(math.isfinite, numbers(thing)))


def worked(scene: Scene) -> None:
    """A scene's numbers, what theory says of it and its first moments are finite, or refused."""
    finite([scene.about, *scene.parts.values(), scene.moves])
    try:
        finite(theory.predict(scene).quantities)
    except Unanswerable as error:
        spoken(error)
    try:
        live = Live(scene)
        shot = live.advance(0.02)
        finite([shot.poses, shot.readings, shot.energy])
    except Unanswerable as error:
        spoken(error)


# The targets.


def scene(raw: bytes) -> None:
    """A scene file."""
    worked(parse(read_bytes(raw), "fuzzed"))


def sealed(raw: bytes) -> None:
    """A scene file that was dealt, with any JSON under its seal."""
    text, _, held = raw.partition(CUT)
    document = read_bytes(text)
    if isinstance(document.get("scene"), dict):
        veiled = hashlib.sha256(held).digest()[:4] + held
        coded = base64.b64encode(seal.obfuscated(veiled, "token"))
        text = text.replace(b"[scene]", b'[scene]\ndealt = "1 token ' + coded + b'"', 1)
    bench = deal.open_text(text.decode("utf-8-sig"), "fuzzed")
    for word in [bench.student or "", *bench.bounds, *bench.bounds.values()]:
        shown(word)
    worked(bench.scene)


def dealt(raw: bytes) -> None:
    """A scene file that is dealt to a student, and what is varied."""
    text, _, ranges = raw.partition(CUT)
    path = _room() / "scene.toml"
    path.write_bytes(text)
    spreads = ranges.decode("utf-8", "replace").splitlines()[:3]
    (hand,) = deal.deal(path, ["Student A"], 7, spreads[:1], spreads[1:])
    bench = deal.open_text(hand.text, "fuzzed")
    finite([hand.predicted, bench.scene.parts])
    assert bench.student == "Student A" and set(bench.hidden) <= set(hand.values)


def draft(raw: bytes) -> None:
    """A scene file opened in the window, and what is typed there."""
    text, _, typed = raw.partition(CUT)
    read_bytes(text)
    edited = Draft(text.decode())
    for line in typed.decode(errors="replace").splitlines()[:20]:
        before = edited.text
        try:
            _typed(edited, line)
        except OWN as error:
            spoken(error)
            assert edited.text == before, line
        again = Draft(edited.text).scene
        assert (again.about, again.parts) == (edited.scene.about, edited.scene.parts), line
    worked(edited.scene)


def _typed(edited: Draft, line: str) -> None:
    verb, where, text = (*line.split(" ", 2), "", "")[:3]
    match verb:
        case "set":
            edited.set(where, text)
        case "value":
            edited.set_value(
                where, float(text) if re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", text) else math.nan
            )
        case "unset":
            edited.unset(where)
        case "add":
            pairs = (pair.partition("=") for pair in text.split(";") if "=" in pair)
            name, _, _ = text.partition(" ")
            edited.add_typed(where, name or None, {k.strip(): v.strip() for k, _, v in pairs})
        case "remove":
            edited.remove_part(where)
        case "rename":
            edited.rename(where, text)
        case "reeve":
            edited.reeve(where, text.split(","))
        case "offered":
            if where in KINDS:
                edited.offered(where, {})
        case "undo":
            edited.undo()
        case "redo":
            edited.redo()


@cache
def _room() -> Path:
    room = Path(tempfile.mkdtemp(prefix="sandbox-fuzz-"))
    atexit.register(shutil.rmtree, room, ignore_errors=True)
    return room


def roster(raw: bytes) -> None:
    """A roster, and the key of a deal."""
    path, again = _room() / "table.csv", _room() / "again.csv"
    path.write_bytes(raw)
    try:
        students = deal.read_roster(path)
        rows = [["student"], *([label] for label in students)]
        again.write_text(tables.table_text(rows), encoding="utf-8", newline="")
        assert deal.read_roster(again) == students
    except SceneError as error:
        spoken(error)
    review._read_key(path)


@cache
def _machines() -> list[Scene]:
    names = ("fixed_sheave", "sled_drawn_up", "lever_first_class")
    return [load(scenes_folder() / f"{name}.toml") for name in names]


def readings(raw: bytes) -> tuple[Scene, data.Data]:
    """A class's readings (CSV)."""
    machines = _machines()
    machine = machines[raw[0] % len(machines)] if raw else machines[0]
    path = _room() / "readings.csv"
    path.write_bytes(raw[1:])
    found = data.load(path, machine)
    finite(found)
    return machine, found


def compared(raw: bytes) -> None:
    """A class's readings beside theory, and a bearing or a coefficient fitted to them."""
    machine, found = readings(raw)
    if len(found.setups) > 2:
        return
    for row in compare.compare(machine, found).rows:
        finite([row.predicted, row.predicted_u, row.measured, row.measured_u, row.k])
    try:
        finite(fit.fit(machine, found, ["*.bearing_friction"]).residuals)
    except OWN as error:
        spoken(error)


def chained(raw: bytes) -> bytes:
    """Lines of JSON with the sequence and the hashes of a record, whatever else they hold."""
    lines: list[bytes] = []
    for number, line in enumerate(raw.split(b"\n")):
        try:
            found = json.loads(line)
        except (ValueError, RecursionError):
            found = None
        if isinstance(found, dict):
            found |= {"sequence": number, "previous": record.digest(lines[-1]) if lines else ""}
            about = found.get("scene")
            if isinstance(about, dict) and isinstance(about.get("text"), str):
                about["sha256"] = record.digest(about["text"].encode("utf-8", "replace"))
            line = json.dumps(found).encode()
        lines.append(line)
    return b"\n".join(lines)


def records(raw: bytes) -> None:
    """A student's record, as it is and with its hashes mended."""
    for text in (raw, chained(raw)):
        try:
            found = record.parse(text)
        except record.RecordError as error:
            spoken(error)
            continue
        for entry in found.entries:
            _ = entry.quantity, entry.trial, entry.setting, entry.text
        shown(found.student)
        shown(found.scene_name)


def reviewed(raw: bytes) -> None:
    """A student's record rerun, and put into the table and the page."""
    found = record.parse(chained(raw))
    (work,) = judged_record.examine([("a.jsonl", found)])
    for flag in work.flags:
        assert "could not be rerun" not in flag.evidence, flag.evidence
    judged = review.Review((work,), (), False)
    finite([work.verdicts, work.means, work.truth, dict(work.shown)])
    class_report.page(judged, Display())
    tables.table_text(class_report.gradebook(judged, Display()))


_DIMENSIONS = [each for each in vars(units).values() if isinstance(each, units.Dimension)]


def values(raw: bytes) -> None:
    """One value, as it stands in a cell, a scene, a prediction or on the command line."""
    text = raw.decode("utf-8", "replace")
    for dimension in _DIMENSIONS:
        try:
            value = units.read(text, dimension)
        except units.UnitError:
            continue
        assert math.isfinite(value)
        assert units.show(value, dimension)
        if dimension is not units.NUMBER:
            finite(units.read(units.rewritten(text, value, dimension), dimension))
    machine = _machines()[0]
    for name in ("hand.force", "machine.velocity_ratio"):
        finite(predict.judge(machine, name, text, 3.0))
    for kind, key in _one_of_each_form():
        try:
            finite(read_change(kind, f"part.{key}", text))
        except SceneError as error:
            spoken(error)
    for hidden in (True, False):
        try:
            deal.variation(text, machine, hidden=hidden).draw(1, "Student A")
        except SceneError as error:
            spoken(error)


@cache
def _one_of_each_form() -> list[tuple[type[Any], str]]:
    found = {
        (key.form, key.dimension): (kind, name)
        for kind in (About, *KINDS.values())
        for name, (key, _) in keys_of(kind).items()
    }
    return list(found.values())


TARGETS: dict[str, Callable[[bytes], object]] = {
    each.__name__: each
    for each in (scene, sealed, dealt, draft, roster, readings, compared, records, reviewed, values)
}


def attempt(target: str, raw: bytes, slowed: float = 1.0) -> None:
    """Run a target on an input: nothing but the program's own errors is let by, nor lateness."""
    start = time.process_time()
    try:
        TARGETS[target](raw)
    except OWN as error:
        spoken(error)
    spent = time.process_time() - start
    assert spent <= slowed * patience(target), f"took {spent:.1f} s"


def patience(target: str) -> float:
    """How long a target may take over one input, s."""
    return LONG_PATIENCE if target in ("compared", "reviewed") else PATIENCE


# What to begin with, and how to change it.

EDITS = b"""set ballast.mass 2 lb
set scene.title A tackle
set hand.moves hold 1 s, haul 20 cm at 5 cm/s
set hand.at[1] 50 cm
value upper.bearing_friction 0.3
unset upper.bearing_friction
add weight extra on = lower; mass = 1 kg
add rope line reeve = lower, upper
rename lower low
remove balance
reeve fall upper.becket,lower.1,upper.1,hand
offered block
undo
redo
"""
READINGS = b"""trial,student,hand.force (N),u hand.force (N),LOAD.mass (g),notes
graduation,,0.1,,,
1,Student A,9.4,0.1,500,"a, b"
2,Student A,9.3,0.1,500,
"""
ROSTER = b'student,token,scene_sha256\nStudent A,1,2\n\'=1+1,-2.5,"+3;=4"\n'


@cache
def seeds(target: str) -> list[bytes]:
    """Inputs that a target reads to the end."""
    scenes = [path.read_bytes() for path in shipped_scenes()]
    class_ = sorted((scenes_folder() / "class" / "boat_shed").glob("*.jsonl"))
    dealt = [record.read(path) for path in class_]
    held = [json.dumps(seal.opened(_document(r)["scene"]["dealt"])[1]).encode() for r in dealt]
    plain = [re.sub(rb"dealt = .*\n", b"", r.scene_text.encode()) for r in dealt]
    match target:
        case "scene":
            return scenes
        case "sealed":
            return [CUT.join(pair) for pair in zip(plain, held, strict=True)]
        case "dealt":
            return [text + CUT + _range(text) for text in scenes]
        case "draft":
            return [text + CUT + EDITS for text in scenes]
        case "roster":
            return [ROSTER, (scenes_folder() / "class" / "boat_shed.csv").read_bytes()]
        case "readings" | "compared":
            loads = [str(machine.load).encode() for machine in _machines()]
            return [bytes([i]) + READINGS.replace(b"LOAD", load) for i, load in enumerate(loads)]
        case "records" | "reviewed":
            return [path.read_bytes() for path in class_]
    return [b"350 g", b"3.5 in", b"9.81 m/s^2", b"stone.mass=300 g..500 g", b"0e9 kg", b"5 %"]


def _range(text: bytes) -> bytes:
    (name,) = re.findall(rb"\[(?:weight|body|lever)\.(\w+)\]", text)[:1]
    return name + b".mass=90 g..110 g\nscene.gravity=9.7 m/s^2..9.9 m/s^2"


def _document(found: record.Record) -> dict[str, Any]:
    return read_bytes(found.scene_text.encode())


TOKEN = re.compile(rb"[A-Za-z_]\w*|[+-]?[0-9][\w.+-]*|\s+|.", re.DOTALL)
ODD = [
    b"0e999", b"1e308", b"-1e308", b"1e-320", b"-0", b"nan", b"inf", b"1e999", b"9" * 400,
    b"0x" + b"f" * 9000, b"\\u0000", b"\\u202e", b"\\ud800", b"\x1b[31m", b"\xff", b"\xe2\x80\xae",
    "\u0663".encode(), "e\u0301".encode(), b"</script>", b"[link=x]", b"[/]", b"{{7*7}}", b"=1+1",
    b"../../x", b"CON", b"[" * 500, b"{a=" * 200, b"a." * 60 + b"a=1", b"10000 kg", b"1e-6 kg",
    b"0.1 mm", b"89.95 deg", b"100 m", b"\r\n", b"\r", b"\t", b"\0", b";", b"''", b'"',
]  # fmt: skip


@cache
def _words(target: str) -> list[bytes]:
    keys = {key for kind in (About, *KINDS.values()) for key in keys_of(kind)}
    words = {word.encode() for word in (*keys, *KINDS, *quantities.QUANTITIES)}
    words |= {word for seed in seeds(target) for word in TOKEN.findall(seed)}
    return [*sorted(words), *ODD * 2]


def mutated(target: str, raw: bytes, chance: random.Random) -> bytes:
    """An input with a few of its tokens or lines replaced, taken out, doubled or put elsewhere; as
    often as not only numbers and names are exchanged, which leaves more of it readable."""
    gentle = chance.random() < 0.5
    for _ in range(chance.choice((1, 1, 2, 4))):
        by_line = not gentle and chance.random() < 0.3
        pieces = raw.splitlines(keepends=True) if by_line else TOKEN.findall(raw)
        if not pieces:
            return chance.choice(seeds(target))
        at, other = chance.randrange(len(pieces)), chance.randrange(len(pieces))
        if gentle:
            numbers_only = chance.random() < 0.7
            at = chance.choice(
                [i for i, p in enumerate(pieces) if p[:1].isdigit() or not numbers_only] or [at]
            )
            pieces[at] = _alike(pieces[at], pieces, chance)
            raw = b"".join(pieces)
            continue
        match chance.randrange(6):
            case 0:
                del pieces[at]
            case 1:
                pieces.insert(at, pieces[other])
            case 2:
                pieces[at], pieces[other] = pieces[other], pieces[at]
            case 3 if by_line:
                donor = chance.choice(seeds(target)).splitlines(keepends=True)
                start = chance.randrange(len(donor))
                pieces[at:at] = donor[start : start + chance.randint(1, 6)]
            case _:
                pieces[at] = chance.choice(_words(target))
        raw = b"".join(pieces)
    return raw


def _alike(piece: bytes, pieces: list[bytes], chance: random.Random) -> bytes:
    """Another number in place of a number, a name of the same input in place of a name."""
    if not piece[:1].isdigit():
        return chance.choice([other for other in pieces if other[:1].isalpha()] or [piece])
    odd = [b"0", b"-" + piece, piece + b"0", b"0.00" + piece, piece + b"e3", b"1", b"1e-6", b"99.9"]
    return chance.choice([*odd, b"%d" % chance.randrange(200), b"%.3g" % chance.random()])


# The long run.


def main() -> None:
    """Fuzz one target for a while."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--out", type=Path, default=Path("finds"))
    options = parser.parse_args()
    _fuzz(options.target, options.seconds, options.out / options.target)


class _HangError(BaseException):
    pass


def _fuzz(target: str, seconds: int, out: Path) -> None:
    import atheris

    corpus = out / "corpus"
    corpus.mkdir(parents=True, exist_ok=True)
    if not any(corpus.iterdir()):
        for number, seed in enumerate(seeds(target)):
            (corpus / f"seed{number}").write_bytes(seed)
    _words(target)
    for found in gc.get_objects():
        if isinstance(found, FunctionType) and str(found.__module__).startswith(
            ("sandbox", "toml")
        ):
            atheris.instrument_func(found)
    done, known, start = 0, set[str](), time.monotonic()

    def stop(_signal: int, _frame: object) -> None:
        raise _HangError

    def one(raw: bytes) -> None:
        nonlocal done
        done += 1
        signal.setitimer(signal.ITIMER_PROF, 2.0 * SLOWED * patience(target))
        try:
            attempt(target, raw, SLOWED)
        except (Exception, _HangError) as error:
            frames = traceback.extract_tb(error.__traceback__)[-3:]
            name = "-".join([type(error).__name__, *(f"{f.name}_{f.lineno}" for f in frames)])
            name = re.sub(r"[^\w-]", "", name)[:150]
            if name not in known:
                known.add(name)
                (out / f"{name}.bin").write_bytes(raw)
                (out / f"{name}.txt").write_text(traceback.format_exc())
                print(f"FOUND {name}", flush=True)
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0.0)
        if time.monotonic() - start > seconds:
            print(f"{target}: {done:,} executions, {len(known)} finds in {seconds} s", flush=True)
            os._exit(0)

    def mutator(raw: bytes, most: int, seed: int) -> bytes:
        chance = random.Random(seed)
        if chance.random() < 0.3:
            return bytes(atheris.Mutate(raw, most))
        return mutated(target, raw, chance)[:most]

    signal.signal(signal.SIGPROF, stop)
    atheris.Setup(
        [sys.argv[0], str(corpus), "-timeout=600", "-max_len=30000", "-rss_limit_mb=1500"],
        one,
        custom_mutator=mutator,
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main()
