"""Work handed out: in order, bounded, not lost with a worker, and the same on a cluster."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
import sys
import time
import tracemalloc
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from rungwise.problems.questions.model import Rung
from rungwise.problems.sheets.model import Plan, PlanSection
from rungwise.tutor.classroom.making.make import MakingJob, make
from rungwise.tutor.classroom.making.workers import (
    AHEAD,
    Here,
    Processes,
    Workers,
    WorkersError,
    processors,
)
from rungwise.tutor.classroom.roster import anonymous

from tests.tutor.classroom import worker_jobs as jobs

posix = pytest.mark.skipif(sys.platform == "win32", reason="processes are killed by signals")


class Threads(Workers):
    """Any executor will do."""

    count = 3

    def start(self) -> Executor:
        return ThreadPoolExecutor(3)


@pytest.mark.parametrize("workers", [Here(), Threads(), Processes(2)])
def test_results_come_in_the_order_of_the_jobs(workers: Workers) -> None:
    with workers:
        assert list(workers.in_order(jobs.late, ((n,) for n in range(40)))) == list(range(40))
        # The same pool does more.
        assert list(workers.in_order(jobs.double, [(4,), (2,)])) == [8, 4]


def test_nothing_to_do_starts_nobody() -> None:
    class Nobody(Workers):
        count = 2

        def start(self) -> Executor:
            raise AssertionError

    with Nobody() as nobody:
        assert list(nobody.in_order(jobs.double, iter(()))) == []


def test_no_more_is_under_way_than_workers_can_take_soon() -> None:
    given, most = 0, 0

    class Slow(Executor):
        def submit(self, function: Any, /, *words: Any, **named: Any) -> Future[Any]:
            future: Future[Any] = Future()
            future.set_result(function(*words))
            return future

    class Counted(Threads):
        def start(self) -> Executor:
            return Slow()

    def words() -> Iterator[tuple[int]]:
        nonlocal given
        for number in range(1000):
            given += 1
            yield (number,)

    with Counted() as workers:
        for taken, _ in enumerate(workers.in_order(jobs.double, words()), 1):
            most = max(most, given - taken)
    assert given == 1000 and most <= AHEAD * workers.count


@pytest.mark.parametrize("workers", [Here(), Threads()])
def test_memory_stays_flat(workers: Workers) -> None:
    def peak(count: int) -> int:
        gc.collect()
        tracemalloc.start()
        with workers:
            for _ in workers.in_order(jobs.long_text, ((n,) for n in range(count))):
                pass
        top = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return top

    assert peak(400) < 1.2 * peak(40)


@pytest.mark.parametrize("workers", [Here(), Processes(2)])
def test_what_a_job_raises_is_raised_and_everybody_goes(workers: Workers) -> None:
    before = {child.pid for child in multiprocessing.active_children()}
    with pytest.raises(ZeroDivisionError, match="number"), workers:
        list(workers.in_order(jobs.fails, ((n,) for n in range(9))))
    assert {child.pid for child in multiprocessing.active_children()} <= before


@posix
def test_what_a_dead_worker_had_is_done_by_another(tmp_path: Path) -> None:
    with Processes(2) as workers:
        words = ((n, str(tmp_path)) for n in range(30))
        assert list(workers.in_order(jobs.dies_once, words)) == list(range(30))
        assert workers.deaths == 1


@posix
def test_a_job_that_kills_every_worker_is_given_up() -> None:
    with (
        pytest.raises(WorkersError, match="died 4 times over the same work"),
        Processes(2) as workers,
    ):
        list(workers.in_order(jobs.dies_always, ((n,) for n in range(10))))


def test_nothing_that_is_done_is_done_twice(tmp_path: Path) -> None:
    with Processes(2) as workers:
        list(workers.in_order(jobs.noted, ((n, str(tmp_path)) for n in range(50))))
    assert {path.read_text() for path in tmp_path.iterdir()} == {"x"}
    assert len(list(tmp_path.iterdir())) == 50


@posix
def test_who_stops_waits_for_what_is_under_way_and_for_nothing_else(tmp_path: Path) -> None:
    began = time.monotonic()

    def work() -> None:
        with Processes(2) as workers:
            for _ in workers.in_order(jobs.sleeps, ((1.0, str(tmp_path)) for _ in range(60))):
                raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        work()
    assert time.monotonic() - began < 25  # 60 of them would have taken 30 seconds
    pids = {int(path.name) for path in tmp_path.iterdir()}
    assert len(pids) == 2
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells which processors")
def test_only_processors_that_may_be_used_are_counted() -> None:
    all_ = os.sched_getaffinity(0)
    try:
        os.sched_setaffinity(0, {min(all_)})
        assert processors() == 1
    finally:
        os.sched_setaffinity(0, all_)


# --- a cluster ------------------------------------------------------------------------------------

PLAN = Plan("Filters", 7, (PlanSection(levels=(1, 2), count=3, ask=(Rung.TYPE, Rung.CORNER)),))


def content(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_without_the_library_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    from rungwise.tutor.classroom.making.cluster import Cluster

    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(WorkersError, match=r"pip install .*\[cluster\]"):
        Cluster("tcp://127.0.0.1:8786")


@pytest.mark.filterwarnings("ignore")
def test_an_address_where_nobody_answers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    from rungwise.tutor.classroom.making import cluster as making_cluster

    monkeypatch.setattr(making_cluster, "CONNECT_SECONDS", 0.3)
    for address in ("tcp://127.0.0.1:1", "nonsense", "", "http://x"):
        with pytest.raises(WorkersError, match="no cluster answers at"):
            making_cluster.Cluster(address)


@posix
@pytest.mark.filterwarnings("ignore")
def test_a_cluster_gives_the_same_bytes_also_when_a_worker_is_killed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    distributed = pytest.importorskip("distributed")
    from rungwise.tutor.classroom.making import cluster as making_cluster

    students = anonymous(24)
    make(MakingJob(PLAN, students, tmp_path / "processes", ("json",)), Processes(2))
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        silence_logs=50,
    ) as local:
        address = local.scheduler_address
        workers = making_cluster.Cluster(address)
        assert workers.count == 2
        make(MakingJob(PLAN, students, tmp_path / "cluster", ("json",)), workers)
        assert content(tmp_path / "cluster") == content(tmp_path / "processes")

        pid = next(iter(local.workers.values())).pid
        killed: list[int] = []

        def tell(done: int, of: int) -> None:
            if done >= 4 and not killed:
                os.kill(pid, signal.SIGKILL)
                killed.append(done)

        make(
            MakingJob(PLAN, students, tmp_path / "killed", ("json",)),
            making_cluster.Cluster(address),
            tell,
        )
        assert killed and content(tmp_path / "killed") == content(tmp_path / "processes")

        monkeypatch.setattr(making_cluster, "VERSION", "9.9.9")
        with pytest.raises(WorkersError, match=r"has release .* install 9\.9\.9"):
            making_cluster.Cluster(address)


@posix
@pytest.mark.filterwarnings("ignore")
def test_a_cluster_that_goes_in_the_midst_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    distributed = pytest.importorskip("distributed")
    from rungwise.tutor.classroom.making import cluster as making_cluster
    from rungwise.tutor.classroom.making import workers as making_workers

    monkeypatch.setattr(making_workers, "PATIENCE", 1.0)
    students, made = anonymous(60), tmp_path / "made"
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as local:

        def tell(done: int, of: int) -> None:
            if done == 4:
                local.close()

        workers = making_cluster.Cluster(local.scheduler_address)
        with pytest.raises(WorkersError, match=r"has gone|no workers left|died 4 times"):
            make(MakingJob(PLAN, students, made, ("json",)), workers, tell)
    # What was done has stayed, and a second run goes on.
    outcome = make(MakingJob(PLAN, students, made, ("json",)), Here())
    assert 0 < outcome.there < 60 and outcome.made == 60 - outcome.there
