"""What happens is told as facts: each kind has a code of its own, and is told when."""

from __future__ import annotations

import json
import tomllib

import pytest

from sandbox import check, engine, scene
from sandbox.engine import events
from sandbox.engine.events import Event, Log
from sandbox.facts import Kind
from sandbox.report import run_record

KINDS = [kind for room in (events, check) for kind in vars(room).values() if isinstance(kind, Kind)]


def test_codes_are_unique():
    """No two kinds of event, refusal or remark share a code."""
    assert len({kind.code for kind in KINDS}) == len(KINDS) > 30


@pytest.mark.parametrize(
    ("time", "text"),
    [(0.001, "0 s"), (0.05, "0.05 s"), (0.5, "0.50 s"), (1.2, "1.20 s"), (12.345, "12.35 s")],
)
def test_times_are_told_to_a_hundredth(time, text):
    """An event is told to a hundredth of a second, however late it comes."""
    event = Event(time, events.GOES_SLACK(rope="fall"))
    assert str(check.HAPPENED(time=event.moment, event=event.fact)) == f"at {text} fall goes slack"


def test_a_thing_is_entered_once():
    """What goes on happening is entered in the log when it first does, and not again after another
    log has been gone on from."""
    log = Log()
    for log.time in (0.1, 0.2):
        log.note(events.OVER_RANGE(gauge="dial"))
        log.note(events.PARTS(rope="fall", number=2))
    assert [event.time for event in log.events] == [0.1, 0.1]
    assert [event.harmless for event in log.events] == [True, False]
    later = Log()
    later.go_on_from(log)
    later.note(events.OVER_RANGE(gauge="dial"))
    assert later.events == []


def test_events_in_the_record_have_codes_and_fields():
    """Who reads a run's JSON finds for each event its code and its fields beside the words."""
    text = """
[scene]
title = "A whip"
watch = "The rope."
mode = "raising"
[block.head]
at = ["0 m", "2 m"]
[weight.bag]
mass = "500 g"
at = ["plumb", "1 m"]
[rope.whip]
reeve = ["bag", "head.1", "hand"]
breaking_load = "4 N"
[hand.hand]
at = ["plumb", "1 m"]
"""
    machine = scene.parse(tomllib.loads(text))
    report = check.Report("whip", "A whip", (), (), engine.run(machine, duration=0.1))
    event = json.loads(run_record(report))["events"][0]
    assert (event["code"], event["fields"]) == ("parts", {"rope": "whip", "number": 1})
    assert event["what"] == "whip parts in part 1"
