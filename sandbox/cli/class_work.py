"""A class at work: deal, predict, bench, review."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast, get_args

import typer

from sandbox.cli.common import (
    INTERRUPTED,
    RUNNING,
    AttemptOption,
    LanguageOption,
    SceneArgument,
    SetOption,
    changes_of,
    class_file,
    dealt_to_another,
    new_table,
    numeral_of,
    progressing,
    quantity_called,
    reader,
    refuse,
    refusing_records,
    remark,
    screen,
    show_table,
    value_of_option,
    write,
    writing,
)
from sandbox.facts import Kind, stated

if TYPE_CHECKING:
    from sandbox.lab.class_work.deal import Bench
    from sandbox.lab.class_work.marking import MarkingRule
    from sandbox.lab.class_work.record import Record
    from sandbox.lab.class_work.record_writer import Writer
    from sandbox.lab.class_work.virtual_bench import Look
    from sandbox.language.display import Display

_DEALING = Kind("dealing", "dealing to {count} student", "dealing to {count} students")
RecordOption = Annotated[
    Path | None,
    typer.Option(
        "--record",
        metavar="FILE",
        help="The student's record, begun or taken up again; by default the scene's name with "
        ".jsonl.",
    ),
]
StudentOption = Annotated[
    str | None,
    typer.Option("--student", metavar="LABEL", help="Whose record it is, where none was dealt."),
]


def add(app: typer.Typer) -> None:
    """Add these commands."""
    for command in (deal, predict, bench, review):
        app.command()(command)


def deal(
    scene: SceneArgument,
    roster: Annotated[
        str,
        typer.Option(
            "--roster",
            metavar="FILE.csv",
            help="A table (CSV) with a column 'student'; boat_shed.csv is a shipped one.",
        ),
    ],
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="The folder to write to.")],
    seed: Annotated[
        int, typer.Option("--seed", metavar="N", help="The same seed gives the same deal.")
    ],
    vary: Annotated[
        list[str] | None,
        typer.Option(
            "--vary",
            metavar="KEY=LOW..HIGH",
            help="Give each student a value of their own, hidden, as "
            "'upper.bearing_friction=0.05..0.35'; with + between two keys, one value for both. May "
            "be repeated.",
        ),
    ] = None,
    give: Annotated[
        list[str] | None,
        typer.Option(
            "--give",
            metavar="KEY=LOW..HIGH",
            help="The same, but plain to see in the student's file.",
        ),
    ] = None,
    language: LanguageOption = None,  # noqa: ARG001 - `reader` has heard it
) -> None:
    """Deal each student of a roster their own bench, and the teacher the key.

    Hidden values are sealed against reading in passing; it is no security for an examination.
    """
    from sandbox.lab.class_work import deal as lab
    from sandbox.scene import load
    from sandbox.shipped import find_scene

    with refusing_records():
        path = find_scene(scene)
        students = lab.read_roster(class_file(roster))
        with progressing(_DEALING(count=len(students))) as progress:
            hands = lab.deal(path, students, seed, vary or (), give or (), progress)
        with writing(out):
            written = lab.write_deal(load(path), hands, out)
    for hand in hands:
        for note in hand.notes:
            remark(note)
    display, key, first = reader(), written[-1].name, written[0].name
    print(
        display.say_count(
            len(hands),
            "{count} bench and the key, {key}, are in {folder}.",
            "{count} benches and the key, {key}, are in {folder}.",
            key=key,
            folder=out,
        )
    )
    print(
        display.say(
            "Keep {key}; give each student their own file, as {first}.", key=key, first=first
        )
    )


def predict(
    scene: SceneArgument,
    record: RecordOption = None,
    commits: Annotated[
        list[str] | None,
        typer.Option(
            "--commit",
            metavar="QUANTITY=VALUE",
            help="Commit a prediction, as 'Effort=3.8 N'; asked for one by one without this.",
        ),
    ] = None,
    reasons: Annotated[
        list[str] | None,
        typer.Option("--reason", metavar="TEXT", help="Why: one for each, or one for all."),
    ] = None,
    second: Annotated[
        bool, typer.Option("--second", help="A second prediction; the first stands.")
    ] = False,
    student: StudentOption = None,
    language: LanguageOption = None,  # noqa: ARG001 - `reader` has heard it
    changes: SetOption = None,
    attempt: AttemptOption = None,
) -> None:
    """Commit predictions before anything moves; then see them beside the run.

    On a bench that was dealt nothing is shown yet: the student's own readings come first.
    """
    from sandbox.lab.class_work import predict as lab

    with refusing_records():
        bench = _bench(scene, changes, attempt)
        display = _reader(bench)
        with _record(bench, record, student) as writer:
            if commits is None:
                _ask(writer, bench, second=second)
            else:
                for quantity, value, reason in _commits(commits, reasons):
                    name = quantity_called(bench.scene, quantity)
                    entry = lab.commit(writer, bench.scene, name, value, reason, second)
                    said = display.say(
                        "committed: {quantity} = {value}, {time}",
                        quantity=display.heading(name, unit=False),
                        value=value,
                        time=entry.time,
                    )
                    print(said)
            left = lab.missing(writer, bench.scene)
            if left:
                names = ", ".join(display.heading(name, unit=False) for name in left)
                print(display.say("Still to predict: {names}.", names=names))
            elif bench.dealt:
                print(
                    display.say(
                        "All predicted. The bench is yours: sandbox bench SCENE --record FILE."
                    )
                )
            else:
                _show_outcome(bench, writer.record)


def bench(
    scene: SceneArgument,
    record: RecordOption = None,
    reads: Annotated[
        list[str] | None,
        typer.Option(
            "--read",
            metavar="QUANTITY=VALUE",
            help="Write down what you read in the last trial, as "
            "'Force meter reading, balance=3.8 N'.",
        ),
    ] = None,
    trials: Annotated[
        int | None,
        typer.Option(
            "--trials", metavar="N", min=1, max=100, help="Take this many trials, asking for each."
        ),
    ] = None,
    eye: Annotated[
        float,
        typer.Option(
            "--eye",
            metavar="DEGREES",
            min=-60,
            max=60,
            help="Move your eye to the right, or with - to the left.",
        ),
    ] = 0.0,
    picture: Annotated[
        Path | None,
        typer.Option(
            "--picture", metavar="FILE.svg", help="Draw the first instrument as a picture too."
        ),
    ] = None,
    as_typed: Annotated[
        bool,
        typer.Option(
            "--as-typed", help="Keep what --read says though its instrument cannot show it."
        ),
    ] = False,
    strike: Annotated[
        list[str] | None,
        typer.Option(
            "--strike",
            metavar="TRIAL:QUANTITY=REASON",
            help="Strike out a reading, which then counts no more, as "
            "'2:Force meter reading, balance=the line had jammed'.",
        ),
    ] = None,
    take_back: Annotated[
        list[str] | None,
        typer.Option("--take-back", metavar="TRIAL:QUANTITY", help="Let a reading count again."),
    ] = None,
    note: Annotated[str | None, typer.Option("--note", metavar="TEXT", help="Add a note.")] = None,
    table: Annotated[
        Path | None,
        typer.Option("--table", metavar="FILE.csv", help="Write the readings for sandbox compare."),
    ] = None,
    close: Annotated[bool, typer.Option("--close", help="Finish the record.")] = False,
    student: StudentOption = None,
    language: LanguageOption = None,  # noqa: ARG001 - `reader` has heard it
    changes: SetOption = None,
    attempt: AttemptOption = None,
) -> None:
    """The virtual bench: take a trial, look at the instruments, write down what you read.

    At a terminal it asks for each reading; elsewhere it shows a trial, and --read writes down what
    was read. With --read, --strike, --take-back, --note, --table or --close and no --trials it does
    only that. A reading that its instrument cannot show is asked about before it is kept.
    """
    from sandbox.lab.class_work.record import RecordError

    with refusing_records():
        if picture is not None and picture.suffix.lower() != ".svg":
            raise RecordError(
                stated("{picture}: allowed: a picture's name that ends in .svg", picture=picture)
            )
        here = _bench(scene, changes, attempt)
        with _record(here, record, student) as writer:
            if trials or not (reads or strike or take_back or note or table or close):
                asks = bool(trials) or (sys.stdin.isatty() and sys.stdout.isatty())
                _take_trials(writer, here, trials or 1, eye, picture, asks=asks)
            for text in reads or ():
                _read(writer, here, text, eye, _refuses if not as_typed else _keeps)
            for text in strike or ():
                _strike_out(writer, here, text)
            for text in take_back or ():
                _take_back(writer, here, text)
            if note:
                writer.add("note", text=note)
            if close:
                writer.close()
                _show_readings(here, writer.record)
            if table is not None:
                _write_table(here, writer.record, table)


def review(
    place: Annotated[
        str,
        typer.Argument(
            metavar="FOLDER|ZIP",
            help="What students handed in: a folder with its folders, or a ZIP as learning "
            "platforms give it; records are known by what is in them. boat_shed is a shipped "
            "class.",
        ),
    ],
    out: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="The folder to write to.")],
    key: Annotated[
        str | None,
        typer.Option("--key", metavar="KEY.csv", help="The key of the deal, to check against."),
    ] = None,
    roster: Annotated[
        str | None,
        typer.Option(
            "--roster",
            metavar="FILE.csv",
            help="Who is in the class; its other columns (id, group) go into every table.",
        ),
    ] = None,
    scene: Annotated[
        str | None,
        typer.Option(
            "--scene", metavar="SCENE", help="The scene that was given out, where none was dealt."
        ),
    ] = None,
    deadline: Annotated[
        str | None,
        typer.Option(
            "--deadline",
            metavar="DATE",
            help="Mark what is late: '2026-12-04 18:00', local time, or with '+01:00' behind it.",
        ),
    ] = None,
    rule: Annotated[
        Path | None,
        typer.Option("--rule", metavar="RULE.toml", help="Give marks by this rule (marks.csv)."),
    ] = None,
    rule_out: Annotated[
        Path | None,
        typer.Option(
            "--rule-out", metavar="RULE.toml", help="Write a rule to begin with, and mark by it."
        ),
    ] = None,
    attempts: Annotated[
        str,
        typer.Option(
            "--attempts",
            metavar="last|first|best",
            help="Which attempt of a student counts; the best is found by the marks.",
        ),
    ] = "last",
    language: LanguageOption = None,
) -> None:
    """Put a class's records into tables (CSV) and one page (HTML), every reading checked.

    Each is checked on the student's own bench, which is run again.
    One work of each student counts; what is of another class or scene, or there twice, is set apart
    and named. Whatever cannot be read is reported and skipped.
    """
    from sandbox.lab.class_work import review as lab
    from sandbox.lab.class_work.class_report import write_review
    from sandbox.lab.class_work.deal import open_file
    from sandbox.lab.class_work.record import digest
    from sandbox.lab.class_work.setting_apart import Counting
    from sandbox.language.display import Display
    from sandbox.shipped import find_scene

    with refusing_records():
        if attempts not in get_args(Counting):
            refuse(stated("--attempts {found}; allowed: last, first or best", found=attempts))
        display = Display.chosen(language)
        until = lab.deadline_of(deadline) if deadline is not None else None
        marked_by = _rule(rule, rule_out)
        with progressing(stated("running every bench again")) as progress:
            found = lab.review(
                class_file(place),
                class_file(key) if key else None,
                progress,
                roster=class_file(roster) if roster else None,
                scene_hash=digest(open_file(find_scene(scene)).text) if scene else None,
                deadline=until,
                counting=cast("Counting", attempts),
                rule=marked_by,
            )
        with writing(out):
            written = write_review(found, out, display, marked_by)
    for skipped in found.skipped:
        remark(stated("skipped {file}: {reason}", file=skipped.file, reason=skipped.reason))
    for apart in found.apart:
        remark(
            stated(
                "set apart {file} ({student}): {reason}",
                file=apart.file,
                student=apart.student,
                reason=apart.why,
            )
        )
    flagged = sum(bool(work.flags) for work in found.works)
    print(
        display.say_count(
            len(found.works),
            "{count} record reviewed, {apart} set apart, {skipped} skipped, {flagged} with "
            "something to look at.",
            "{count} records reviewed, {apart} set apart, {skipped} skipped, {flagged} with "
            "something to look at.",
            apart=len(found.apart),
            skipped=len(found.skipped),
            flagged=flagged,
        )
    )
    if found.others:
        print(
            display.say_count(
                found.others,
                "{count} other file passed over.",
                "{count} other files passed over.",
            )
        )
    if late := [work.student for work in found.works if found.late(work)]:
        time = f"{until:%Y-%m-%d %H:%M %Z}"
        print(display.say("Late ({time}): {names}.", time=time, names=", ".join(late)))
    if found.absent:
        print(display.say("No record of {names}.", names=", ".join(found.absent)))
    for path in written:
        print(path)


def _rule(rule: Path | None, rule_out: Path | None) -> MarkingRule | None:
    """The rule to mark by, if any; a first one is written where it is asked for."""
    from sandbox.lab.class_work import marking

    if rule is not None and rule_out is not None:
        refuse("--rule and --rule-out; allowed: either of them")
    if rule_out is not None:
        if rule_out.exists():
            refuse(
                stated(
                    "{rule_out}: there is a file of that name; allowed: a new one, or --rule",
                    rule_out=rule_out,
                )
            )
        write(rule_out, marking.STARTING_RULE)
        print(rule_out)
    path = rule or rule_out
    return None if path is None else marking.read_rule(path)


# Shared.


def _reader(bench: Bench) -> Display:
    """For whom a command writes, to whom parts of the bench are called as its scene says."""
    return reader().of(bench.scene.about)


def _bench(scene: str, changes: list[str] | None, attempt: int | None) -> Bench:
    from sandbox.lab.class_work.deal import attempt_of, open_file
    from sandbox.shipped import find_scene

    found = open_file(find_scene(scene), changes_of(changes))
    return found if attempt is None else attempt_of(found, attempt)


@contextmanager
def _record(bench: Bench, record: Path | None, student: str | None) -> Iterator[Writer]:
    from sandbox.lab.class_work.record import RecordError
    from sandbox.lab.class_work.record_writer import opened

    if bench.student and student not in (None, bench.student):
        raise RecordError(dealt_to_another(bench.student, student))
    label = bench.student or student or "Student"
    again = f"_attempt_{bench.attempt}" if bench.attempt > 1 else ""
    path = record or Path(f"{bench.scene.name}{again}.jsonl")
    token = bench.token if bench.dealt else None
    with opened(path, label, bench.scene.name, bench.text, token) as writer:
        if writer.record.torn:
            remark(stated("{path}: a torn last line was laid aside", path=path))
        try:
            yield writer
        except RecordError as error:
            raise RecordError(stated("{path}: {error}", path=path, error=error.fact)) from None


def _write_table(bench: Bench, record: Record, path: Path) -> None:
    from sandbox.lab.class_work.record import RecordError
    from sandbox.lab.class_work.virtual_bench import readings_table
    from sandbox.lab.tables import table_text

    rows = readings_table(bench, record)
    if len(rows) < 3:
        raise RecordError("there are no readings to put into a table yet")
    write(path, table_text(rows))
    print(path)


# Predicting.


def _commits(commits: list[str], reasons: list[str] | None) -> list[tuple[str, str, str]]:
    from sandbox.scene import Plain, SceneError

    given = reasons or []
    if len(given) not in (1, len(commits)):
        raise SceneError(
            "--reason",
            Plain(stated("{count} reasons", count=len(given))),
            "one for each, or one for all",
        )
    found = []
    for number, text in enumerate(commits):
        quantity, equals, value = (piece.strip() for piece in text.partition("="))
        if not equals:
            raise SceneError("--commit", text, "QUANTITY=VALUE, as in 'Effort=3.8 N'")
        found.append((quantity, value, given[number if len(given) > 1 else 0]))
    return found


def _ask(writer: Writer, bench: Bench, *, second: bool) -> None:
    """Ask for every prediction that is owed, or, for second ones, for any."""
    from sandbox.lab.class_work import predict as lab
    from sandbox.lab.class_work.record import RecordError
    from sandbox.lab.wording import named_value
    from sandbox.scene import SceneError, quantities

    about, display = bench.scene.about, _reader(bench)
    names = [
        name
        for name in lab.asked(bench.scene)
        if len(writer.record.predicted(name)) == (1 if second else 0)
    ]
    if not names:
        return
    if bench.bounds:
        known = "; ".join(
            f"{named_value(bench.scene, key, display)}, {bounds}"
            for key, bounds in bench.bounds.items()
        )
        print(display.say("Sealed: {values}", values=known))
    for name in names:
        while True:
            unit = quantities.kind_of(name).unit or display.say("a number")
            value = _line(f"{display.asked(name)} ({unit}): ")
            if not value and second:
                break
            reason = _line(f"  {display.say('because:')} ")
            try:
                entry = lab.commit(writer, bench.scene, name, value, reason, second)
            except (RecordError, SceneError) as error:
                print(f"  {display.describe(error.fact)}")
                continue
            print(f"  {display.say('committed, {time}', time=entry.time)}")
            break
    # Title and what to watch may give the answer away.
    print(f"\n{about.title_in(display.language)}\n{about.watch_in(display.language)}")


def _line(prompt: str) -> str:
    from sandbox.lab.class_work.record import RecordError

    try:
        return input(prompt).strip()
    except (EOFError, KeyboardInterrupt) as end:
        print()
        stopped = stated("stopped; what was committed is in the record")
        if isinstance(end, KeyboardInterrupt):
            remark(stopped)
            raise typer.Exit(INTERRUPTED) from None
        raise RecordError(stopped) from None


def _show_outcome(bench: Bench, record: Record) -> None:
    from sandbox.lab.class_work import predict as lab

    with progressing(stated(RUNNING, scene=bench.scene.name)) as progress:
        measured = lab.outcome(bench, progress)
    _show_verdicts(bench, record, measured, reader().say("the run"))


def _show_verdicts(bench: Bench, record: Record, measured: dict[str, float], heading: str) -> None:
    from rich.text import Text

    from sandbox.lab.class_work import predict as lab
    from sandbox.lab.class_work.misconceptions import told
    from sandbox.lab.facts import called
    from sandbox.scene.errors import as_fact

    table, display = new_table(), _reader(bench)
    for each in (
        display.say("quantity"), display.say("predicted"), heading, display.say("difference"), "",
    ):  # fmt: skip
        table.add_column(each, no_wrap=True)
    remarks = []
    known = told(bench)
    for entry in record.of("prediction", "second prediction"):
        name = entry.quantity
        title = display.describe(as_fact(called(name)))
        if entry.kind != "prediction":
            title = display.say("{quantity} (second)", quantity=title)
        if name not in measured:
            table.add_row(Text(title), Text(entry.text), display.say("not measured"), "", "")
            continue
        verdict = lab.judge(bench.scene, name, entry.text, measured[name], known)
        off = ""
        if verdict.difference is not None:
            off = display.describe(lab.shown_difference(verdict.difference))
        shown = numeral_of(lab.beside(entry.text, name, measured[name]), display)
        status = display.say(lab.STATUSES[verdict.status])
        table.add_row(Text(title), Text(entry.text), shown, numeral_of(off, display), status)
        if verdict.status != "agrees":
            account = " ".join(map(display.describe, verdict.remarks))
            remarks.append(f"{title}, {entry.text}: {account}")
    show_table(screen(), table)
    for each in remarks:
        print(f"  {each}")


# At the bench.


def _take_trials(
    writer: Writer, bench: Bench, trials: int, eye: float, picture: Path | None, *, asks: bool
) -> None:
    from sandbox.lab.class_work import predict, virtual_bench
    from sandbox.lab.class_work.record import RecordError

    predict.check_predicted(writer, bench.scene)
    if not virtual_bench.instruments(bench.scene):
        raise RecordError(stated("{name} has no instrument to read", name=bench.scene.name))
    display = _reader(bench)
    with progressing(stated("setting up {scene}", scene=bench.scene.name)) as progress:
        measured = virtual_bench.truth(bench.scene, progress)
    stuck = virtual_bench.sticking(bench.scene)
    for _ in range(trials):
        number = writer.record.trials + 1
        writer.add("trial", trial=number, eye=eye)
        said = display.say(
            "Trial {number} of {student}. Read each pointer (^) to a tenth of a division. A dial "
            "has a mirror: with your eye square to it, ^ hides its image (o).",
            number=number,
            student=writer.record.student,
        )
        print("\n" + textwrap.fill(said, 78))
        looks = virtual_bench.looks(bench, writer.record.student, number, measured, stuck, eye)
        if picture is not None:
            _draw(next(iter(looks.values())), picture, display)
        for name, look in looks.items():
            print(f"\n{virtual_bench.text_scale(look, display)}")
            if asks:
                _ask_reading(writer, bench, name, number, eye, (measured, stuck))
    if not asks:
        print(
            "\n"
            + display.say(
                "Write down what you read: --read 'QUANTITY=VALUE', once for each instrument."
            )
        )


def _draw(look: Look, path: Path, display: Display) -> None:
    from sandbox.drawing.instrument_face import face
    from sandbox.painting import PAPERS, svg

    instrument = look.instrument
    title = display.heading(instrument.quantity, unit=False)
    write(path, svg(face(look), PAPERS["white"], title=f"{title} ({instrument.unit})"))
    print(path)


def _ask_reading(
    writer: Writer,
    bench: Bench,
    name: str,
    trial: int,
    eye: float,
    run: tuple[dict[str, float], dict[str, float]],
) -> None:
    from sandbox.lab.class_work import virtual_bench
    from sandbox.lab.class_work.record import RecordError
    from sandbox.scene import SceneError

    display = _reader(bench)
    while True:
        asked = display.say(
            "{quantity} (a value with its unit; < or > moves your eye; empty to skip):",
            quantity=display.heading(name, unit=False),
        )
        text = _line(f"{asked} ")
        if not text:
            return
        if text in ("<", ">"):
            eye = max(-60.0, min(60.0, eye + (2.0 if text == ">" else -2.0)))
            looks = virtual_bench.looks(bench, writer.record.student, trial, *run, eye)
            print(f"\n{virtual_bench.text_scale(looks[name], display)}")
            continue
        try:
            _read(writer, bench, f"{name}={text}", eye, _asks)
            return
        except (RecordError, SceneError) as error:
            print(f"  {display.describe(error.fact)}")


def _keeps(_question: str) -> bool:
    return True


def _asks(question: str) -> bool:
    answer = _line(f"  {question} {reader().say('(y or n)')} ")
    return answer.lower() in ("y", "yes", "s", "sí", "si")


def _refuses(question: str) -> bool:
    from sandbox.lab.class_work.record import RecordError

    raise RecordError(stated("{question} --as-typed keeps it", question=question))


def _read(
    writer: Writer, bench: Bench, text: str, eye: float, meant: Callable[[str], bool]
) -> None:
    """Write a reading down; where it is doubtful, only if it is meant."""
    from sandbox import units
    from sandbox.lab.class_work import virtual_bench
    from sandbox.lab.class_work.doubtful import doubt_of_reading
    from sandbox.lab.class_work.record import RecordError
    from sandbox.lab.facts import called
    from sandbox.scene import SceneError

    quantity, equals, value = (piece.strip() for piece in text.partition("="))
    value = units.pointed(value)
    if not equals:
        raise SceneError(
            "--read", text, "QUANTITY=VALUE, as in 'Force meter reading, balance=3.8 N'"
        )
    quantity = quantity_called(bench.scene, quantity)
    instrument = virtual_bench.instrument_for(bench.scene, quantity)
    value_of_option(f"--read {quantity}", value, instrument.dimension)
    trial = writer.record.trials
    if trial == 0:
        raise RecordError("there is no trial yet: run sandbox bench without --read first")
    doubt = doubt_of_reading(instrument, value)
    if doubt is not None and not meant(_reader(bench).describe(doubt)):
        raise RecordError(stated("{quantity}: not kept", quantity=called(quantity)))
    entry = writer.add("reading", trial=trial, quantity=quantity, text=value, eye=eye)
    display = _reader(bench)
    print(
        display.say(
            "written down: {quantity} = {value} in trial {number}, {time}",
            quantity=display.heading(quantity, unit=False),
            value=value,
            number=trial,
            time=entry.time,
        )
    )


def _strike_out(writer: Writer, bench: Bench, text: str) -> None:
    from sandbox.lab.class_work.record import STRIKING_OUT
    from sandbox.lab.facts import called
    from sandbox.scene import SceneError

    where, equals, reason = (piece.strip() for piece in text.partition("="))
    if not equals:
        allowed = stated(
            "TRIAL:QUANTITY=REASON, as in '2:Force meter reading, balance=the line had jammed'"
        )
        raise SceneError("--strike", text, allowed)
    trial, quantity = _reading_named(bench, "--strike", where)
    entry = writer.add(STRIKING_OUT, trial=trial, quantity=quantity, reason=reason)
    said = stated(
        "struck out: {quantity} in trial {number}, {time}",
        quantity=called(quantity),
        number=trial,
        time=entry.time,
    )
    print(_reader(bench).describe(said))


def _take_back(writer: Writer, bench: Bench, text: str) -> None:
    from sandbox.lab.class_work.record import TAKING_BACK
    from sandbox.lab.facts import called

    trial, quantity = _reading_named(bench, "--take-back", text)
    entry = writer.add(TAKING_BACK, trial=trial, quantity=quantity)
    said = stated(
        "counts again: {quantity} in trial {number}, {time}",
        quantity=called(quantity),
        number=trial,
        time=entry.time,
    )
    print(_reader(bench).describe(said))


def _reading_named(bench: Bench, option: str, text: str) -> tuple[int, str]:
    """The trial and the quantity that "TRIAL:QUANTITY" names."""
    from sandbox.lab.class_work import virtual_bench
    from sandbox.scene import SceneError

    trial, colon, name = (piece.strip() for piece in text.partition(":"))
    if not colon or not trial.isdecimal() or len(trial) > 3:
        raise SceneError(option, text, "TRIAL:QUANTITY, as in '2:Force meter reading, balance'")
    quantity = quantity_called(bench.scene, name)
    virtual_bench.instrument_for(bench.scene, quantity)
    return int(trial), quantity


def _show_readings(bench: Bench, record: Record) -> None:
    """A student's predictions beside what their own readings come to."""
    from sandbox.lab.class_work import virtual_bench

    trials = [virtual_bench.worked_out(bench, trial) for trial in virtual_bench.taken(record)]
    names = {name for trial in trials for name in trial}
    means = {
        name: sum(values) / len(values)
        for name in names
        if (values := [trial[name] for trial in trials if name in trial])
    }
    _show_verdicts(bench, record, means, reader().say("your readings"))
    print(reader().say("The record is closed; hand it in."))
