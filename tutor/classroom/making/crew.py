"""Work handed out to processes, here or on a cluster, through ``concurrent.futures.Executor``.

A crew keeps a bounded number of jobs under way, so that memory stays flat however many there
are.  A job whose worker dies is handed out again, a bounded number of times; a job that comes to
an end is never done twice.  Jobs are pure functions: what they give doesn't depend on who does
them, or when.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Protocol, Self, TypeVar

T = TypeVar("T")

MOST_TRIES = 4
"""Times that one job is handed out, when workers die over it."""
AHEAD = 2
"""Jobs under way for each worker: one that it does, and one that it can take at once."""
PATIENCE = 30.0
"""Seconds without any result until it is asked whether there are workers at all."""


class CrewError(Exception):
    """The work can't be done by these workers; the message says why, and what mends it."""


class Workers(Protocol):
    """Where work is done.  ``executor`` gives a new executor each time it is called."""

    count: int

    def executor(self) -> Executor:
        """An executor that can be given jobs."""

    def check(self) -> None:
        """Called when nothing has come for a while.

        Raises:
            CrewError: nobody is there to do anything.
        """

    def end(self, *, at_once: bool) -> None:
        """Let the workers go; ``at_once`` doesn't wait for what they are doing."""


class Here:
    """No workers: everything is done by this very process, when it is asked for."""

    count = 1

    def executor(self) -> Executor:
        """See :class:`Workers`."""
        return _Here()

    def check(self) -> None:
        """Somebody is always here."""

    def end(self, *, at_once: bool) -> None:
        """Nothing to let go."""


class _Here(Executor):
    def submit(self, function: Callable[..., T], /, *words: Any, **named: Any) -> Future[T]:
        future: Future[T] = Future()
        try:
            future.set_result(function(*words, **named))
        except Exception as error:
            future.set_exception(error)
        return future


class Processes:
    """Processes of this machine, as many as it has processors unless told otherwise."""

    def __init__(self, count: int | None = None, preload: Iterable[str] = ()) -> None:
        self.count = count or processors()
        self._preload = list(preload)
        self._pool: ProcessPoolExecutor | None = None
        self._others: set[int | None] = set()

    def executor(self) -> Executor:
        """See :class:`Workers`."""
        import multiprocessing

        self.end(at_once=True)
        # A process that is forked from one with threads may hang: a server without any forks.
        way = "forkserver" if sys.platform != "win32" else "spawn"
        context = multiprocessing.get_context(way)
        if way == "forkserver":
            context.set_forkserver_preload(self._preload)
        self._others = {child.pid for child in multiprocessing.active_children()}
        self._pool = ProcessPoolExecutor(self.count, context, initializer=_begin)
        return self._pool

    def check(self) -> None:
        """A pool whose processes have gone says so itself."""

    def end(self, *, at_once: bool) -> None:
        """See :class:`Workers`."""
        import multiprocessing

        pool, self._pool = self._pool, None
        if pool is None:
            return
        if at_once:
            # What is under way isn't cancelled first: a pool whose processes have gone fails it,
            # and would stumble over what was cancelled.
            for child in multiprocessing.active_children():
                if child.pid not in self._others:
                    child.terminate()
        pool.shutdown(wait=True, cancel_futures=not at_once)


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


@dataclass
class _Job:
    function: Callable[..., Any]
    words: tuple[Any, ...]
    tries: int = 0


class Crew:
    """Hands out jobs and takes their results."""

    def __init__(self, workers: Workers, *, patience: float = PATIENCE) -> None:
        self._workers = workers
        self._patience = patience
        self._executor: Executor | None = None
        self._jobs: dict[int, _Job] = {}
        self._futures: dict[Future[Any], int] = {}
        self._given = 0
        self.deaths = 0
        """Times that a worker died."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._workers.end(at_once=kind is not None)

    @property
    def most_ahead(self) -> int:
        """Results worth holding back for one that comes late."""
        return 4 * AHEAD * self._workers.count

    @property
    def has_room(self) -> bool:
        """Whether another job would keep a worker from waiting."""
        return len(self._jobs) < self._workers.count * AHEAD

    @property
    def is_idle(self) -> bool:
        """Whether nothing is under way."""
        return not self._jobs

    def give(self, function: Callable[..., Any], *words: Any) -> int:
        """Hand out a job; the number by which its result is known."""
        number, self._given = self._given, self._given + 1
        self._jobs[number] = _Job(function, words)
        self._hand_out(number)
        return number

    def _hand_out(self, number: int) -> None:
        job = self._jobs[number]
        job.tries += 1
        for _ in range(2):
            if self._executor is None:
                self._executor = self._workers.executor()
            try:
                self._futures[self._executor.submit(job.function, *job.words)] = number
                return
            except BrokenExecutor:  # it broke while nobody looked: its other jobs will tell
                self._executor = None
        raise CrewError("the workers die as soon as they start; try `--workers 1`")

    def take(self) -> list[tuple[int, Any]]:
        """Wait until a job is done; the numbers and results of those that are.

        Raises:
            CrewError: workers die over a job again and again, or none are left.
            Exception: what a job raised.
        """
        while True:
            done, _ = wait(self._futures, timeout=self._patience, return_when=FIRST_COMPLETED)
            if not done:
                self._workers.check()
                continue
            found: list[tuple[int, Any]] = []
            lost: list[int] = []
            for future in sorted(done, key=self._futures.__getitem__):
                number = self._futures.pop(future)
                try:
                    found.append((number, future.result()))
                    del self._jobs[number]
                except BaseException as error:
                    if not _is_death(error):
                        raise
                    lost.append(number)
                    if isinstance(error, BrokenExecutor):
                        self._executor = None
            if lost:
                self.deaths += 1
                self._again(lost, found)
            if found:
                return found

    def _again(self, lost: list[int], found: list[tuple[int, Any]]) -> None:
        """Hand out once more what was lost with a worker."""
        if self._executor is None:
            # A pool that breaks fails all that it was given; what was done before is kept.
            rest, _ = wait(self._futures, timeout=self._patience)
            for future in sorted(rest, key=self._futures.__getitem__):
                number = self._futures.pop(future)
                if future.cancelled() or future.exception() is not None:
                    lost.append(number)
                else:
                    found.append((number, future.result()))
                    del self._jobs[number]
        for number in sorted(lost):
            if self._jobs[number].tries >= MOST_TRIES:
                raise CrewError(
                    f"a worker died {MOST_TRIES} times over the same work; "
                    "is there enough memory? Fewer `--workers` need less"
                )
            self._hand_out(number)


def _is_death(error: BaseException) -> bool:
    """Whether an exception says that a worker has gone, and nothing about its work."""
    # The cluster's own class is named rather than imported, as it may not be installed.
    return isinstance(error, (BrokenExecutor, CancelledError)) or type(error).__name__ in {
        "KilledWorker",
        "FutureCancelledError",
        "LostError",
    }


def in_order(
    crew: Crew, function: Callable[..., T], words: Iterable[tuple[Any, ...]]
) -> Iterator[T]:
    """What a function gives for each tuple of arguments, in their order.

    No more are under way, or done and waiting for one before them, than a few for each worker.
    """
    left = iter(words)
    held: dict[int, T] = {}
    order: list[int] = []
    more = True
    while True:
        while more and crew.has_room and len(order) < crew.most_ahead:
            try:
                order.append(crew.give(function, *next(left)))
            except StopIteration:
                more = False
        while order and order[0] in held:
            yield held.pop(order.pop(0))
        if not order and not more:
            return
        if order and order[0] not in held:
            held.update(crew.take())
