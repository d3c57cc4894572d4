"""Pictures and films from the command line: the same sheet, the moment asked for, whole or not."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from copy import copy, deepcopy
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path as FilePath

import numpy as np
import pytest
from typer.testing import CliRunner

from sandbox.cli import app
from sandbox.drawing import layout, zones
from sandbox.drawing.reel import Reel
from sandbox.drawing.strokes import Box, Drawing, Path, Text
from sandbox.engine import Recording, Snapshot, run
from sandbox.language.display import Display
from sandbox.painting import PAPERS, film
from sandbox.scene import Vector, load
from tests.places import SCENES

SVG = "{http://www.w3.org/2000/svg}"


@cache
def recorded(name: str, duration: float | None = None) -> Recording:
    return run(load(SCENES / f"{name}.toml"), duration=duration)


@cache
def _reel(name: str, display: Display) -> Reel:
    return Reel(recorded(name).scene, recorded(name).snapshots, display=display)


def reel_of(name: str, display: Display = Display()) -> Reel:  # noqa: B008 - immutable
    """A reel that has shown nothing yet: where its labels were is no part of it."""
    reel = copy(_reel(name, display))
    reel.keeper = deepcopy(reel.keeper)
    return reel


def sandbox(*arguments: object) -> tuple[int, str]:
    """Exit code of a command, and all that it said."""
    done = CliRunner().invoke(app, [str(a) for a in arguments])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


# Pictures.


def texts_of(path: FilePath) -> list[str]:
    return [e.text or "" for e in ElementTree.parse(path).iter(f"{SVG}text")]


def test_picture_as_png(tmp_path: FilePath) -> None:
    """A PNG has the size asked for, on the paper asked for."""
    import pygame

    out = tmp_path / "sled.png"
    code, said = sandbox(
        "picture", "sled_let_slide", "--out", out, "--size", "640x400", "--paper", "dark"
    )
    assert code == 0 and str(out) in said
    picture = pygame.image.load(out)
    assert picture.get_size() == (640, 400)
    assert picture.get_at((2, 2))[:3] == PAPERS["dark"].ground
    assert [p.name for p in tmp_path.iterdir()] == ["sled.png"]


def test_picture_as_svg_at_a_time(tmp_path: FilePath) -> None:
    """An SVG at a time shows the machine, its clock and its charts at that time, in the language
    and units asked for."""
    out = tmp_path / "tackle.svg"
    arguments = ("picture", "four_part_tackle", "--out", out, "--at", "4000 ms")
    assert sandbox(*arguments)[0] == 0
    words = texts_of(out)
    assert "t = 4.00 s" in words and "effort" in words
    assert any(word.startswith("scale 1:10") for word in words)
    recording = recorded("four_part_tackle")
    now = min(recording.snapshots, key=lambda s: abs(s.time - 4.0))
    assert now.hand is not None
    assert f"travel {100 * now.hand.travel:.3g} cm" in words
    assert f"work in {now.energy.work_in:.2f} J" in words
    assert sandbox(*arguments, "--language", "es", "--units", "us")[0] == 0
    words = texts_of(out)
    assert "esfuerzo" in words and any(word.startswith("escala 1:10") for word in words)
    assert f"recorrido {now.hand.travel / 0.0254:.3g} in".replace(".", ",") in words


def test_the_language_of_the_environment_is_spoken(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without an option, SANDBOX_LANGUAGE says which language; one there is not is refused."""
    out = tmp_path / "rule.svg"
    monkeypatch.setenv("SANDBOX_LANGUAGE", "es_CL.UTF-8")
    assert sandbox("picture", "spar_on_two_props", "--out", out)[0] == 0
    assert "sostenida" in texts_of(out)
    monkeypatch.setenv("SANDBOX_LANGUAGE", "tlh")
    code, said = sandbox("picture", "spar_on_two_props", "--out", out)
    assert code == 2 and "SANDBOX_LANGUAGE: found 'tlh'; allowed: one of en, es." in said


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("picture", "--out", "a.jpeg"), "--out: found 'a.jpeg'; allowed: a name that ends in"),
        (("picture", "--out", "a"), ".png, .svg"),
        (("picture", "--out", "no/such/a.png"), "allowed: a file in a folder that is there"),
        (("picture", "--out", "a.png", "--at", "20 s"), "from 0 s to 0.8 s, where the run ends"),
        (("picture", "--out", "a.png", "--at", "-1 s"), "found '-1 s'; allowed: from 0 s"),
        (("picture", "--out", "a.png", "--at", "2"), "the unit is missing"),
        (("picture", "--out", "a.png", "--at", "2 m"), "--at: found '2 m'; allowed: a time"),
        (("picture", "--out", "a.png", "--size", "big"), "--size: found 'big'; allowed: width"),
        (("picture", "--out", "a.png", "--size", "100000x10"), "allowed: width and height"),
        (("picture", "--out", "a.png", "--paper", "green"), "allowed: one of white, dark"),
        (("picture", "--out", "a.png", "--language", "xx"), "language: found 'xx'; allowed: one"),
        (("picture", "--out", "a.png", "--units", "CGS"), "allowed: one of SI, US"),
        (("film", "--out", "a.avi"), "a name that ends in .mp4, .gif"),
        (("film", "--out", "no/such/a.gif"), "allowed: a file in a folder that is there"),
        (("film", "--out", "a.gif", "--speed", "0"), "--speed: found 0.0; allowed: from 0.01"),
        (("film", "--out", "a.gif", "--speed", "nan"), "allowed: from 0.01 to 100"),
        (("film", "--out", "a.gif", "--width", "3"), "allowed: from 320 to 7680 pixels"),
    ],
)
def test_what_cannot_be_drawn_is_refused(
    arguments: tuple[str, ...],
    message: str,
    tmp_path: FilePath,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Bad input is one clear message and exit code 2, and no file is left."""
    monkeypatch.chdir(tmp_path)
    code, said = sandbox(arguments[0], "sled_let_slide", *arguments[1:])
    assert code == 2
    assert message in said and len(said.strip().splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not FilePath("/proc/self").is_dir(), reason="no folder that refuses everyone")
@pytest.mark.parametrize("command", ["picture a.png", "picture a.svg", "film a.gif"])
def test_a_folder_that_cannot_be_written_to(command: str) -> None:
    """A folder that takes no file, even from root, is one message and exit code 2."""
    name, file = command.split()
    code, said = sandbox(name, "sled_let_slide", "--out", f"/proc/self/{file}")
    assert code == 2 and "allowed: a place that can be written to." in said
    assert len(said.strip().splitlines()) == 1


# Films.


def frames(path: FilePath) -> list[np.ndarray]:
    """Every frame of a film, as ffmpeg itself decodes it."""
    import imageio_ffmpeg

    program = imageio_ffmpeg.get_ffmpeg_exe()
    told = subprocess.run([program, "-i", path], capture_output=True, text=True, check=False)
    size = re.search(r"Video: .*?, (\d+)x(\d+)", told.stderr)
    assert size, told.stderr
    width, height = map(int, size.groups())
    command = [program, "-v", "error", "-i", path, "-fps_mode", "passthrough"]
    command += ["-f", "rawvideo", "-pix_fmt", "rgb24", "-"]
    raw = subprocess.run(command, capture_output=True, check=True).stdout
    return list(np.frombuffer(raw, np.uint8).reshape(-1, height, width, 3))


def rate_of(path: FilePath) -> float:
    """Frames a second, as ffmpeg reads it from the file."""
    import imageio_ffmpeg

    program = imageio_ffmpeg.get_ffmpeg_exe()
    told = subprocess.run([program, "-i", path], capture_output=True, text=True, check=False)
    found = re.search(r"([\d.]+) fps", told.stderr)
    assert found, told.stderr
    return float(found[1])


@pytest.mark.parametrize("ending", ["gif", "mp4"])
def test_film(ending: str, tmp_path: FilePath) -> None:
    """A film lasts as long as the run at its speed, has the size asked for, moves, and ends as the
    picture of the end looks."""
    import pygame

    out, still = tmp_path / f"sled.{ending}", tmp_path / "still.png"
    assert sandbox("film", "sled_let_slide", "--out", out, "--width", "480")[0] == 0
    shots = frames(out)
    rate = film.FRAME_RATES[f".{ending}"]
    assert rate_of(out) == pytest.approx(rate, rel=1e-3)
    length = recorded("sled_let_slide").snapshots[-1].time
    assert len(shots) == pytest.approx(length * rate + 1, abs=1.01)
    assert shots[0].shape == (270, 480, 3)
    assert np.abs(shots[0].astype(int) - shots[-1]).max() > 100
    from sandbox.painting import raster

    last = reel_of("sled_let_slide").frame(recorded("sled_let_slide").snapshots[-1])
    raster.save(raster.still(last, PAPERS["white"], (480, 270)), still)
    wanted = pygame.surfarray.array3d(pygame.image.load(still)).swapaxes(0, 1).astype(int)
    # The title block's note is the command's own.
    difference = np.abs(shots[-1].astype(int) - wanted)[: int(0.8 * 270)]
    assert difference.mean() < 4.0
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"sled.{ending}", "still.png"]


def test_slow_film_shows_more_moments(tmp_path: FilePath) -> None:
    """At a fifth of the speed a film is five times as long, and no moment stands still."""
    recording = run(load(SCENES / "sled_let_slide.toml"), sample=0.01, duration=0.3)
    reel = Reel(recording.scene, recording.snapshots)
    out = tmp_path / "slow.gif"
    count = film.film(reel, out, size=(320, 180), speed=0.2)
    assert count == pytest.approx(0.3 * 20 / 0.2 + 1, abs=1.01)
    shots = frames(out)
    assert len(shots) == count
    later = shots[len(shots) // 3 :]
    assert all((one != other).any() for one, other in pairwise(later))


def test_a_film_that_fails_leaves_nothing(tmp_path: FilePath) -> None:
    """Stopped half-way, a film leaves the file of before as it was, and no draft."""
    out = tmp_path / "sled.gif"
    out.write_bytes(b"before")
    reel = reel_of("sled_let_slide")

    def stop(share: float) -> None:
        if share > 0.4:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film.film(reel, out, size=(320, 180), progress=stop)
    assert out.read_bytes() == b"before"
    assert list(tmp_path.iterdir()) == [out]
    with pytest.raises(OSError, match="nowhere"):
        film.film(reel, tmp_path / "nowhere" / "a.gif", size=(320, 180))
    with pytest.raises(ValueError, match=r"\.mp4 or \.gif|\.gif or \.mp4"):
        film.film(reel, tmp_path / "a.webm")


class _Long:
    """Many moments of the same sheet."""

    def __init__(self, count: int) -> None:
        reel = reel_of("sled_let_slide")
        shot = recorded("sled_let_slide").snapshots[-1]
        self.snapshots = [replace(shot, time=i / 20) for i in range(count)]
        self.samples, self.drawn = reel.samples, reel.frame(shot)

    def frame(self, _now: Snapshot) -> Drawing:
        return self.drawn


@pytest.mark.skipif(sys.platform != "linux", reason="memory is measured as Linux tells it")
def test_a_film_holds_few_frames(tmp_path: FilePath) -> None:
    """However long a film, the program holds no more than a few of its frames: with 20 more of
    them its largest size grows by less than ten."""

    def largest() -> int:
        status = FilePath("/proc/self/status").read_text()
        return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) * 1024

    FilePath("/proc/self/clear_refs").write_text("5")  # from now on
    size = 800, 450
    film.film(_Long(5), tmp_path / "a.gif", size=size)
    before = largest()
    assert film.film(_Long(25), tmp_path / "a.gif", size=size) == 25
    assert largest() - before < 10 * math.prod(size) * 3


def test_a_large_picture_is_painted_in_bands(monkeypatch: pytest.MonkeyPatch) -> None:
    """Painted in bands, a picture is the same to the last pixel, and no surface finer than the
    picture is larger than a band."""
    import pygame

    from sandbox.painting import raster

    drawing = reel_of("four_part_tackle").frame(recorded("four_part_tackle").snapshots[-1])
    size = (640, 360)
    whole = raster.pixels(raster.still(drawing, PAPERS["white"], size))
    monkeypatch.setattr(raster, "BAND", 300_001)
    made, surface = [], pygame.Surface

    def noted(wanted: tuple[int, int], *more: int) -> pygame.Surface:
        made.append(wanted)
        return surface(wanted, *more)

    monkeypatch.setattr(raster.pygame, "Surface", noted)
    banded = raster.pixels(raster.still(drawing, PAPERS["white"], size))
    assert (banded == whole).all()
    assert size in made and len(made) == 2
    assert all(width * height <= raster.BAND for width, height in made)


def test_progress_is_told(tmp_path: FilePath) -> None:
    """Progress rises to 1."""
    told: list[float] = []
    reel = reel_of("sled_let_slide")
    film.film(reel, tmp_path / "a.gif", size=(320, 180), speed=4.0, progress=told.append)
    assert told == sorted(told) and told[-1] == 1.0 and len(told) > 2


# The sheet in motion.

REELS = ["four_part_tackle", "tackle_up_a_ramp", "lever_first_class", "off_centre_pivot"]


def scale_bar(drawing: Drawing) -> str:
    return next(t.text for t in drawing.texts if t.text.startswith("scale "))


@pytest.mark.parametrize("name", REELS)
@pytest.mark.parametrize("display", [Display(), Display("es", "US")], ids=["en SI", "es US"])
def test_every_frame_is_a_sound_sheet(name: str, display: Display) -> None:
    """In every frame no two texts meet and all are within the frame; scale and axes stay."""
    recording = recorded(name)
    reel = reel_of(name, display)
    first = None
    for now in recording.snapshots[::40]:
        drawing = reel.frame(now)
        for one, other in combinations(drawing.texts, 2):
            assert not one.box.meets(other.box), (now.time, one.text, other.text)
        inner = drawing.box.grown(-layout.MARGIN)
        for text in (t for t in drawing.texts if t.key != zones.KEY):
            assert inner.holds(text.box), (now.time, text.text)
        block = [t for t in drawing.texts if t.at.y < layout.MARGIN + layout.BLOCK]
        first = first or block
        assert [t.text for t in block] == [t.text for t in first]


@pytest.mark.parametrize("name", REELS)
def test_labels_stay_with_what_they_name(name: str) -> None:
    """From frame to frame hardly any label jumps: of all, one in thirty at most moves by more
    than 12 mm in a tenth of a second."""
    recording, reel = recorded(name), reel_of(name)
    jumps = total = 0
    before: dict[str, Vector] = {}
    for now in recording.snapshots[::5]:
        keyed = {t.key: t.at for t in reel.frame(now).texts if t.key}
        shared = keyed.keys() & before.keys()
        total += len(shared)
        jumps += sum((keyed[k] - before[k]).norm > 12.0 for k in shared)
        before = keyed
    assert total > 100
    assert jumps <= total / 30


def test_the_charts_have_room_where_the_machine_leaves_it() -> None:
    """Beside a tall machine the charts stand in a column, below a long one in a row; the machine
    keeps the larger part."""
    tall, long = reel_of("four_part_tackle"), reel_of("sled_drawn_up")
    assert tall.charted.height > tall.charted.width
    assert long.charted.width > long.charted.height
    for reel in (tall, long):
        assert reel.field.width * reel.field.height > reel.charted.width * reel.charted.height


def test_drawing_frames_needs_no_screen() -> None:
    """Making the frames of a film as drawings does not load pygame."""
    program = "import sys, sandbox.painting.film; sys.exit('pygame' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0


def test_boxes_cut_by_lines() -> None:
    """A line cuts a box where some point of it lies within, end points on the rim not counted."""
    box = Box(0.0, 0.0, 4.0, 2.0)
    assert box.cut_by(Vector(-1, 1), Vector(5, 1)) and box.cut_by(Vector(1, 1), Vector(2, 1))
    assert box.cut_by(Vector(3, -1), Vector(5, 1.5))
    assert not box.cut_by(Vector(-1, 2.5), Vector(5, 2.1))
    assert not box.cut_by(Vector(3.5, -1), Vector(6, 1.5))
    assert not box.cut_by(Vector(4, 0), Vector(4, 2))


def test_items_of_a_frame_are_shapes() -> None:
    """A frame has the machine, the charts' areas and bars, and the title block."""
    drawing = reel_of("four_part_tackle").frame(recorded("four_part_tackle").snapshots[-1])
    fills = {i.fill for i in drawing.items if isinstance(i, Path)}
    assert {"metal", "mass", "effort area", "weight area", "potential", "heat"} <= fills
    assert any(isinstance(i, Text) and i.style == "title" for i in drawing.items)
