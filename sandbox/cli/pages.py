"""The take-home page: one student's bench in one file of HTML, and a class set of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from os import SEEK_END
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sandbox.cli.common import (
    AttemptOption,
    LanguageOption,
    PaperOption,
    SceneArgument,
    SetOption,
    UnitsOption,
    changes_of,
    class_file,
    dealt_to_another,
    paper_named,
    progressing,
    reader,
    refuse,
    refusing_records,
    remark,
    write,
    writing,
)
from sandbox.facts import Fact, Kind, label, stated

if TYPE_CHECKING:
    from sandbox.lab.class_work.deal import Bench, Dealt
    from sandbox.page.grid import Grid, Layout, Run, RunAll
    from sandbox.scene import Scene

    PageOf = Callable[..., str]
    """Of a bench, what is recorded of it and a student, the page; `feedback` as `page_of` has."""

_RECORDED_TOLD = label("{file}: {size} kB. Any browser opens it.")
_PACKAGE_TOLD = label("{file}: {size} kB, a SCORM 1.2 package with one page.")
_LIVE_TOLD = label("{file}: {size} kB. A browser of the last two years opens it.")
_SEAL_TOLD = label(
    "The hidden values are out of sight, not locked up: whoever can program a little reads them "
    "out of the file. Use it to teach, not to examine."
)
_RECORDING = label("recording {scene}")
_RECORDING_MANY = Kind("recording", "recording {count} bench", "recording {count} benches")
VaryOption = Annotated[
    list[str] | None,
    typer.Option(
        "--vary",
        metavar="KEY=LOW..HIGH",
        help="What the student may vary, as 'ballast.mass=0.6 kg..1.4 kg'; twice for two. By "
        "default the load's mass and one place or angle; 'none' for nothing.",
    ),
]
RosterOption = Annotated[
    str | None,
    typer.Option("--roster", metavar="FILE.csv", help="A table (CSV) with a column 'student'."),
]
SeedOption = Annotated[
    int | None, typer.Option("--seed", metavar="N", help="The same seed gives the same deal.")
]
DealOption = Annotated[
    list[str] | None,
    typer.Option(
        "--deal",
        metavar="KEY=LOW..HIGH",
        help="Give each student a hidden value of their own, as sandbox deal --vary does.",
    ),
]
GiveOption = Annotated[
    list[str] | None,
    typer.Option(
        "--give", metavar="KEY=LOW..HIGH", help="The same, but plain to see, as sandbox deal does."
    ),
]
LiveOption = Annotated[
    bool,
    typer.Option(
        "--live",
        help="On the live sheet, as sandbox open shows it: the student sets anything to any value. "
        "About 10 MB a file, recordings for a browser that cannot run it among them. What it "
        "runs on is fetched from the internet once, and kept.",
    ),
]
FeedbackOption = Annotated[
    bool,
    typer.Option(
        "--feedback/--no-feedback",
        help="Seal the answers in the page: the bench's own values, what gives which wrong number, "
        "the answer line by line. They are shown when the student has finished.",
    ),
]


PackageOption = Annotated[
    str | None,
    typer.Option(
        "--package",
        metavar="scorm",
        help="A package for a learning platform, by the standard ADL SCORM 1.2: one for a class.",
    ),
]
MasteryOption = Annotated[
    int | None,
    typer.Option(
        "--mastery",
        metavar="POINTS",
        help="With --package: from how many of its 100 points on the platform says passed, and "
        "below it failed. The points are for doing, not for being right.",
    ),
]


def add(app: typer.Typer) -> None:
    """Add these commands."""
    for command in (page, pages):
        app.command()(command)


def page(
    scene: Annotated[
        str | None,
        typer.Argument(
            metavar="SCENE",
            help="A scene file, or the name of a shipped scene.",
            show_default=False,
        ),
    ] = None,
    *,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="The .html, or package (.zip), to write.")
    ],
    student: Annotated[
        str | None,
        typer.Option("--student", metavar="ROW", help="A student's label, or row of the roster."),
    ] = None,
    roster: RosterOption = None,
    seed: SeedOption = None,
    deal: DealOption = None,
    give: GiveOption = None,
    vary: VaryOption = None,
    attempt: AttemptOption = None,
    changes: SetOption = None,
    live: LiveOption = False,
    feedback: FeedbackOption = True,
    alone: Annotated[
        bool,
        typer.Option("--alone", help="With --live: the sheet without a student's work beside it."),
    ] = False,
    every: Annotated[
        bool, typer.Option("--all", help="The same with every shipped scene in one page.")
    ] = False,
    package: PackageOption = None,
    mastery: MasteryOption = None,
    paper: PaperOption = "dark",
    language: LanguageOption = None,
    units: UnitsOption = "SI",
) -> None:
    """Write one student's bench as a page that any browser opens, without network or server.

    The scene may be a file that sandbox deal wrote for a student. Hidden values are not in plain
    sight in the page; it is no security for an examination.
    """
    from sandbox.lab.class_work.deal import attempt_of, open_file
    from sandbox.shipped import find_scene

    with refusing_records():
        _check_form(out, package, mastery)
        if package and (alone or every):
            refuse("--package with a sheet alone; allowed: it with a student's bench")
        if (alone or every) and not live:
            option = "--all" if every else "--alone"
            refuse(
                stated(
                    "{option} without --live; allowed: one SCENE, or --live {option}", option=option
                )
            )
        if alone or every:
            beside = {
                "--student": student, "--roster": roster, "--seed": seed, "--deal": deal,
                "--give": give, "--vary": vary, "--set": changes, "--attempt": attempt,
            }  # fmt: skip
            if given := [name for name, value in beside.items() if value is not None]:
                refuse(
                    stated(
                        "{given} with a sheet alone; allowed: it with a student's bench",
                        given=given[0],
                    )
                )
            _write_live_page(scene, every, out, paper, language, units)
            return
        if scene is None:
            refuse("no SCENE; allowed: a scene file, or the name of a shipped scene")
        label = student
        if roster is not None or deal or give:
            if changes:
                refuse("--set with a deal; allowed: either of them")
            students = _students(roster)
            label = _row(student, students)
            bench, hand = _benches(scene, [label], seed, deal, give, attempt)[0]
            for note in hand.notes if hand else ():
                remark(note)
        else:
            bench = open_file(find_scene(scene), changes_of(changes))
            if attempt is not None:
                bench = attempt_of(bench, attempt)
            if bench.student and student not in (None, bench.student):
                refuse(dealt_to_another(bench.student, student))
        page_of = _on_live_sheets([bench], paper, language, units) if live else _recorded(language)
        page_of = partial(page_of, feedback=feedback)
        with (
            progressing(stated(_RECORDING, scene=bench.scene.name)) as progress,
            _on_every_core() as run_all,
        ):
            text = page_of(bench, _grid(bench, vary, run_all, progress), label)
        text += _made_of(bench, label, vary, live and (paper, language, units), feedback)
        content: str | bytes = text
        if package:
            from sandbox.language.words import chosen
            from sandbox.page.package import package_of

            title = bench.scene.about.title_in(chosen(language) if language else "en")
            content = package_of(text, title, mastery)
        write(out, content)
    told, size = _RECORDED_TOLD, len(text.encode())
    if package:
        told, size = _PACKAGE_TOLD, len(content)
    elif live:
        told = _LIVE_TOLD
    _tell_size(told, out, size)
    if bench.hidden:
        print(reader().say(_SEAL_TOLD))


def _check_form(out: Path, package: str | None, mastery: int | None) -> None:
    """Refuse a form, a name that does not end as it does, or points that there are not."""
    from sandbox.page.package import MOST_POINTS

    if package not in (None, "scorm"):
        refuse(stated("--package {form}; allowed: --package scorm", form=package))
    if mastery is not None and not (package and 0 <= mastery <= MOST_POINTS):
        refuse(
            stated(
                "--mastery {points}; allowed: 0 to {most}, with --package scorm",
                points=mastery,
                most=MOST_POINTS,
            )
        )
    endings = (".zip",) if package else (".html", ".htm")
    if out.suffix.lower() not in endings:
        refuse(
            stated(
                "--out {out}: allowed: a name that ends in {ending}.", out=out, ending=endings[0]
            )
        )


def _tell_size(text: str, out: Path, size: int) -> None:
    display = reader()
    print(display.say(text, file=out, size=display.number(round(size / 1000), 6)))


def _write_live_page(
    scene: str | None, every: bool, out: Path, paper: str, language: str | None, units: str
) -> None:
    from sandbox.language.display import Display
    from sandbox.live import runtime
    from sandbox.live.page import live_page_of
    from sandbox.shipped import find_scene, shipped_scenes

    if every == (scene is not None):
        refuse("a sheet alone takes one SCENE, or --all for every shipped scene")
    shade, display = paper_named(paper), Display.chosen(language, units)
    paths = shipped_scenes() if scene is None else [find_scene(scene)]

    try:
        found = runtime.obtain(progress=remark)
        with progressing(stated("making the page")) as progress:
            text = live_page_of(paths, found, display, dark=shade == "dark", progress=progress)
    except runtime.RuntimeMissingError as error:
        refuse(error.fact)
    write(out, text)
    _tell_size(_LIVE_TOLD, out, len(text.encode()))


def _recorded(language: str | None) -> PageOf:
    """Makes the page of a bench: in that language, or else in that of its reader's browser."""
    from sandbox.language.words import chosen
    from sandbox.page import page_of

    return partial(page_of, language=chosen(language) if language else None)


