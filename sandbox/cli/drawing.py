"""The drawing: the window on a scene, and pictures and films of it without a window."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sandbox.cli.common import (
    RUNNING,
    LanguageOption,
    PaperOption,
    SceneArgument,
    SetOption,
    UnitsOption,
    load_scene,
    paper_named,
    progressing,
    refuse,
    refusing,
    writing,
)
from sandbox.facts import Numeral, stated

if TYPE_CHECKING:
    from collections.abc import Callable

    from sandbox.engine import Recording, Snapshot
    from sandbox.language.display import Display
    from sandbox.scene import Scene

SMALLEST, LARGEST = (320, 200), (7680, 4320)
SLOWEST, FASTEST = 0.01, 100.0


def add(app: typer.Typer) -> None:
    """Add these commands."""
    app.command("open")(open_window)
    for command in (picture, film):
        app.command()(command)


def open_window(
    scene: Annotated[
        str | None,
        typer.Argument(
            metavar="SCENE",
            help="A scene file, or the name of a shipped scene; the first if none.",
        ),
    ] = None,
    beside: Annotated[
        str | None,
        typer.Option(metavar="SCENE", help="Another scene, to run beside it by the same clock."),
    ] = None,
    new: Annotated[
        bool, typer.Option("--new", help="Open an empty sheet, to put a machine together.")
    ] = False,
    paper: PaperOption = "dark",
    language: LanguageOption = None,
    units: UnitsOption = "SI",
) -> None:
    """Open the live sheet: watch a machine run, change it, pull at it. F1 shows all it can do."""
    from sandbox.language.display import Display
    from sandbox.shipped import find_scene, shipped_scenes

    with refusing():
        shade, display = paper_named(paper), Display.chosen(language, units)
        path = find_scene(scene) if scene else shipped_scenes()[0]
        from sandbox.editing.unsaved import Rescue, usual_folder
        from sandbox.sheet.scene_list import scenes_about
        from sandbox.window.hints_done import hints_of, usual_file
        from sandbox.window.window import NoDisplay, Window

        paths = scenes_about(path)
        other = find_scene(beside) if beside else None
        if other is not None and other not in paths:
            paths.append(other)
        try:
            rescue = Rescue(usual_folder())
            at = paths.index(path)
            window = Window(
                paths,
                at,
                display=display,
                dark=shade == "dark",
                rescue=rescue,
                hints=hints_of(usual_file()),
                beside=paths.index(other) if other is not None else None,
                new=new,
            )
        except NoDisplay:
            refuse(
                "there is no display to open a window on; 'sandbox picture SCENE --out FILE' and "
                "'sandbox film SCENE --out FILE' draw without one."
            )
        window.run()


def picture(
    scene: SceneArgument,
    out: Annotated[Path, typer.Option(metavar="FILE", help="What to write: a .png or .svg file.")],
    at: Annotated[
        str | None,
        typer.Option(metavar="TIME", help="The moment, as '2 s'; the end of the run by default."),
    ] = None,
    paper: PaperOption = "white",
    size: Annotated[
        str, typer.Option(metavar="WxH", help="In pixels; of an SVG, its proportions.")
    ] = "1920x1080",
    body: Annotated[
        str | None,
        typer.Option(
            metavar="PART",
            help="Draw one part alone instead, freed of what holds it, with all forces on it.",
        ),
    ] = None,
    language: LanguageOption = None,
    units: UnitsOption = "SI",
    changes: SetOption = None,
) -> None:
    """Draw a scene at one moment of its run, with its charts, as a PNG or an SVG."""
    from sandbox import painting
    from sandbox.language.display import Display

    with refusing():
        machine = load_scene(scene, changes)
        display = Display.chosen(language, units)
        shade, pixels = paper_named(paper), _size(size)
        _can_write(out, painting.ENDINGS)
        freed = _freed(machine, body)
        with progressing(stated(RUNNING, scene=machine.name)) as progress:
            recording, note = _run(machine, display, progress)
        moment = _moment(recording, at)
        if freed:
            from sandbox.drawing.free_body import free_body_sheet

            scene_run, moment = recording.scene, _with_free_bodies(recording.scene, moment)
            proportion = pixels[0] / pixels[1]
            drawn = free_body_sheet(scene_run, moment, freed, proportion, note, display)
            with writing(out):
                painting.write_drawing(
                    drawn, out, scene_run, paper=shade, size=pixels, display=display
                )
            print(out)
            return
        with writing(out):
            painting.picture(
                recording.scene,
                [moment],
                out,
                titles=[""],
                paper=shade,
                size=pixels,
                note=note,
                display=display,
                history=recording.snapshots,
            )
    print(out)


def film(
    scene: SceneArgument,
    out: Annotated[Path, typer.Option(metavar="FILE", help="What to write: a .gif or .mp4 file.")],
    speed: Annotated[
        float, typer.Option(metavar="X", help="How fast; 0.1 is ten times slower than in life.")
    ] = 1.0,
    width: Annotated[
        int, typer.Option(metavar="PIXELS", help="The width; the height is 9/16 of it.")
    ] = 1280,
    paper: PaperOption = "white",
    language: LanguageOption = None,
    units: UnitsOption = "SI",
    changes: SetOption = None,
) -> None:
    """Film a scene's whole run, with its charts, as a GIF or an MP4."""
    from sandbox import engine
    from sandbox.drawing.reel import PROPORTION, Reel
    from sandbox.engine import SAMPLE
    from sandbox.language.display import Display
    from sandbox.painting import film as filming
    from sandbox.scene import SceneError

    with refusing():
        machine = load_scene(scene, changes)
        display, shade = Display.chosen(language, units), paper_named(paper)
        if not SLOWEST <= speed <= FASTEST:  # not a number is refused too
            raise SceneError(
                "--speed",
                speed,
                stated("from {low} to {high}", low=f"{SLOWEST:g}", high=f"{FASTEST:g}"),
            )
        if not SMALLEST[0] <= width <= LARGEST[0]:
            raise SceneError(
                "--width",
                width,
                stated("from {low} to {high} pixels", low=SMALLEST[0], high=LARGEST[0]),
            )
        _can_write(out, tuple(filming.FRAME_RATES))
        filming.encoder()
        with progressing(stated(RUNNING, scene=machine.name)) as progress:
            recording, note = _run(machine, display, progress)
            apart = filming.apart(out, speed)
            if apart < SAMPLE:
                # Slow motion shows more moments than a run usually keeps.
                recording = engine.run(
                    machine, sample=max(apart, recording.step), progress=progress
                )
        reel = Reel(recording.scene, recording.snapshots, PROPORTION, note, display)
        size = filming.frame_size(width)
        with writing(out), progressing(stated("filming {scene}", scene=machine.name)) as progress:
            filming.film(reel, out, paper=shade, size=size, speed=speed, progress=progress)
    print(out)


