"""Work handed out: in order, bounded, not lost with a worker, and the same on a cluster."""

from __future__ import annotations

import gc
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
from rungwise.tutor.classroom.making.crew import (
    Crew,
    CrewError,
    Here,
    Processes,
    Workers,
    in_order,
    processors,
)
from rungwise.tutor.classroom.making.make import MakingJob, make
from rungwise.tutor.classroom.roster import anonymous

from tests.tutor.classroom import crew_jobs as jobs

posix = pytest.mark.skipif(sys.platform == "win32", reason="processes are killed by signals")


class Threads:
    """Any executor will do."""

    count = 3

    def executor(self) -> Executor:
        self.pool = ThreadPoolExecutor(3)
        return self.pool

    def check(self) -> None: ...

    def end(self, *, at_once: bool) -> None:
        self.pool.shutdown()


@pytest.mark.parametrize("workers", [Here(), Threads(), Processes(2)])
def test_results_come_in_the_order_of_the_jobs(workers: Workers) -> None:
    with Crew(workers) as crew:
        assert list(in_order(crew, jobs.late, ((n,) for n in range(40)))) == list(range(40))
        assert crew.is_idle


def test_nothing_to_do_starts_nobody() -> None:
    class Nobody(Here):
        def executor(self) -> Executor:
            raise AssertionError

    with Crew(Nobody()) as crew:
        assert list(in_order(crew, jobs.double, iter(()))) == []


def test_no_more_is_under_way_than_workers_can_take_soon() -> None:
    given, most = 0, 0

    class Slow(Executor):
        def submit(self, function: Any, /, *words: Any, **named: Any) -> Future[Any]:
            future: Future[Any] = Future()
            future.set_result(function(*words))
            return future

    class Counted(Threads):
        def executor(self) -> Executor:
            return Slow()

        def end(self, *, at_once: bool) -> None: ...

    def words() -> Iterator[tuple[int]]:
        nonlocal given
        for number in range(1000):
            given += 1
            yield (number,)

    with Crew(Counted()) as crew:
        for taken, _ in enumerate(in_order(crew, jobs.double, words()), 1):
            most = max(most, given - taken)
    assert given == 1000 and most <= crew.most_ahead


def test_memory_stays_flat() -> None:
    def peak(count: int) -> int:
        gc.collect()
        tracemalloc.start()
        with Crew(Here()) as crew:
            for _ in in_order(crew, jobs.long_text, ((n,) for n in range(count))):
                pass
        top = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return top

    assert peak(400) < 1.2 * peak(40)


@pytest.mark.parametrize("workers", [Here(), Processes(2)])
def test_what_a_job_raises_is_raised_and_everybody_goes(workers: Workers) -> None:
    import multiprocessing

    before = {child.pid for child in multiprocessing.active_children()}
    with pytest.raises(ZeroDivisionError, match="number"), Crew(workers) as crew:
        list(in_order(crew, jobs.fails, ((n,) for n in range(9))))
    assert {child.pid for child in multiprocessing.active_children()} <= before


@posix
def test_what_a_dead_worker_had_is_done_by_another(tmp_path: Path) -> None:
    with Crew(Processes(2)) as crew:
        found = list(in_order(crew, jobs.dies_once, ((n, str(tmp_path)) for n in range(30))))
        assert found == list(range(30))
        assert crew.deaths == 1


@posix
def test_a_job_that_kills_every_worker_is_given_up(tmp_path: Path) -> None:
    with (
        pytest.raises(CrewError, match="died 4 times over the same work"),
        Crew(Processes(2)) as crew,
    ):
        list(in_order(crew, jobs.dies_always, ((n,) for n in range(10))))


def test_nothing_that_is_done_is_done_twice(tmp_path: Path) -> None:
    with Crew(Processes(2)) as crew:
        list(in_order(crew, jobs.noted, ((n, str(tmp_path)) for n in range(50))))
    assert {path.read_text() for path in tmp_path.iterdir()} == {"x"}
    assert len(list(tmp_path.iterdir())) == 50


@posix
def test_stopping_takes_the_workers_along_at_once(tmp_path: Path) -> None:
    began = time.monotonic()

    def work() -> None:
        with Crew(Processes(2)) as crew:
            for _ in range(4):
                crew.give(jobs.sleeps, 60.0, str(tmp_path))
            while len(list(tmp_path.iterdir())) < 2:
                time.sleep(0.01)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        work()
    assert time.monotonic() - began < 30
    for path in tmp_path.iterdir():
        with pytest.raises(ProcessLookupError):
            os.kill(int(path.name), 0)


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
    with pytest.raises(CrewError, match=r"pip install .rungwise\[cluster\]"):
        Cluster("tcp://127.0.0.1:8786")


@pytest.mark.filterwarnings("ignore")
def test_an_address_where_nobody_answers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    from rungwise.tutor.classroom.making import cluster as making_cluster

    monkeypatch.setattr(making_cluster, "CONNECT_SECONDS", 0.3)
    for address in ("tcp://127.0.0.1:1", "nonsense", "", "http://x"):
        with pytest.raises(CrewError, match="no cluster answers at"):
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
        with pytest.raises(CrewError, match=r"has release .* install 9\.9\.9"):
            making_cluster.Cluster(address)
