"""README.md and DEVELOPERS.md keep their word: what they tell to type runs, and what they say of it
is so."""

from __future__ import annotations

import csv
import importlib
import inspect
import json
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from sandbox import scene
from sandbox.check import TOLERANCE
from sandbox.cli import app
from sandbox.engine.settings import STEP
from sandbox.scene import KINDS, MOST_PARTS, quantities
from sandbox.scene.parts import About, Block, Hand, keys_of
from sandbox.shipped import shipped_scenes
from tests.places import ROOT
from tests.tolerance import near

README, DEVELOPERS = (
    (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")
)
WORDS = " ".join(README.split())
FENCED = re.findall(r"^```(\w*)\n(.*?)^```$", README, re.M | re.S)
TYPED = [
    " ".join(text.split()) for text in re.findall(r"`(sandbox\s[^`]+)`", README.replace("```", ""))
]
SHELL = [line for language, text in FENCED if language == "sh" for line in text.splitlines()]
NOT_RUN = {
    "python3 -m venv .venv": "installs, on a clean checkout: .ci/run",
    "sandbox check": "every shipped scene: tests/evidence/test_check.py",
    "sandbox open four_part_tackle": "a window: tests/window/test_xvfb.py",
    "sandbox page four_part_tackle --live --alone --out sheet.html": "tests/live/test_page.py",
    "sandbox page four_part_tackle --live --out live.html": "a browser: tests/live/test_bench.py",
    "sandbox pages fixed_sheave --live --roster class.csv --seed 7 "
    "--deal 'head.bearing_friction=0.1..0.4' --out live": "the same, and tests/cli/test_cli.py",
    "sandbox open --new": "a window: tests/window/test_files.py",
    "sandbox open four_part_tackle --beside fixed_sheave": "windows: tests/window/test_files.py",
}
SMALLER = {
    "film": ["--width", "320", "--speed", "32"],
    "plan": ["--vary", "ballast.mass=0.5kg..2kg"],
    "law": ["--count", "3"],
}
"""What is added to a command that else takes half a minute: a small film of few moments,
one value varied, three loads."""


def fenced(word: str) -> str:
    """The one fenced block of README that says a word."""
    (found,) = (text for _, text in FENCED if word in text)
    return found


def typed(command: str, **options: str) -> Result:
    """Run what stands in a document, here and now; it must not be bad input."""
    program, *words = shlex.split(command)
    assert program == "sandbox"
    done = CliRunner().invoke(app, [*words, *SMALLER.get(words[0], [])], **options)
    # Data that do not agree are no bad input, and those in README may not.
    allowed = (0, 1) if words[0] == "compare" else (0,)
    assert done.exit_code in allowed, (command, done.output, done.exception)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


# README.


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with the files that README takes to be there."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "slip.csv").write_text(fenced("trial,student"), encoding="utf-8")
    (tmp_path / "class.csv").write_text("student\nStudent A\nStudent B\n", encoding="utf-8")
    return tmp_path


COMMANDS = [
    (command.name or getattr(command.callback, "__name__", "")).replace("_", "-")
    for command in app.registered_commands
]


@pytest.mark.parametrize("command", sorted({*TYPED} - {*NOT_RUN}))
def test_what_readme_tells_to_type(home: Path, command: str) -> None:
    """Each command in README's text runs, and prints and writes what README says it does; a
    command's bare name is one there is."""
    before = {*home.rglob("*")}
    _, name, *words = shlex.split(command)
    if words == ["--help"]:
        assert all(typed(f"sandbox {each} --help").output for each in COMMANDS)
        return
    assert name in COMMANDS
    if not words:
        return
    done = typed(command)
    files = [path for path in home.rglob("*") if path.is_file() and path not in before]
    assert all(path.stat().st_size > 100 for path in files)
    for option in {"--out", "--chart"} & {*words}:
        out = home / words[words.index(option) + 1]
        assert any(out in (path, *path.parents) for path in files)
    if name == "check":
        columns = ("quantity", "predicted", "simulated", "difference", "tolerance", "agrees")
        assert done.exit_code == 0 and all(column in done.stdout for column in columns)
    if name == "run":
        assert {path.suffix for path in files} == {".csv", ".json", ".png"}
    if name == "page" and "--package" not in words:
        (kilobytes,) = re.findall(r"one file of about (\d+) kB", WORDS)
        assert near(files[0].stat().st_size / 1000, float(kilobytes), rel=0.1)
    if "--json" in words:
        assert json.loads(done.stdout)


def test_what_is_not_run_is_still_there() -> None:
    """What README tells to type and is not run here is run by what the exception names."""
    for command, reason in NOT_RUN.items():
        assert any(line.startswith(command) for line in [*SHELL, *TYPED])
        assert (ROOT / reason.rpartition(" ")[2]).is_file()
    rest = [line for line in SHELL if not line.startswith("python3 -m venv .venv")]
    assert rest == fenced("sandbox deal").splitlines()


def test_a_class_in_five_commands(home: Path) -> None:
    """The five commands work one after another in an empty folder, and the review says of the
    shipped class what README says it does."""
    trials = "3.80 N\n21.6 cm\n5.4 cm\n3.81 N\n21.6 cm\n5.4 cm\n3.75 N\n21.6 cm\n5.4 cm\n"
    commands = fenced("sandbox deal").splitlines()
    assert len(commands) == 5
    for command in commands:
        done = typed(command, **({"input": trials} if " bench " in command else {}))
    assert "8 records reviewed, 0 set apart, 0 skipped, 3 with something to look at." in done.output
    assert (home / "report/class.html").stat().st_size > 10_000
    with open(home / "report/class.csv", encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    for misconception in ("counting the hauling part", "grams for kilograms"):
        assert [misconception in row["misconceptions"] for row in rows].count(True) == 1
    assert ["fits another bench" in row["to look at"] for row in rows].count(True) == 1


def test_the_scene_told_line_by_line() -> None:
    """The scene that README shows whole is the file; the other keys it shows are keys; its kinds
    are all the kinds; and each quantity it names is one that some shipped scene has."""
    assert fenced("[scene]") == (ROOT / "scenes/four_part_tackle.toml").read_text("utf-8")
    document = tomllib.loads(fenced("[scene]"))
    (gravity,) = re.findall(r'`(gravity = "[^"]*")`', README)
    (moves,) = re.findall(r"`(moves = \[[^]]*\])`", README)
    document["scene"] |= tomllib.loads(gravity)
    document["hand"]["hand"] |= tomllib.loads(moves)
    document["hand"]["hand"].pop("travel")
    changed = scene.parse(document)
    assert near(changed.about.gravity, 9.81, rel=1e-12)
    assert [move.kind for move in changed.moves] == ["hold", "haul", "let go"]
    (kinds,) = re.findall(r"The kinds are (.*?)\.", WORDS)
    assert sorted(re.findall(r"`(\w+)`", kinds)) == sorted(KINDS)
    (listed,) = re.findall(r"Quantities are called `PART\.QUANTITY`: (.*?)\. ", WORDS)
    named = re.findall(r"`([a-z_]+\.[a-z_0-9]+)`", listed)
    scenes = [scene.load(path) for path in shipped_scenes()]
    known = {name.rpartition(".")[2] for each in scenes for name in quantities.names(each)}
    assert len(named) > 5
    assert {name.rpartition(".")[2] for name in named} <= known


@pytest.mark.parametrize(
    "told",
    [
        f"The tolerance is {100 * TOLERANCE:g} %",
        f"The simulation steps at 1/{1 / STEP:.0f} s.",
        f"change g from {keys_of(About)['gravity'][1]:g} m/s²",
        f"their radius ({1000 * keys_of(Block)['radius'][1]:g} mm)",
        f"the pin's ({1000 * keys_of(Block)['pin_radius'][1]:g} mm)",
        f"at {100 * keys_of(Hand)['speed'][1]:g} cm/s unless told otherwise",
        f"at most {MOST_PARTS} parts, {keys_of(Block)['sheaves'][0].high:g} sheaves to a block",
    ],
)
def test_numbers_in_readme(told: str) -> None:
    """The numbers that README gives are those the program has."""
    assert told in WORDS


# DEVELOPERS.

ROOMS = re.findall(r"^\| `(sandbox/\w+(?:\.py|/))` \|.*\| (.*) \|$", DEVELOPERS, re.M)
FRONT_DOORS = [
    (f"sandbox.{room.removeprefix('sandbox/').removesuffix('/').removesuffix('.py')}", name)
    for room, doors in ROOMS
    for name in re.findall(r"`(\w+)`", doors)
]


@pytest.mark.parametrize(("room", "name"), FRONT_DOORS)
def test_front_doors(room: str, name: str) -> None:
    """What the table of rooms calls a front door is there, and a function among them has an example
    that runs as a doctest (`main` ends the program)."""
    module = importlib.import_module(room)
    if not hasattr(module, name):
        importlib.import_module(f"{room}.{name}")
    door = getattr(module, name)
    if inspect.ismodule(door):
        assert door.__doc__
        return
    assert ">>> " in inspect.getdoc(door) or name == "main"


def test_names_in_developers() -> None:
    """Every file, test, module and variable that DEVELOPERS.md names in code letters is there."""
    files = [path.relative_to(ROOT).as_posix() for path in _sources()]
    tests = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py"))
    text = re.sub(r"^```.*?^```$", "", DEVELOPERS, flags=re.M | re.S)
    for name in re.findall(r"`([^`\n]+)`", text):
        if re.fullmatch(r"[\w/.]+\.(py|js|toml|md)", name):
            assert any(f"/{file}".endswith(f"/{name}") for file in files), name
        elif re.fullmatch(r"(sandbox|tests|assets|scenes)(/[a-z]\w*)*/?", name):
            assert (ROOT / name).is_dir(), name
        elif re.fullmatch(r"test_\w+|tests\.\w+", name):
            assert f"def {name}(" in tests or f"{name.replace('.', '/')}.py" in files, name
        for variable in re.findall(r"SANDBOX_[A-Z]+", name):
            assert variable in tests, name
        for module in re.findall(r"python -m (tests\.\w+)", name):
            assert f"{module.replace('.', '/')}.py" in files, name


def test_the_table_of_rooms_is_whole() -> None:
    """Every room of the package has its row."""
    rooms = {path.name for path in (ROOT / "sandbox").iterdir() if (path / "__init__.py").is_file()}
    told = {room.removeprefix("sandbox/").removesuffix("/") for room, _ in ROOMS}
    assert rooms <= told


def _sources() -> list[Path]:
    rooms = (".ci", "sandbox", "tests", "assets", "scenes")
    return [*ROOT.glob("*.*"), *(path for room in rooms for path in (ROOT / room).rglob("*.*"))]
