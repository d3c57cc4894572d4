"""The record: what is confirmed is on the disk, and what is not in order shows."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sandbox.lab.class_work import record_writer
from sandbox.lab.class_work.record import RecordError, digest, parse, read
from sandbox.lab.class_work.record_writer import opened
from tests.outcomes import LONG
from tests.records import HEADER, SCENE, chained

requires_posix = pytest.mark.skipif(os.name != "posix", reason="kills and forks as POSIX does")


def begun(path: Path, **more: str):
    return opened(path, more.get("student", "Student A"), "slip", more.get("scene", SCENE))


def some_work(path: Path) -> bytes:
    with begun(path) as writer:
        writer.add("prediction", quantity="hand.force", text="3.8 N", reason="a quarter of it")
        writer.add("trial", trial=1, eye=0.0)
        writer.add("reading", trial=1, quantity="balance.reading", text="3.85 N", eye=0.0)
        writer.add("note", text="the line was stiff")
        writer.close()
    return path.read_bytes()


def test_the_file_is_the_documented_one(tmp_path: Path) -> None:
    """Every line has the keys that the module's text promises, and its hash of the line before."""
    lines = some_work(tmp_path / "a.jsonl").split(b"\n")
    assert lines.pop() == b""
    found = [json.loads(line) for line in lines]
    assert [line["sequence"] for line in found] == [0, 1, 2, 3, 4, 5]
    kinds = ["header", "prediction", "trial", "reading", "note", "closing"]
    assert [line["kind"] for line in found] == kinds
    assert [line["previous"] for line in found] == ["", *map(digest, lines[:-1])]
    assert found[0]["scene"] == {"name": "slip", "text": SCENE, "sha256": digest(SCENE)}
    assert set(found[0]) >= {"format", "version", "student", "token", "time"}
    assert found[3]["text"] == "3.85 N"
    assert read(tmp_path / "a.jsonl").closed


def test_a_record_is_taken_up_again(tmp_path: Path) -> None:
    """Opening a record again goes on where it ended, for the same student and scene alone."""
    path = tmp_path / "a.jsonl"
    with begun(path) as writer:
        writer.add("note", text="first")
    with begun(path) as writer:
        assert writer.add("note", text="second").sequence == 2
    assert [entry.text for entry in read(path).entries] == ["first", "second"]
    before = path.read_bytes()
    with (
        pytest.raises(RecordError, match="of Student A, not of Student B"),
        begun(path, student="Student B"),
    ):
        pass
    with pytest.raises(RecordError, match="another scene"), begun(path, scene=SCENE + "#\n"):
        pass
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("kind", "body", "why"),
    [
        ("prediction", {"quantity": "hand.force", "text": "3 N", "reason": "no"}, "a reason"),
        ("prediction", {"quantity": "hand.force", "text": "3 N", "reason": "because"}, "stands"),
        ("prediction", {"quantity": "x.rise", "text": "3 m", "reason": "because"}, "first trial"),
        ("second prediction", {"quantity": "x.rise", "text": "3", "reason": "why"}, "no first"),
        ("trial", {"trial": 3}, "one after another"),
        ("trial", {"trial": True}, "whole number"),
        ("trial", {"trial": 2, "eye": float("nan")}, "60 degrees"),
        ("reading", {"trial": 2, "quantity": "b.reading", "text": "1 N"}, "no trial 2"),
        ("reading", {"trial": 1, "quantity": "balance.reading", "text": "1 N"}, "was read"),
        ("reading", {"trial": 1, "quantity": "b.reading", "text": "1 N\n"}, "a value"),
        ("note", {"text": "\x1b[2J"}, "a note"),
        ("closing", {"entries": 3}, "counts"),
        ("header", {}, "of the kinds"),
    ],
)
def test_what_may_not_follow_is_refused(
    tmp_path: Path, kind: str, body: dict[str, object], why: str
) -> None:
    """An entry out of order is refused with its reason, and the file stays as it was."""
    path = tmp_path / "a.jsonl"
    with begun(path) as writer:
        writer.add("prediction", quantity="hand.force", text="3.8 N", reason="a quarter of it")
        writer.add("trial", trial=1)
        writer.add("reading", trial=1, quantity="balance.reading", text="3.85 N")
        before = path.read_bytes()
        with pytest.raises(RecordError, match=why):
            writer.add(kind, **body)
        assert path.read_bytes() == before


