"""The world breaks under the program: killed, no room, no right to write, odd streams and names.

Each command is run as its users run it, in a process forked from one that has everything loaded.
For a long campaign of kills: SANDBOX_KILLS=200 python -m pytest -n 0 -s tests/cli/test_faults.py
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import pytest
import typer

from sandbox import files, shipped
from sandbox.cli.common import refusing
from sandbox.lab.analysis import data
from sandbox.lab.class_work import deal, record, record_writer
from sandbox.processes import Pool
from sandbox.scene import load
from tests.places import ROOT

KILLS = int(os.environ.get("SANDBOX_KILLS", "0"))
NO_MOUNTS = 77

pytestmark = pytest.mark.skipif(os.name != "posix", reason="kills, forks and mounts as POSIX does")

NURSERY = r'''
import ctypes, json, os, resource, signal, sys, time
import imageio_ffmpeg, matplotlib.backends.backend_agg, matplotlib.backends.backend_svg, portalocker
import sandbox.check, sandbox.page, sandbox.painting.film, sandbox.report
import sandbox.drawing.plan_figure
from sandbox.lab.analysis import compare
from sandbox.lab.class_work import class_report, predict, record_writer, review
from sandbox.lab.handouts import handout
from sandbox.lab.planning import plan, report
from sandbox import engine, processes, shipped
from sandbox.cli import main


def no_processes(*_, **__):
    raise OSError("none here")


def remembering(room, name):
    """A command run here first has its sums done when it is run again in a process that breaks."""
    usual, known = getattr(room, name), {}

    def remembered(*args, **options):
        key = tuple(word for word in sys.argv if word != "--json")
        if key not in known:
            known[key] = usual(*args, **options)
        return known[key]

    setattr(room, name, remembered)


processes.WorkerProcess = no_processes  # work is then done in this process, which can be killed
for room, name in (
    (sandbox.check, "check"), (plan, "plan"), (sandbox.page, "grid_for"),
    (review, "review"), (compare, "compare"), (engine, "run"),
):
    remembering(room, name)
libc = ctypes.CDLL(None, use_errno=True)


def mount(what, where, kind, flags, options=b""):
    if libc.mount(what, where, kind, flags, options):
        os._exit(77)


def alone():
    if libc.unshare(0x20000):  # CLONE_NEWNS
        os._exit(77)
    mount(b"none", b"/", None, 0x44000)  # MS_REC | MS_PRIVATE


def break_the_world(job, folder):
    if "room" in job:  # a disk with so many bytes left beside what is there
        kept = {name: open(os.path.join(folder, name), "rb").read() for name in os.listdir(folder)}
        alone()
        mount(b"none", os.fsencode(folder), b"tmpfs", 0, b"size=256k")
        for name, content in kept.items():
            open(os.path.join(folder, name), "wb").write(content)
        left = os.statvfs(folder).f_bavail * os.statvfs(folder).f_bsize - job["room"]
        open(os.path.join(folder, "filler"), "wb").write(bytes(left))
    if "read_only" in job:
        alone()
        mount(os.fsencode(folder), os.fsencode(folder), None, 0x1000)  # MS_BIND
        mount(b"none", os.fsencode(folder), None, 0x1021)  # MS_REMOUNT | MS_BIND | MS_RDONLY
    if "dies_at_byte" in job:
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
    if "dies_at_byte" in job or "longest" in job:
        most = job.get("dies_at_byte", job.get("longest"))
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    if "dies_at_step" in job:
        left = job["dies_at_step"]
        watched = ("open", "os.rename", "os.remove", "os.mkdir", "os.scandir", "os.truncate")

        def hook(event, args):
            nonlocal left
            if event not in watched or isinstance(args[0], int):
                return
            if os.path.abspath(os.fsdecode(args[0] or b"")).startswith(folder):
                left -= 1
                if not left:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(hook)
    if "assets" in job:
        shipped.assets_folder = lambda: shipped.Path(job["assets"])
        for name, module in list(sys.modules.items()):
            for each in vars(module).values() if name.startswith("sandbox") else ():
                if hasattr(each, "cache_clear"):
                    each.cache_clear()
    if "scenes" in job:
        shipped.scenes_folder = lambda: shipped.Path(job["scenes"])
    if "locale" in job:
        import locale
        os.environ.update(LOCPATH=job["locale"], LC_ALL="de_DE.UTF-8")
        locale.setlocale(locale.LC_ALL, "")
        assert f"{1.5:n}" == "1,5"


def run(job, told):
    folder = job["folder"]
    coding = job.get("encoding", "utf-8")
    for number, stream in enumerate((nothing, *told)):
        os.dup2(stream, number)
        made = open(number, "w" if number else "r", encoding=coding, closefd=False)
        setattr(sys, ("stdin", "stdout", "stderr")[number], made)
    if job.get("stdout"):
        os.dup2(os.open(job["stdout"], os.O_WRONLY), 1)
    for number in job.get("closed", ()):
        os.close(number)
        setattr(sys, ("stdin", "stdout", "stderr")[number], None)
    os.environ.update(job.get("env", {}))
    sys.argv = ["sandbox", *(os.fsdecode(bytes.fromhex(word)) for word in job["words"])]
    code = 0
    try:
        break_the_world(job, folder)
        os.chdir(folder)
        main()
    except SystemExit as end:
        code = end.code or 0
    except BaseException:
        import traceback
        traceback.print_exc()
        code = 1
    if "room" in job or "read_only" in job:
        left = {}
        for name in os.listdir(folder):
            path = os.path.join(folder, name)
            if name != "filler" and os.path.isfile(path):
                left[name] = open(path, "rb").read().hex()
        with open(job["left"], "w") as file:
            json.dump(left, file)
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (AttributeError, OSError):
            pass
    return code


def drained(stream):
    os.set_blocking(stream, False)
    try:
        return os.read(stream, 1 << 20).decode(errors="replace")
    except BlockingIOError:
        return ""
    finally:
        os.close(stream)


answers = os.fdopen(os.dup(1), "w", buffering=1)
nothing = os.open(os.devnull, os.O_RDWR)
for line in os.fdopen(os.dup(0)):
    job = json.loads(line)
    # Pipes: a limit on the length of files is no limit on them.
    heard, told = zip(os.pipe(), os.pipe())
    if "here" in job:
        code = run(job, told)
    else:
        pid = os.fork()
        if pid == 0:
            os._exit(run(job, told))
        if "dies_after" in job:
            time.sleep(job["dies_after"])
            os.kill(pid, signal.SIGKILL)
        code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    for stream in told:
        os.close(stream)
    print(json.dumps([code, *map(drained, heard)]), file=answers)
'''


class Ended(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str
    left: dict[str, bytes]
    """What it left in its folder, where nobody else can see that."""


def environment() -> dict[str, str]:
    """As a user's shell has it, without a display."""
    left_out = ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER", "SANDBOX_LANGUAGE")
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    return kept | {"PYTHONPATH": str(ROOT)}


