"""The commands: as their users run them, in a process of their own, or within this one."""

from __future__ import annotations

import csv
import io
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from rich.console import Console
from rich.text import Text
from typer.testing import CliRunner

from sandbox.cli import app, helping, scenes
from sandbox.cli.common import new_table, quantity_called, show_table
from sandbox.language.words import translations
from sandbox.scene import load
from sandbox.shipped import find_scene, shipped_scenes
from tests.catalogue import Blank, commands
from tests.commands import inside, refused, sandbox
from tests.places import SCENES
from tests.tolerance import near

FIELDS = {
    "scene",
    "quantity",
    "unit",
    "predicted",
    "simulated",
    "relative_difference",
    "tolerance",
    "agrees",
}


def test_check_prints_a_table():
    """`check SCENE` prints a row for each quantity and exits 0 when all agree."""
    result = sandbox("check", "fixed_sheave")
    assert result.returncode == 0, result.stderr
    for word in ("predicted", "simulated", "tolerance", "hand.force", "5.22913", "1 of 1 scenes"):
        assert word in result.stdout


@pytest.mark.parametrize("arguments", [("bench",), ()])
def test_help_is_in_the_language_asked_for(arguments: tuple[str, ...]) -> None:
    """Help of the whole and of a command is in Spanish by --language or SANDBOX_LANGUAGE, what
    stands around it too, and in English otherwise, or where there is no such language. What an
    option takes is said in words, never as the name of a type or as code has a range."""
    runner = CliRunner()
    spanish = runner.invoke(app, [*arguments, "--help", "--language", "es"])
    chosen = runner.invoke(app, [*arguments, "--help"], env={"SANDBOX_LANGUAGE": "es"})
    assert spanish.exit_code == 0 and spanish.output == chosen.output
    assert "Uso: " in spanish.output and "Opciones" in spanish.output
    assert not re.search(r"\b(the|of|and|Show)\b", spanish.output)
    for code in ("en", "xx"):
        english = runner.invoke(app, [*arguments, "--help"], env={"SANDBOX_LANGUAGE": code})
        assert "Usage: " in english.output and "Show this help" in english.output
        assert not re.search(r"<\w|<=|\b(bool|str|int|float)\b", english.output + spanish.output)


def test_spanish_help_names_what_is_typed_in_spanish():
    """What a line holds in place of SCENE or FILE has one name in help, translated as any word."""
    for text in helping.texts(commands()):
        shown = translations("es").gettext(text)
        assert not re.search(r"\b(SCENE|FILE|KEY|FOLDER|COMMAND)\b", shown), shown


def test_a_run_speaks_the_readers_language(tmp_path, monkeypatch):
    """What `run` is doing, at a terminal, what it wrote and the picture's words are in Spanish."""
    monkeypatch.setenv("FORCE_COLOR", "1")
    line = ["run", "fixed_sheave", "--out", str(tmp_path), "--language", "es"]
    result = CliRunner().invoke(app, line)
    assert "simulando fixed_sheave" in result.stderr
    assert "Una polea fija" in result.stdout and "concuerdan con la teoría" in result.stdout


def test_a_students_commands_speak_spanish_whole(tmp_path):
    """What a student predicts with, reads and is told calls parts as the sheet does, with decimal
    commas."""
    record = ["--record", str(tmp_path / "a.jsonl"), "--language", "es"]
    guesses = {"Esfuerzo": "3,3 N", "velocity ratio": "4", "Rendimiento": "100 %"}
    commits = [word for name, value in guesses.items() for word in ("--commit", f"{name}={value}")]
    told = inside("predict", "four_part_tackle", *commits, "--reason", "son cuatro", *record)
    assert "Es un 14,2 % demasiado pequeño." in told.stdout
    shown = inside("bench", "four_part_tackle", *record)
    scale = shown.stdout.partition("Lectura del dinamómetro, dinamómetro, en N")[2]
    assert re.search(r"^ +3,5 +4$", scale, re.MULTILINE), shown.stdout
    read = "Lectura del dinamómetro, dinamómetro=3.9 N"
    kept = inside("bench", "four_part_tackle", "--read", read, *record)
    assert "anotada: Lectura del dinamómetro, dinamómetro = 3.9 N" in kept.stdout, kept.stderr


