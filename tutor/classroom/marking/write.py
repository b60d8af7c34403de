"""What marking writes: tables, ``marks.json``, feedback and changes, each put in place whole."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from typing import IO, Any

from ...files.names import sheet_name
from ..handins.cells import row
from .changes import STUDENTS, UNREADABLE, changes
from .feedback import feedback
from .jobs import MarkingResult, result_from
from .made_class import ClassSettings
from .marks import MARKS_FORMAT, HandInState, StudentMarks, apart_document, student_document
from .out import APART_CSV, CHANGES_CSV, MARKS_CSV, MARKS_JSON, UNCLEAR_CSV, MarksFolder
from .store import Store, StudentStanding
from .tables import (
    APART_COLUMNS,
    CHANGES_COLUMNS,
    UNCLEAR_COLUMNS,
    Row,
    change_rows,
    marks_head,
    marks_row,
    unclear_rows,
)

MOST_TOLD = 10
"""Students told of by name."""


@dataclass
class WritingOutcome:
    """What came of it.

    Attributes:
        students: how many there are, by state.
        files: hand-ins that were looked at.
        marked_now: hand-ins that were marked in this run; the others' marks were known.
        open: answers that wait for a human.
        apart: things that are listed apart.
        unread: (student, file) of the first few of whom there is nothing that could be read.
        changed: (student, total before, total after) of the first few whose total is another.
        changes: rows of ``changes.csv``; ``None`` where there is nothing to compare with.
        deaths: times that a worker died; its work was done by another one.
    """

    students: dict[HandInState, int] = field(default_factory=lambda: dict.fromkeys(HandInState, 0))
    files: int = 0
    marked_now: int = 0
    open: int = 0
    apart: int = 0
    unread: list[tuple[str, str]] = field(default_factory=list)
    changed: list[tuple[str, str, str]] = field(default_factory=list)
    changes: int | None = None
    deaths: int = 0


Tell = Callable[[str, int], None]


class Writing:
    """Writes what a store holds into a place, and says in ``outcome`` what it was."""

    def __init__(
        self,
        store: Store,
        place: MarksFolder,
        course: ClassSettings,
        tolerance: Fraction | None,
        outcome: WritingOutcome,
        tell: Tell,
    ) -> None:
        self.outcome = outcome
        self._store, self._place, self._course = store, place, course
        self._tolerance, self._tell = tolerance, tell

    def write(self) -> None:
        """Write everything, and put it in place; ``marks.json`` last."""
        place = self._place
        with (
            place.stage(UNCLEAR_CSV) as unclear,
            place.stage(MARKS_CSV) as table,
            place.stage(MARKS_JSON) as file,
        ):
            document = _Document(file, self._course, self._tolerance)
            shape = self._store.most_problems()
            unclear.write(row(UNCLEAR_COLUMNS).encode())
            table.write(row(marks_head(shape)).encode())
            for marks, result in self._marks():
                document.add(student_document(marks))
                table.write(row(marks_row(marks, shape)).encode())
                for cells in unclear_rows(marks, result):
                    unclear.write(row(cells).encode())
                told = feedback(self._course, marks) if marks.problems else ""
                place.feedback(marks.folder, told)
                self.outcome.students[marks.state] += 1
                if marks.state is HandInState.UNREAD and len(self.outcome.unread) < MOST_TOLD:
                    name = marks.name or marks.id or sheet_name(marks.number)
                    self.outcome.unread.append((name, marks.file))
                self.outcome.open += marks.open + len(result.strays)
                self._tell("write", sum(self.outcome.students.values()))
            document.next("apart")
            for found in self._store.apart():
                document.add(apart_document(found))
            document.end(self.outcome)
        self.outcome.apart = place.table(APART_CSV, self._apart_rows()) - 1
        if place.is_new(MARKS_JSON) and (place.root / MARKS_JSON).exists():
            place.keep()
        self._write_changes()
        place.put()

    def _marks(self) -> Iterator[tuple[StudentMarks, MarkingResult]]:
        for standing in self._store.standings():
            result = result_from(standing.result) if standing.result else MarkingResult()
            yield _student(standing, result), result

    def _apart_rows(self) -> Iterator[Row]:
        yield APART_COLUMNS
        for found in self._store.apart():
            sheet = sheet_name(found.sheet) if found.sheet else ""
            yield found.file, sheet, found.what, found.remedy

    def _write_changes(self) -> None:
        """Compare with the marks before these."""
        place = self._place
        before = place.latest()
        if before is None:
            place.remove(CHANGES_CSV)
            return
        try:
            rows = self._changes(before / MARKS_JSON)
            self.outcome.changes = place.table(CHANGES_CSV, rows) - 1
        except UNREADABLE:
            # Somebody changed the earlier marks: then all is new.
            self.outcome.changed.clear()
            nothing = (found for marks, _ in self._marks() for found in change_rows(None, marks))
            self.outcome.changes = place.table(CHANGES_CSV, _headed(nothing)) - 1

    def _changes(self, before: Path) -> Iterator[Row]:
        yield CHANGES_COLUMNS
        for found in changes(before, self._place.staged(MARKS_JSON)):
            _, id_, name, question, was, now, *_ = found
            if question == "total" and len(self.outcome.changed) < MOST_TOLD:
                self.outcome.changed.append((str(name or id_ or found[0]), str(was), str(now)))
            yield found


def _headed(rows: Iterable[Row]) -> Iterator[Row]:
    yield CHANGES_COLUMNS
    yield from rows


def _student(standing: StudentStanding, result: MarkingResult) -> StudentMarks:
    entry = standing.entry
    return StudentMarks(
        entry.number,
        entry.folder,
        entry.name,
        entry.id,
        HandInState(standing.state),
        result.problems if standing.state == HandInState.MARKED else (),
        standing.file,
        (standing.notes,) if standing.notes else (),
    )


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


class _Document:
    """``marks.json``, written as it comes."""

    def __init__(self, file: IO[bytes], course: ClassSettings, tolerance: Fraction | None) -> None:
        self._file = file
        self._digest = sha256()
        self._between = ""
        head = {
            "format": MARKS_FORMAT,
            "title": course.title,
            "course": course.course,
            "date": course.date,
            "language": course.language,
            **{name: how for name in ("symbols", "paper") if (how := getattr(course, name))},
            **({"tolerance": str(tolerance)} if tolerance is not None else {}),
        }
        lines = [f"{_json(name)}: {_json(value)},\n" for name, value in head.items()]
        self._write(("{" + "".join(lines)).encode() + STUDENTS)

    def _write(self, data: bytes) -> None:
        self._digest.update(data)
        self._file.write(data)

    def add(self, document: dict[str, Any]) -> None:
        """The next of a list, on a line of its own."""
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
        self._write(f"{self._between}{text}".encode())
        self._between = ",\n"

    def next(self, name: str) -> None:
        """The list ends, and the one of this name begins."""
        self._write(f"{self._end()}{_json(name)}: [\n".encode())

    def _end(self) -> str:
        lines, self._between = "\n" if self._between else "", ""
        return f"{lines}],\n"

    def end(self, outcome: WritingOutcome) -> None:
        """All lists are written."""
        counts = {
            "students": sum(outcome.students.values()),
            **{state.value: count for state, count in outcome.students.items()},
            "open": outcome.open,
        }
        self._write(f'{self._end()}"counts": {_json(counts)},\n'.encode())
        self._file.write(f'"made_of": {_json(self._digest.hexdigest())}}}\n'.encode())