def _on_live_sheets(
    benches: Sequence[Bench], paper: str, language: str | None, units: str
) -> PageOf:
    """What makes pages with the live sheet of some benches, all of which carry the same."""
    from sandbox.language.display import Display
    from sandbox.live import runtime
    from sandbox.live.bench_page import bench_page_of, bundle_for

    shade, display = paper_named(paper), Display.chosen(language, units)
    try:
        found = runtime.obtain(progress=remark)
        bundle = bundle_for(benches, found)
    except runtime.RuntimeMissingError as error:
        refuse(error.fact)
    return partial(bench_page_of, bundle=bundle, display=display, dark=shade == "dark")


def pages(
    scene: SceneArgument,
    roster: Annotated[
        str,
        typer.Option("--roster", metavar="FILE.csv", help="A table (CSV) with a column 'student'."),
    ],
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="The folder to write to.")],
    seed: SeedOption = None,
    deal: DealOption = None,
    give: GiveOption = None,
    vary: VaryOption = None,
    attempt: AttemptOption = None,
    live: LiveOption = False,
    feedback: FeedbackOption = True,
    paper: PaperOption = "dark",
    language: LanguageOption = None,
    units: UnitsOption = "SI",
    again: Annotated[
        bool,
        typer.Option("--again", help="Make every page anew, those too that are there already."),
    ] = False,
) -> None:
    """Write a page for every student of a roster, and where values are dealt the teacher's key.

    A page that is there, of the same deal and made in the same way, stays as it is. With --live
    each is about 10 MB, 300 MB for a class of 30: every file carries all it runs on.
    """
    from sandbox.lab.class_work.deal import KEY_FILE, file_stems, key_rows, refuse_another
    from sandbox.lab.tables import table_text
    from sandbox.scene import load
    from sandbox.shipped import find_scene

    with refusing_records():
        students = _students(roster)
        benches = _benches(scene, students, seed, deal, give, attempt)
        names = [f"{stem}.html" for stem in file_stems(students)]
        hands = [hand for _, hand in benches if hand is not None]
        key = table_text(key_rows(load(find_scene(scene)), hands)) if hands else ""
        how = vary, live and (paper, language, units), feedback
        marks = [
            _made_of(bench, student, *how)
            for (bench, _), student in zip(benches, students, strict=True)
        ]
        wanted = [
            number
            for number, name in enumerate(names)
            if again or not _is_made(out / name, marks[number])
        ]
        missing = [benches[number] for number in wanted]
        whose = [students[number] for number in wanted]
        different = list({bench.text: bench for bench, _ in missing}.values())
        live_pages = live and bool(missing)
        page_of = _recorded(language)
        if live_pages:
            page_of = _on_live_sheets(different, paper, language, units)
        page_of = partial(page_of, feedback=feedback)
        with writing(out):
            refuse_another(out, hands, key)
            out.mkdir(parents=True, exist_ok=True)
            with progressing(_RECORDING_MANY(count=len(wanted))) as progress:
                for place, grid in _every(missing, whose, vary, progress):
                    text = page_of(missing[place][0], grid, whose[place])
                    write(out / names[wanted[place]], text + marks[wanted[place]])
            if hands:
                write(out / KEY_FILE, key)
    display, kept = reader(), len(students) - len(wanted)
    print(
        display.say_count(
            len(wanted),
            "Written to {folder}: {count} page.",
            "Written to {folder}: {count} pages.",
            folder=out,
        )
    )
    if kept:
        print(
            display.say_count(
                kept,
                "{count} page was there already; --again makes all anew.",
                "{count} pages were there already; --again makes all anew.",
            )
        )
    if hands:
        print(display.say("Keep the key, {key}.", key=out / KEY_FILE))
    if any(bench.hidden for bench, _ in benches):
        print(display.say(_SEAL_TOLD))