@pytest.mark.parametrize(
    ("line", "english", "spanish"),
    [
        ("chek", "no command chek. Did you mean check?", "ninguna orden chek. ¿Quizás check?"),
        ("--jso", "There is no option --jso.", "No hay ninguna opción --jso."),
        ("check --jso", "--jso. Did you mean --json?", "--jso. ¿Quizás --json?"),
        ("check --json=3", "The option --json takes no value.", "--json no lleva valor."),
        ("sheet", "SCENE is missing.", "Falta ESCENA."),
        ("sheet x", "The option --out is missing.", "Falta la opción --out."),
        ("sheet x --out", "--out takes a value, and none", "--out lleva un valor, y no"),
        ("sheet x y\x1b[2J --out z", "the command takes: y\\x1b[2J.", "la orden: y\\x1b[2J."),
        ("predict x --attempt=x", "'x'; allowed: a whole number from 1 to 9.", "entero de 1 a 9."),
        ("predict x --attempt 12", "found '12'; allowed: a whole", "se encontró '12'; se admite"),
        ("film x --out y.mp4 --width x", "'x'; allowed: a whole number.", "un número entero."),
        ("film x --out y.mp4 --speed x", "'x'; allowed: a number, as 0.5.", "un número, como 0.5."),
    ],
)
def test_a_line_that_cannot_be_read_is_refused_in_the_readers_language(line, english, spanish):
    """What is wrong with a command line is said in our words and in the language asked for, with
    what is meant, and no terminal obeys what is repeated of it; the exit code is 2."""
    for code, said in (("en", english), ("es", spanish)):
        result = CliRunner().invoke(app, line.split(), env={"SANDBOX_LANGUAGE": code})
        assert result.exit_code == 2
        assert said in " ".join(result.output.replace("│", " ").split()), result.output
        assert not re.search("\x1b\\[2J|Usage|Try" if code == "es" else "\x1b\\[2J", result.output)


BAD_LINE = """[scene]
title = Four parts
"""


@pytest.mark.parametrize(
    ("line", "english", "spanish"),
    [
        ("check fixed_sheave.toml", "no such file; allowed: a scene file (.toml). Did you mean "
         "'fixed_sheave'?", "¿Quizás 'fixed_sheave'?"),
        ("check {0}/bd.toml", "Did you mean '{0}/bad.toml'?", "¿Quizás '{0}/bad.toml'?"),
        ("check {0}", "found a folder or a device", "encontrado: una carpeta o un dispositivo"),
        ("check {0}/bad.toml", "found line 2, 'title = Four parts'; allowed: TOML text, such as",
         "encontrado: la línea 2, 'title = Four parts'; se admite: texto TOML, como"),
        ("check fixed_sheave --language fr", "--language: found 'fr'; allowed: one of en, es.",
         "--language: encontrado: 'fr'; se admite: uno de en, es."),
        ("predict fixed_sheave --record {0}", "{0}: Is a directory", "{0}: Es una carpeta"),
        ("deal fixed_sheave --seed 7 --out {0} --roster {0}/names.csv", "names.csv: its first row: "
         "found no column student", "names.csv: su primera fila: encontrado: sin columna student"),
        ("compare fixed_sheave {0}/data.csv", "data.csv: row 1, column 2, hand.force: found no unit"
         "; allowed: a unit of force in", "data.csv: fila 1, columna 2, hand.force: encontrado: "
         "sin unidad; se admite: una unidad de fuerza"),
        ("page fixed_sheave --out {0}/a", "--out {0}/a: allowed: a name that ends in .html.",
         "--out {0}/a: se admite: un nombre que acabe en .html."),
    ],
)  # fmt: skip
def test_a_usual_mistake_is_refused_in_the_readers_language(line, english, spanish, tmp_path):
    """A file that is not there, or cannot be read or written, is refused in one message, whole in
    the reader's language, which says what was found, what is allowed and the nearest name."""
    texts = {"bad.toml": BAD_LINE, "names.csv": "name\nA\n", "data.csv": "trial,effort\n1,9\n"}
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    for code, said in (("en", english), ("es", spanish)):
        words = line.format(tmp_path).split()
        result = CliRunner().invoke(app, words, env={"SANDBOX_LANGUAGE": code})
        assert result.exit_code == 2 and result.stderr.count("\n") == 1
        assert said.format(tmp_path) in result.stderr, result.stderr