class Nursery:
    """Runs commands, each in a process of its own, with a fault."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-c", NURSERY],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=environment(),
        )

    def run(self, folder: Path, *words: str | bytes | Path, **fault: Any) -> Ended:
        """Run `sandbox` with these words, `folder` being where it writes."""
        left = self.folder / "left"
        left.unlink(missing_ok=True)
        job = {
            "words": [os.fsencode(word).hex() for word in words],
            "folder": str(folder),
            "left": str(left),
        }
        assert self.process.stdin is not None and self.process.stdout is not None
        print(json.dumps(job | fault), file=self.process.stdin, flush=True)
        code, out, err = json.loads(self.process.stdout.readline())
        if code == NO_MOUNTS:
            pytest.skip("a mount of one's own is not allowed here")
        found = json.loads(left.read_text()) if left.exists() else {}
        return Ended(code, out, err, {name: bytes.fromhex(each) for name, each in found.items()})


@pytest.fixture(scope="module")
def nursery(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    made = Nursery(tmp_path_factory.mktemp("nursery"))
    yield made
    assert made.process.stdin is not None and made.process.stdout is not None
    made.process.stdin.close()
    made.process.wait(20)
    made.process.stdout.close()


# What writes, as words in which {w} is a folder of things to begin with.
WRITERS = {
    "run": "run fixed_sheave --out .",
    "picture, PNG": "picture fixed_sheave --size 320x200 --out machine.png",
    "picture, SVG": "picture fixed_sheave --out machine.svg",
    "film, GIF": "film just_under_repose --width 320 --speed 20 --out machine.gif",
    "film, MP4": "film just_under_repose --width 320 --speed 20 --out machine.mp4",
    "deal": (
        "deal fixed_sheave --roster {w}/two.csv --seed 7 --vary head.bearing_friction=0.1..0.3"
        " --out ."
    ),
    "plan": "plan fixed_sheave --csv plan.csv --chart plan.svg",
    "sheet": "sheet fixed_sheave --out sheet.html",
    "key": "sheet fixed_sheave --key --out key.html",
    "page": "page fixed_sheave --vary none --out page.html",
    "pages": "pages fixed_sheave --roster {w}/two.csv --vary none --out .",
    "review": "review {w}/records --out .",
    "bench --table": "bench fixed_sheave --record {w}/read.jsonl --table table.csv",
}
GUESSES = (
    "hand.force=5 N",
    "machine.efficiency=90 %",
    "machine.velocity_ratio=1",
    "head.reaction=10 N",
)
ON_A_RECORD = ["fixed_sheave", "--record", "a.jsonl"]
COMMIT = ["predict", *ON_A_RECORD, "--reason", "one part, and friction"]
RECORDERS = {
    "predict": [*COMMIT, *(f"--commit={guess}" for guess in GUESSES)],
    "bench": ["bench", *ON_A_RECORD],
    "bench --close": ["bench", *ON_A_RECORD, "--read=balance.reading=5 N", "--note=on", "--close"],
}


@pytest.fixture(scope="module")
def world(nursery: Nursery, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A roster, records, and a record with a reading."""
    folder = tmp_path_factory.mktemp("world")
    (folder / "two.csv").write_text("student\nStudent A\nStudent B\n")
    (folder / "records").mkdir()
    for student in "ab":
        shutil.copy(
            shipped.scenes_folder() / "class" / "boat_shed" / f"student_{student}.jsonl",
            folder / "records",
        )
    for words in RECORDERS.values():
        ended = nursery.run(folder, *words, here=True)
        assert ended.code == 0, ended.err
    (folder / "a.jsonl").rename(folder / "read.jsonl")
    return folder


