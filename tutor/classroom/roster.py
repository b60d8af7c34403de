"""A roster: the students that sheets are made for, read of a table as spreadsheets write it.

The table is a workbook (XLSX, ODS), or CSV (RFC 4180) in any encoding that hand-ins may have, with
commas, semicolons or tabs between its columns.  Its first line heads the columns, in any of the
languages of ``content/roster.toml``; a file with a single column needs no heading.  All that is
wrong is told at once, line by line.

An e-mail address is never taken for a student number: it tells people apart, and is not printed.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from ...problems.sheets.identity import alike
from ...problems.sheets.model import MOST_STUDENTS, Student
from ..language.texts import plain, speaker, table
from ..language.told import ToldError
from .handins.table import BadTable, decoded
from .handins.workbook import MOST_BYTES as MOST_WORKBOOK
from .handins.workbook import is_workbook, workbook_rows
from .handins.workbook_cells import DoubtfulText

MOST_BYTES = MOST_WORKBOOK
"""Longest file that is read."""
MOST_TEXT = 4 << 20
"""Longest table of plain text that is read, in bytes."""
LONGEST_NAME = 400
"""Characters of a name, an id or another text of a student."""
LONGEST_ADDRESS = 254
"""Characters of an e-mail address (RFC 5321, section 4.5.3.1, as corrected)."""
MOST_TOLD = 20

_SEPARATORS = ",;\t"
_CALLED = {",": "comma", ";": "semicolon", "\t": "tab"}
_WHO = ("name", "last-first", "first", "last", "id", "login", "email")
"""The columns of which there must be one."""
_SPELLED = str.maketrans({"ß": "ss", "æ": "ae", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "œ": "oe"})
_DECLARED = re.compile(r"sep=([,;\t])\r?\n?", re.IGNORECASE)

say = speaker("roster", "table.")
_TableRow = tuple[int, Sequence[str]]
"""The number of a line that isn't empty, and its cells."""


@dataclass(frozen=True, slots=True)
class Roster:
    """The students, numbered from 1, and what the teacher should know about their table."""

    students: tuple[Student, ...]
    notes: tuple[str, ...] = ()


