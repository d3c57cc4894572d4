"""Work shared out to further processes, which Ctrl-C ends without a word."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Any


def pool(jobs: int, method: str | None = "spawn") -> Executor:
    """What does some jobs on every core; in this process where the system lends no others.

    `method` is how processes are started, None for the system's usual way. A job's result raises
    BrokenProcessPool where the system has ended a process.
    """
    cores = max(1, min(os.cpu_count() or 1, jobs))
    try:
        return _Pool(cores, mp_context=get_context(method), initializer=_hear)
    except (ImportError, OSError):  # no semaphores, such as where /dev/shm is missing or full
        return ThreadPoolExecutor(1)


class _Pool(ProcessPoolExecutor):
    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        with unheard():  # processes are started here
            return super().submit(fn, *args, **kwargs)


@contextmanager
def unheard() -> Iterator[None]:
    """Within this, Ctrl-C is put off; a process started here never hears it, not even starting."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _hear() -> None:
    """Ctrl-C ends this process from now on, at once: there is nothing in it to put in order."""
    if hasattr(signal, "pthread_sigmask"):
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