def words_of(name: str, world: Path) -> list[str]:
    return [word.format(w=world) for word in WRITERS[name].split()]


@pytest.fixture(scope="module")
def whole(nursery: Nursery, world: Path, tmp_path_factory: pytest.TempPathFactory) -> Any:
    """What each command writes when nothing is amiss, by the files' names."""
    known: dict[str, dict[str, bytes]] = {}

    def written(name: str) -> dict[str, bytes]:
        if name not in known:
            folder = tmp_path_factory.mktemp("whole")
            ended = nursery.run(folder, *words_of(name, world), here=True)
            assert ended.code == 0, ended.err
            known[name] = contents(folder)
            assert known[name]
        return known[name]

    return written


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def refused(ended: Ended, *said: str) -> None:
    """It ended with exit code 2 and one line that says so, and no traceback."""
    lines = ended.err.strip().splitlines()
    assert ended.code == 2, ended
    assert len(lines) == 1 and lines[0].startswith("sandbox: "), ended.err
    assert not re.search(r"(\S+): \1: ", lines[0]), "a name twice"
    for each in said:
        assert each in lines[0]


OLD = b"what was there before"


def old_files(folder: Path, names: Any) -> dict[str, bytes]:
    for name in names:
        (folder / name).write_bytes(OLD)
    return contents(folder)


# Killed.


