"""Work shared out to further processes, which end with this one and leave Ctrl-C to it.

The standard library's pools will not do: where a process is ended while it hands over what it has
found, they wait for the rest for ever, and where this one is killed, theirs stay.
"""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor, Future
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, Self, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Item = TypeVar("Item")
Result = TypeVar("Result")


class Pool:
    """Does jobs on every core; in this process where the system lends no others.

    It is used in a `with` block, at whose end, however that comes about, its processes are ended.
    """

    def __init__(self, jobs: int, method: str | None = "spawn") -> None:
        """For so many jobs. `method` is how processes are started, None for the usual way."""
        self._cores, self._method = max(1, min(os.cpu_count() or 1, jobs)), method
        self._workers: set[WorkerProcess] = set()
        self._idle: list[WorkerProcess] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        for worker in self._workers:
            worker.end()

    def map(self, job: Callable[[Item], Result], items: Iterable[Item]) -> Iterator[Result]:
        """What comes of the job for each item, in order.

        Raises what the job raises, and BrokenExecutor where the system has ended a process.
        """
        done: dict[int, Future[Result]] = {}
        wanted = 0
        for number, future in self.as_done(job, items):
            done[number] = future
            while wanted in done:
                yield done.pop(wanted).result()
                wanted += 1

    def as_done(
        self, job: Callable[[Item], Result], items: Iterable[Item]
    ) -> Iterator[tuple[int, Future[Result]]]:
        """The number of each item, from 0, and what comes of the job for it, as it is done."""
        waiting = list(enumerate(items))[::-1]
        busy: dict[Connection, tuple[int, WorkerProcess]] = {}
        try:
            while waiting or busy:
                while waiting and (worker := self._free()):
                    number, item = waiting.pop()
                    busy[worker.pipe] = number, worker
                    worker.begin(job, item)
                if not busy:
                    number, item = waiting.pop()
                    yield number, _future(*_outcome(job, item))
                    continue
                from multiprocessing.connection import wait

                for pipe in wait(list(busy)):
                    number, worker = busy[pipe]  # type: ignore[index]
                    result, error = worker.answer()
                    del busy[pipe]  # type: ignore[arg-type]
                    if isinstance(error, BrokenExecutor):
                        self._lose(worker)
                    else:
                        self._idle.append(worker)
                    yield number, _future(result, error)
        finally:
            for _, worker in busy.values():  # nobody waits for these any more
                self._lose(worker)

    def _free(self) -> WorkerProcess | None:
        """A process with nothing to do; None where all have, or the system lends none."""
        while self._idle:
            if (worker := self._idle.pop()).alive:
                return worker
            self._lose(worker)
        if len(self._workers) == self._cores:
            return None
        try:
            worker = WorkerProcess(self._method)
        except (ImportError, OSError):
            self._cores = len(self._workers)
            return None
        self._workers.add(worker)
        return worker

    def _lose(self, worker: WorkerProcess) -> None:
        self._workers.discard(worker)
        worker.end()


class WorkerProcess:
    """A process that does one job after another. Raises OSError, or ImportError, if there is none.

    It is ended at the latest when this one is, even if that is killed.
    """

    def __init__(self, method: str | None = "spawn") -> None:
        from multiprocessing import get_context

        context = get_context(method)
        self.pipe, far = context.Pipe()
        self.share = 0.0
        """How much of its job is done, from 0 to 1, as far as it has told by `report`."""
        self._answer: tuple[Any, Exception | None] | None = None
        # One that is not started yet has nothing to be ended.
        self._process = context.Process(target=_serve, args=(far,), daemon=True)  # type: ignore[attr-defined]
        with unheard(), far:
            self._process.start()

    @property
    def alive(self) -> bool:
        """Whether it is there to do a job."""
        return bool(self._process.is_alive())

    def begin(self, job: Callable[[Any], Any], item: Any) -> None:
        """Have it do a job, which both must be able to import."""
        self.share, self._answer = 0.0, None
        with suppress(OSError):  # it was ended; its answer will say so
            self.pipe.send((job, item))

    @property
    def answered(self) -> bool:
        """Whether `answer` would not wait."""
        with suppress(OSError):
            while self._answer is None and self.pipe.poll():
                self._receive()
            return self._answer is not None
        return True

    def answer(self) -> tuple[Any, Exception | None]:
        """What came of the job, and what it raised: BrokenExecutor where the process was ended.
        This waits for it."""
        while self._answer is None:
            self._receive()
        found, self._answer = self._answer, None
        return found

    def _receive(self) -> None:
        try:
            message = self.pipe.recv()
        except (EOFError, OSError):
            message = None, BrokenExecutor("a process was ended")
        if isinstance(message, float):
            self.share = message
        else:
            self._answer = message

    def end(self) -> None:
        """End it, whatever it is doing."""
        self.pipe.close()
        self._process.kill()
        self._process.join()


_asking: Connection | None = None
"""In a worker process, where its jobs come from."""


def report(share: float) -> None:
    """Tell whoever waits for the job that this process does how much of it is done, from 0 to 1."""
    if _asking is not None:
        _asking.send(float(share))


def _serve(pipe: Connection) -> None:
    """Do the jobs that come through the pipe."""
    global _asking
    _asking = pipe
    from multiprocessing import parent_process

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # Recordings are large and hold no rings: to look through them as often as is usual takes a
    # tenth of the time.
    gc.set_threshold(50_000)
    threading.Thread(target=_end_with, args=(parent_process(),), daemon=True).start()
    with suppress(EOFError, OSError):
        while True:
            pipe.send(_outcome(*pipe.recv()))


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)


def _outcome(job: Callable[[Item], Result], item: Item) -> tuple[Result | None, Exception | None]:
    """What a job gives or raises."""
    try:
        return job(item), None
    except Exception as error:
        return None, error


def _future(result: Any, error: Exception | None) -> Future[Any]:
    future: Future[Any] = Future()
    if error is None:
        future.set_result(result)
    else:
        future.set_exception(error)
    return future


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
