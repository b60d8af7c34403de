"""What marking would change: it is done in a copy of the folder of marks, which is thrown away.

So a preview takes every step that marking takes, decisions and all, and nothing that it does
reaches the marks in place.
"""

from __future__ import annotations

import csv
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from ..handins.cells import unguarded
from .changes import COLUMNS
from .out import CHANGES_CSV, EARLIER, FEEDBACK, WORK


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
