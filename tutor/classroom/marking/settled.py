"""What the teacher decides about answers, in tables: ``unclear.csv`` comes back filled in.

A table may come back under any of the names of :func:`is_settled_name`, from any round, saved by
any spreadsheet as CSV, XLSX or ODS.  ``points`` gives an answer so many, ``corrected`` has it
marked as if it read so, ``accept`` takes what the row suggests.  Rows with none of them wait.

The column ``tag`` says which answers a row is about (``alike.py``): all that are alike.

* ``corrected`` is read anew for each of the students, against their own question; so it goes for
  the same text to the same kind of question whatever the right answer is, unless that was
  decided otherwise;
* ``points`` go for the same text with the same right answer, which those of one variant share.  For
  the same text whatever the right answer, "all" stands before the number;
* "open" in ``points`` takes back what was decided.

A row without a tag, or with one of earlier releases (``T…``), is about the one answer that its
columns ``sheet`` and ``question`` name; any answer can be decided about so, not only unclear ones.
With a tag, such a decision is followed only while the answer is the one that it was made about.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from ....problems.quantities.spelling import shown
from ...language.texts import filled
from ..handins.cells import one_line, unguarded
from ..handins.files import question_number
from ..handins.table import BadTable, decoded, rows
from ..handins.workbook import is_workbook, workbook_rows
from ..handins.workbook_cells import DoubtfulText
from .alike import TAG, text_of, text_part
from .marks import SetApart

NAME = "settled.csv"
COLUMNS = ("sheet", "student", "others", "question", "asked", "typed", "trouble", "suggested",
           "comes to", "right", "of", "accept", "points", "corrected", "tag")  # fmt: skip
"""The columns of ``unclear.csv``."""
READ, POINTS, BEFORE = "read ", " points", "decided last time: "
"""How the cells of ``suggested`` begin or end, so that no spreadsheet takes one for a figure."""
OPEN, EVERY = "open", "all"
"""What takes a decision back; what gives points whatever the right answer is."""
MOST_BYTES = 16 * 1024 * 1024
MOST_ROWS = 100_000
MOST_TEXT = 1024
_MOST_ABOVE = 20
"""Rows above the head of a table."""
EYE = ("asked", "typed", "right")
"""What a decision keeps for the eye alone."""
_YES = frozenset(("x", "y", "yes", "ok", "1", "true", "ja", "j", "wahr", "oui", "vrai", "si", "sí",
                  "✓", "✔", "√"))  # fmt: skip
_NO = frozenset(("", "n", "no", "0", "false", "nein", "falsch", "non", "faux", "-"))
_POINTS = re.compile(r"(\d{1,4}(?:[.,]\d{1,4})?)(?:/(\d{1,3}))?", re.ASCII)
_SHEET = re.compile(r"0*(\d{1,6})(?:[.,]0+)?", re.ASCII)
_TABLE = re.compile(
    r"(?:settled|unclear|widened)(?:[^a-z].*)?\.(?:csv|tsv|txt|xlsx|ods)", re.DOTALL
)
_DATE = re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}(?:[ T].*)?", re.DOTALL)


class SettledRow(NamedTuple):
    """A decision: of one answer, or of all that are alike.

    Attributes:
        sheet: the sheet of the one answer; 0 where the tag says which answers are meant.
        question: its question, such as "1.2"; "" as above.
        line: where it stands in its file.
        tag: of alike answers, or of earlier releases, or "".
        points: a fraction, or "" where only a text is given.
        text: what the answer is to be read as.  With neither the answers are open again.
        every: whether it goes for alike answers whatever the right answer is.
        by: who or what brought it: a file's name, or :data:`SCREEN`.
        asked: which kind of question it is about, ``typed`` what was answered, and ``right`` what
            was right: all three for the eye alone.
        place: (sheet, question) of the one answer that a row about alike answers names, if it does.
    """

    sheet: int
    question: str
    line: int
    tag: str
    points: str
    text: str
    every: bool = False
    by: str = ""
    asked: str = ""
    typed: str = ""
    right: str = ""
    place: tuple[int, str] = (0, "")

    @property
    def is_open(self) -> bool:
        """Whether it takes a decision back."""
        return not self.points and not self.text

    @property
    def content(self) -> tuple[str, str]:
        """What is decided."""
        return self.points, self.text


SCREEN = "settle"
"""By whom decisions of ``rungwise sheet settle`` are: they are made with the earlier in sight."""


def is_settled_name(name: str) -> bool:
    """Whether a file of this name may be a table of decisions: also ``unclear (2).csv``."""
    return bool(_TABLE.fullmatch(unicodedata.normalize("NFKC", name[:200]).casefold()))


def told(decided: SettledRow) -> str:
    """A decision in a few words."""
    if decided.is_open:
        return filled("settling", "told.open")
    points = filled("settling", "told.points", [("points", decided.points)])
    text = filled("settling", "told.text", [("text", shown(one_line(decided.text), 40))])
    both = (points if decided.points else "", text if decided.text else "")
    return filled("settling", "told.and").join(filter(None, both))


def bad(key: str, **values: object) -> BadTable:
    """What is wrong and what mends it: the words under a ``key``, filled with ``values``."""
    what, remedy = (
        filled("settling", f"trouble.{key}.{p}", values.items()) for p in ("what", "mend")
    )
    return BadTable(what, remedy)


def set_apart(file: str, sheet: int, error: BadTable) -> SetApart:
    """What is listed apart because of an ``error`` in a ``file``, of a ``sheet`` or (0) of none."""
    return SetApart(file=file, sheet=sheet, what=error.what, remedy=error.remedy)


def settled_table(data: bytes) -> Iterator[SettledRow | BadTable]:
    """The decisions of a file, row by row, and what is wrong with a row.

    Args:
        data: the bytes of a table of text, or of a workbook.

    Raises:
        BadTable: the file is no such table.
    """
    if is_workbook(data):
        yield from _settled((row.line, row.cells) for row in workbook_rows(data))
        return
    text, _ = decoded(data, MOST_BYTES)
    yield from _settled(enumerate(rows(text, MOST_ROWS)[0], start=1))


def _settled(table: Iterable[tuple[int, Sequence[str]]]) -> Iterator[SettledRow | BadTable]:
    head: list[str] | None = None
    found: list[tuple[SettledRow | BadTable, str]] = []
    tagged = set[str]()
    for place, (line, cells) in enumerate(table):
        if head is None:
            named = [_folded(cell) for cell in cells]
            if "tag" in named or {"sheet", "question"} <= set(named):
                head = named
            elif place == _MOST_ABOVE:
                break
            continue
        row = dict(zip(head, cells, strict=False))
        tagged.add(text_of(_tag(row)))
        try:
            decided = _decided(line, row)
        except BadTable as error:
            found.append((error, ""))
        else:
            if decided is not None:
                found.append((decided, text_part(unguarded(row.get("typed", "").strip()))))
    if head is None:
        raise bad("no-column")
    for one, typed in found:
        if isinstance(one, BadTable) or one.sheet or text_of(one.tag) == typed:
            yield one
        else:
            yield bad("sorted-apart", line=one.line) if typed in tagged else one


def _tag(row: dict[str, str]) -> str:
    """The tag of a row; spreadsheets may have changed its capitals."""
    tag = "".join(one_line(row.get("tag", "")).split())[:40]
    alike = tag[:1].upper() + tag[1:].lower()
    return alike if TAG.fullmatch(alike) else tag


def _decided(line: int, cells: dict[str, str]) -> SettledRow | None:
    """The decision of a row; ``None`` where it waits."""
    for name in ("points", "corrected", "accept"):
        cell = cells.get(name, "")
        if isinstance(cell, DoubtfulText):
            raise bad("doubtful", line=line, cell=shown(one_line(cell)), why=cell.why)
    row = {name: cell.strip() for name, cell in cells.items()}
    points, corrected = (unguarded(row.get(name, "")) for name in ("points", "corrected"))
    if not points and not corrected:
        points, corrected = _accepted(line, row)
        if not points and not corrected:
            return None
    if len(corrected) > MOST_TEXT:
        raise bad("too-long", line=line)
    value, every = _points(line, points)
    tag = _tag(row)
    sheet = _SHEET.fullmatch(_folded(row.get("sheet", "")))
    question = question_number(row.get("question", ""))
    place = (int(sheet[1]), question) if sheet and question else (0, "")
    decided = SettledRow(*place, line, tag, value, corrected)
    if TAG.fullmatch(tag):
        decided = SettledRow(0, "", line, tag, value, corrected, every, place=place)
    elif every:
        raise bad("all-of-one", line=line)
    elif not place[0]:
        raise bad("whose", line=line)
    asked, typed, right = (one_line(unguarded(row.get(n, "")))[:200] for n in EYE)
    return decided._replace(asked=asked, typed=typed, right=right)


def _accepted(line: int, row: dict[str, str]) -> tuple[str, str]:
    """What is decided by accepting what the row suggests: points or a text, or neither."""
    cell = unicodedata.normalize("NFKC", row.get("accept", "")[:40]).casefold().strip(" .!'")
    if cell in _NO:
        return "", ""
    if cell not in _YES:
        raise bad("accept", line=line, cell=shown(cell))
    suggested = unguarded(row.get("suggested", "")).removeprefix(BEFORE)
    if suggested.startswith(READ):
        return "", suggested.removeprefix(READ).strip()
    if suggested.endswith(POINTS):
        return suggested.removesuffix(POINTS).strip(), ""
    raise bad("nothing-suggested", line=line)


def suggested_cell(points: str, text: str, before: bool) -> str:
    """What a row suggests, as :func:`settled_rows` reads it back.

    Args:
        points: points, where these are suggested.
        text: else what the answer is to be read as.
        before: whether that is what was decided in another class.
    """
    told = f"{READ}{text}" if text else f"{points}{POINTS}"
    return f"{BEFORE}{told}" if before else told


def _points(line: int, cell: str) -> tuple[str, bool]:
    """Points as a fraction, and whether they go whatever the right answer is."""
    folded = " ".join(unicodedata.normalize("NFKC", cell[:60]).casefold().split())
    if not folded or folded == OPEN:
        return "", False
    every = EVERY in folded.split(" ")
    number = " ".join(word for word in folded.split(" ") if word != EVERY)
    found = read_points(number)
    if found is None:
        key = "date" if _DATE.fullmatch(number) else "points"
        raise bad(key, line=line, cell=shown(one_line(cell)))
    return str(found), every


def read_points(text: str) -> Fraction | None:
    """Points as they are typed: "1.5", "1,5", "1/2"; ``None`` where it is none."""
    match = _POINTS.fullmatch(text)
    if match is None or (match[2] and not int(match[2])):
        return None
    return Fraction(match[1].replace(",", ".")) / int(match[2] or 1)


def _folded(cell: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", cell[:100]).replace("_", " ").split()).casefold()
