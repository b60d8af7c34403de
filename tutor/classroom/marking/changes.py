"""What a new run of marking changes for whom, and why: an earlier ``marks.json`` beside the new.

Students stand one a line there, by number, so that the earlier marks need not be held.

A preview says what would change: marking is done in a copy of the folder of marks, which is thrown
away.  So it takes every step that marking takes, decisions and all, and nothing of it reaches the
marks in place.
"""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from ....problems.sheets.model import SheetError
from ...files.names import question_place, sheet_name
from ...language.texts import speaker
from ..handins.cells import unguarded
from .marks import HandInState, QuestionMark, StudentMarks, student_of
from .out import CHANGES_CSV, EARLIER, FEEDBACK, WORK
from .tables import Row, decimal

_say = speaker("marking", "why.")
MOST_LINE = 64 * 1024 * 1024
"""Longest line of ``marks.json`` that is read back, in bytes."""
STUDENTS, NO_MORE = b'"students": [\n', b"]"
COLUMNS = ("number", "id", "name", "question", "before", "after", "was", "is", "why")
UNREADABLE = (OSError, SheetError, ValueError, RecursionError)
"""What :func:`changes` raises where the earlier marks were damaged."""


def students(path: Path) -> Iterator[StudentMarks]:
    """The students of a ``marks.json``, one after the other.

    Raises:
        OSError: it can't be opened.
        SheetError: it isn't as it was written.
        ValueError: a line is no JSON, or far too long.
    """
    with open(path, "rb") as file:
        while (line := file.readline(MOST_LINE)) != STUDENTS:
            if not line:
                return
        while (line := file.readline(MOST_LINE)) and not line.startswith(NO_MORE):
            yield student_of(json.loads(line.rstrip(b",\n")))


def changes(before: Iterable[StudentMarks], after: Iterable[StudentMarks]) -> Iterator[Row]:
    """Rows of ``changes.csv``, of marks ``before`` and ``after``, both by number of the student.

    A row is a question, or the total.

    Who is no longer in the class has a row as well; so has whom a number meant before, where rows
    of a roster number the students.

    Raises:
        OSError, SheetError, ValueError: as :func:`students`.
    """
    old = iter(before)
    was = next(old, None)
    for now in after:
        while was is not None and was.number < now.number:
            yield _gone(was)
            was = next(old, None)
        same = None
        if was is not None and was.number == now.number:
            if _is_same(was, now):
                same = was
            else:
                yield _gone(was)
            was = next(old, None)
        yield from _of_student(same, now)
    while was is not None:
        yield _gone(was)
        was = next(old, None)


def _is_same(before: StudentMarks, after: StudentMarks) -> bool:
    """Whether a number is still the same student's: an id or a name may have been corrected."""
    return before.folder == after.folder or (bool(before.id) and before.id == after.id)


def _gone(before: StudentMarks) -> Row:
    known = sheet_name(before.number), before.id, before.name
    return *known, "total", _total(before), "", before.state.value, "", _say("left")


def _of_student(before: StudentMarks | None, after: StudentMarks) -> Iterator[Row]:
    known = sheet_name(after.number), after.id, after.name
    totals = [_total(marks) for marks in (before, after)]
    states = [marks.state.value if marks else "" for marks in (before, after)]
    if totals[0] != totals[1] or states[0] != states[1]:
        yield *known, "total", *totals, *states, ""
    was, now = ({q.number: q for q in m.questions} if m else {} for m in (before, after))
    for number in sorted({*was, *now}, key=question_place):
        sides = [side.get(number) for side in (was, now)]
        points = [decimal(side.points) if side else "" for side in sides]
        verdicts = [side.verdict.value if side else "" for side in sides]
        if points[0] != points[1] or verdicts[0] != verdicts[1]:
            yield *known, f"Q{number}", *points, *verdicts, _why(*sides)


def _why(before: QuestionMark | None, after: QuestionMark | None) -> str:
    """Why an answer is marked otherwise, as far as the marks tell."""
    if before is None or after is None:
        return _say("new" if before is None else "gone")
    if after.settled and (before.settled, before.points) != (after.settled, after.points):
        return _say("decided")
    if before.settled:
        return _say("undecided")
    if before.typed != after.typed:
        return _say("answered" if not before.typed else "typed")
    if before.of != after.of or before.answer != after.answer:
        return _say("worth" if before.of != after.of else "key")
    if before.wider != after.wider:
        return _say("wider" if after.wider else "narrower")
    if before.follows != after.follows:
        return _say("follows" if after.follows else "stands-alone")
    return _say("judged" if before.verdict is not after.verdict else "shares")


def _total(marks: StudentMarks | None) -> str:
    return decimal(marks.points) if marks and marks.state is HandInState.MARKED else ""


class MarkChange(NamedTuple):
    """One row of ``changes.csv``: a question, or "total"."""

    number: str
    id: str
    name: str
    question: str
    before: str
    after: str
    was: str
    now: str
    why: str


@contextmanager
def copied(marks: Path) -> Iterator[Path]:
    """A copy of the folder ``marks``, readable for its owner alone, that is removed in the end.

    Raises:
        OSError: it can't be copied.
    """
    with TemporaryDirectory(prefix="rungwise-") as folder:
        copy = Path(folder) / "marks"
        if marks.is_dir():
            leave = shutil.ignore_patterns(EARLIER, FEEDBACK, WORK)
            shutil.copytree(marks, copy, symlinks=True, ignore=leave)
        yield copy


def would_change(marks: Path) -> Iterator[MarkChange]:
    """What marking into the folder ``marks`` changed, by student."""
    path = marks / CHANGES_CSV
    if path.exists():
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows = csv.reader(file)
            next(rows, None)
            yield from (
                MarkChange(*map(unguarded, row)) for row in rows if len(row) == len(COLUMNS)
            )