def deaths(name: str) -> list[dict[str, Any]]:
    """Where a command is killed: at steps of its work with files, at bytes, and at any time."""
    if KILLS:
        chance = random.Random(name)
        steps = [{"dies_at_step": number} for number in range(1, 40)]
        sizes = [{"dies_at_byte": round(10 ** chance.uniform(0, 5.5))} for _ in range(KILLS // 4)]
        times = [{"dies_after": chance.uniform(0.0, 1.0)} for _ in range(KILLS)]
        return steps + sizes + times
    return [{"dies_at_step": 3}] if name.startswith("film") else [{"dies_at_byte": 10}]


@pytest.mark.parametrize("name", WRITERS)
def test_killed_it_leaves_the_old_or_the_new(
    nursery: Nursery, world: Path, whole: Any, tmp_path: Path, name: str
) -> None:
    """Killed anywhere, a command leaves of each file the whole old or the whole new one; the next
    run writes them all, and takes away what the dead one left."""
    wanted = whole(name)
    old_files(tmp_path, wanted)
    counts: Counter[str] = Counter()
    steps_left = True
    for death in deaths(name):
        if "dies_at_step" in death and not steps_left:
            continue
        ended = nursery.run(tmp_path, *words_of(name, world), **death)
        steps_left = ended.code < 0
        counts["killed" if ended.code < 0 else "went through"] += 1
        for found, content in contents(tmp_path).items():
            if found in wanted:
                assert content in (OLD, wanted[found]), (death, found, len(content))
            else:
                assert found.startswith(".") and ".part" in found, (death, found)
                counts["drafts left"] += 1
        if KILLS and counts["killed"] % 3:
            old_files(tmp_path, wanted)
    assert counts["killed"]
    ended = nursery.run(tmp_path, *words_of(name, world))
    assert ended.code == 0, ended.err
    assert contents(tmp_path) == wanted
    if KILLS:
        print(f"\n{name}: {dict(counts)}")


@pytest.mark.parametrize("name", RECORDERS)
def test_killed_it_loses_nothing_confirmed(nursery: Nursery, tmp_path: Path, name: str) -> None:
    """Killed anywhere, what was confirmed is in the record; the next run takes it up again."""
    before = list(RECORDERS)[: list(RECORDERS).index(name)]
    path = tmp_path / "a.jsonl"
    for each in before:
        nursery.run(tmp_path, *RECORDERS[each])
    begun = path.read_bytes() if path.exists() else b""
    counts: Counter[str] = Counter()
    assert nursery.run(tmp_path, *RECORDERS[name]).code == 0
    end = path.stat().st_size
    points = range(len(begun), end, -(-(end - len(begun)) // (250 if KILLS else 3)))
    for death in [{"dies_at_byte": point} for point in points] + deaths(name)[1:]:
        path.write_bytes(begun)
        ended = nursery.run(tmp_path, *RECORDERS[name], **death)
        counts["killed" if ended.code < 0 else "went through"] += 1
        raw = path.read_bytes()
        assert raw.startswith(begun)
        if b"\n" not in raw:
            assert "committed" not in ended.out
            continue
        found = record.parse(raw)
        counts["torn"] += bool(found.torn)
        confirmed = ended.out.count("committed: ")
        assert len(found.of("prediction")) >= confirmed
        ended = nursery.run(tmp_path, "bench", *ON_A_RECORD, "--note", "x")
        assert ended.code == (2 if found.closed else 0), ended.err
        again = record.read(path)
        assert again.entries[: len(found.entries)] == found.entries and not again.torn
    assert counts["killed"]
    if KILLS:
        print(f"\n{name}: {dict(counts)}")


def test_a_draft_in_use_is_let_be(tmp_path: Path) -> None:
    """A draft that another program holds is not swept away; one that nobody holds is."""
    path = tmp_path / "a.csv"
    with files.draft(path) as mine:
        mine.write_text("mine")
        left = tmp_path / ".a.csv.0123abcd.part.csv"
        left.write_text("left")
        others = tmp_path / ".a.csv.notes"
        others.write_text("not a draft")
        files.write(path, "theirs")
        assert path.read_text() == "theirs"
        assert mine.read_text() == "mine"
        assert not left.exists()
        assert others.exists()
    assert path.read_text() == "mine"
    assert sorted(contents(tmp_path)) == [".a.csv.notes", "a.csv"]


# No room, no right.


NO_ROOM = [(name, {"longest": 10}) for name in WRITERS]
NO_ROOM += [
    (name, fault)
    for name in (WRITERS if KILLS else ("run", "film, MP4", "deal", "sheet"))
    for fault in ({"room": 4096}, {"read_only": True})
]


@pytest.mark.parametrize(("name", "fault"), NO_ROOM, ids=str)
def test_where_nothing_can_be_written_the_old_stays(
    nursery: Nursery, world: Path, whole: Any, tmp_path: Path, name: str, fault: dict[str, Any]
) -> None:
    """On a full disk, past a limit and in a read-only folder: a message, and the old files stay."""
    wanted = whole(name)
    before = old_files(tmp_path, wanted)
    most = fault.get("longest", fault.get("room", 0))
    small = all(len(content) < most for content in wanted.values())
    ended = nursery.run(tmp_path, *words_of(name, world), **fault)
    after = ended.left or contents(tmp_path)
    if small:
        assert ended.code in (0, 2)
    else:
        refused(ended, "allowed: ")
    assert set(after) == set(before)
    for each, content in after.items():
        assert content in (OLD, wanted[each])
    assert OLD in after.values() or small


@pytest.mark.parametrize("fault", [{"longest": 100}, {"room": 0}, {"read_only": True}])
def test_a_record_that_cannot_be_begun_is_refused(
    nursery: Nursery, tmp_path: Path, fault: dict[str, Any]
) -> None:
    """Where not even the header can be written it says so, and no piece of one is left."""
    ended = nursery.run(tmp_path, *RECORDERS["predict"], **fault)
    refused(ended, "a.jsonl: ")
    assert all(content == b"" for content in (ended.left or contents(tmp_path)).values())
    assert "committed" not in ended.out


def test_an_entry_without_room_is_taken_back(nursery: Nursery, tmp_path: Path) -> None:
    """Where the disk fills up within an entry, the record ends with the last one confirmed."""
    assert nursery.run(tmp_path, *COMMIT, "--commit", GUESSES[0]).code == 0
    before = (tmp_path / "a.jsonl").read_bytes()
    ended = nursery.run(
        tmp_path, "bench", "fixed_sheave", "--record", "a.jsonl", "--note", "x" * 900,
        longest=len(before) + 500,
    )  # fmt: skip
    refused(ended, "a.jsonl: File too large; this entry is not in the record")
    assert (tmp_path / "a.jsonl").read_bytes() == before


def test_a_missing_encoder_is_told(nursery: Nursery, tmp_path: Path) -> None:
    """Where ffmpeg is missing it says so, before anything is run, and blames no disk."""
    for ending in ("gif", "mp4"):
        words = ["film", "sled_let_slide", "--out", f"a.{ending}"]
        ended = nursery.run(tmp_path, *words, env={"IMAGEIO_FFMPEG_EXE": "/nowhere/ffmpeg"})
        refused(ended, "no /nowhere/ffmpeg, which codes films; install it")
        assert not any(tmp_path.iterdir())


def test_rights_are_kept(tmp_path: Path) -> None:
    """A file written over keeps its rights."""
    path = tmp_path / "a.csv"
    for rights in (0o600, 0o664, 0o640):
        path.write_text("old")
        path.chmod(rights)
        files.write(path, "new")
        assert (path.read_text(), path.stat().st_mode & 0o777) == ("new", rights)


def test_a_file_protected_from_writing_stays() -> None:
    """A file that its user has protected is not replaced, though its folder would allow it."""
    user = os.geteuid()
    if user == 0:  # who may write everywhere
        os.seteuid(65534)
    try:
        with TemporaryDirectory() as folder:
            path = Path(folder) / "a.csv"
            path.write_text("old")
            path.chmod(0o400)
            with pytest.raises(PermissionError):
                files.write(path, "new")
            assert contents(Path(folder)) == {"a.csv": b"old"}
    finally:
        os.seteuid(user)


def test_pipes_and_devices_are_written_to(nursery: Nursery, tmp_path: Path) -> None:
    """A pipe, a device and standard output are written to, and stay what they are; the same bytes
    come through as a file would get."""
    words = "sheet fixed_sheave --out"
    assert nursery.run(tmp_path, *words.split(), "a.html").code == 0
    wanted = (tmp_path / "a.html").read_bytes()
    pipe, null = tmp_path / "pipe.html", tmp_path / "null.html"
    os.mkfifo(pipe)
    null.symlink_to("/dev/null")
    came = tmp_path / "came"
    with came.open("wb") as told, subprocess.Popen(["cat", pipe], stdout=told) as reader:
        for name in ("pipe.html", "null.html"):
            ended = nursery.run(tmp_path, *words.split(), name)
            assert (ended.code, ended.err) == (0, "")
        assert reader.wait(20) == 0
    assert came.read_bytes() == wanted
    assert pipe.is_fifo() and Path("/dev/null").is_char_device() and null.is_symlink()
    table = "plan fixed_sheave --vary bag.mass=400g..600g --csv"
    assert nursery.run(tmp_path, *table.split(), "a.csv").code == 0
    rows = (tmp_path / "a.csv").read_text()
    assert rows in nursery.run(tmp_path, *table.split(), "/dev/stdout").out
    full = nursery.run(tmp_path, *table.split(), "/dev/full")
    refused(full, "/dev/full: No space left on device")


def test_standard_output_that_is_a_file_is_written_to_in_its_turn(tmp_path: Path) -> None:
    """Written to "/dev/stdout", what is printed before and after stays in the file it leads to."""
    program = (
        "from pathlib import Path; from sandbox import files\n"
        "print('before'); files.write(Path('/dev/stdout'), 'table\\n'); print('after')"
    )
    with (tmp_path / "told").open("wb") as told:
        subprocess.run(
            [sys.executable, "-c", program], stdout=told, env=environment(), check=True, timeout=20
        )
    assert (tmp_path / "told").read_text() == "before\ntable\nafter\n"


# Streams.


@pytest.mark.parametrize(
    "words",
    [["check", "fixed_sheave"], ["check", "fixed_sheave", "--json"], words_of("sheet", Path())],
    ids=str,
)
def test_a_full_disk_under_standard_output_is_told(
    nursery: Nursery, tmp_path: Path, words: list[str]
) -> None:
    """Where standard output cannot be written to, one message and exit code 2; files are whole."""
    ended = nursery.run(tmp_path, *words, stdout="/dev/full")
    refused(ended, "standard output: No space left on device")
    assert all(b"</html>" in content for content in contents(tmp_path).values())


def test_a_reader_that_leaves_ends_it_quietly(tmp_path: Path) -> None:
    """`sandbox sheet ... | true` ends as shells count a broken pipe; the file is whole."""
    command = [sys.executable, "-m", "sandbox", "sheet", "fixed_sheave", "--out", "sheet.html"]
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
    ) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        assert process.stderr.read().strip() == b""
        assert process.wait(60) == 141
    assert b"</html>" in (tmp_path / "sheet.html").read_bytes()


@pytest.mark.parametrize("closed", [[0], [1], [2], [0, 1, 2]])
def test_closed_streams_are_done_without(
    nursery: Nursery, tmp_path: Path, closed: list[int]
) -> None:
    """Without standard input, output or error it works, and writes into no file in their place."""
    for each, words in enumerate(RECORDERS.values()):
        ended = nursery.run(tmp_path, *words, closed=closed)
        assert ended.code == 0, ended
        assert len(record.read(tmp_path / "a.jsonl").entries) == (4, 5, 8)[each]


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_an_encoding_that_lacks_characters(
    nursery: Nursery, tmp_path: Path, world: Path, encoding: str
) -> None:
    """What the terminal cannot show is written as its number; JSON stays JSON."""
    nursery.run(tmp_path, *words_of("bench --table", world))
    words = ["compare", "fixed_sheave", "table.csv"]
    for more in ([], ["--json"]):
        ended = nursery.run(tmp_path, *words, *more, encoding=encoding, here=True)
        assert ended.code in (0, 1) and ended.err.strip() == "", ended.err
    assert json.loads(ended.out)["scene"] == "fixed_sheave"


@pytest.mark.parametrize("moment", [0.05, 0.7, 2.0])
@pytest.mark.parametrize(
    "words", ["check", "pages four_part_tackle --roster boat_shed.csv --out ."]
)
def test_ctrl_c_ends_it_at_once(tmp_path: Path, words: str, moment: float) -> None:
    """Ctrl-C, which every process of a command gets, ends it without a word, as shells count it;
    what it has written by then is whole."""
    code = "import sandbox.__main__ as command; print('up', flush=True); command.main()"
    process = subprocess.Popen(
        [sys.executable, "-c", code, *words.split()],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(),
        start_new_session=True,
    )
    assert process.stdout is not None and process.stdout.readline() == b"up\n"
    time.sleep(moment)
    assert process.poll() is None
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=30)
    # While it ends Python takes the signal as any program does.
    assert process.returncode in (130, -signal.SIGINT)
    assert (out.strip(), err.strip()) == (b"", b"")
    for page in tmp_path.iterdir():
        assert page.suffix == ".html" and page.read_text("utf-8").rstrip().endswith("</html>")


PASSED_OVER = """
class Passing:
    def __del__(self):
        os.kill(os.getpid(), signal.SIGINT)
        time.sleep(1)
Passing()
time.sleep(60)
"""
TAKEN_FOR_ANOTHER = """
try:
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(60)
except KeyboardInterrupt:
    raise ImportError("what was loading failed")
"""


@pytest.mark.parametrize("work", [PASSED_OVER, TAKEN_FOR_ANOTHER])
def test_ctrl_c_is_not_lost(work: str) -> None:
    """Ctrl-C while a destructor runs, or within what makes another error of it, ends the program
    all the same, without a word."""
    program = (
        "import os, signal, sys, time, sandbox.cli, sandbox.__main__ as command\n"
        f"sandbox.cli.main = lambda: exec({work!r}, globals())\n"
        "command.main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, env=environment(), timeout=30
    )
    assert (done.returncode, done.stderr) == (130, b"")


def test_ctrl_c_at_a_question_keeps_what_was_answered(tmp_path: Path) -> None:
    """Ctrl-C at the prompt for the second prediction keeps the first and says so."""
    with subprocess.Popen(
        [sys.executable, "-m", "sandbox", "predict", "fixed_sheave", "--record", "a.jsonl"],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment() | {"PYTHONUNBUFFERED": "1"},
    ) as process:
        assert process.stdin is not None and process.stdout is not None
        process.stdin.write("5 N\none part, and friction\n")
        process.stdin.flush()
        heard = ""
        while "Velocity ratio" not in heard:
            heard += process.stdout.read(1)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert err == "sandbox: stopped; what was committed is in the record\n"
    assert [each.text for each in record.read(tmp_path / "a.jsonl").entries] == ["5 N"]


# Names and places.

STRANGE = b"sch\xffot"
LONG = "z" * 250


def test_names_that_are_not_utf8(nursery: Nursery, tmp_path: Path, world: Path) -> None:
    """Scenes, rosters, records and what is written may have names in any bytes."""
    folder = os.fsencode(tmp_path) + b"/" + STRANGE
    os.mkdir(folder)
    scene, table = (folder + b"/" + STRANGE + ending for ending in (b".toml", b".csv"))
    shutil.copy(shipped.find_scene("fixed_sheave"), scene)
    shutil.copy(world / "two.csv", table)
    hidden = [b"--vary", b"head.bearing_friction=0.1..0.3", b"--seed", b"7"]
    for words in (
        [b"run", scene, b"--out", folder + b"/run"],
        [b"picture", scene, b"--size", b"320x200", b"--out", folder + b"/" + STRANGE + b".png"],
        [b"sheet", scene, b"--out", folder + b"/" + STRANGE + b".html"],
        [b"deal", scene, b"--roster", table, b"--out", folder + b"/deal", *hidden],
        [b"bench", scene, b"--record", folder + b"/" + STRANGE + b".jsonl", b"--note", b"a"],
        [b"review", folder, b"--out", folder + b"/review"],
    ):
        ended = nursery.run(tmp_path, *words)
        assert ended.code == 0, (words, ended.err)
    assert not any(name.endswith(b".part.png") for name in os.listdir(folder))


@pytest.mark.parametrize("name", [LONG, LONG + "z" * 50, "/".join([LONG] * 20)], ids=len)
@pytest.mark.parametrize(
    "words",
    [
        "check {}", "run fixed_sheave --out {}", "picture fixed_sheave --out {}.svg",
        "sheet fixed_sheave --out {}.html", "bench fixed_sheave --note a --record {}",
        "review {} --out here", "review boat_shed --key {} --out here", "compare fixed_sheave {}",
        "deal fixed_sheave --roster {} --seed 1 --vary head.bearing_friction=0.1..0.3 --out here",
        "open {}",
    ],
)  # fmt: skip
def test_long_names(nursery: Nursery, tmp_path: Path, words: str, name: str) -> None:
    """The longest name that a disk takes is written to; longer names and paths are refused."""
    ended = nursery.run(tmp_path, *words.format(name).split())
    written = name == LONG and words.split()[0] in ("run", "picture", "sheet", "bench")
    if written:
        assert ended.code == 0, ended.err
    else:
        refused(ended)
        assert not any(tmp_path.iterdir())


FOLDERS = ["folder.html", "folder.svg"]


@pytest.mark.parametrize(
    "words",
    [
        "run fixed_sheave --out {}/x", "sheet fixed_sheave --out {}/x.html",
        "bench fixed_sheave --note a --record {}/x", "sheet fixed_sheave --out folder.html",
        "bench fixed_sheave --note a --record folder.html",
        "picture fixed_sheave --out folder.svg",
    ],
)  # fmt: skip
def test_places_that_cannot_be(nursery: Nursery, tmp_path: Path, words: str) -> None:
    """A file taken for a folder and a folder taken for a file are refused, and stay."""
    (tmp_path / "file").write_bytes(OLD)
    for name in FOLDERS:
        (tmp_path / name).mkdir()
    refused(nursery.run(tmp_path, *words.format("file").split()))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["file", *FOLDERS]
    assert (tmp_path / "file").read_bytes() == OLD


@pytest.fixture(scope="module")
def german(tmp_path_factory: pytest.TempPathFactory) -> str:
    """A folder with a locale that writes a decimal comma."""
    folder = tmp_path_factory.mktemp("locale")
    command = ["localedef", "-i", "de_DE", "-f", "UTF-8", str(folder / "de_DE.UTF-8")]
    with contextlib.suppress(OSError):
        subprocess.run(command, capture_output=True, check=False)
    if not (folder / "de_DE.UTF-8").exists():
        pytest.skip("no localedef or no sources of locales")
    return str(folder)


@pytest.mark.parametrize("name", ["run", "plan", "deal", "sheet", "page"])
def test_a_locale_with_decimal_commas_changes_nothing(
    nursery: Nursery, world: Path, whole: Any, tmp_path: Path, german: str, name: str
) -> None:
    """Where numbers are written with commas, every file is the same, byte for byte."""
    ended = nursery.run(tmp_path, *words_of(name, world), locale=german)
    assert ended.code == 0, ended.err
    assert contents(tmp_path) == whole(name)


@pytest.mark.parametrize("name", ["run", "picture, SVG", "film, GIF", "sheet", "page", "pages"])
def test_missing_fonts_are_told(
    nursery: Nursery, world: Path, whole: Any, tmp_path: Path, name: str
) -> None:
    """Where shipped files are missing it says which, and lays the blame nowhere else."""
    before = old_files(tmp_path, whole(name))
    fault = {"assets": str(world)}
    refused(nursery.run(tmp_path, *words_of(name, world), **fault), "missing from the installation")
    after = contents(tmp_path)
    assert set(after) == set(before)
    # A run's numbers are written before its picture.
    assert all(after[each] in (OLD, whole(name)[each]) for each in before)


@pytest.mark.parametrize("words", [["check"], ["check", "fixed_sheave"], ["open"]], ids=str)
def test_missing_scenes_are_told(nursery: Nursery, tmp_path: Path, words: list[str]) -> None:
    """Without the shipped scenes nothing is said to agree."""
    refused(nursery.run(tmp_path, *words, scenes=str(tmp_path)), "missing from the installation")


@pytest.mark.parametrize(
    "env",
    [{}, {"DISPLAY": ":77"}, {"WAYLAND_DISPLAY": "none"}, {"SDL_VIDEODRIVER": "x11"}],
    ids=lambda env: min(env, default="nothing"),
)
def test_without_a_display_no_window_is_opened(
    nursery: Nursery, tmp_path: Path, env: dict[str, str]
) -> None:
    """Where no display is named, or one that is not there, it says what draws without one."""
    ended = nursery.run(tmp_path, "open", "fixed_sheave", env=env)
    assert ended.code == 2
    assert "sandbox: there is no display to open a window on; 'sandbox picture" in ended.err
    assert "Traceback" not in ended.err


def test_without_a_home_it_works(tmp_path: Path) -> None:
    """Where the home folder cannot be made and a notebook's environment asks for a way to draw that
    is not there, charts are drawn and nothing is said about it."""
    (tmp_path / "file").write_bytes(b"")  # below which even root makes no folder
    lost = ("HOME", "MPLCONFIGDIR", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME")
    words = ["plan", "three_part_tackle", "--chart", "plan.svg", "--vary", "parts=2..3"]
    done = subprocess.run(
        [sys.executable, "-m", "sandbox", *words],
        cwd=tmp_path,
        env=environment()
        | dict.fromkeys(lost, str(tmp_path / "file" / "x"))
        | {"MPLBACKEND": "module://matplotlib_inline.nowhere"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr.strip() == ""
    assert b"</svg>" in (tmp_path / "plan.svg").read_bytes()


# Files that have been through another system.


def windows(raw: bytes) -> bytes:
    return b"\xef\xbb\xbf" + raw.replace(b"\n", b"\r\n")


def test_windows_line_ends_and_a_mark_at_the_start(tmp_path: Path, world: Path) -> None:
    """Scenes, rosters, data and records mean the same with Windows' line ends and a byte order
    mark, and such a record can be gone on with."""
    scene = shipped.find_scene("fixed_sheave")
    for name, raw in (
        ("fixed_sheave.toml", scene.read_bytes()),
        ("two.csv", (world / "two.csv").read_bytes()),
        ("data.csv", b"trial,hand.force (N)\ngraduation,0.1\n1,5.2\n"),
        ("read.jsonl", (world / "read.jsonl").read_bytes()),
        ("open.jsonl", b"".join((world / "read.jsonl").read_bytes().splitlines(True)[:-1])),
    ):
        (tmp_path / name).write_bytes(windows(raw))
    machine = load(scene)
    assert load(tmp_path / "fixed_sheave.toml") == machine
    assert deal.open_file(tmp_path / "fixed_sheave.toml").text == deal.open_file(scene).text
    assert deal.read_roster(tmp_path / "two.csv") == ["Student A", "Student B"]
    assert data.load(tmp_path / "data.csv", machine).rows == 1
    assert record.read(tmp_path / "read.jsonl") == record.read(world / "read.jsonl")
    text = deal.open_file(scene).text
    path = tmp_path / "open.jsonl"
    for _ in range(2):
        with record_writer.opened(path, "Student", "fixed_sheave", text) as writer:
            writer.add("note", text="on")
    assert len(record.read(path).entries) == len(record.read(world / "read.jsonl").entries) + 1


# Two at once.


def test_many_programs_on_one_record(tmp_path: Path) -> None:
    """Five programs that commit the same predictions at once: each is in the record once, and
    each program is told of the others."""
    command = [sys.executable, "-c", TOGETHER, *RECORDERS["predict"]]
    done = subprocess.run(
        command, cwd=tmp_path, capture_output=True, text=True, env=environment(), timeout=60
    )
    assert done.returncode == 0, done.stderr
    codes = Counter(json.loads(done.stdout.splitlines()[-1]))
    assert codes[0] == 1 and set(codes) == {0, 2}, codes
    refusals = done.stderr.split("sandbox: a.jsonl: ")[1:]
    assert len(refusals) == codes[2]
    assert all("open in another program" in each or "that stands" in each for each in refusals)
    found = record.read(tmp_path / "a.jsonl")
    assert Counter(entry.quantity for entry in found.entries) == Counter(
        guess.partition("=")[0] for guess in GUESSES
    )


TOGETHER = """
import json, os, sys, time
import portalocker
import sandbox.lab.class_work.predict
from sandbox.cli import main

start, children = time.time() + 0.1, []
for _ in range(5):
    child = os.fork()
    if child == 0:
        time.sleep(max(0.0, start - time.time()))
        try:
            main()
        except SystemExit as end:
            sys.stdout.flush()
            os._exit(end.code or 0)
    children.append(child)
print(json.dumps([os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]))
"""

CROWD = """
import os, sys
from pathlib import Path
from sandbox import files
from sandbox.lab.class_work import record, record_writer

folder, children = Path(sys.argv[1]), []
for number in range(6):
    child = os.fork()
    if child == 0:
        added = 0
        while added < 15:
            files.write(folder / "table.csv", f"{number}" * 50_000)
            try:
                with record_writer.opened(folder / "a.jsonl", "Student", "slip", "text") as writer:
                    writer.add("note", text=f"{number} {added}")
                    added += 1
            except record.RecordError as error:
                assert "open in another program" in str(error)
        os._exit(0)
    children.append(child)
sys.exit(any(os.waitpid(child, 0)[1] for child in children))
"""


def test_a_crowd_on_two_files(tmp_path: Path) -> None:
    """Six programs write one file and add to one record over and over: the file is always one of
    theirs, whole; no entry is lost or there twice; and no draft stays."""
    with subprocess.Popen([sys.executable, "-c", CROWD, tmp_path], env=environment()) as crowd:
        while crowd.poll() is None:
            with contextlib.suppress(FileNotFoundError):
                text = (tmp_path / "table.csv").read_text()
                assert text == text[0] * 50_000
            with contextlib.suppress(record.RecordError):
                record.read(tmp_path / "a.jsonl")
    assert crowd.returncode == 0
    texts = [entry.text for entry in record.read(tmp_path / "a.jsonl").entries]
    assert sorted(texts) == sorted(f"{who} {what}" for who in range(6) for what in range(15))
    assert sorted(contents(tmp_path)) == ["a.jsonl", "table.csv"]


def test_a_worker_that_is_ended_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """Where the system ends a process that was helping, there is one message and exit code 2."""
    with pytest.raises(typer.Exit) as ended, refusing(), Pool(1) as workers:
        list(workers.map(os._exit, [9]))
    assert ended.value.exit_code == 2
    assert "a process that was helping was ended" in capsys.readouterr().err


def test_a_worker_that_is_ended_takes_one_job_along() -> None:
    """Where one process is ended in the midst of what it hands over, the other jobs are done."""
    half = "import os, sys; sys._getframe(2).f_locals['pipe']._send(b'\\0\\0'); os._exit(9)"
    with Pool(2) as workers:
        found = dict(workers.as_done(exec, ["", half, "", "0 / 0"]))
    errors = [type(found[number].exception()).__name__ for number in range(4)]
    assert errors == ["NoneType", "BrokenExecutor", "NoneType", "ZeroDivisionError"]


@pytest.mark.parametrize("method", ["spawn", None])
@pytest.mark.parametrize("ending", [signal.SIGKILL, signal.SIGTERM])
def test_workers_end_with_the_program(method: str | None, ending: signal.Signals) -> None:
    """Where the program is ended from outside, the processes it works with end within seconds."""
    # In one write: two workers share the pipe.
    busy = "import os, time; os.write(1, b'up\\n'); time.sleep(600)"
    program = (
        "from sandbox.processes import Pool\n"
        f"if __name__ == '__main__': list(Pool(2, {method!r}).map(exec, [{busy!r}] * 2))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", program],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=environment(),
        start_new_session=True,
    ) as process:
        assert process.stdout is not None
        try:
            for _ in range(min(2, os.cpu_count() or 1)):
                assert process.stdout.readline() == b"up\n"
            process.send_signal(ending)
            # Nothing more can come once all that hold the pipe have ended.
            process.communicate(timeout=30)
        finally:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
