"""Dynamics: a scene -> a running machine -> immutable snapshots. `run` is the front door.

`simulation` sets up pymunk and takes a step, `rope_solver` solves what pymunk lacks, `parts` has
what differs from kind to kind, `readings` reads, `measure` turns a recording into the numbers a
bench would give. Nothing here knows `theory`.
"""

from sandbox.engine.events import Event
from sandbox.engine.live import Live
from sandbox.engine.loads import FreeBody, Load
from sandbox.engine.measure import Measured, measure
from sandbox.engine.run import length_of, run, run_gradually, watch
from sandbox.engine.settings import SAMPLE, STEP
from sandbox.engine.snapshot import Energy, Force, HandState, Recording, Snapshot, Span
from sandbox.engine.trials import (
    effort_that_holds,
    on_bench,
    readings_at_slip,
    time_at_edge,
    with_edges_shown,
)

__all__ = [
    "SAMPLE",
    "STEP",
    "Energy",
    "Event",
    "Force",
    "FreeBody",
    "HandState",
    "Live",
    "Load",
    "Measured",
    "Recording",
    "Snapshot",
    "Span",
    "effort_that_holds",
    "length_of",
    "measure",
    "on_bench",
    "readings_at_slip",
    "run",
    "run_gradually",
    "time_at_edge",
    "watch",
    "with_edges_shown",
]