def test_a_quantity_may_be_named_by_its_title():
    """Whatever takes a quantity knows it by its name, or as tables and prompts call it in either
    language, with its part by the name of the file or of that language."""
    scene = load(find_scene("fixed_sheave"))
    given = scenes._quantities(scene, ["Effort=3.8 N", "Rendimiento=80 %"])
    assert [name for name, *_ in given] == ["hand.force", "machine.efficiency"]
    for part in ("balance", "dinamómetro"):
        assert quantity_called(scene, f"lectura del dinamómetro, {part}") == "balance.reading"


def test_check_json_is_one_list():
    """With --json standard output is one JSON list whose rows have exactly the agreed fields."""
    result = sandbox("check", "fixed_sheave", "sled_let_slide", "--json")
    assert result.returncode == 0, result.stderr
    rows = json.loads(result.stdout)
    assert {row["scene"] for row in rows} == {"fixed_sheave", "sled_let_slide"}
    assert all(set(row) == FIELDS for row in rows)
    force = next(row for row in rows if row["quantity"] == "hand.force")
    assert force["unit"] == "N"
    assert force["agrees"] is True
    assert near(force["predicted"], force["simulated"], rel=1e-3)


def test_what_a_held_machine_leaves_open_is_said():
    """Of a sled that the hand holds neither pull nor friction are compared: both may be anything
    between the edges."""
    result = sandbox("check", "sled_held", "--json", "--not-compared")
    left_open = json.loads(result.stdout)
    assert {row["quantity"] for row in left_open} == {
        "hand.force", "balance.reading", "line.tension_1", "sled.friction"
    }  # fmt: skip
    assert {(row["scene"], row["reason"]) for row in left_open} == {("sled_held", "not_compared")}
    assert result.returncode == 0


def test_check_exits_1_when_something_disagrees(tmp_path):
    """Held to less than rope stretch makes, a machine does not agree: the exit code is 1."""
    program = (
        "import sys, sandbox.check as check; from sandbox.__main__ import main; "
        "check.TOLERANCE = 1e-6; sys.argv[1:] = ['check', 'six_part_tackle', '--json']; main()"
    )
    result = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, capture_output=True, text=True, timeout=120
    )
    assert result.returncode == 1, result.stderr
    assert not all(row["agrees"] for row in json.loads(result.stdout))


SHEAVE = load(find_scene("fixed_sheave")).parts["head"].sheave_mass
"""Of the whip, in kg. It weighs on the pin too: R (F - W) = f r (F + W + w), so that
F (1 - q) = W (1 + q) + w q with q = f r/R."""


def test_set_changes_a_scene():
    """`--set` changes what is run: doubling all that weighs, bag and sheave, doubles the effort."""
    doubled = ("--set", "bag.mass=1 kg", "--set", f"head.sheave_mass={2 * SHEAVE} kg")
    one, two = (
        json.loads(inside("check", "fixed_sheave", "--json", *more).stdout)
        for more in ((), doubled)
    )
    assert near(two[0]["simulated"], 2 * one[0]["simulated"], rel=1e-6)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("check", "nowhere.toml"), ("nowhere.toml", "no such file")),
        (("check", "fixed_sheeve"), ("fixed_sheave",)),
        (("check", "."), ("a folder",)),
        (("check", "fixed_sheave", "--set", "bag.mas=1 kg"), ("bag.mas", "mass")),
        (("check", "fixed_sheave", "--set", "bag.mass"), ("PART.KEY=VALUE",)),
        (("check", "fixed_sheave", "--set", "bag.mass=1 m"), ("bag.mass", "1 m", "kg")),
        (("solve", "fixed_sheave", "--for", "bag.reeve"), ("bag.reeve", "mass")),
        (
            ("solve", "fixed_sheave", "--for", "bag.mass", "--given", "hand.forc=2 N"),
            ("hand.forc", "hand.force"),
        ),
        (
            ("solve", "fixed_sheave", "--for", "bag.mass", "--given", "hand.force=2 kg"),
            ("hand.force", "2 kg", "N"),
        ),
        (("run", "fixed_sheave", "--out", "/dev/null/x"), ("/dev/null/x",)),
    ],
)
def test_bad_input_is_refused(words, said):
    """Bad input: one message that names what is wrong and what is allowed, exit code 2."""
    refused(inside(*words), *said)