def test_a_reading_is_struck_out_and_taken_back(tmp_path: Path) -> None:
    """A reading with a reason against it counts no more, stays in the record, and counts again
    once that is taken back; what was not read, or is struck out already, cannot be struck out."""
    path, reading = tmp_path / "a.jsonl", {"trial": 1, "quantity": "balance.reading"}
    with begun(path) as writer:
        writer.add("trial", trial=1)
        with pytest.raises(RecordError, match="was not read"):
            writer.add("striking out", **reading, reason="the line jammed")
        writer.add("reading", **reading, text="3.85 N")
        with pytest.raises(RecordError, match="is not struck out"):
            writer.add("taking back", **reading)
        with pytest.raises(RecordError, match="a reason in words"):
            writer.add("striking out", **reading, reason="no")
        writer.add("striking out", **reading, reason="the line jammed")
        with pytest.raises(RecordError, match="struck out already"):
            writer.add("striking out", **reading, reason="once more")
        with pytest.raises(RecordError, match="take another trial"):
            writer.add("reading", **reading, text="3.9 N")
    with begun(path) as writer:  # what is struck out is known when a record is taken up again
        assert writer.record.struck_out == {(1, "balance.reading"): "the line jammed"}
        assert writer.record.readings == [] and len(writer.record.of("reading")) == 1
        writer.add("taking back", **reading)
        writer.add("striking out", **reading, reason="jammed after all")
        writer.add("taking back", **reading)
        writer.close()
    record = read(path)
    assert record.struck_out == {} and [each.text for each in record.readings] == ["3.85 N"]


def test_a_second_prediction_follows_and_nothing_follows_a_closing(tmp_path: Path) -> None:
    """A second prediction is dated and stands beside the first; a closed record stays closed."""
    path = tmp_path / "a.jsonl"
    with begun(path) as writer:
        writer.add("prediction", quantity="hand.force", text="3.8 N", reason="a quarter of it")
        writer.add("trial", trial=1)
        writer.add("second prediction", quantity="hand.force", text="4.1 N", reason="friction")
        assert [entry.text for entry in writer.record.predicted("hand.force")] == ["3.8 N", "4.1 N"]
        with pytest.raises(RecordError, match="stands"):
            writer.add("second prediction", quantity="hand.force", text="3 N", reason="again")
        writer.close()
        with pytest.raises(RecordError, match="closed"):
            writer.add("note", text="more")


def test_every_changed_byte_shows(tmp_path: Path) -> None:
    """Whichever byte of a finished record is changed, but in its last line, reading it says so."""
    raw = some_work(tmp_path / "a.jsonl")
    last = raw.rstrip(b"\n").rfind(b"\n")
    for place in range(0, last, 3):
        changed = bytearray(raw)
        changed[place] ^= 1
        with pytest.raises(RecordError):
            parse(bytes(changed))


def test_lines_taken_out_show(tmp_path: Path) -> None:
    """A line left out breaks the chain; lines cut from its end leave a record unclosed."""
    raw = some_work(tmp_path / "a.jsonl")
    lines = raw.split(b"\n")[:-1]
    for gone in range(len(lines) - 1):
        with pytest.raises(RecordError):
            parse(b"\n".join(lines[:gone] + lines[gone + 1 :]) + b"\n")
    for end in range(1, len(lines)):
        assert not parse(b"\n".join(lines[:end]) + b"\n").closed


def test_a_torn_line_is_laid_aside(tmp_path: Path) -> None:
    """Cut anywhere within its last line, a record keeps every line before; the piece is kept."""
    whole = some_work(tmp_path / "whole.jsonl")
    start = whole.rstrip(b"\n").rfind(b"\n") + 1
    for cut in range(start + 1, len(whole)):
        path = tmp_path / f"{cut}.jsonl"
        path.write_bytes(whole[:cut])
        assert read(path).torn == whole[start:cut]
        with begun(path) as writer:
            assert len(writer.record.entries) == 4
            writer.add("note", text="on")
        assert path.read_bytes().startswith(whole[:start])
        assert len(read(path).entries) == 5
        assert path.with_name(path.name + ".torn").read_bytes() == whole[start:cut] + b"\n"


