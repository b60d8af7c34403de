"""What a new run of marking changed for whom: an earlier ``marks.json`` beside the new marks.

Students stand one a line there, by number, so that the earlier marks need not be held.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
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


def changes(before: Path, after: Iterable[StudentMarks]) -> Iterator[Row]:
    """Rows of ``changes.csv``.

    Args:
        before: an earlier ``marks.json``.
        after: the new marks, by number.

    Raises:
        OSError, SheetError, ValueError: as :func:`students`.
    """
    old = students(before)
    was = next(old, None)
    for now in after:
        while was is not None and was.number < now.number:
            was = next(old, None)
        same = was is not None and was.number == now.number
        yield from change_rows(was if same else None, now)


UNREADABLE = (OSError, SheetError, ValueError, RecursionError)
"""What :func:`changes` raises where the earlier marks were damaged."""
