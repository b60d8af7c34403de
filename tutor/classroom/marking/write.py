"""What marking writes: tables, ``marks.json``, feedback and changes, each put in place whole."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from hashlib import sha256
from itertools import chain
from typing import Any

from ...files.names import sheet_name
from .changes import COLUMNS, STUDENTS, UNREADABLE, changes, students
from .feedback import feedback
from .hand_in import FileFate
from .made_class import ClassSettings
from .marks import (
    MARKS_FORMAT,
    HandInState,
    SetApart,
    StudentMarks,
    apart_document,
    student_document,
)
from .out import (
    APART_CSV,
    CHANGES_CSV,
    FILES_CSV,
    MARKS_CSV,
    MARKS_JSON,
    UNCLEAR_CSV,
    WIDENED_CSV,
    MarksFolder,
)
from .tables import (
    FileRow,
    MarkedStudent,
    Row,
    WiderAnswer,
    apart_table,
    files_table,
    marks_table,
    widened_table,
    wider_answers,
)
from .waiting import unclear_table

MOST_TOLD = 10
"""Students told of by name."""


@dataclass
class WritingOutcome:
    """What came of it.

    Attributes:
        students: how many there are, by state.
        files: files that were looked at; ``fates`` says how many of them became what.
        open: answers that wait for a human.
        on_paper: answers that wait to be entered from paper.
        apart: things that are listed apart.
        unread: (student, file) of the first few of whom there is nothing that could be read.
        changed: (student, total before, total after) of the first few whose total is another.
        changes: rows of ``changes.csv``; ``None`` where there is nothing to compare with.
        wider: answers that only a tolerance wider than the plan's takes for right.
        mistakes: of those the ones that a known mistake leads to.
        held: the first few of these, by name.
        credited: whether these are credited all the same.
        deaths: times that a worker died; its work was done by another one.
    """

    students: dict[HandInState, int] = field(default_factory=lambda: dict.fromkeys(HandInState, 0))
    files: int = 0
    fates: Counter[FileFate] = field(default_factory=Counter)
    open: int = 0
    on_paper: int = 0
    apart: int = 0
    unread: list[tuple[str, str]] = field(default_factory=list)
    changed: list[tuple[str, str, str]] = field(default_factory=list)
    changes: int | None = None
    wider: int = 0
    mistakes: int = 0
    held: list[WiderAnswer] = field(default_factory=list)
    credited: bool = False
    deaths: int = 0


Tell = Callable[[str, int], None]
_json = partial(json.dumps, ensure_ascii=False)


@dataclass(frozen=True, slots=True)
class Writing:
    """Marks to be written into a place.

    Attributes:
        marked: the class by number.
        apart: what could not be marked, in order.
        files: every file that was looked at but those of systems, in order.
        place: where they go.
        course: what all sheets have in common.
        tolerance: a relative tolerance in place of the plan's.
        outcome: is told what it came to.
    """

    marked: Sequence[MarkedStudent]
    apart: Sequence[SetApart]
    files: Sequence[FileRow]
    place: MarksFolder
    course: ClassSettings
    tolerance: Fraction | None
    outcome: WritingOutcome

    def write(self) -> None:
        """Write everything, and put it in place; ``marks.json`` last."""
        place, outcome = self.place, self.outcome
        for marks, strays in self.marked:
            outcome.students[marks.state] += 1
            outcome.open += marks.open + len(strays)
            outcome.on_paper += marks.on_paper
            self._note_wider(marks)
            if marks.state is HandInState.UNREAD and len(outcome.unread) < MOST_TOLD:
                outcome.unread.append((_called(marks), marks.file))
        outcome.apart = len(self.apart)
        outcome.fates.update(found.fate for found in self.files)
        place.stage(MARKS_JSON, self._document())
        place.table(MARKS_CSV, marks_table(self.marked))
        place.table(UNCLEAR_CSV, unclear_table(self.marked))
        place.table(APART_CSV, apart_table(self.apart))
        place.table(FILES_CSV, files_table(self.files))
        if outcome.wider:
            place.table(WIDENED_CSV, widened_table(self.marked))
        else:
            place.remove(WIDENED_CSV)
        if place.is_new(MARKS_JSON) and (place.root / MARKS_JSON).exists():
            place.keep()
        self._write_changes()
        for marks, _ in self.marked:
            place.feedback(marks.folder, feedback(self.course, marks) if marks.problems else "")
        place.put()

    def _note_wider(self, marks: StudentMarks) -> None:
        told = self.outcome
        for wider in wider_answers(marks):
            told.wider += 1
            told.mistakes += bool(wider.slip)
            if wider.slip and len(told.held) < MOST_TOLD:
                told.held.append(wider._replace(student=_called(marks)))

    def _write_changes(self) -> None:
        before = self.place.latest()
        if before is None:
            self.place.remove(CHANGES_CSV)
            return
        new, told = (marks for marks, _ in self.marked), self.outcome
        try:
            rows = self._told(changes(students(before / MARKS_JSON), new))
            told.changes = self.place.table(CHANGES_CSV, rows) - 1
        except UNREADABLE:
            # Somebody changed the earlier marks: then all is new.
            told.changed.clear()
            rows = chain([COLUMNS], changes((), (marks for marks, _ in self.marked)))
            told.changes = self.place.table(CHANGES_CSV, rows) - 1

    def _told(self, rows: Iterable[Row]) -> Iterator[Row]:
        """The table, while the first few whose total is another are noted."""
        yield COLUMNS
        for found in rows:
            number, id_, name, question, was, now, *_ = found
            told = question == "total" and was != now  # a newcomer without marks has none either
            if told and len(self.outcome.changed) < MOST_TOLD:
                self.outcome.changed.append((str(name or id_ or number), str(was), str(now)))
            yield found

    def _document(self) -> Iterator[bytes]:
        """``marks.json``, piece by piece."""
        digest = sha256()
        for piece in self._pieces():
            data = piece.encode()
            digest.update(data)
            yield data
        yield f'"made_of": {_json(digest.hexdigest())}}}\n'.encode()

    def _pieces(self) -> Iterator[str]:
        course, tolerance = self.course, self.tolerance
        head = {
            "format": MARKS_FORMAT,
            "title": course.title,
            "course": course.course,
            "date": course.date,
            "language": course.language,
            **{name: how for name in ("symbols", "paper") if (how := getattr(course, name))},
            **({"tolerance": str(tolerance)} if tolerance is not None else {}),
        }
        yield "{" + "".join(f"{_json(name)}: {_json(value)},\n" for name, value in head.items())
        yield STUDENTS.decode()
        yield from _lines(student_document(marks) for marks, _ in self.marked)
        yield '"apart": [\n'
        yield from _lines(map(apart_document, self.apart))
        states = self.outcome.students
        counts = {
            "students": len(self.marked),
            **{state.value: count for state, count in states.items()},
            "open": self.outcome.open,
        }
        yield f'"counts": {_json(counts)},\n'


def _called(marks: StudentMarks) -> str:
    return marks.name or marks.id or sheet_name(marks.number)


def _lines(documents: Iterable[dict[str, Any]]) -> Iterator[str]:
    """The rest of a list, each of it on a line of its own."""
    between = ""
    for document in documents:
        text = _json(document, separators=(",", ":"))
        yield f"{between}{text}"
        between = ",\n"
    yield "\n],\n" if between else "],\n"