def test_solve_finds_an_unknown_weight():
    """From the effort a whip wants, `solve` finds the mass: m = (F (1 - q) - w q)/(1 + q)/g."""
    result = inside("solve", "fixed_sheave", "--for", "bag.mass", "--given", "hand.force=4 N")
    assert result.returncode == 0, result.stderr
    found = float(result.stdout.split("=")[1].split()[0])
    q = 0.2 * 4 / 25
    assert near(found, 1000 * (4 * (1 - q) / 9.80665 - SHEAVE * q) / (1 + q), rel=1e-5)


def test_solve_reads_a_share_in_per_cent():
    """A whip's efficiency, W/F, is given as 80 % or as 0.8."""
    share, number = (
        inside(
            "solve", "fixed_sheave", "--for", "head.bearing_friction", "--given", f"{name}={text}"
        )
        for name, text in (("machine.efficiency", "80 %"), ("machine.efficiency", "0.8"))
    )
    assert share.returncode == number.returncode == 0, share.stderr + number.stderr
    assert share.stdout == number.stdout
    found = float(share.stdout.removeprefix("head.bearing_friction = "))
    # W (1 - q) = 0.8 (W (1 + q) + w q), q = bearing 4 mm/25 mm, with 500 g on the rope.
    assert near(found, (1 - 0.8) / (1 + 0.8 + 0.8 * SHEAVE / 0.5) * 25 / 4, rel=1e-5)
    refused(
        inside("solve", "fixed_sheave", "--for", "bag.mass", "--given", "hand.force=5 %"), "N", "%"
    )


def test_solve_says_any_value_will_do():
    """The pull of a whip, (W (1 + q) + w q)/(1 - q), given as it is printed: the rope's stiffness
    has nothing to do with it, and that is said, with what the pull is; so is what is a bound."""
    q = 0.2 * 4 / 25
    pull = f"{9.80665 * (0.5 * (1 + q) + SHEAVE * q) / (1 - q):.5f} N"
    result = inside(
        "solve", "fixed_sheave", "--for", "whip.stiffness", "--given", f"hand.force={pull}"
    )
    assert result.returncode == 0, result.stderr
    assert result.stdout == f"Any value will do: hand.force is {pull} whatever whip.stiffness is.\n"
    least = ("--given", "hand.least_force=0 N", "--set", "slip.angle=25 deg")
    held = inside("solve", "sled_held", "--for", "slip.static_friction", *least)
    assert held.returncode == 0, held.stderr
    assert held.stdout == f"slip.static_friction is at least {math.tan(math.radians(25)):.6f}\n"


def test_solve_takes_a_quantity_once():
    """Two values for one quantity are refused."""
    twice = ("--given", "hand.force=2 N", "--given", "hand.force=3 N")
    refused(inside("solve", "fixed_sheave", "--for", "bag.mass", *twice), "hand.force", "one value")


def test_run_writes_three_files(tmp_path):
    """`run` writes a CSV with units in its header, a JSON of the run and a PNG picture."""
    result = inside("run", "two_part_tackle", "--out", tmp_path / "new" / "folder")
    assert result.returncode == 0, result.stderr
    told, *lines = result.stdout.splitlines()
    assert told.startswith("two_part_tackle: ") and "agree with theory" in told
    paths = [Path(line) for line in lines]
    assert [path.suffix for path in paths] == [".csv", ".json", ".png"]
    rows = list(csv.reader(paths[0].read_text().splitlines()))
    assert rows[0][:2] == ["time (s)", "fall.tension_1 (N)"]
    assert len({len(row) for row in rows}) == 1
    times = [float(row[0]) for row in rows[1:]]
    assert times == sorted(times)
    record = json.loads(paths[1].read_text())
    assert record["scene"] == "two_part_tackle"
    assert all(row["agrees"] for row in record["rows"])
    assert paths[2].read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert sorted(p.name for p in paths[0].parent.iterdir()) == sorted(p.name for p in paths)


