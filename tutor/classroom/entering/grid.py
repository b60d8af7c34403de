"""The grid of a class: students down, questions across, and what was entered in each cell.

It knows no screen: the full-screen grid and the plain lines both stand on it.  What is typed in a
cell, besides an answer as it stands on paper:

    nothing     nothing stands there; in a cell that was entered before: go on
    " " or "+"  the right answer
    ";2"        the second of the slips in sight
    "=1.5"      points by hand, whatever stands there
    "'abc"      abc as it is, where a letter or a digit alone would be taken at once

Every cell is on the disk when :meth:`EntryGrid.give` comes back.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ....problems.grading.said import is_blank
from ....problems.quantities.separators import decimal_sign
from ....problems.questions.model import Form, Mark, Verdict
from ....problems.sheets.model import Key
from ...files.names import question_place, sheet_name
from ...language.errors import worded
from ...language.texts import Words, speaker
from ...phrases.answer_text import understood
from ..handins.cells import one_line
from ..handins.entered import BLANK, EnteredAnswer, EnteredHow
from ..handins.entered_file import EnteredElsewhereError, EnteredFile
from ..marking.made_class import ClassMember, person
from ..marking.settled import read_points
from .recognised import PaperQuestion

say = speaker("entering")
MOST_TYPED = 1024
"""Characters of an answer that the grader reads."""
RIGHT, SLIP, POINTS, AS_IT_IS = " ", ";", "=", "'"


class Way(StrEnum):
    """Which cell comes next."""

    QUESTION = "question"  # one question across all students
    STUDENT = "student"  # one student down the sheet


class CellState(StrEnum):
    """What became of a cell; the names of verdicts are the grader's."""

    OPEN = "open"
    BLANK = "blank"
    RIGHT = "right"
    ROUGH = "rough"
    WRONG = "wrong"
    UNCLEAR = "unclear"
    POINTS = "points"


_STATES = {
    Verdict.RIGHT: CellState.RIGHT,
    Verdict.ROUGH: CellState.ROUGH,
    Verdict.WRONG: CellState.WRONG,
    Verdict.UNCLEAR: CellState.UNCLEAR,
}


@dataclass(frozen=True, slots=True)
class CellRead:
    """A cell as it is shown: its text, its state, how it was read or why it could not be."""

    text: str = ""
    state: CellState = CellState.OPEN
    read: str = ""
    trouble: str = ""
    slips: tuple[str, ...] = ()


class PaperSheet:
    """One student's row: of a ``member`` of the class, and the ``key`` of their sheet."""

    def __init__(self, member: ClassMember, key: Key) -> None:
        self.member = member
        self.questions = {
            asked.number: asked
            for item in key.items
            for asked in (PaperQuestion(item, n) for n in range(len(item.problem.questions)))
        }

    @property
    def number(self) -> int:
        """The student's number."""
        return self.member.number

    @property
    def known_as(self) -> str:
        """The student's name, or without one the id, or the number."""
        return one_line(self.member.name or self.member.id) or sheet_name(self.number)

    @property
    def identity(self) -> str:
        """By what lines of the file know whose they are."""
        return self.member.id or self.member.name


