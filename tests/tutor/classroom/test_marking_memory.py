"""Nothing is held for each student.

``python -m tests.studies.benchmarks marking`` measures memory.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from rungwise.problems.sheets.documents import key_document
from rungwise.tutor.classroom.handins.files import Answers
from rungwise.tutor.classroom.making.crew import AHEAD, Here
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.classroom.marking import run as marking_run
from rungwise.tutor.classroom.marking.folder import HandIn, read_hand_in
from rungwise.tutor.classroom.marking.jobs import MarkingJob, MarkingResult, mark_batch, written
from rungwise.tutor.classroom.marking.made_class import ClassMember, ClassSettings
from rungwise.tutor.classroom.marking.marks import ProblemMark, StudentMarks
from rungwise.tutor.classroom.marking.store import KnownHandIn, Marked, StudentStanding

from .handed_in import PLAN, as_csv, key_for, typed

KEY = json_bytes(key_document(key_for(1)))
DATA = as_csv(1, typed(1, 1)).replace(b"student,leave this row as it is:,001\r\n", b"")


HELD = (
    HandIn,
    Answers,
    ClassMember,
    MarkingJob,
    Marked,
    KnownHandIn,
    StudentStanding,
    MarkingResult,
    StudentMarks,
    ProblemMark,
)
"""What there is one of for each student."""


def alive() -> int:
    """How many of these there are at this moment."""
    gc.collect()
    return sum(isinstance(one, HELD) for one in gc.get_objects())


def most_alive(folder: Path, size: int) -> int:
    """The most of them that there were while so many hand-ins were marked."""

    def entries() -> Iterator[ClassMember]:
        for number in range(1, size + 1):
            yield ClassMember(number, f"{number:02d}-student")

    def hand_ins() -> Iterator[HandIn]:
        for number in range(1, size + 1):
            data = DATA.replace(b"as it is:,01", b"as it is:,%d" % number)
            yield read_hand_in(f"{number:02d}-student/answers.csv", data, ".csv")

    counts: list[int] = []

    def tell(what: str, done: int) -> None:
        if done % (size // 4) == 0 or what == "mark":
            counts.append(alive())

    marking = marking_run.Marking(
        ClassSettings(PLAN.title), entries(), hand_ins(), lambda entry: KEY, folder
    )
    found = marking_run.mark(marking, Here(), tell)
    assert found.marked_now == size
    assert len(counts) >= 8
    return max(counts) - alive()


def test_of_many_students_only_a_few_are_held_at_a_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hand_in = read_hand_in("a.csv", DATA, ".csv")
    assert hand_in.answers is not None
    (once,) = mark_batch([MarkingJob(1, KEY, written(hand_in.answers))])
    # What the grader does is not what is measured here.
    monkeypatch.setattr(marking_run, "mark_batch", lambda jobs: [once for _ in jobs])
    few, many = most_alive(tmp_path / "few", 32), most_alive(tmp_path / "many", 160)
    assert 0 < many <= few + 5
    assert few < 3 * marking_run.BATCH * AHEAD