class RosterError(ToldError):
    """A table that is no roster; ``lines`` say where, what and what mends it."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__(*_some(lines))


def _some(lines: Sequence[str]) -> list[str]:
    more = len(lines) - MOST_TOLD
    return [*lines[:MOST_TOLD], *([say("more", more=more)] if more > 0 else [])]


def anonymous(count: int) -> tuple[Student, ...]:
    """Students without names.

    Raises:
        ValueError: there are none, or too many.
    """
    if not 0 < count <= MOST_STUDENTS:
        raise ValueError(f"sheets are made for 1 to {MOST_STUDENTS:,} students, not {count}")
    return tuple(Student(number) for number in range(1, count + 1))


def read_roster(data: bytes, *, numbered: bool = False) -> Roster:
    """Read a table of students.

    Args:
        data: the file's bytes.
        numbered: whether only rows tell students apart, as in plans of the forms before the
            third; two of one id are then noted, and no error.

    Raises:
        RosterError: something is wrong with it.
    """
    found, told = _table(data)
    if not found:
        raise RosterError([say("empty")])
    first, cells = found[0]
    meanings = [_meanings().get(_heading(cell)) for cell in cells]
    if any(meanings):
        columns, left = _columns(first, cells, meanings)
        told += left
        body = found[1:]
    else:
        _check_single(found)
        plain_cells = [row[0].strip() for _, row in found]
        kind = "email" if all(map(is_address, plain_cells)) else "name"
        columns, body = {kind: 0}, found
    reading = _Reading(columns, len(cells), told, numbered)
    for line, row in body:
        reading.take(line, row)
    return reading.roster()


def is_address(text: str) -> bool:
    """Whether a ``text`` looks like an e-mail address, be there such a one or not."""
    who, at, where = text.partition("@")
    return (
        len(text) <= LONGEST_ADDRESS
        and bool(at and who and "." in where[1:-1])
        and not any(c.isspace() or c in "@,;<>" for c in who + where)
    )


class _Reading:
    """Goes through the lines below the headings."""

    def __init__(
        self, columns: dict[str, int], width: int, told: list[str], numbered: bool
    ) -> None:
        self._columns, self._width, self._numbered = columns, width, numbered
        self._notes, self._troubles = told, list[str]()
        self._students: list[Student] = []
        self._people: dict[tuple[str, str], int] = {}
        self._keys: dict[tuple[str, str], int] = {}
        self._moved = False

    def take(self, line: int, row: Sequence[str]) -> None:
        """One line: a student, or something wrong."""
        if any(cell.strip() for cell in row[self._width :]):
            self._troubles.append(say("wide", line=line, columns=len(row), width=self._width))
            return
        cells = {
            column: self._clean(line, row[place])
            for column, place in self._columns.items()
            if place < len(row)
        }
        name = _name(cells)
        id_, email = self._id_and_email(line, cells)
        named = not {"name", "last-first", "first", "last"}.isdisjoint(self._columns)
        if not (name or ((id_ or email) and not named)):
            missing = "no-name" if named else "no-id"
            self._troubles.append(say(missing, line=line))
            return
        texts = {key: cells.get(key, "") for key in ("group", "variant", "seat")}
        for what, text in (("name", name), ("id", id_), ("email", email), *texts.items()):
            if len(text) > LONGEST_NAME:
                what = say(f"called.{what}")
                told = {"what": what, "text": _shown(text), "count": len(text)}
                self._troubles.append(say("long", line=line, most=LONGEST_NAME, **told))
                return
        student = Student(len(self._students) + 1, name, id_, email=email, **texts)
        self._note_repeats(line, student)
        self._students.append(student)

    def _id_and_email(self, line: int, cells: Mapping[str, str]) -> tuple[str, str]:
        id_, email = cells.get("id", "") or cells.get("login", ""), cells.get("email", "")
        if email and not is_address(email):
            self._notes.append(say("no-address", line=line, text=_shown(email)))
            email = ""
        if is_address(id_):
            if not self._moved:
                self._notes.append(say("address-as-id", line=line))
                self._moved = True
            return "", email or id_
        return id_, email

    def _clean(self, line: int, cell: str) -> str:
        """A text as it can be shown anywhere: one line, nothing invisible."""
        if isinstance(cell, DoubtfulText):
            self._notes.append(say("doubtful", line=line, text=_shown(cell), why=cell.why))
        spaced = " ".join(cell.split())
        if spaced.isascii() and spaced.isprintable():
            return spaced
        kept = unicodedata.normalize("NFC", " ".join(plain(spaced).split()))
        kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
        if len(kept) < len(unicodedata.normalize("NFC", spaced)):
            self._notes.append(say("unseen", line=line))
        return kept

    def _note_repeats(self, line: int, student: Student) -> None:
        """Two of one id are one person; of one name alone there may be several."""
        name, id_ = student.name, student.id
        if self._numbered:
            id_ = id_ or student.email
        before = self._people.setdefault((name, id_), line)
        values = {"line": line, "before": before, "text": _shown(name or id_)}
        if before != line and (self._numbered or not (id_ or student.email)):
            self._notes.append(say("repeated", **values))
            if not self._numbered:
                self._notes.append(say("namesakes", line=line))
            return
        for kind, text in (("id", id_), ("email", student.email)):
            if not text:
                continue
            before = self._keys.setdefault((kind, alike(text)), line)
            if before == line:
                continue
            told = {"line": line, "before": before, "text": _shown(text)}
            if self._numbered:
                self._notes += [say("same-id", **told)] if kind == "id" else []
            elif kind == "id" or not student.id:
                self._troubles.append(say(f"one-{kind}", **told))
                return
            else:
                self._notes.append(say("same-email", **told))

    def roster(self) -> Roster:
        """What was read."""
        if not self._troubles and not self._students:
            self._troubles.append(say("only-headings"))
        if len(self._students) > MOST_STUDENTS:
            count, most = f"{len(self._students):,}", f"{MOST_STUDENTS:,}"
            self._troubles.append(say("too-many", count=count, most=most))
        if self._troubles:
            raise RosterError(self._troubles)
        return Roster(tuple(self._students), tuple(_some(self._notes)))


def _name(cells: Mapping[str, str]) -> str:
    """The name, first names first, whichever columns it stands in."""
    if turned := cells.get("last-first", ""):
        last, comma, first = turned.partition(",")
        return " ".join(f"{first} {last}".split()) if comma and "," not in first else turned
    parts = (cells.get("first"), cells.get("last"))
    return cells.get("name", "") or " ".join(part for part in parts if part)


# ------------------------------------------------------------------------------------ the table


def _table(data: bytes) -> tuple[list[_TableRow], list[str]]:
    """The lines of a file that aren't empty, and what had to be guessed to read them.

    Raises:
        RosterError: it can't be read.
    """
    try:
        if is_workbook(data):
            rows = [(row.line, row.cells) for row in workbook_rows(data)]
            return [(line, cells) for line, cells in rows if any(map(str.strip, cells))], []
        if len(data) > MOST_TEXT:
            raise RosterError([say("too-long", most=MOST_TEXT >> 20)])
        text, told = decoded(data, MOST_TEXT)
    except BadTable as error:
        raise RosterError([str(error)]) from None
    return list(_rows(text)), list(told)


def _rows(text: str) -> Iterator[_TableRow]:
    # Also the bare carriage returns of old spreadsheets end a line.
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    declared = _DECLARED.match(text)  # a line for one spreadsheet, which says what separates cells
    separator = declared[1] if declared else _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    before = 0
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise RosterError([_csv_trouble(before + 1, str(error))]) from None
        if any(cell.strip() for cell in row) and not (declared and not before):
            yield before + 1, row
        before = reader.line_num


def _csv_trouble(line: int, error: str) -> str:
    if "end of data" in error:
        return say("open-quote", line=line)
    return say("huge" if "field larger" in error else "closed-quote", line=line)


def _separator(text: str) -> str:
    """What is between the columns, by the first line that isn't empty.

    That is the sign with which this line reads as headings; else the one that occurs most often
    outside of quotes, of which headings that aren't known can be told.
    """
    first = next((line for line in text.split("\n") if line.strip()), "")
    if len(first) > 10_000:
        return ","
    score: Callable[[str], tuple[int, int]] = lambda sign: _score(first, sign)  # noqa: E731
    return max(_SEPARATORS, key=score)


def _score(line: str, separator: str) -> tuple[int, int]:
    cells = next(csv.reader([line], delimiter=separator), [])
    return sum(_heading(cell) in _meanings() for cell in cells), len(cells)


# ----------------------------------------------------------------------------------- its columns


@cache
def _meanings() -> Mapping[str, str]:
    """Which column a heading means, as :func:`_heading` spells it."""
    found: dict[str, str] = {}
    for meaning, headings in table("headings").items():
        for heading in headings:
            found.setdefault(_heading(heading), meaning)
    return MappingProxyType(found)


def _heading(cell: str) -> str:
    """A heading as it is compared: without accents, capitals and punctuation."""
    folded = unicodedata.normalize("NFKD", cell[:200].casefold().translate(_SPELLED))
    bare = (c for c in folded if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in bare).split())


def _columns(
    line: int, cells: Sequence[str], meanings: Sequence[str | None]
) -> tuple[dict[str, int], list[str]]:
    """Which column holds what, and which ones are left out.

    Raises:
        RosterError: two mean the same, or none says who somebody is.
    """
    columns: dict[str, int] = {}
    for place, meaning in enumerate(meanings):
        if meaning is None:
            continue
        if meaning in columns:
            one, other = _shown(cells[columns[meaning]]), _shown(cells[place])
            raise RosterError([say("same-column", line=line, one=one, other=other)])
        columns[meaning] = place
    if "name" in columns and "first" in columns and "last" not in columns:
        columns["last"] = columns.pop("name")  # "Name, Vorname"; "Nom, Prénom"
    if columns.keys() & {"first", "last"} == {"first"} and "last-first" not in columns:
        columns["name"] = columns.pop("first")
    unused = [*_superseded(columns)]
    for meaning in unused:
        del columns[meaning]
    if columns.keys().isdisjoint(_WHO):
        raise RosterError([say("nobody", line=line)])
    used = set(columns.values())
    left = [
        say("left-out", line=line, column=_shown(cell))
        for place, cell in enumerate(cells)
        if place not in used and cell.strip()
    ]
    return columns, left


def _superseded(columns: Mapping[str, int]) -> Iterator[str]:
    """Columns that another one makes superfluous."""
    if "id" in columns and "login" in columns:
        yield "login"
    whole = next((kind for kind in ("name", "last-first") if kind in columns), "")
    if whole:
        yield from (
            kind for kind in ("last-first", "first", "last") if kind in columns and kind != whole
        )


def _check_single(rows: Sequence[_TableRow]) -> None:
    """A table without headings must have one column, or one couldn't know which is the name."""
    line, row = rows[0]
    if len(row) > 1:
        cells = ", ".join(_shown(cell) for cell in row[:6])
        raise RosterError([say("no-headings", line=line, cells=cells)])
    troubles = []
    for line, row in rows:
        signs = [sign for sign in _SEPARATORS[1:] if any(sign in cell for cell in row)]
        signs += [_SEPARATORS[0]] * (len(row) > 1)
        if signs:
            troubles.append(say("several", line=line, sign=_CALLED[signs[0]]))
    if troubles:
        raise RosterError(troubles)


def _shown(text: str) -> str:
    text = plain(" ".join(text.split()))
    return f"“{text[:40]}…”" if len(text) > 40 else f"“{text}”"
