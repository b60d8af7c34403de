"""What the teacher decides about answers: ``settled.csv`` comes in, ``decided.jsonl`` stays.

``settled.csv`` is ``unclear.csv`` saved under this name, with a column filled in: ``points`` gives
the answer so many, ``corrected`` has it marked as if it read so.  Rows without either wait.  The
columns sheet and question are needed, tag is wanted: with it, a decision is followed only while the
answer is the one that it was made about.  Any answer can be decided about, not only unclear ones.

The next round begins with another ``unclear.csv``, which lists only what is still open, and is
saved over the ``settled.csv`` of the first.  So every decision goes into ``decided.jsonl`` before
anything is marked: a line each, only ever added to, of which the last one about an answer counts.
A decision is taken back by deleting its line there, and its row in ``settled.csv``.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from ....problems.quantities.spelling import shown
from ..handins.cells import one_line, unguarded
from ..handins.files import question_number
from ..handins.table import BadTable, decoded, rows

NAME, KEPT = "settled.csv", "decided.jsonl"
COLUMNS = ("tag", "sheet", "student", "question", "asked", "typed", "trouble", "of", "points",
           "corrected")  # fmt: skip
"""The columns of ``unclear.csv``."""
MOST_BYTES = 16 * 1024 * 1024
MOST_KEPT = 256 * 1024 * 1024
MOST_ROWS = 100_000
MOST_LINE = 16_384
"""Longest line of ``decided.jsonl``, in bytes: of a letter JSON makes twelve."""
MOST_TEXT = 1024
_NEEDED = ("sheet", "question")
_POINTS = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?)(?:/(\d{1,3}))?", re.ASCII)
_TAG = re.compile(r"[^\s\x00-\x1f]{0,40}")
_KEPT_POINTS = re.compile(r"(\d{1,12}(/[1-9]\d{0,11})?)?", re.ASCII)
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
                f"row {line}: {shown(one_line(points))} is not a number of points",
                "give a number such as 1.5",
            )
        value = str(Fraction(match[1].replace(",", ".")) / int(match[2] or 1))
    if len(corrected) > MOST_TEXT:
        raise BadTable(f"row {line}: the corrected answer is too long", "give what it should read")
    tag = "".join(one_line(row.get("tag", "")).split())[:40]
    return SettledRow(int(sheet[1]), question, line, tag, value, corrected)


def _folded(cell: str) -> str:
    return unicodedata.normalize("NFKC", cell[:100]).strip().casefold()


@dataclass(frozen=True, slots=True)
class Kept:
    """The decisions that count, and what has to be told of them.

    Attributes:
        decisions: of each answer the last one; ``line`` is that of ``decided.jsonl``.
        data: the bytes of ``decided.jsonl`` as it is to be from now on; none where there is none.
        troubles: (sheet or 0, what, remedy).
    """

    decisions: tuple[SettledRow, ...]
    data: bytes
    troubles: tuple[tuple[int, str, str], ...]


class Decisions:
    """Decisions as they come, of which the last one about an answer counts."""

    def __init__(self) -> None:
        self._found: dict[tuple[int, str], list[SettledRow]] = {}

    def __iter__(self) -> Iterator[SettledRow]:
        for of_it in self._found.values():
            yield from of_it

    def add(self, decided: SettledRow) -> SettledRow | None:
        """Take a decision; an earlier one about the same answer that is not the same gives way.

        A decision without a tag is about whatever answer there is.
        """
        place, same = (decided.sheet, decided.question), self._same(decided)
        others = [one for one in self._found.get(place, []) if one not in same]
        self._found[place] = [*others, decided]
        return next((one for one in same if not _alike(one, decided)), None)

    def has(self, decided: SettledRow) -> bool:
        """Whether this is decided already, and nothing else about the same answer."""
        same = self._same(decided)
        return bool(same) and all(_alike(one, decided) for one in same)

    def _same(self, decided: SettledRow) -> list[SettledRow]:
        of_it = self._found.get((decided.sheet, decided.question), [])
        return [one for one in of_it if one.tag == decided.tag or not (one.tag and decided.tag)]


def keep(kept: bytes, new: Iterable[SettledRow]) -> Kept:
    """Put new decisions behind those that were made before.

    What is there is kept byte by byte, also what can't be read.

    Args:
        kept: the bytes of ``decided.jsonl``.
        new: the decisions of ``settled.csv``, one of each answer.
    """
    found = Decisions()
    troubles: list[tuple[int, str, str]] = []
    data = kept if not kept or kept.endswith(b"\n") else kept + b"\n"
    lines = data.split(b"\n")[:-1]
    for number, line in enumerate(lines, start=1):
        decided = _kept(number, line) if line.strip() else None
        if decided is not None:
            troubles += _conflict(found.add(decided), decided)
        elif line.strip():
            troubles.append((0, f"line {number} is not a decision", "delete it, or write it again"))
    added: list[str] = []
    for decided in new:
        if not found.has(decided):
            now = decided._replace(line=len(lines) + len(added) + 1)
            troubles += _conflict(found.add(now), now)
            added.append(_line(now))
    return Kept(tuple(found), data + "".join(added).encode(), tuple(troubles))


def _alike(one: SettledRow, other: SettledRow) -> bool:
    return (one.points, one.text) == (other.points, other.text)


def _conflict(before: SettledRow | None, decided: SettledRow) -> Iterator[tuple[int, str, str]]:
    if before is not None:
        yield (
            decided.sheet,
            f"Q{decided.question} of sheet {decided.sheet} was decided twice: "
            f"{_told(before)} (line {before.line}), then {_told(decided)} "
            f"(line {decided.line}); the newer one counts",
            f"delete the line of {KEPT} that is not meant",
        )


def _told(decided: SettledRow) -> str:
    points = f"points {decided.points}" if decided.points else ""
    text = f"to be read {shown(one_line(decided.text), 40)}" if decided.text else ""
    return " and ".join(filter(None, (points, text)))


def _line(decided: SettledRow) -> str:
    document = {
        "sheet": decided.sheet,
        "question": decided.question,
        "tag": decided.tag,
        "points": decided.points,
        "corrected": decided.text,
    }
    return json.dumps(document) + "\n"


def _kept(number: int, line: bytes) -> SettledRow | None:
    """A line read back; ``None`` where it is none."""
    try:
        found = json.loads(line.decode()) if len(line) <= MOST_LINE else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(found, dict):
        return None
    sheet = found.get("sheet")
    texts = [found.get(name) for name in ("question", "tag", "points", "corrected")]
    question, tag, points, text = (one if isinstance(one, str) else "\n" for one in texts)
    if type(sheet) is not int or not 0 < sheet < 10**6 or question_number(question) != question:
        return None
    if not _TAG.fullmatch(tag) or not _KEPT_POINTS.fullmatch(points) or text == "\n":
        return None
    if (not points and not text) or len(text) > MOST_TEXT:
        return None
    return SettledRow(sheet, question, number, tag, points, text)
