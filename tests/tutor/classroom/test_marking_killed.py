"""Marking that is killed, in small.

``python -m tests.studies.kill_the_marking`` does it fifty times.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any

import pytest
from rungwise.tutor.classroom.marking import out as marking_out
from rungwise.tutor.classroom.marking import run as marking_run

from tests.studies import kill_the_marking as killing

from .handed_in import Class, written


@pytest.mark.skipif(sys.platform == "win32", reason="kills as POSIX has it")
def test_killed_and_begun_again_it_comes_to_the_same_bytes(tmp_path: Path) -> None:
    killing.prepare(tmp_path, 6)
    ends, _ = killing.kill(tmp_path, 2, Random(5))
    assert ends >= 2


def test_other_bytes_would_be_seen() -> None:
    with pytest.raises(killing.OtherBytesError, match="other files"):
        killing.compare({"a": b""}, {"a": b"", "b": b""})
    with pytest.raises(killing.OtherBytesError, match="differs"):
        killing.compare({"a": b"1"}, {"a": b"2"})


class Killed(BaseException):
    """What happens instead of the next thing that is done to the disk."""


def counting(monkeypatch: pytest.MonkeyPatch, last: int) -> list[str]:
    """Let so many things be done to the disk, and end at the next; what was done."""
    done: list[str] = []

    def counted(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*words: Any, **named: Any) -> Any:
            if len(done) >= last:
                raise Killed(name)
            done.append(name)
            return real(*words, **named)

        return call

    for owner, names in {
        os: ("replace", "fsync", "open"),
        Path: ("unlink", "mkdir"),
        marking_out.shutil: ("copyfile", "rmtree"),
    }.items():
        for name in names:
            monkeypatch.setattr(owner, name, counted(name, getattr(owner, name)))
    return done


def test_ended_at_any_step_on_the_disk_it_comes_to_the_same_bytes(tmp_path: Path) -> None:
    room = Class(tmp_path, 2)
    killing.hand_in_all(room.back, 2)
    before, right = tmp_path / "before", tmp_path / "right"
    room.mark()
    shutil.copytree(room.marks, before)
    room.mark("--tolerance", "5 %")
    shutil.copytree(room.marks, right)
    good = written(right)
    assert good != written(before)
    step, kinds = 0, set[str]()
    while True:
        shutil.rmtree(room.marks)
        shutil.copytree(before, room.marks)
        with pytest.MonkeyPatch.context() as patched:
            done = counting(patched, step)
            try:
                room.mark("--tolerance", "5 %")
                break
            except Killed:
                kinds.update(done)
        room.mark("--tolerance", "5 %")
        assert written(room.marks) == good, f"after {step} steps: {done[-3:]}"
        step += 1
    assert step > 30
    assert kinds >= {"replace", "fsync", "open", "unlink", "mkdir", "copyfile"}


def test_ended_before_all_is_marked_it_has_changed_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    room = Class(tmp_path, 3)
    killing.hand_in_all(room.back, 3)
    room.mark()
    good, batch = written(room.marks), marking_run.mark_batch
    marked: list[int] = []

    def interrupted(jobs: Any) -> Any:
        if len(marked) == 2:
            raise KeyboardInterrupt
        marked.extend(job.number for job in jobs)
        return batch(jobs)

    monkeypatch.setattr(marking_run, "BATCH", 1)
    monkeypatch.setattr(marking_run, "mark_batch", interrupted)
    assert "stopped; run the same command again" in room.mark("--tolerance", "5 %", status=130)
    assert len(marked) == 2 and written(room.marks) == good
