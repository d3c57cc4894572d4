"""`python -m sandbox` is the `sandbox` command."""

from __future__ import annotations

import os
import signal
import sys
import threading
from types import FrameType


def main() -> None:
    """Run the command line; Ctrl-C ends it without a word, even while it loads or has done."""
    heard = False

    def hear(number: int, frame: FrameType | None) -> None:
        nonlocal heard
        heard = True
        signal.default_int_handler(number, frame)

    def pass_over(found: sys.UnraisableHookArgs) -> None:
        """Python passes over what is raised where a destructor happens to run: ask once more, and
        the whole process, as this thread may have put it off."""
        if isinstance(found.exc_value, KeyboardInterrupt):
            threading.Timer(0.01, os.kill, [os.getpid(), signal.SIGINT]).start()
        else:
            sys.__unraisablehook__(found)

    # Where it is ignored, as it is of what a shell runs in the background, it stays so.
    hearing = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    try:
        try:
            if hearing:
                signal.signal(signal.SIGINT, hear)
                sys.unraisablehook = pass_over
            from sandbox.cli import main as run

            run()
        finally:
            if hearing:
                signal.signal(signal.SIGINT, signal.SIG_DFL)
    except BaseException:  # what is loaded may make something else of it, such as an ImportError
        if heard:
            sys.exit(130)  # as shells count it
        raise


if __name__ == "__main__":
    main()
