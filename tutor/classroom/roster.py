"""A roster: the students that sheets are made for, read of a table as spreadsheets write it.

The table is CSV (RFC 4180) in UTF-8, with commas, semicolons or tabs between its columns.  Its
first line heads the columns; a file with a single column needs no heading.  All that is wrong
is told at once, line by line.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from ...problems.sheets.model import MOST_STUDENTS, Student
from ..language.texts import plain
from ..language.told import ToldError

MOST_BYTES = 4 << 20
LONGEST_NAME = 400
"""Characters of a name or an id."""
MOST_TOLD = 20

_SEPARATORS = ",;\t"
_CALLED = {",": "comma", ";": "semicolon", "\t": "tab"}
_HEADINGS = {
    "name": ("name", "student", "student name", "full name", "display name"),
    "first": ("first name", "given name", "forename"),
    "last": ("last name", "surname", "family name"),
    "id": ("id", "student id", "id number", "student number", "username"),
    "email": ("email", "e-mail", "mail", "email address", "e-mail address"),
}
_MEANING = {heading: column for column, all_ in _HEADINGS.items() for heading in all_}


@dataclass(frozen=True, slots=True)
class Roster:
    """The students, numbered from 1, and what the teacher should know about their table."""

    students: tuple[Student, ...]
    notes: tuple[str, ...] = ()


class RosterError(ToldError):
    """A table that is no roster; ``lines`` say where, what and what mends it."""

    def __init__(self, lines: Sequence[str]) -> None:
        more = len(lines) - MOST_TOLD
        super().__init__(*lines[:MOST_TOLD], *([f"and {more} more"] if more > 0 else []))


def anonymous(count: int) -> tuple[Student, ...]:
    """Students without names.

    Raises:
        ValueError: there are none, or too many.
    """
    if not 0 < count <= MOST_STUDENTS:
        raise ValueError(f"sheets are made for 1 to {MOST_STUDENTS:,} students, not {count}")
    return tuple(Student(number) for number in range(1, count + 1))


def read_roster(data: bytes) -> Roster:
    """Read a table of students.

    Raises:
        RosterError: something is wrong with it.
    """
    rows = list(_rows(_decoded(data)))
    if not rows:
        raise RosterError(["there is nobody in it; write one student's name on each line"])
    first, cells, separator = rows[0]
    meanings = [_MEANING.get(_heading(cell)) for cell in cells]
    if any(meanings):
        columns, body = _columns(first, cells, meanings), rows[1:]
        told = [
            f"line {first}: the column {_shown(cell)} is left out"
            for cell, meaning in zip(cells, meanings, strict=True)
            if meaning is None and cell.strip()
        ]
    else:
        _check_single(rows, separator)
        columns, body, told = {"name": 0}, rows, []
    reading = _Reading(columns, len(cells), told)
    for line, row, _ in body:
        reading.take(line, row)
    return reading.roster()


class _Reading:
    """Goes through the lines below the headings."""

    def __init__(self, columns: dict[str, int], width: int, told: list[str]) -> None:
        self._columns, self._width = columns, width
        self._notes, self._troubles = told, list[str]()
        self._students: list[Student] = []
        self._lines: dict[tuple[str, str], int] = {}
        self._ids: dict[str, int] = {}

    def take(self, line: int, row: list[str]) -> None:
        """One line: a student, or something wrong."""
        if any(cell.strip() for cell in row[self._width :]):
            self._troubles.append(
                f"line {line}: {len(row)} columns, where the first line has {self._width}; "
                "put a name that holds a separator in double quotes"
            )
            return
        cells = {
            column: self._clean(line, row[place])
            for column, place in self._columns.items()
            if place < len(row)
        }
        name = cells.get("name", "") or " ".join(
            part for part in (cells.get("first"), cells.get("last")) if part
        )
        id_ = cells.get("id", "") or cells.get("email", "")
        named = not {"name", "first", "last"}.isdisjoint(self._columns)
        if not (name or (id_ and not named)):
            missing = "name" if named else "id"
            self._troubles.append(f"line {line}: no {missing}; write one, or take the line out")
            return
        for what, text in (("name", name), ("id", id_)):
            if len(text) > LONGEST_NAME:
                self._troubles.append(
                    f"line {line}: the {what} {_shown(text)} has {len(text)} characters; "
                    f"shorten it to {LONGEST_NAME} at most"
                )
                return
        self._note_repeats(line, name, id_)
        self._students.append(Student(len(self._students) + 1, name, id_))

    def _clean(self, line: int, cell: str) -> str:
        """A name as it can be shown anywhere: one line, nothing invisible."""
        spaced = " ".join(cell.split())
        kept = unicodedata.normalize("NFC", " ".join(plain(spaced).split()))
        kept = "".join(c for c in kept if unicodedata.category(c)[0] != "C")
        if len(kept) < len(unicodedata.normalize("NFC", spaced)):
            self._notes.append(f"line {line}: signs that can't be seen are left out of the name")
        return kept

    def _note_repeats(self, line: int, name: str, id_: str) -> None:
        before = self._lines.setdefault((name, id_), line)
        if before != line:
            self._notes.append(
                f"line {line}: {_shown(name or id_)} is on line {before} too; both get a sheet"
            )
        elif id_ and (before := self._ids.setdefault(id_, line)) != line:
            self._notes.append(f"line {line}: the id {_shown(id_)} is on line {before} too")

    def roster(self) -> Roster:
        """What was read."""
        if not self._troubles and not self._students:
            self._troubles.append("there is nobody below the first line; write one student a line")
        if len(self._students) > MOST_STUDENTS:
            self._troubles.append(
                f"there are {len(self._students):,} students; "
                f"make sheets for {MOST_STUDENTS:,} at most at a time"
            )
        if self._troubles:
            raise RosterError(self._troubles)
        return Roster(tuple(self._students), tuple(self._notes))


def _decoded(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise RosterError([f"it is too long for a roster: at most {MOST_BYTES >> 20} MiB are read"])
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise RosterError(["it is UTF-16 text; save it as “CSV UTF-8”"])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise RosterError(
            [f"line {line}: byte {data[error.start]:#04x} is no UTF-8 text; save it as “CSV UTF-8”"]
        ) from None


def _rows(text: str) -> Iterator[tuple[int, list[str], str]]:
    """The lines that aren't empty: number, cells, separator."""
    # Also the bare carriage returns of old spreadsheets end a line.
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    separator = _separator(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    before = 0
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise RosterError([_csv_trouble(before + 1, str(error))]) from None
        if any(cell.strip() for cell in row):
            yield before + 1, row, separator
        before = reader.line_num


def _csv_trouble(line: int, error: str) -> str:
    if "end of data" in error:
        return f"line {line}: a double quote is opened and never closed; close it, or take it out"
    if "field larger" in error:
        return f"line {line}: far too long for a name; is a double quote missing?"
    return (
        f"line {line}: text after a closing double quote; "
        'write a quote inside quotes twice, as in "O\'Neil, ""Ann"""'
    )


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
    return sum(_heading(cell) in _MEANING for cell in cells), len(cells)


def _heading(cell: str) -> str:
    return " ".join(plain(cell).replace("_", " ").split()).casefold()


def _columns(line: int, cells: list[str], meanings: list[str | None]) -> dict[str, int]:
    columns: dict[str, int] = {}
    for place, meaning in enumerate(meanings):
        if meaning is None:
            continue
        if meaning in columns:
            twice = f"{_shown(cells[columns[meaning]])} and {_shown(cells[place])}"
            raise RosterError([f"line {line}: {twice} mean the same; leave one of them out"])
        columns[meaning] = place
    if columns.keys() == {"first"}:
        columns = {"name": columns["first"]}
    return columns


def _check_single(rows: list[tuple[int, list[str], str]], separator: str) -> None:
    """A table without headings must have one column, or one couldn't know which is the name."""
    line, row, _ = rows[0]
    if len(row) > 1:
        raise RosterError(
            [
                f"line {line}: {', '.join(_shown(cell) for cell in row[:6])} are no headings of "
                'a roster; begin the file with a line such as "name,id", or put each name '
                "in double quotes"
            ]
        )
    troubles = []
    for line, row, _ in rows:
        signs = [sign for sign in _SEPARATORS[1:] if any(sign in cell for cell in row)]
        signs += [separator] * (len(row) > 1)
        if signs:
            troubles.append(
                f"line {line}: a {_CALLED[signs[0]]} makes several columns, and there is no line "
                'of headings; begin the file with one, such as "name,id"'
            )
    if troubles:
        raise RosterError(troubles)


def _shown(text: str) -> str:
    text = plain(" ".join(text.split()))
    return f"“{text[:40]}…”" if len(text) > 40 else f"“{text}”"
