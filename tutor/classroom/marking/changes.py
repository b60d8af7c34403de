"""What a new run of marking changed for whom: two ``marks.json`` side by side, line by line.

Neither is held in memory: students stand one a line, by number, in both.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from ....problems.sheets.model import SheetError
from .marks import StudentMarks, student_of
from .tables import Row, change_rows

MOST_LINE = 64 * 1024 * 1024
"""Longest line of ``marks.json`` that is read back, in bytes."""
STUDENTS, NO_MORE = b'"students": [\n', b"]"


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


def changes(before: Path, after: Path) -> Iterator[Row]:
    """Rows of ``changes.csv``.

    Raises:
        OSError, SheetError, ValueError: as :func:`students`.
    """
    old = students(before)
    was = next(old, None)
    for now in students(after):
        while was is not None and was.number < now.number:
            was = next(old, None)
        same = was is not None and was.number == now.number
        yield from change_rows(was if same else None, now)


UNREADABLE = (OSError, SheetError, ValueError, RecursionError)
"""What :func:`changes` raises where the earlier marks were damaged."""
