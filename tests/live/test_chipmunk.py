"""Chipmunk by ctypes, as the page runs it, held to pymunk itself."""

from __future__ import annotations

import subprocess
import sys

from tests.commands import WITH_THE_SHIM
from tests.places import ROOT

EVERY_SCENE = """
import sys
from sandbox import engine
from sandbox.scene import load
from sandbox.shipped import shipped_scenes

for path in shipped_scenes():
    scene = load(path)
    recording = engine.run(scene)
    print(path.stem, engine.measure(recording), recording.events, recording.snapshots[-1])
    if scene.about.mode == "held" and scene.hand is not None:
        print(engine.effort_that_holds(scene))
print(("_cffi_backend" in sys.modules), file=sys.stderr)
"""


def _every_scene(before: str = "") -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", before + EVERY_SCENE],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_every_shipped_scene_is_measured_to_the_same_bytes() -> None:
    """All that `check` takes from the engine is the same of every shipped scene, to the last byte,
    whether it stands on pymunk or on Chipmunk by ctypes; and then pymunk's own way in is not
    loaded."""
    pymunk, shim = _every_scene(), _every_scene(WITH_THE_SHIM)
    (said, through_cffi), (said_by_shim, not_through_cffi) = (
        pymunk.communicate(),
        shim.communicate(),
    )
    assert through_cffi.split()[-1:] == ["True"], through_cffi
    assert not_through_cffi.split()[-1:] == ["False"], not_through_cffi
    assert said.count("Measured(") > 30
    assert said_by_shim == said
