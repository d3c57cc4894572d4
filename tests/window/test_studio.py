"""The window's studio: pictures and films in files of their own, whole or not at all."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import pytest

from sandbox.drawing.strokes import Drawing, Text
from sandbox.language.display import Display
from sandbox.scene import Vector, load
from sandbox.sheet.filing import Filed, Shot
from sandbox.shipped import find_scene
from sandbox.window.studio import WindowStudio, folder_of

SIZE = (640, 400)


@pytest.fixture
def studio():
    made = WindowStudio(lambda: SIZE)
    yield made
    made.close()


def shot_of(path: Path) -> Shot:
    return Shot(path.stem, path, load(path), Display(), dark=True)


def wait(studio: WindowStudio, seconds: float = 120.0) -> tuple[Filed, list[float]]:
    """What comes of what was begun, and the shares that it told before."""
    shares, end = [], time.monotonic() + seconds
    while time.monotonic() < end:
        found = studio.filed()
        if found is not None and found.over:
            return found, shares
        if found is not None:
            shares.append(found.share)
        time.sleep(0.02)
    raise AssertionError("it took too long")


def bench(folder: Path) -> Path:
    """A scene of a fifth of a second in a folder."""
    text = find_scene("fixed_sheave").read_text()
    path = folder / "whip.toml"
    path.write_text(text.replace('mode = "raising"', 'mode = "raising"\nduration = "0.2 s"'))
    return path


def test_picture_and_film_stand_beside_the_scene(studio, tmp_path):
    """A picture is a PNG of the window's size and an SVG of the same, beside the scene and under
    names not yet taken; a film is one file, and tells how far it is. Nothing else is left."""
    path = bench(tmp_path)
    drawing = Drawing(288.0, 180.0, (Text(Vector(10.0, 10.0), "the bench", "text"),))
    (tmp_path / "whip.svg").write_text("a drawing of the teacher's own")
    studio.picture(drawing, shot_of(path))
    found, _ = wait(studio)
    assert [Path(name).name for name in found.paths] == ["whip-2.png", "whip-2.svg"]
    png = (tmp_path / "whip-2.png").read_bytes()
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert (int.from_bytes(png[16:20]), int.from_bytes(png[20:24])) == SIZE
    assert "the bench" in (tmp_path / "whip-2.svg").read_text()
    studio.film(shot_of(path))
    found, shares = wait(studio)
    (film,) = found.paths
    assert Path(film).parent == tmp_path and Path(film).suffix in (".mp4", ".gif")
    assert Path(film).stat().st_size > 1000
    assert shares == sorted(shares) and shares
    names = {"whip.toml", "whip.svg", "whip-2.png", "whip-2.svg", Path(film).name}
    assert {p.name for p in tmp_path.iterdir()} == names


def test_a_folder_that_is_gone_is_said(studio, tmp_path):
    """A scene whose folder was removed meanwhile: the reason is given, and the next one works."""
    folder = tmp_path / "gone"
    folder.mkdir()
    shot = shot_of(bench(folder))
    shutil.rmtree(folder)
    studio.picture(Drawing(288.0, 180.0, ()), shot)
    found, _ = wait(studio)
    assert found.why == "No such file or directory" and not found.paths
    studio.picture(Drawing(288.0, 180.0, ()), shot_of(bench(tmp_path)))
    found, _ = wait(studio)
    assert len(found.paths) == 2


def test_scenes_that_came_along_are_left_alone(tmp_path, monkeypatch):
    """What is made of a shipped scene goes where the program was started."""
    monkeypatch.chdir(tmp_path)
    assert folder_of(shot_of(find_scene("fixed_sheave"))) == tmp_path
