"""What is held for each student is small: a class of ten thousand fits into any memory.

``python -m tests.studies.benchmarks marking`` measures whole processes.
"""

from __future__ import annotations

import gc
import tracemalloc
from collections.abc import Iterator
from pathlib import Path

import pytest
from rungwise.problems.sheets.documents import key_document
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.classroom.making.workers import Here
from rungwise.tutor.classroom.marking import run as marking_run
from rungwise.tutor.classroom.marking.hand_in import HandIn
from rungwise.tutor.classroom.marking.jobs import MarkingJob, MarkingResult
from rungwise.tutor.classroom.marking.made_class import ClassMember, ClassSettings
from rungwise.tutor.classroom.marking.marks import HandInState
from rungwise.tutor.classroom.marking.opened import read_hand_in

from .handed_in import PLAN, as_csv, key_for, typed

KEY = json_bytes(key_document(key_for(1)))
DATA = as_csv(1, typed(1, 1)).replace(b"student,leave this row as it is:,001\r\n", b"")
KIB_EACH = 40
"""Most that may be held for a student, in KiB: 400 MB for the largest class there is."""


def peak(folder: Path, size: int) -> int:
    """The most memory that was taken while so many hand-ins were marked, in bytes."""

    def entries() -> Iterator[ClassMember]:
        for number in range(1, size + 1):
            yield ClassMember(number, f"{number:02d}-student")

    def hand_ins() -> Iterator[HandIn]:
        for number in range(1, size + 1):
            data = DATA.replace(b"as it is:,01", b"as it is:,%d" % number)
            yield read_hand_in(f"{number:02d}-student/answers.csv", data, ".csv")

    marking = marking_run.Marking(
        ClassSettings(PLAN.title), entries(), hand_ins(), lambda entry: KEY + b" ", folder
    )
    gc.collect()
    suite = gc.get_threshold()
    gc.set_threshold(700, 10, 10)  # Python's own, as the program has it: the suite's lets more lie
    tracemalloc.start()
    try:
        found = marking_run.mark(marking, Here())
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
        gc.set_threshold(*suite)
        assert found.students[HandInState.MARKED] == size


def test_what_is_held_for_each_student_is_small(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    batch = marking_run.mark_batch

    def own(jobs: list[MarkingJob]) -> list[MarkingResult]:
        """Marks of their own for everybody; whose key it is, is not what is measured here."""
        return batch(MarkingJob(1, job.key, job.answers) for job in jobs)

    monkeypatch.setattr(marking_run, "mark_batch", own)
    peak(tmp_path / "first", 4)  # what is loaded once
    few, many = peak(tmp_path / "few", 16), peak(tmp_path / "many", 64)
    each = (many - few) / 48 / 1024
    assert 1 < each < KIB_EACH, f"{each:.1f} KiB a student"