def test_a_torn_header_begins_anew_and_a_strange_file_is_let_be(tmp_path: Path) -> None:
    """A header cut short counts as nothing confirmed; a file of another kind is not touched."""
    path = tmp_path / "a.jsonl"
    path.write_bytes(b'{"format": "sandb')
    with begun(path) as writer:
        assert writer.record.entries == ()
    for raw in (b"my essay", b"my essay\nin two lines\n", b"\x00\xff" * 40):
        path.write_bytes(raw)
        with pytest.raises(RecordError), begun(path):
            pass
        assert path.read_bytes() == raw


def test_a_failing_disk_takes_nothing_back_but_the_entry(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the disk is full half-way through an entry, the record stays whole and it says so."""
    path = tmp_path / "a.jsonl"
    with begun(path) as writer:
        writer.add("note", text="first")
        before = path.read_bytes()

        def failing(handle: int, data: memoryview) -> int:
            if len(data) < 60:
                raise OSError(28, "No space left on device")
            return os.write(handle, data[:40])

        monkeypatch.setattr(record_writer, "write", failing)
        with pytest.raises(RecordError, match="No space left on device; this entry is not in"):
            writer.add("note", text="second")
        monkeypatch.undo()
        assert path.read_bytes() == before
        writer.add("note", text="third")
    assert [entry.text for entry in read(path).entries] == ["first", "third"]


def test_an_entry_is_on_the_disk_before_it_is_confirmed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each entry, header included, is written and forced to the disk before the call returns."""
    events: list[str] = []
    usual_write, usual_sync = os.write, os.fsync

    def write(handle: int, data: memoryview) -> int:
        events.append("write")
        return usual_write(handle, data)

    def sync(handle: int) -> None:
        events.append("sync")
        usual_sync(handle)

    monkeypatch.setattr(record_writer, "write", write)
    monkeypatch.setattr(os, "fsync", sync)
    with begun(tmp_path / "a.jsonl") as writer:
        header = ["write", "sync", "sync"] if os.name == "posix" else ["write", "sync"]
        assert events == header  # the second is the folder's, which holds the new file's name
        writer.add("note", text="first")
        assert events == [*header, "write", "sync"]


def test_one_program_at_a_time(tmp_path: Path) -> None:
    """A record that is open is refused to a second program, and free again afterwards."""
    path = tmp_path / "a.jsonl"
    with begun(path), pytest.raises(RecordError, match="open in another program"), begun(path):
        pass
    with begun(path) as writer:
        writer.add("note", text="free")


NURSERY = '''
import os, random, signal, sys, time
from pathlib import Path
import portalocker  # lest each child be killed while it imports this
from sandbox.lab.class_work import record, record_writer

folder, kills = Path(sys.argv[1]), int(sys.argv[2])
chance = random.Random(20260302)
confirmed, torn, lost, latest = 0, 0, [], {}

def dribble(handle, data):
    """A few bytes at a time: a kill then falls inside a line."""
    time.sleep(2e-5)
    return os.write(handle, data[:4])

def write_on(path, out, slowly):
    if slowly:
        record_writer.write = dribble
    with record_writer.opened(path, "Student A", "slip", "text") as writer:
        while True:
            entry = writer.add("note", text="x" * chance.randrange(1, 200))
            os.write(out, entry.sequence.to_bytes(4, "big"))

for number in range(kills):
    path = folder / f"{number // 8}.jsonl"
    inside, out = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            chance.seed(number)
            write_on(path, out, number % 2)
        finally:
            os._exit(9)
    os.close(out)
    # After a few entries, or while it starts, and then at any moment within the next one or two.
    wanted, told = 4 * chance.randrange(3), b""
    while len(told) < wanted and (more := os.read(inside, wanted - len(told))):
        told += more
    time.sleep(0.006 * chance.random())
    os.kill(child, signal.SIGKILL)
    assert os.WTERMSIG(os.waitpid(child, 0)[1]) == signal.SIGKILL
    while more := os.read(inside, 65536):
        told += more
    os.close(inside)
    confirmed += len(told) // 4
    now = int.from_bytes(told[len(told) // 4 * 4 - 4 :][:4], "big") if len(told) >= 4 else 0
    last = latest[path] = max(now, latest.get(path, 0))
    if path.exists() and path.stat().st_size:
        raw = path.read_bytes()
        if b"\\n" not in raw:
            assert last == 0
            continue
        found = record.parse(raw)
        torn += bool(found.torn)
        if len(found.entries) < last:
            lost.append((number, last, len(found.entries)))
    elif last:
        lost.append((number, last, 0))
print(confirmed, torn, len(lost))
'''


@requires_posix
def test_killed_again_and_again_it_loses_nothing(tmp_path: Path) -> None:
    """A writer killed 100 times at random moments (as often as a long campaign asks for) loses no
    entry that it had confirmed."""
    kills = max(LONG, 100)
    done = subprocess.run(
        [sys.executable, "-c", NURSERY, str(tmp_path), str(kills)],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    confirmed, torn, lost = map(int, done.stdout.split())
    assert lost == 0
    # The kills were worth something: many entries were confirmed, and many were cut in the middle.
    assert confirmed > kills / 3
    assert torn > 0.133 * kills


@requires_posix
def test_a_killed_program_frees_its_record(tmp_path: Path) -> None:
    """The record of a program that was killed can be opened at once."""
    path = tmp_path / "a.jsonl"
    code = (
        "import sys, time; from pathlib import Path\n"
        "from sandbox.lab.class_work.record_writer import opened\n"
        "with opened(Path(sys.argv[1]), 'Student A', 'slip', sys.argv[2]) as writer:\n"
        "    writer.add('note', text='held'); print('held', flush=True); time.sleep(60)"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(path), SCENE], stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None and holder.stdout.readline() == "held\n"
        with pytest.raises(RecordError, match="open in another program"), begun(path):
            pass
        holder.kill()
    with begun(path) as writer:
        assert [entry.text for entry in writer.record.entries] == ["held"]


def test_a_record_written_by_another_program_is_read() -> None:
    """What follows the documented format is a record, whoever wrote it, keys added or not."""
    found = parse(chained(HEADER | {"program": "a page"}, {"kind": "trial", "trial": 1, "hue": 2}))
    assert found.student == "Student A"
    assert found.trials == 1


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"\n",
        b"[" * 100_000 + b"\n",
        b"{" + b'"a":{' * 50_000 + b"\n",
        b"\xff\xfe\n",
        b"1" * 6_000_000,
        chained([]),
        chained(HEADER | {"version": 2}),
        chained(HEADER | {"version": True}),
        chained(HEADER | {"student": "x" * 61}),
        chained(HEADER | {"student": "line\nbreak"}),
        chained(HEADER | {"token": {}}),
        chained(HEADER | {"scene": None}),
        chained(HEADER | {"scene": {"name": "slip", "text": "\ud800", "sha256": digest("?")}}),
        chained(HEADER | {"time": "today"}),
        chained(HEADER, {"kind": "note", "text": "x" * 20_000}),
        chained(HEADER, {"kind": "note", "text": ["x"]}),
        chained(HEADER, {"kind": "trial", "trial": 10**30}),
        chained(HEADER, {"kind": "trial", "trial": 1, "eye": "left"}),
        chained(HEADER, {"kind": ["note"]}),
        chained(HEADER, {"kind": "note", "text": "a", "sequence": 1.5}),
        chained(HEADER).replace(b'"version": 1', b'"version": NaN'),
        chained(HEADER).replace(b'"version": 1', b'"version": ' + b"1" * 9000),
    ],
)
def test_hostile_bytes_are_refused(raw: bytes) -> None:
    """Whatever is no record is refused with one short reason."""
    with pytest.raises(RecordError) as caught:
        parse(raw)
    assert len(str(caught.value)) < 200


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_damaged_records_are_read_or_refused(data: st.DataObject) -> None:
    """Bytes put into or cut out of a record give a record or a refusal, never anything else."""
    raw = chained(HEADER, {"kind": "trial", "trial": 1}, {"kind": "note", "text": "a"})
    start = data.draw(st.integers(0, len(raw)))
    end = data.draw(st.integers(start, min(len(raw), start + 30)))
    damaged = raw[:start] + data.draw(st.binary(max_size=30)) + raw[end:]
    with contextlib.suppress(RecordError):
        parse(damaged)


def test_places_that_are_no_files_are_refused(tmp_path: Path) -> None:
    """A folder, a missing folder and a name that cannot be are each refused in one message."""
    for path in (
        tmp_path,
        tmp_path / "no" / "a.jsonl",
        Path("a\0b"),
        Path("x" * 400),
        Path(os.devnull),
    ):
        with pytest.raises(RecordError), begun(path):
            pass