# Shared.


def _made_of(bench: Bench, *how: object) -> str:
    """A last line that says of what, how and by which version a page was made."""
    from sandbox import __version__
    from sandbox.lab.class_work.record import digest

    made_of = digest(repr((__version__, bench.text, *how)))
    return f"<!-- Made of {made_of}. -->\n"


def _is_made(path: Path, mark: str) -> bool:
    """Whether a page is there that ends so."""
    try:
        with path.open("rb") as file:
            file.seek(-len(mark), SEEK_END)
            return file.read() == mark.encode()
    except OSError:
        return False


def _students(roster: str | None) -> list[str]:
    from sandbox.lab.class_work.deal import read_roster

    if roster is None:
        refuse("--deal and --give without --roster; allowed: both, and --seed")
    return read_roster(class_file(roster))


def _row(student: str | None, students: Sequence[str]) -> str:
    """The student that ROW names: a label, or a row's number from 1."""
    from sandbox.scene import SceneError, nearest

    if student in students:
        return str(student)
    if student and student.isdecimal() and 1 <= int(student) <= len(students):
        return students[int(student) - 1]
    raise SceneError(
        "--student",
        student,
        stated("a label of the roster, or a row from 1 to {most}", most=len(students)),
        nearest=nearest(student or "", students),
    )