def _run(
    machine: Scene, display: Display, progress: Callable[[float], None]
) -> tuple[Recording, str]:
    """A run of the scene, and how well theory agrees, where it has an answer."""
    from sandbox import engine
    from sandbox.check import check
    from sandbox.drawing.layout import agreement
    from sandbox.scene import Unanswerable

    try:
        report = check(machine, progress=progress)
    except Unanswerable:
        return engine.run(machine, progress=progress), ""
    return report.recording, agreement(report, display)


def _freed(machine: Scene, part: str | None) -> str:
    """The part whose free-body drawing shows a part of the command line; "" where none is asked
    for. Raises SceneError."""
    from sandbox.drawing.free_body import drawn_with, names
    from sandbox.scene import SceneError

    if part is None:
        return ""
    found = drawn_with(machine, part)
    if not found:
        raise SceneError(
            "--body",
            part,
            stated("a part that moves or is held: {names}", names=", ".join(names(machine))),
        )
    return found


def _with_free_bodies(machine: Scene, moment: Snapshot) -> Snapshot:
    """The same moment of a run, with all that is exerted on each part. At its start a machine that
    is released shows what is exerted in its first step."""
    from sandbox.engine import SAMPLE, Live

    live = Live(machine)
    while live.now.time < moment.time - 0.5 * live.machine.dt:
        live.advance(SAMPLE)
    return live.now if live.now.free_bodies or live.machine.jammed else live.advance(0.0)


def _moment(recording: Recording, at: str | None) -> Snapshot:
    """The snapshot nearest to a time of the command line. Raises SceneError."""
    from sandbox import units
    from sandbox.scene import SceneError, wanted

    last = recording.snapshots[-1]
    if at is None:
        return last
    allowed = stated("from 0 s to {time} s, where the run ends", time=Numeral(f"{last.time:.4g}"))
    try:
        time = units.read(at, units.TIME)
    except units.UnitError as error:
        raise SceneError("--at", at, wanted(units.TIME, error)) from None
    if not 0.0 <= time <= last.time + 1e-9:
        raise SceneError("--at", at, allowed)
    return min(recording.snapshots, key=lambda snapshot: abs(snapshot.time - time))


def _size(text: str) -> tuple[int, int]:
    """A size in pixels, as "1920x1080". Raises SceneError."""
    from sandbox.scene import SceneError

    match = re.fullmatch(r"(\d{1,5})[x×](\d{1,5})", text.strip())
    width, height = map(int, match.groups()) if match else (0, 0)
    fits = SMALLEST[0] <= width <= LARGEST[0] and SMALLEST[1] <= height <= LARGEST[1]
    if not fits or not 1.0 <= width / height <= 3.0:
        allowed = stated(
            "width and height in pixels, as 1920x1080, from 320x200 to 7680x4320 and from square "
            "to three times as wide as high"
        )
        raise SceneError("--size", text, allowed)
    return width, height


def _can_write(out: Path, endings: tuple[str, ...]) -> None:
    """Raise SceneError for a file that is of no known kind or has no folder to go to."""
    from sandbox.scene import SceneError

    if out.suffix.lower() not in endings:
        raise SceneError(
            "--out", str(out), stated("a name that ends in {names}", names=", ".join(endings))
        )
    try:
        ready = out.parent.is_dir() and not out.is_dir()
    except (OSError, ValueError):  # a name too long, or with a NUL in it
        ready = False
    if not ready:
        raise SceneError("--out", str(out), "a file in a folder that is there")
