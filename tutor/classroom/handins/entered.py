"""What a teacher entered of papers: ``keys/entered.jsonl``, a line a cell, only ever added to.

    {"sheet": 3, "student": "4711", "question": "1.2", "typed": "1.59 kHz", "how": "typed"}

``how`` says what the teacher did: "typed" it as it stands on paper, ticked it as "right", picked
a "slip" in sight, found it "blank", gave "points" by hand (which stand in a field of that name
then, as a fraction), or took the cell "back".  Of the lines about one cell the last one counts.
``student`` is the number or the name that the class has for the sheet: lines of a sheet that is
another student's by now are told, and not followed; so are lines with a ``variant`` that is no
longer the student's, as other circuits were asked about then.

Marking takes it as it takes a hand-in (:func:`filled_in`):

* whoever handed in nothing that counts is marked by what was entered;
* what a hand-in leaves blank, says is on paper, or a spreadsheet has spoilt, is filled in from
  what was entered;
* where both answer, and it comes to the same, nothing changes;
* where both answer and differ, neither counts until the teacher settles it, and it is told;
* points by hand go before any answer.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from ....problems.grading.said import is_blank, is_on_paper
from ...files.names import question_place
from .cells import one_line
from .files import MOST_ANSWER, Answers

NAME = "entered.jsonl"
"""The file's name, in the folder of keys."""
MOST_BYTES = 256 * 1024 * 1024
"""Longest file that is read; ten thousand students with fifty questions have a quarter of it."""
MOST_LINE = 16_384
"""Longest line that is read, in bytes: of a letter JSON makes twelve."""
BLANK = "-"
"""What is entered for a cell in which nothing stands: hand-ins say it so as well."""
MOST_TROUBLES = 20
_QUESTION = re.compile(r"[1-9]\d{0,3}\.[1-9]\d{0,3}", re.ASCII)
_POINTS = re.compile(r"(\d{1,12}(/[1-9]\d{0,11})?)?", re.ASCII)


class EnteredHow(StrEnum):
    """What a teacher did with a cell."""

    TYPED = "typed"
    RIGHT = "right"
    SLIP = "slip"
    BLANK = "blank"
    POINTS = "points"
    BACK = "back"


@dataclass(frozen=True, slots=True)
class EnteredAnswer:
    """A cell: what one student answered to one question on paper.

    Attributes:
        sheet: the student's number.
        question: the question's, "1.2".
        typed: the answer; "" where points were given or the cell was taken back.
        how: what the teacher did.
        points: given by hand, as a fraction; "" where none were.
        student: the student's id or name, as the class has it.
        variant: the variant of their sheet; "" where there are none.
    """

    sheet: int
    question: str
    typed: str = ""
    how: EnteredHow = EnteredHow.TYPED
    points: str = ""
    student: str = ""
    variant: str = ""

    @property
    def cell(self) -> tuple[int, str]:
        """Which cell it is about."""
        return self.sheet, self.question

    @property
    def says(self) -> tuple[str, str]:
        """What it comes to, however that was entered."""
        return self.typed, self.points

    def line(self) -> bytes:
        """It as a line of the file."""
        document = {
            "sheet": self.sheet,
            "student": self.student,
            "question": self.question,
            "typed": self.typed,
            "how": self.how.value,
            **({"points": self.points} if self.points else {}),
            **({"variant": self.variant} if self.variant else {}),
        }
        return json.dumps(document).encode() + b"\n"


def read_entered(data: bytes) -> tuple[list[EnteredAnswer], list[int]]:
    """What the ``data`` of a file says, in order, and the numbers of lines that say nothing."""
    found: list[EnteredAnswer] = []
    troubles: list[int] = []
    for number, line in enumerate(data.split(b"\n"), 1):
        if not line.strip():
            continue
        entered = _entered(line)
        if entered is not None:
            found.append(entered)
        else:
            troubles.append(number)
    return found, troubles


def _entered(line: bytes) -> EnteredAnswer | None:
    try:
        read = json.loads(line.decode()) if len(line) <= MOST_LINE else None
    except (ValueError, RecursionError):
        return None
    if not isinstance(read, dict):
        return None
    sheet = read.get("sheet")
    names = ("question", "typed", "how", "points", "student", "variant")
    texts = [read.get(name, "") for name in names]
    if type(sheet) is not int or not 0 < sheet < 10**6:
        return None
    if not all(isinstance(text, str) for text in texts):
        return None
    question, typed, how, points, student, variant = texts
    if not _QUESTION.fullmatch(question) or not _POINTS.fullmatch(points):
        return None
    if how not in EnteredHow._value2member_map_ or len(typed) > MOST_ANSWER:
        return None
    # JSON may hold lone surrogates, which are text to nobody.
    typed, student, variant = (
        one.encode("utf-8", "replace").decode() for one in (typed, student, variant)
    )
    return EnteredAnswer(sheet, question, typed, EnteredHow(how), points, student, variant)


def newest(lines: Iterable[EnteredAnswer]) -> dict[tuple[int, str], EnteredAnswer]:
    """Of the ``lines`` about each cell the last one; none of those taken back."""
    found: dict[tuple[int, str], EnteredAnswer] = {}
    for entered in lines:
        found.pop(entered.cell, None)
        if entered.how is not EnteredHow.BACK:
            found[entered.cell] = entered
    return found


@dataclass(frozen=True, slots=True)
class FilledIn:
    """A hand-in with what was entered filled in.

    Attributes:
        answers: what is to be marked.
        points: question → points by hand, as a fraction.
        differs: (question, what was handed in, what was entered) where the two contradict.
        filled: how many answers came from what was entered.
    """

    answers: Answers
    points: Mapping[str, str]
    differs: tuple[tuple[str, str, str], ...] = ()
    filled: int = 0


def filled_in(
    answers: Answers | None,
    entered: Iterable[EnteredAnswer],
    same: Callable[[str, str, str], bool] = lambda question, one, other: False,
) -> FilledIn:
    """A hand-in with what was ``entered`` for the same student.

    Args:
        answers: the hand-in that counts; ``None`` where there is none.
        entered: the newest of each cell.
        same: whether two answers to a question come to the same though they are not written alike.
    """
    texts = dict(answers.answers) if answers else {}
    doubts = dict(answers.doubts) if answers else {}
    points: dict[str, str] = {}
    differs = []
    filled = 0
    for one in entered:
        given = tuple(t for t in texts.get(one.question, ()) if not says_nothing(t))
        if one.typed and doubts.pop(one.question, None) is not None:
            given = ()  # nobody knows what was typed there, but what stands on paper is known
        if one.points:
            points[one.question] = one.points
        if not one.typed or is_blank(one.typed):
            filled += bool(one.points)
            continue
        if not given:
            texts[one.question] = (one.typed,)
            filled += 1
        elif not any(
            _folded(one.typed) == _folded(text) or same(one.question, one.typed, text)
            for text in given
        ):
            texts[one.question] = (*given, one.typed)
            if not one.points:
                differs.append((one.question, one_line(" / ".join(given)), one_line(one.typed)))
    ordered = tuple((number, texts[number]) for number in sorted(texts, key=question_place))
    merged = replace(answers or Answers(), answers=ordered, doubts=tuple(doubts.items()))
    return FilledIn(merged, points, tuple(differs), filled)


def says_nothing(text: str) -> bool:
    """Whether an answer is blank, or only says that it stands on paper."""
    return is_blank(text) or is_on_paper(text)


def _folded(text: str) -> str:
    folded = unicodedata.normalize("NFKC", text).casefold().replace("−", "-")
    return "".join(folded.split()).rstrip(").")