def _benches(
    scene: str,
    students: Sequence[str],
    seed: int | None,
    deal: Sequence[str] | None,
    give: Sequence[str] | None,
    attempt: int | None,
) -> list[tuple[Bench, Dealt | None]]:
    """Each student's bench of an attempt, and what they were dealt, if anything."""
    from sandbox.lab.class_work import deal as lab
    from sandbox.shipped import find_scene

    path = find_scene(scene)
    if not deal and not give:
        bench = lab.open_file(path)
        if bench.dealt and list(students) != [bench.student]:
            refuse(
                stated(
                    "this bench was dealt to {student}; allowed: one that was not dealt",
                    student=bench.student,
                )
            )
        if attempt is not None:
            bench = lab.attempt_of(bench, attempt)
        return [(bench, None)] * len(students)
    if seed is None:
        refuse("--deal without --seed; allowed: a whole number, which gives the same deal again")
    hands = lab.deal(path, students, seed, deal or (), give or ())
    if attempt is not None:
        hands = [lab.dealt_again(hand, path.stem, attempt) for hand in hands]
    return [(lab.open_text(hand.text, path.stem), hand) for hand in hands]


def _ranges(vary: Sequence[str] | None) -> list[str] | None:
    if vary is None:
        return None
    return [] if list(vary) == ["none"] else list(vary)


def _grid(
    bench: Bench,
    vary: Sequence[str] | None,
    run_all: RunAll,
    progress: Callable[[float], None] | None = None,
) -> Grid:
    from sandbox.page import grid_for

    return grid_for(bench, _ranges(vary), run_all, progress)


@contextmanager
def _on_every_core() -> Iterator[RunAll]:
    """What runs several scenes at once."""
    from sandbox.page.grid import take
    from sandbox.processes import Pool

    with Pool(8, method=None) as workers:

        def run_all(scenes: Sequence[Scene], plan: Layout) -> list[Run]:
            return list(workers.map(partial(take, plan=plan), scenes))

        yield run_all


def _every(
    benches: Sequence[tuple[Bench, Dealt | None]],
    students: Sequence[str],
    vary: Sequence[str] | None,
    progress: Callable[[float], None],
) -> Iterator[tuple[int, Grid]]:
    """What is recorded for every student, with the student's number, as it comes to be done;
    benches that are alike are recorded once."""
    from sandbox.processes import Pool

    texts = {bench.text for bench, _ in benches}
    if not texts:
        return
    if len(texts) == 1:
        with _on_every_core() as run_all:
            grid = _grid(benches[0][0], vary, run_all, progress)
        yield from ((number, grid) for number in range(len(students)))
        return
    jobs = [(bench.text, bench.scene.name, vary) for bench, _ in benches]
    with Pool(len(benches), method=None) as workers:
        for done, (number, future) in enumerate(workers.as_done(_alone, jobs), 1):
            found = future.result()
            if isinstance(found, Fact):
                refuse(stated("{student}: {found}", student=students[number], found=found))
            yield number, found
            progress(done / len(jobs))


def _alone(job: tuple[str, str, Sequence[str] | None]) -> Grid | Fact:
    """What is recorded for one student by one process, or why nothing is."""
    from sandbox.lab.class_work.deal import open_text
    from sandbox.page.grid import one_by_one
    from sandbox.scene import SceneError, Unanswerable

    text, name, vary = job
    try:
        return _grid(open_text(text, name), vary, one_by_one)
    except (SceneError, Unanswerable) as error:
        return error.fact