def test_picture_of_one_part_freed_of_its_supports(tmp_path):
    """`picture --body PART` draws that part alone with the forces on it; a weight with what
    carries it; and names the parts there are where there is no such part."""
    out = tmp_path / "spike.svg"
    result = inside("picture", "lever_first_class", "--body", "bracket", "--out", out)
    assert result.returncode == 0, result.stderr
    text = out.read_text()
    assert "free-body drawing: spike" in text and "weight of bracket" in text
    refused(
        inside("picture", "lever_first_class", "--body", "spyke", "--out", out), "--body", "spike"
    )


def test_run_names_the_scene_that_is_refused(tmp_path):
    """Where mechanics does not answer a scene, `run` says which scene that is, as `check` does."""
    (tmp_path / "plank.toml").write_text(
        '[scene]\ntitle = "A plank on three trestles"\nwatch = "Nothing."\nmode = "held"\n'
        '[lever.plank]\nlength = "1 m"\nmass = "1 kg"\nat = ["0 m", "50 cm"]\n'
        'supports = ["10 cm", "50 cm", "90 cm"]\n'
    )
    for words in (
        ("run", tmp_path / "plank.toml", "--out", tmp_path / "new"),
        ("check", tmp_path / "plank.toml"),
    ):
        result = inside(*words)
        assert result.returncode == 2
        assert result.stderr.startswith("sandbox: plank: theory: statically indeterminate")
        assert len(result.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("change", "why", "seen"),
    [
        ("whip.breaking_load=4 N", "whip parts: it would have to carry", "whip parts in part"),
        ("hand.speed=1 m/s", "the hand is done in", ""),
    ],
)
def test_run_records_what_cannot_be_compared(tmp_path, change, why, seen):
    """Where theory or the check gives no answer, the run is recorded, and the reason is told."""
    result = inside("run", "fixed_sheave", "--set", change, "--out", tmp_path)
    assert result.returncode == 0, result.stderr
    assert why in result.stderr
    record = json.loads((tmp_path / "fixed_sheave.json").read_text())
    assert record["rows"] == []
    assert why in record["notes"][0]
    assert seen in "".join(event["what"] for event in record["events"])
    assert (tmp_path / "fixed_sheave.png").stat().st_size > 1000


@pytest.mark.parametrize(
    ("change", "left_out"),
    [("slip.angle=20 deg", "slip.rise"), ("slip.rise=30 cm", ""), ("slip.length=1 m", "")],
)
def test_a_ramp_keeps_its_length_and_what_is_set(change, left_out):
    """Of a ramp's length, rise and angle the one that is not set gives way, and that is said."""
    result = inside("check", "sled_drawn_up", "--json", "--set", change)
    assert result.returncode == 0, result.stderr
    assert (f"{left_out} now follows" in result.stderr) == bool(left_out)


def test_a_ramp_given_by_its_angle_takes_a_rise():
    """A ramp given by its angle keeps its length when a rise is set: sin(a) = rise/length."""
    drawn = load(find_scene("sled_and_hanging_weight")).parts["slip"]
    ramp = load(find_scene("sled_and_hanging_weight"), {"slip.rise": "60 cm"}).parts["slip"]
    assert near(ramp.length, drawn.length, rel=1e-12)
    assert near(ramp.angle, math.asin(0.6 / drawn.length), rel=1e-12)
    both = {"slip.rise": "60 cm", "slip.angle": "30 deg"}
    ramp = load(find_scene("sled_and_hanging_weight"), both).parts["slip"]
    assert near(ramp.length, 0.6 / math.sin(math.radians(30)), rel=1e-12)


def test_help_is_quick_and_light():
    """`--help` loads neither pygame nor pymunk nor numpy nor pint."""
    code = (
        "import sys\n"
        "sys.argv = ['sandbox', '--help']\n"
        "from sandbox.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'pygame', 'pymunk', 'numpy', 'pint', 'matplotlib', 'scipy'} & set(sys.modules)\n"
        "print('heavy:', sorted(heavy))\n"
    )
    command = [sys.executable, "-c", code]
    result = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "heavy: []" in result.stdout
    assert "not for lifting people" in " ".join(result.stdout.split())