class EntryGrid:
    """A class's papers while they are entered: ``sheets`` by number, whose cells a ``file`` keeps.

    Raises:
        ValueError: there is no row, or no question.
    """

    def __init__(self, sheets: Iterable[PaperSheet], file: EnteredFile) -> None:
        self.rows = tuple(sheets)
        self.file = file
        found = {number for sheet in self.rows for number in sheet.questions}
        self.columns = tuple(sorted(found, key=question_place))
        if not self.columns:
            raise ValueError("nothing to enter")
        self.way = Way.QUESTION
        self.row = self.column = 0
        self._undo: list[tuple[EnteredAnswer, EnteredAnswer | None, tuple[int, int]]] = []
        self._refused: tuple[int, int, str] | None = None
        self._read: dict[tuple[int, str, str, str], CellRead] = {}
        self.count = sum(len(sheet.questions) for sheet in self.rows)
        """How many cells there are."""
        self.done = self._counted()
        """How many of them were entered."""
        if self.asked is None or self.entered() is not None:
            self.next_open()

    # Where one is

    @property
    def sheet(self) -> PaperSheet:
        """The row."""
        return self.rows[self.row]

    @property
    def asked(self) -> PaperQuestion | None:
        """The question of the cell; ``None`` where this student's sheet does not ask it."""
        return self.sheet.questions.get(self.columns[self.column])

    def entered(self, row: int | None = None, column: int | None = None) -> EnteredAnswer | None:
        """What was entered in a cell: the one at a ``row`` and ``column``, or the present one."""
        sheet = self.rows[self.row if row is None else row]
        number = self.columns[self.column if column is None else column]
        found = self.file.cells.get((sheet.number, number))
        if found is None or not self._is_theirs(sheet, found):
            return None
        return found

    @staticmethod
    def _is_theirs(sheet: PaperSheet, found: EnteredAnswer) -> bool:
        if found.variant and person(found.variant) != person(sheet.member.variant):
            return False  # it was about other circuits
        if found.student == sheet.identity:
            return True
        return person(found.student) in ("", person(sheet.member.id), person(sheet.member.name))

    def told(self, row: int, column: int) -> CellRead | None:
        """A cell at a ``row`` and ``column`` as it is shown; ``None`` where nothing is asked."""
        sheet = self.rows[row]
        asked = sheet.questions.get(self.columns[column])
        if asked is None:
            return None
        found = self.entered(row, column)
        if found is None:
            return CellRead()
        if found.points:
            of = f"{_number(Fraction(found.points))}/{_number(asked.of)}"
            return CellRead(of, CellState.POINTS)
        return self.read(sheet, asked, found.typed)

    def read(self, sheet: PaperSheet, asked: PaperQuestion, text: str) -> CellRead:
        """How a ``text`` in the cell of a ``sheet`` and a question ``asked`` is read and judged."""
        if is_blank(text):
            return CellRead("", CellState.BLANK)
        decimal = self._decimal(sheet, asked)
        place = sheet.number, asked.number, text, decimal
        if place not in self._read:
            self._read[place] = _told(asked, text, decimal)
        return self._read[place]

    def _decimal(self, sheet: PaperSheet, asked: PaperQuestion) -> str:
        """The decimal sign of what else the same student wrote."""
        cells = self.file.cells
        others = (
            cells[sheet.number, number].typed
            for number in sheet.questions
            if number != asked.number and (sheet.number, number) in cells
        )
        return decimal_sign(others)

    def _counted(self) -> int:
        places = ((row, column) for row in range(len(self.rows)) for column in self._asked_in(row))
        return sum(self.entered(row, column) is not None for row, column in places)

    def _asked_in(self, row: int) -> Iterator[int]:
        questions = self.rows[row].questions
        return (place for place, number in enumerate(self.columns) if number in questions)

    def look(self) -> bool:
        """Take up what somebody else entered; whether there was anything.

        Raises:
            OSError: the file can't be read.
        """
        if not self.file.look():
            return False
        self.done = self._counted()
        return True

    # Ways through it

    def go(self, row: int, column: int) -> None:
        """Go to the cell at a ``row`` and ``column``; beyond an edge is the edge."""
        self.row = min(max(row, 0), len(self.rows) - 1)
        self.column = min(max(column, 0), len(self.columns) - 1)

    def turn(self) -> None:
        """Go the other way from here on."""
        self.way = Way.STUDENT if self.way is Way.QUESTION else Way.QUESTION

    def step(self, by: int) -> bool:
        """To the next cell (1) or the one before (−1); whether there is one."""
        place = self._next(by)
        if place is not None:
            self.go(*place)
        return place is not None

    def next_open(self) -> bool:
        """To the next cell that is open, round the end; whether there is one."""
        for place in self._round():
            if self.entered(*place) is None:
                self.go(*place)
                return True
        return False

    def _next(self, by: int) -> tuple[int, int] | None:
        """The next cell in which something is asked."""
        place = self._index(self.row, self.column)
        last = len(self.rows) * len(self.columns)
        while 0 <= (place := place + by) < last:
            row, column = self._at(place)
            if self.columns[column] in self.rows[row].questions:
                return row, column
        return None

    def _round(self) -> Iterator[tuple[int, int]]:
        """All cells in which something is asked, from the present one on, which comes last."""
        here, last = self._index(self.row, self.column), len(self.rows) * len(self.columns)
        for off in range(1, last + 1):
            row, column = self._at((here + off) % last)
            if self.columns[column] in self.rows[row].questions:
                yield row, column

    def _index(self, row: int, column: int) -> int:
        across = self.way is Way.QUESTION
        return column * len(self.rows) + row if across else row * len(self.columns) + column

    def _at(self, place: int) -> tuple[int, int]:
        if self.way is Way.QUESTION:
            column, row = divmod(place, len(self.rows))
            return row, column
        return divmod(place, len(self.columns))

    def find(self, text: str) -> bool:
        """Go to the student of this number, id or name, or whose name has the ``text`` in it.

        In the order of the class from the present row on, so that the same text again goes to
        the next such student.
        """
        called = person(text)
        if not called:
            return False
        order = [(self.row + off) % len(self.rows) for off in range(1, len(self.rows) + 1)]
        for matches in (self._is_called, self._is_like):
            for row in order:
                if matches(self.rows[row], called):
                    self.go(row, self.column)
                    return True
        return False

    @staticmethod
    def _is_called(sheet: PaperSheet, called: str) -> bool:
        return called in (str(sheet.number), person(sheet.member.id), person(sheet.member.name))

    @staticmethod
    def _is_like(sheet: PaperSheet, called: str) -> bool:
        return called in person(sheet.member.name) or called in person(sheet.member.id)

    # What is entered

    def at_once(self, text: str) -> bool:
        """Whether a ``text`` is whole as it stands, so that no Enter need follow."""
        asked = self.asked
        if asked is None or not text:
            return False
        if text == RIGHT:
            return True
        if text[0] == SLIP:
            return text[1:].isdecimal() and 0 < int(text[1:]) <= len(asked.slips)
        if text.casefold() in {choice.letter for choice in asked.choices}:
            return True
        count = asked.question.form is Form.COUNT
        return count and len(text) == 1 and text in "0123456789"

    def give(self, text: str) -> str:
        """Take what was typed in the present cell; what is wrong with it, "" where it was taken.

        Raises:
            OSError: it can't be kept.
        """
        asked, before = self.asked, self.entered()
        if asked is None:
            return say("trouble.not-asked")
        if text == RIGHT or text.strip() == "+":
            return self._put(EnteredHow.RIGHT, asked.right)
        text = text.strip()[:MOST_TYPED]
        if not text:
            return "" if before is not None else self._put(EnteredHow.BLANK, BLANK)
        if text[0] == SLIP:
            return self._slip(asked, text[1:].strip())
        if text[0] == POINTS:
            return self._points(asked, text[1:].strip())
        text = text.removeprefix(AS_IT_IS).strip()
        if is_blank(text):
            return self._put(EnteredHow.BLANK, BLANK)
        read = self.read(self.sheet, asked, text)
        again = (self.row, self.column, text)
        if read.state is CellState.UNCLEAR and self._refused != again:
            self._refused = again
            return say("trouble.unclear", trouble=read.trouble)
        return self._put(EnteredHow.TYPED, text)

    def _slip(self, asked: PaperQuestion, number: str) -> str:
        place = int(number) if number.isascii() and number.isdecimal() and len(number) < 3 else 0
        if not 0 < place <= len(asked.slips):
            return say("trouble.no-slip", count=len(asked.slips))
        return self._put(EnteredHow.SLIP, asked.slips[place - 1].typed)

    def _points(self, asked: PaperQuestion, text: str) -> str:
        points = read_points(unicodedata.normalize("NFKC", text))
        if points is None or points > asked.of:
            return say("trouble.points", of=_number(asked.of))
        return self._put(EnteredHow.POINTS, "", str(points))

    def _put(self, how: EnteredHow, typed: str, points: str = "") -> str:
        sheet, seen = self.sheet, self.entered()
        raw = self.file.cells.get((sheet.number, self.columns[self.column]))
        new = EnteredAnswer(
            *(sheet.number, self.columns[self.column], typed, how, points),
            *(sheet.identity, sheet.member.variant),
        )
        try:
            others = self.file.put(new, raw)
        except EnteredElsewhereError:
            self.done = self._counted()
            newer = self.told(self.row, self.column)
            return say("trouble.elsewhere", text=newer.text if newer else "")
        self.done = self._counted() if others else self.done + (seen is None)
        self._undo.append((new, seen, (self.row, self.column)))
        self._refused = None
        return ""

    def undo(self) -> str:
        """Take back what was entered last, and go there; what is wrong, "" where it was done.

        Raises:
            OSError: it can't be kept.
        """
        if not self._undo:
            return say("trouble.nothing-to-undo")
        done, before, place = self._undo.pop()
        self.go(*place)
        back = before or EnteredAnswer(
            done.sheet,
            done.question,
            how=EnteredHow.BACK,
            student=done.student,
            variant=done.variant,
        )
        try:
            self.file.put(back, done)
        except EnteredElsewhereError:
            return say("trouble.undone-elsewhere")
        finally:
            self.done = self._counted()
        return ""


def _told(asked: PaperQuestion, text: str, decimal: str) -> CellRead:
    try:
        mark: Mark = asked.mark(text, decimal)
    except Exception as error:  # one answer must not keep the others from being entered
        trouble = say("trouble.grader", error=type(error).__name__)
        return CellRead(one_line(text), CellState.UNCLEAR, trouble=trouble)
    words = Words.load()
    names = tuple(one_line(words.slip_name(hit.slip)) for hit in mark.slips)
    return CellRead(
        one_line(text),
        _STATES[mark.verdict],
        one_line(understood(asked.question, mark)),
        one_line(worded(mark.trouble)) if mark.trouble else "",
        names,
    )


def _number(points: Fraction) -> str:
    return f"{float(points):.2f}".rstrip("0").rstrip(".")
