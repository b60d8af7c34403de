"""Work handed out to processes, here or on a cluster, through ``concurrent.futures.Executor``.

A bounded number of jobs is under way at a time, so that memory stays flat however many there are.
What a worker had that died is handed out again; a job that has come to an end is never done
twice.  Jobs are pure functions: what they give doesn't depend on who does them, or when.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import (
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from dataclasses import dataclass
from itertools import islice, starmap
from typing import Any, Generic, Self, TypeVar

from ...language.told import ToldError

T = TypeVar("T")

MOST_TRIES = 4
"""Times that workers may die with nothing done in between."""
AHEAD = 4
"""Jobs for each worker that are under way, or done and waiting for one before them."""
PATIENCE = 30.0
"""Seconds without a result until it is asked whether there are workers at all."""


class WorkersError(ToldError):
    """The work can't be done by these workers; the message says why, and what mends it."""


@dataclass
class _Job(Generic[T]):
    words: tuple[Any, ...]
    future: Future[T] | None = None

    @property
    def is_done(self) -> bool:
        """Whether it came to its end, be it an error of its own."""
        future = self.future
        return (
            future is not None
            and future.done()
            and not (future.cancelled() or _is_death(future.exception()))
        )


class Workers(ABC):
    """Who does the work, for as long as the ``with`` statement that they are used in.

    Attributes:
        count: how many jobs they do at once.
        deaths: times that one of them died.
    """

    count: int
    deaths: int = 0
    _pool: Executor | None = None

    @abstractmethod
    def start(self) -> Executor:
        """A new pool.  It is asked for at the first job, and after one has broken.

        Raises:
            WorkersError: there can be none.
        """

    def check(self) -> None:  # noqa: B027 - a pool of processes tells by itself
        """Called when nothing has come for a while, and when somebody has died.

        Raises:
            WorkersError: nobody is there to do anything.
        """

    def stop(self) -> None:
        """Let them go; only what they are at is waited for."""
        pool, self._pool = self._pool, None
        if pool is not None:
            pool.shutdown(cancel_futures=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def in_order(self, function: Callable[..., T], words: Iterable[tuple[Any, ...]]) -> Iterator[T]:
        """What a function gives for each tuple of arguments, in their order.

        Args:
            function: pure, and found by its name where the workers are.
            words: taken only as results are taken, but for a few for each worker.

        Raises:
            WorkersError: workers die again and again, or none are left.
            Exception: what a job raised.
        """
        left, jobs, fruitless = iter(words), deque[_Job[T]](), 0
        while True:
            jobs.extend(_Job(one) for one in islice(left, AHEAD * self.count - len(jobs)))
            if not jobs:
                return
            try:
                result = self._first(function, jobs)
            except Exception as error:
                if not _is_death(error):
                    raise
                self.deaths += 1
                fruitless += 1
                if fruitless == MOST_TRIES:
                    raise WorkersError(
                        f"a worker died {MOST_TRIES} times over the same work; "
                        "is there enough memory? Fewer `--workers` need less"
                    ) from None
                if isinstance(error, BrokenExecutor):  # it fails all that it was given
                    self.stop()
                self.check()
                for job in jobs:
                    if not job.is_done:
                        job.future = None
            else:
                fruitless = 0
                jobs.popleft()
                yield result

    def _first(self, function: Callable[..., T], jobs: Iterable[_Job[T]]) -> T:
        """The result of the first job, after all of them have been handed out."""
        if self._pool is None:
            self._pool = self.start()
        futures = []
        for job in jobs:
            if job.future is None:
                job.future = self._pool.submit(function, *job.words)
            futures.append(job.future)
        while not wait(futures[:1], PATIENCE).done:
            self.check()
        return futures[0].result()


def batches(items: Iterable[T], size: int) -> Iterator[tuple[T, ...]]:
    """``items`` in their order, ``size`` at a time, taken as they are asked for."""
    left = iter(items)
    while batch := tuple(islice(left, size)):
        yield batch


def _is_death(error: BaseException | None) -> bool:
    """Whether an exception says that a worker has gone, and nothing about its work."""
    # The cluster's own class is named rather than imported, as it may not be installed.
    lost = isinstance(error, (BrokenExecutor, CancelledError))
    return lost or type(error).__name__ == "KilledWorker"


class Here(Workers):
    """Nobody else: this very process does each job when its result is asked for."""

    count = 1

    def start(self) -> Executor:
        """There is none."""
        raise WorkersError("this process works by itself")

    def in_order(self, function: Callable[..., T], words: Iterable[tuple[Any, ...]]) -> Iterator[T]:
        """See :class:`Workers`."""
        return starmap(function, words)


class Processes(Workers):
    """Processes of this machine, as many as it has processors unless told otherwise."""

    def __init__(self, count: int | None = None, preload: Iterable[str] = ()) -> None:
        self.count = count or processors()
        self._preload = list(preload)

    def start(self) -> Executor:
        """See :class:`Workers`."""
        import multiprocessing

        # A process that is forked from one with threads may hang: a server without any forks.
        way = "forkserver" if sys.platform != "win32" else "spawn"
        context = multiprocessing.get_context(way)
        if way == "forkserver":
            context.set_forkserver_preload(self._preload)
        return ProcessPoolExecutor(self.count, context, initializer=_begin)


def _begin() -> None:
    """What each process does first."""
    from multiprocessing import parent_process

    # Ctrl+C reaches every process of a terminal; the one that handed out the work sees to it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = parent_process()
    if parent is not None:

        def watch() -> None:
            parent.join()
            os._exit(1)  # killed: nobody is left to be told

        threading.Thread(target=watch, daemon=True).start()


def processors() -> int:
    """Processors that this process may use."""
    if sys.platform == "linux":
        return len(os.sched_getaffinity(0)) or 1
    return os.cpu_count() or 1
