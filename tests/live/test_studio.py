"""What the page is told of pictures and films, without a browser."""

from __future__ import annotations

from sandbox import engine
from sandbox.drawing.reel import Reel
from sandbox.drawing.strokes import Drawing, Text
from sandbox.language.display import Display
from sandbox.live.inside.studio import NONE, PageStudio
from sandbox.painting import PAPERS, svg
from sandbox.scene import Vector, load
from sandbox.sheet.filing import Filed, Shot
from tests.places import ROOT

SHORT = ROOT / "scenes" / "sled_let_slide.toml"
"""Runs for less than a second."""


def shot() -> Shot:
    return Shot("sled", SHORT, load(SHORT), Display("es"), dark=False)


def test_a_picture_is_told_as_strokes_and_as_svg() -> None:
    """A picture goes to the page once: its texts and numbers, and the SVG that the window writes.
    What the page says of it is what has come of it."""
    studio = PageStudio(films=False)
    drawing = Drawing(288.0, 180.0, (Text(Vector(10.0, 10.0), "the bench", "text"),))
    studio.picture(drawing, shot())
    words, numbers = studio.drawn()
    assert studio.drawn() is NONE and studio.filed() is None
    assert (words["kind"], words["name"], words["dark"]) == ("picture", "sled", False)
    assert words["texts"] == ["the bench"] and len(numbers) == 6
    text = words["svg"]
    assert isinstance(text, str) and "the bench" in text
    assert svg(drawing, PAPERS["white"]).splitlines()[-2] in text
    studio.take(["sled.png"], "")
    assert studio.filed() == Filed(1.0, ("sled.png",))
    assert studio.filed() is None


def test_a_film_is_the_one_that_the_window_films() -> None:
    """A film goes to the page drawing by drawing, 30 to a second of the run, each the one that a
    film by the command has; meanwhile it says how much is done."""
    studio, found, shares = PageStudio(films=True), [], []
    studio.film(shot())
    while not found or found[-1][0]["at"] < found[-1][0]["of"]:
        if (drawn := studio.drawn()) is not NONE:
            found.append(drawn)
        if (filed := studio.filed()) is not None:
            shares.append(filed.share)
    assert studio.drawn() is NONE
    run = engine.run(load(SHORT)).snapshots
    length = run[-1].time
    assert abs(len(found) - 30.0 * length) <= 2.0
    assert [words["at"] for words, _ in found] == list(range(1, len(found) + 1))
    assert shares == sorted(shares) and shares[0] > 0.0 and shares[-1] <= 1.0
    first = Reel(load(SHORT), run, display=Display("es")).frame(run[0])
    assert set(found[0][0]["texts"]) >= {item.text for item in first.texts if item.text.isascii()}
    studio.film(shot())
    studio.close()
    assert studio.drawn() is NONE


def test_a_browser_that_makes_no_films_is_said() -> None:
    """Where the browser codes no video the sheet says so in its language, at once."""
    studio = PageStudio(films=False)
    studio.film(shot())
    assert studio.filed() == Filed(why="este navegador no hace películas")
    assert studio.drawn() is NONE
