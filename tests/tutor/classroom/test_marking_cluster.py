"""Marking on a local dask cluster comes to the same bytes as here, also when a worker is killed."""

from __future__ import annotations

import os
import shutil
import signal
import sys
from pathlib import Path

import pytest
from rungwise.tutor.classroom.marking import run as marking_run
from rungwise.tutor.classroom.marking.folder import hand_ins
from rungwise.tutor.classroom.marking.made_class import read_class
from rungwise.tutor.classroom.marking.marks import HandInState
from rungwise.tutor.cli.sheet_mark import _key

from .handed_in import Class, hand_in_all, written

COUNT = 12


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX has it")
@pytest.mark.filterwarnings("ignore")
def test_a_cluster_comes_to_the_same_bytes_also_when_a_worker_is_killed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    distributed = pytest.importorskip("distributed")
    from rungwise.tutor.classroom.making.cluster import Cluster

    monkeypatch.setattr(marking_run, "BATCH", 1)
    room = Class(tmp_path, COUNT)
    hand_in_all(room.back, COUNT)
    room.mark("--workers", "1")
    good = written(room.marks)
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as local:
        shutil.rmtree(room.marks)
        room.mark("--cluster", local.scheduler_address)
        assert written(room.marks) == good

        shutil.rmtree(room.marks)
        pid = next(iter(local.workers.values())).pid
        killed: list[int] = []

        def tell(what: str, done: int) -> None:
            if what == "mark" and not killed:
                os.kill(pid, signal.SIGKILL)
                killed.append(done)

        course, entries = read_class(room.out / "keys" / "class.json")
        marking = marking_run.Marking(
            course, entries, hand_ins(room.back), lambda entry: _key(room.out, entry), room.marks
        )
        outcome = marking_run.mark(marking, Cluster(local.scheduler_address), tell)
    assert killed and outcome.students[HandInState.MARKED] == COUNT
    assert written(room.marks) == good
