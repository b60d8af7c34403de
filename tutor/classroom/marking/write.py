"""What marking writes: tables, ``marks.json``, feedback and changes, each put in place whole."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from ...files.names import sheet_name
from .changes import STUDENTS, UNREADABLE, changes
from .feedback import feedback
from .made_class import ClassSettings
from .marks import (
    MARKS_FORMAT,
    HandInState,
    SetApart,
    StudentMarks,
    apart_document,
    student_document,
)
from .out import APART_CSV, CHANGES_CSV, MARKS_CSV, MARKS_JSON, UNCLEAR_CSV, MarksFolder
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


class MarkedStudent(NamedTuple):
    """A student's marks, and what they answered to questions that the sheet does not ask."""

    marks: StudentMarks
    strays: tuple[tuple[str, str], ...]


@dataclass
class WritingOutcome:
    """What came of it.

    Attributes:
        students: how many there are, by state.
        files: hand-ins that were looked at.
        open: answers that wait for a human.
        apart: things that are listed apart.
        unread: (student, file) of the first few of whom there is nothing that could be read.
        changed: (student, total before, total after) of the first few whose total is another.
        changes: rows of ``changes.csv``; ``None`` where there is nothing to compare with.
        deaths: times that a worker died; its work was done by another one.
    """

    students: dict[HandInState, int] = field(default_factory=lambda: dict.fromkeys(HandInState, 0))
    files: int = 0
    open: int = 0
    apart: int = 0
    unread: list[tuple[str, str]] = field(default_factory=list)
    changed: list[tuple[str, str, str]] = field(default_factory=list)
    changes: int | None = None
    deaths: int = 0


Tell = Callable[[str, int], None]


class Writing:
    """Writes marks into a place, and says in ``outcome`` what it was."""

    def __init__(
        self,
        marked: Sequence[MarkedStudent],
        apart: Sequence[SetApart],
        place: MarksFolder,
        course: ClassSettings,
        tolerance: Fraction | None,
        outcome: WritingOutcome,
    ) -> None:
        self.outcome = outcome
        self._marked, self._apart = marked, apart
        self._place, self._course, self._tolerance = place, course, tolerance

    def write(self) -> None:
        """Write everything, and put it in place; ``marks.json`` last."""
        place, outcome = self._place, self.outcome
        for marks, strays in self._marked:
            outcome.students[marks.state] += 1
            outcome.open += marks.open + len(strays)
            if marks.state is HandInState.UNREAD and len(outcome.unread) < MOST_TOLD:
                name = marks.name or marks.id or sheet_name(marks.number)
                outcome.unread.append((name, marks.file))
        outcome.apart = len(self._apart)
        place.stage(MARKS_JSON, self._document())
        place.table(MARKS_CSV, self._marks_rows())
        place.table(UNCLEAR_CSV, self._unclear_rows())
        place.table(APART_CSV, self._apart_rows())
        if place.is_new(MARKS_JSON) and (place.root / MARKS_JSON).exists():
            place.keep()
        self._write_changes()
        for marks, _ in self._marked:
            place.feedback(marks.folder, feedback(self._course, marks) if marks.problems else "")
        place.put()

    def _marks_rows(self) -> Iterator[Row]:
        problems = max((len(marks.problems) for marks, _ in self._marked), default=0)
        yield marks_head(problems)
        for marks, _ in self._marked:
            yield marks_row(marks, problems)

    def _unclear_rows(self) -> Iterator[Row]:
        yield UNCLEAR_COLUMNS
        for marks, strays in self._marked:
            yield from unclear_rows(marks, strays)

    def _apart_rows(self) -> Iterator[Row]:
        yield APART_COLUMNS
        for found in self._apart:
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
            nothing = (found for marks, _ in self._marked for found in change_rows(None, marks))
            self.outcome.changes = place.table(CHANGES_CSV, _headed(nothing)) - 1

    def _changes(self, before: Path) -> Iterator[Row]:
        yield CHANGES_COLUMNS
        for found in changes(before, (marks for marks, _ in self._marked)):
            _, id_, name, question, was, now, *_ = found
            if question == "total" and len(self.outcome.changed) < MOST_TOLD:
                self.outcome.changed.append((str(name or id_ or found[0]), str(was), str(now)))
            yield found

    # ------------------------------------------------------------------------- marks.json

    def _document(self) -> Iterator[bytes]:
        """``marks.json``, piece by piece."""
        digest = sha256()
        for piece in self._pieces():
            data = piece.encode()
            digest.update(data)
            yield data
        yield f'"made_of": {_json(digest.hexdigest())}}}\n'.encode()

    def _pieces(self) -> Iterator[str]:
        course, tolerance = self._course, self._tolerance
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
        yield from _lines(student_document(marks) for marks, _ in self._marked)
        yield '"apart": [\n'
        yield from _lines(map(apart_document, self._apart))
        states = self.outcome.students
        counts = {
            "students": len(self._marked),
            **{state.value: count for state, count in states.items()},
            "open": self.outcome.open,
        }
        yield f'"counts": {_json(counts)},\n'


def _headed(rows: Iterable[Row]) -> Iterator[Row]:
    yield CHANGES_COLUMNS
    yield from rows


def _lines(documents: Iterable[dict[str, Any]]) -> Iterator[str]:
    """The rest of a list, each of it on a line of its own."""
    between = ""
    for document in documents:
        text = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
        yield f"{between}{text}"
        between = ",\n"
    yield "\n],\n" if between else "],\n"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)
