"""The window on a real X display, for a real mouse and real keys."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing import Pipe
from pathlib import Path

import pytest

TOOLS = ("Xvfb", "xdotool")
UNASKED = """
class Unasked:
    "Checks nothing: no process for it is started."
    def ask(self, scene): pass
    def result(self): return None
    def close(self): pass
"""
SCRIPT = """
from sandbox.scene import Vector
from sandbox.shipped import shipped_scenes
from sandbox.window.window import Window

paths = shipped_scenes()
at = [path.stem for path in paths].index("fixed_sheave")
window = Window(paths, at, size=(1280, 720), checker=Unasked())


def within(spot):
    "A point of a target at which it is what the pointer finds."
    xs, ys = zip(*spot.outline)
    middle = Vector(sum(xs) / len(xs), sum(ys) / len(ys))
    ways = [Vector(x, y) for x in (0, -1, 1) for y in (0, -1, 1)]
    places = [middle + far * way for far in (0.0, 1.5, 3.0, 4.5) for way in ways]
    at = window.sheet._pointer.target_at
    return next((p for p in places if (hit := at(p)) and hit.what == spot.what), middle)


def place_of(name):
    "Where on the screen a mouse finds what is called so."
    board, (left, top) = window.sheet.board, window.window.position
    width, height = window.window.size
    if name.startswith("field "):
        field = board.fields[int(name[6:])].outer
        point, lower = Vector(field.middle.x, field.top), 60
    else:
        point, lower = within(spots()[name]), 0
    across, down = point.x / board.width, 1.0 - point.y / board.height
    return round(left + across * width), round(top + down * height) + lower


def spots():
    found = {f"field {side}": None for side, _ in enumerate(window.sheet.board.fields)}
    for spot in window.sheet.board.targets:
        found.setdefault(f"{spot.kind} {spot.what}", spot)
    return found


def told(name):
    bags = [m.scene.parts.get("bag") for m in window.sheet.machines]
    both = [(bag and bag.mass, m.live.now.time) for bag, m in zip(bags, window.sheet.machines)]
    hand = window.sheet.live.now.hand
    mass = window.sheet.scene.parts["bag"].mass if "bag" in window.sheet.scene.parts else None
    names = spots()
    place = place_of(name) if name in names else None
    return (window.sheet.scene.name, window.sheet.timeline.running, window.sheet.focus, mass,
            hand and hand.travel, place, set(names), window.sheet.message,
            window.sheet.live.now.time, window.sheet.entry is not None,
            tuple(window.sheet.scene.parts), window.sheet.scene.about.title,
            [h.value for w, h in window.sheet.handles.items() if w.startswith("head.at")],
            both, window.sheet.in_hand,
            window.sheet.board.freed and window.sheet.freed, window.sheet.charting.chosen,
            [row.cells for row in window.sheet.show().predictions],
            len(window.sheet.notes.strokes), window.sheet.seen - window.sheet.asked_to_leave[1])
"""
CHECKED = SCRIPT.replace(", checker=Unasked()", "")
"""The same with a process that checks."""
LOOP = """
import sys
from multiprocessing.connection import Connection

asked = Connection(int(sys.argv[1]))
refresh = window.refresh


def refreshed():
    "Answers, where it is asked, after a frame, and whether there was none to paint."
    due = refresh()
    if asked.poll():
        asked.send((*told(asked.recv()), not due))
    return due


window.refresh = refreshed
window.run()
"""


class ClientMessage(ctypes.Structure):
    """XClientMessageEvent, filled up to the size of an XEvent."""

    _fields_ = (
        ("type", ctypes.c_int),
        ("serial", ctypes.c_ulong),
        ("send_event", ctypes.c_int),
        ("display", ctypes.c_void_p),
        ("window", ctypes.c_ulong),
        ("message_type", ctypes.c_ulong),
        ("format", ctypes.c_int),
        ("data", ctypes.c_long * 5),
        ("rest", ctypes.c_long * 24),
    )


def ask_to_close(display: str, window: int) -> None:
    """Send what a window manager sends for a click on a window's cross: WM_DELETE_WINDOW (ICCCM
    4.2.8.1). SDL makes two events of it."""
    x11 = ctypes.CDLL("libX11.so.6")
    x11.XOpenDisplay.restype = ctypes.c_void_p
    x11.XInternAtom.restype = ctypes.c_ulong
    server = ctypes.c_void_p(x11.XOpenDisplay(display.encode()))
    atoms = [x11.XInternAtom(server, name, 0) for name in (b"WM_PROTOCOLS", b"WM_DELETE_WINDOW")]
    event = ClientMessage(33, window=window, message_type=atoms[0], format=32)
    event.data[0] = atoms[1]
    assert x11.XSendEvent(server, ctypes.c_ulong(window), 0, ctypes.c_long(0), ctypes.byref(event))
    x11.XCloseDisplay(server)


def missing() -> str:
    return " and ".join(tool for tool in TOOLS if shutil.which(tool) is None)


Told = tuple  # what SCRIPT tells

Point = tuple[int, int]


def resting_place(wait: Callable, what: str, place: Callable[[Told], Point | None]) -> Point:
    """Where on the screen something is, px, once it has stayed there for some frames or nothing is
    painted anew; of what goes on moving, where it is after a second."""
    until = time.monotonic() + 1.0
    places: list[Point] = []
    still = False
    while not still and (len(places) < 5 or len({*places[-5:]}) > 1):
        told = wait(what, place, what)
        places, still = [*places, place(told)], told[-1]
        if time.monotonic() > until:
            break
    return places[-1]


@contextmanager
def real_window(
    folder: Path, script: str = SCRIPT
) -> Iterator[tuple[Callable, Callable, Callable, dict]]:
    """A window that a script opens, on an X server of its own: `tool` runs xdotool, `wait` waits
    for what the window tells, `ended` for its end, which is killed where that does not come."""
    if missing():
        if os.environ.get("CI"):
            pytest.fail(f"{missing()} must be installed")
        pytest.skip(f"{missing()} not installed")
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1400x900x24", "-nolisten", "tcp"],
        pass_fds=(writing,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    window = None
    try:
        with os.fdopen(reading) as pipe:
            display = f":{pipe.readline().strip()}"
        environment = {k: v for k, v in os.environ.items() if k != "SDL_VIDEODRIVER"}
        environment["DISPLAY"] = display
        log = folder / "told.txt"
        asking, asked = Pipe()
        with log.open("w") as out, asked:
            window = subprocess.Popen(
                [sys.executable, "-c", UNASKED + script + LOOP, str(asked.fileno())],
                env=environment, stdout=out, stderr=out, cwd=folder, pass_fds=(asked.fileno(),),
            )  # fmt: skip

        def tool(*words: object) -> None:
            subprocess.run(["xdotool", *map(str, words)], env=environment, check=True, timeout=60)

        def wait(what: str, wanted: Callable[[Told], object], name: str = "") -> Told:
            """Ask after one frame and another, also for the place of what is called so, until it
            is so."""
            until = time.monotonic() + 60.0
            told = None
            while told is None or not wanted(told):
                assert time.monotonic() < until, f"{what}: {told}"
                time.sleep(0.02)
                asking.send(name)
                assert asking.poll(60.0), f"{what}: {told}"
                try:
                    told = asking.recv()
                except (EOFError, OSError):
                    raise AssertionError(f"{what}: {log.read_text()}") from None
            return told

        yield tool, wait, window.wait, environment
    finally:
        if window is not None and window.poll() is None:
            window.kill()
            window.wait()
        server.terminate()
        server.wait()
