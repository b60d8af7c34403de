"""``settled.csv``: what the teacher decides about answers that could not be read.

It is ``unclear.csv`` saved under this name, with a column filled in: ``points`` gives the answer
so many, ``corrected`` has it marked as if it read so.  Rows without either wait.  The columns
sheet and question are needed, tag is wanted: with it, a decision is followed only while the
answer is the one that it was made about.  Any answer can be decided about, not only unclear ones.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from ....problems.quantities.spelling import shown
from ..handins.cells import one_line, unguarded
from ..handins.files import question_number
from ..handins.table import BadTable, decoded, rows

NAME = "settled.csv"
COLUMNS = ("tag", "sheet", "student", "question", "asked", "typed", "trouble", "of", "points",
           "corrected")  # fmt: skip
"""The columns of ``unclear.csv``."""
MOST_BYTES = 16 * 1024 * 1024
MOST_ROWS = 100_000
MOST_TEXT = 1024
_NEEDED = ("sheet", "question")
_POINTS = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?)(?:/(\d{1,3}))?", re.ASCII)
_SHEET = re.compile(r"0*(\d{1,6})(?:[.,]0+)?", re.ASCII)


class SettledRow(NamedTuple):
    """A row of ``settled.csv``; ``points`` is a fraction, or "" where only a text is given."""

    sheet: int
    question: str
    line: int
    tag: str
    points: str
    text: str


def read_settled(data: bytes) -> Iterator[SettledRow | BadTable]:
    """The decisions of a file, row by row, and what is wrong with a row.

    Raises:
        BadTable: the file is no such table.
    """
    text, _ = decoded(data, MOST_BYTES)
    found, _ = rows(text, MOST_ROWS)
    head = [_folded(cell) for cell in next(found, [])]
    missing = [name for name in _NEEDED if name not in head]
    if missing:
        raise BadTable(
            f"it has no column {' and no column '.join(missing)}",
            f"save unclear.csv as {NAME}, and fill in points or corrected",
        )
    for line, cells in enumerate(found, start=2):
        row = dict(zip(head, cells, strict=False))
        points, corrected = (unguarded(row.get(n, "").strip()) for n in ("points", "corrected"))
        if not points and not corrected:
            continue
        try:
            yield _decided(line, row, points, corrected)
        except BadTable as error:
            yield error


def _decided(line: int, row: dict[str, str], points: str, corrected: str) -> SettledRow:
    sheet = _SHEET.fullmatch(_folded(row.get("sheet", "")))
    question = question_number(row.get("question", ""))
    if sheet is None or question is None:
        raise BadTable(
            f"row {line} does not say which answer it is about",
            "give the number of the sheet and of the question, such as 03 and Q1.2",
        )
    value = ""
    if points:
        match = _POINTS.fullmatch(unicodedata.normalize("NFKC", points))
        if match is None or (match[2] and not int(match[2])):
            raise BadTable(
                f"row {line}: {shown(one_line(points))} are no points", "give a number such as 1.5"
            )
        value = str(Fraction(match[1].replace(",", ".")) / int(match[2] or 1))
    if len(corrected) > MOST_TEXT:
        raise BadTable(f"row {line}: the corrected answer is too long", "give what it should read")
    tag = row.get("tag", "").strip()[:40]
    return SettledRow(int(sheet[1]), question, line, tag, value, corrected)


def _folded(cell: str) -> str:
    return unicodedata.normalize("NFKC", cell[:100]).strip().casefold()
