"""What runs in the page stands on the standard library and a few small packages alone."""

from __future__ import annotations

import io
import json
import subprocess
import sys

from babel.messages import mofile

from sandbox.drawing import lettering
from sandbox.language.words import LANGUAGES
from sandbox.live import pack
from tests.catalogue import texts_of
from tests.commands import WITH_THE_SHIM
from tests.every_scene import COMPARED
from tests.places import ROOT

SHEETS = """
import json, sys

class Missing:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in MISSING:
            raise ModuleNotFoundError(f"{name} is missing here")

MISSING = set(sys.argv[1:])
sys.meta_path.insert(0, Missing())

from sandbox.drawing import lettering
for bold, (advances, missing) in enumerate(json.load(sys.stdin)):
    lettering.know(bool(bold), ({int(code): width for code, width in advances.items()}, missing))

from sandbox.language.display import Display
from sandbox.sheet import state, timeline
from sandbox.sheet.sheet import Sheet
from sandbox.shipped import find_scene

# What most of the time would go to is done shortly.
ahead = timeline.looking_ahead
timeline.LOOK_AHEAD = 20
state.looking_ahead = lambda scene, **_: ahead(scene, soon=True)

class Unchecked:
    def ask(self, scene): pass
    def result(self): return None
    def close(self): pass

scenes = [find_scene(name) for name in NAMES]
sheet = Sheet(scenes, checker=Unchecked(), display=Display("es"))
sheet.resize(1366, 768)
for _ in scenes:
    for _ in range(30):
        sheet.tick(1 / 30)
    under, over = sheet.compose()
    print(sheet.scene.name, sheet.shown.time, len(under.items), len(over.items))
    # To leave what is changed and not saved is to be asked for twice.
    for key in ("Tab", "ArrowUp", "PageDown", "PageDown"):
        index = sheet.scenes.index
        sheet.key_down(key)
        sheet.key_up(key)
        if sheet.scenes.index != index:
            break
        for _ in range(5):
            sheet.tick(0.1)
print(sorted(MISSING & {name.partition(".")[0] for name in sys.modules}))
"""
MISSING = (
    "numpy", "scipy", "pygame", "matplotlib", "fontTools", "portalocker", "multiprocessing",
    "subprocess", "uncertainties", "cffi", "_cffi_backend", "jinja2", "typer", "rich",
)  # fmt: skip


def test_the_sheet_runs_without_what_the_page_lacks() -> None:
    """Scenes with each two kinds of parts, and every one where SANDBOX_WHOLE is set, run on the
    sheet, and are changed there, where numpy, SciPy, pygame, matplotlib, fontTools, pymunk's cffi
    and processes cannot be imported."""
    names = [path.stem for path in COMPARED]
    advances = [lettering.advances_of(bold) for bold in (False, True)]
    done = subprocess.run(
        [sys.executable, "-c", WITH_THE_SHIM + f"NAMES = {names}\n" + SHEETS, *MISSING],
        cwd=ROOT,
        input=json.dumps(advances),
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    *said, loaded = done.stdout.splitlines()
    assert loaded == "[]"
    assert sorted({line.split()[0] for line in said}) == sorted(names)
    assert all(int(items) > 40 for line in said for items in line.split()[2:]), said


def test_what_travels_can_say_its_texts() -> None:
    """Every text of the program that a page carries is in the catalogues that travel with it, which
    have none of the texts of a class's work."""
    program = pack.program([])
    for language in LANGUAGES[1:]:
        place = f"sandbox/language/locale/{language}/LC_MESSAGES/sandbox.mo"
        known = {
            (message.context, message.id if isinstance(message.id, str) else message.id[0])
            for message in mofile.read_mo(io.BytesIO(program[place]))
        }
        for name, source in program.items():
            if name.startswith("sandbox/") and name.endswith(".py"):
                for said in texts_of(source.decode()):
                    assert (said.context, said.texts[0]) in known, (name, said)
        assert (None, "Begin as somebody else") not in known