def test_works_from_anywhere(tmp_path):
    """Shipped scenes are found by name from any folder, with nothing written there."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    result = sandbox("check", shipped_scenes()[0].stem, cwd=tmp_path, env=environment)
    assert result.returncode == 0, result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("width", [160, 62, 50, 30])
def test_no_table_is_cut_off(width):
    """However narrow the terminal, every heading and every value is there, and whole."""
    console = Console(file=io.StringIO(), width=width)
    table = new_table("fixed_sheave: a whip")
    for heading in ("quantity", "predicted", "simulated"):
        table.add_column(heading, no_wrap=True)
    table.add_column("verdict")
    table.add_row("machine.velocity_ratio", "(1.000±0.010)", "(1.002±0.010)", Text("agrees well"))
    show_table(console, table)
    printed = console.file.getvalue()
    for word in ("quantity", "predicted", "(1.002±0.010)", "machine.velocity_ratio", "agrees"):
        assert word in printed.replace(";", " ").split()
    assert max(map(len, printed.splitlines())) <= width


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("check fixed_sheave", 0),
        ("solve fixed_sheave --for head.bearing_friction --given hand.force=5,1N", 0),
        ("solve fixed_sheave --for bag.mass --given head.reaction=-1N", 1),
        ("compare sled_drawn_up slip.csv --budget --set slip.kinetic_friction=0,01", 1),
        ("compare sled_drawn_up slip.csv --fit slip.kinetic_friction", 1),
        ("law fixed_sheave --loads 200g..1kg --count 3 --data series.csv", 0),
        ("plan two_part_tackle --gauge 10N/0.1N --vary parts=2..3", 0),
        ("check fixed_sheave --set bag.mass=3", 2),
        ("check fixed_sheave --set bag.mas=3g", 2),
        ("check nowhere.toml", 2),
        ("plan fixed_sheave --vary bag.mass=1", 2),
        ("law fixed_sheave --loads 3kg..1kg", 2),
        ("picture fixed_sheave --size 3x4 --out a.png", 2),
        ("deal fixed_sheave --roster r.csv --seed 1 --out d --vary bag.mass=1kg", 2),
        ("predict fixed_sheave --record a.jsonl --commit Esfuerzo=mucho --reason porque", 2),
        ("bench fixed_sheave --record a.jsonl", 2),
        ("review nowhere --out d", 2),
        ("page fixed_sheave --all --out a.html", 2),
    ],
)
def test_what_a_command_says_is_translated(
    words: str, code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With every letter of the Spanish catalogue put out, what a command in Spanish prints has no
    letters left but names, options, units, signs of quantities and what was typed."""
    (tmp_path / "slip.csv").write_text("trial,hand.force (N)\n1,9.4\n2,9.3\n3,9.5\n4,94\n", "utf-8")
    rows = "0.3,3.1\n0.5,5.2\n0.8,8.4\n"
    (tmp_path / "series.csv").write_text(f"bag.mass (kg),hand.force (N)\n{rows}", "utf-8")
    monkeypatch.setenv("SANDBOX_LANGUAGE", "es")
    monkeypatch.setattr("sandbox.language.words.translations", lambda _: Blank())
    done = inside(*words.split(), cwd=tmp_path)
    assert done.returncode == code, done.stdout + done.stderr
    own = f"sandbox N kg g m cm mm J W P C k u y mass on height at {words} {SCENES} {tmp_path}"
    for name in ("fixed_sheave", "sled_drawn_up", "two_part_tackle"):
        scene = load(find_scene(name))
        own += f" {scene.about.title_in('es')} {scene.name} {' '.join(scene.parts)}"
        own += " ".join(called for _, called in scene.about.names_in("es"))
    # Keys and quantities, as a scene file has them.
    said = re.sub(r"\b\w+\.\w+\b", "", f"{done.stdout} {done.stderr}")
    left = set(re.findall(r"[A-Za-zÀ-ÿ]+", said)) - set(re.findall(r"[A-Za-zÀ-ÿ]+", own))
    assert not left, (left, said)
