"""A problem sheet being filled in: what is asked, what was answered, and the hand-in it makes.

It knows no screen.  A sheet holds no truths, so that nothing is marked here: an answer is only
read, so that nobody hands in a figure that can't be read.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from ....problems.circuits.model import mapped
from ....problems.circuits.text import read_circuit
from ....problems.questions.model import Face, Problem, Question, Rung
from ....problems.sheets.model import ANSWERS_FORMAT, AskedQuestion, Sheet, SheetProblem
from ...learning.climb import Climb

if TYPE_CHECKING:
    from ....problems.analysis.response import Facts
    from ....problems.circuits.model import Ladder

MOST = 1024
"""Characters of an answer; what the grader reads of it."""

_LEAST = -80.0
"""Decibels below which curves are taken as alike."""

_PLAIN = "series R1 = 1 kΩ; shunt C1 = 1 nF"


@dataclass(frozen=True, slots=True)
class FilledAnswer:
    """An answer: how it was typed, how it was read, or why it could not be."""

    text: str
    understood: str = ""
    trouble: str = ""


class Filling:
    """One student's sheet and the answers given so far.

    Args:
        sheet: The sheet.
        name: The sheet's name, which marking knows it by.
        answers: Question number → text, of an earlier sitting; others are left out.
    """

    def __init__(self, sheet: Sheet, name: str, answers: Mapping[str, str] | None = None) -> None:
        self.sheet, self.name = sheet, name
        self.places = tuple((item, asked) for item in sheet.items for asked in item.questions)
        numbers = {asked.number for _, asked in self.places}
        self.answers = {n: text for n, text in (answers or {}).items() if n in numbers and text}
        self.at = next((n for n, p in enumerate(self.places) if self._is_open(p[1])), 0)
        self.trouble = ""
        """Why the answers are not being kept; "" while they are."""
        self._views: dict[int, tuple[Climb, tuple[Question, ...]]] = {}

    def _is_open(self, asked: AskedQuestion) -> bool:
        return asked.number not in self.answers

    @property
    def item(self) -> SheetProblem:
        """The problem being asked about."""
        return self.places[self.at][0]

    @property
    def asked(self) -> AskedQuestion:
        """The question being asked."""
        return self.places[self.at][1]

    @property
    def text(self) -> str:
        """What was answered to it so far; "" for nothing."""
        return self.answers.get(self.asked.number, "")

    @property
    def open(self) -> int:
        """How many questions have no answer."""
        return len(self.places) - len(self.answers)

    def go(self, place: int) -> None:
        """Turn to another question; beyond either end is the end."""
        self.at = min(max(place, 0), len(self.places) - 1)

    def turn(self, by: int) -> None:
        """Turn to the first question of the next (1) or the previous (−1) problem."""
        number = self.item.number + by
        for place, (item, _) in enumerate(self.places):
            if item.number == number:
                self.go(place)
                return

    def view(self) -> tuple[Climb, Question]:
        """What the controls take the question from: a climb of what is shown, and the question."""
        number = self.item.number
        if number not in self._views:
            questions = tuple(asked.question() for asked in self.item.questions)
            shown = Problem(0, "", 0, 0, stand_in(self.item), questions, self.item.task)
            self._views[number] = Climb(shown), questions
        climb, questions = self._views[number]
        climb.position = self.item.questions.index(self.asked)
        return climb, questions[climb.position]

    def give(self, text: str) -> FilledAnswer:
        """Answer the question being asked; an empty text takes an answer back.

        What can't be read is kept only when it is given once more as it stands: a human reads it.
        """
        text = text.strip()[:MOST]
        if not text:
            self.answers.pop(self.asked.number, None)
            return FilledAnswer("")
        given = self._read(text)
        if not given.trouble or self._refused == (self.asked.number, text):
            self.answers[self.asked.number] = text
            given = FilledAnswer(text, given.understood or text)
            self._refused = ("", "")
        else:
            self._refused = (self.asked.number, text)
        return given

    _refused: tuple[str, str] = ("", "")

    def _read(self, text: str) -> FilledAnswer:
        from ....problems.grading import read as grader_read
        from ....problems.slips.case import Case

        climb, question = self.view()
        try:
            reading = grader_read.read(Case(climb.problem.ladder, climb.facts, question), text)
        except grader_read.Unclear as trouble:
            return FilledAnswer(text, trouble=str(trouble))
        return FilledAnswer(text, reading.shown)

    def document(self) -> dict[str, Any]:
        """The hand-in."""
        student = self.sheet.student
        return {
            "format": ANSWERS_FORMAT,
            "sheet": self.name,
            "student": student.id or student.name,
            "answers": {a.number: self.answers.get(a.number, "") for _, a in self.places},
        }


def stand_in(item: SheetProblem) -> Ladder:
    """A circuit with all values, by which typed letters and figures of an answer are read.

    Where the circuit is asked for, any of those to choose from has the parts that may be named;
    a value that is asked for is taken as 1.
    """
    if item.ladder is None:
        return _of_choices(item) or read_circuit(_PLAIN)
    return mapped(item.ladder, lambda e: e if e.value else replace(e, value=Fraction(1)))


def _of_choices(item: SheetProblem) -> Ladder | None:
    for asked in item.questions:
        if asked.rung is Rung.WHICH_CIRCUIT:
            return read_circuit(dict(asked.choices[0].values)["valued"])
    return None


@cache
def of_response(item: SheetProblem) -> Ladder | None:
    """The one of the circuits to choose from that has the response shown, to draw it by.

    A sheet holds points of a curve, or roots as they can be read off; charts draw responses.
    """
    from ....problems.analysis.response import facts

    best: tuple[float, Ladder] | None = None
    for asked in item.questions:
        for choice in asked.choices if asked.rung is Rung.WHICH_CIRCUIT else ():
            ladder = read_circuit(dict(choice.values)["valued"])
            off = _off(item, facts(ladder))
            if best is None or off < best[0]:
                best = off, ladder
    return best[1] if best else None


def _off(item: SheetProblem, known: Facts) -> float:
    """How far a circuit is from what is shown: decibels apart, or shares of a root's size."""
    from ....problems.analysis.response import TWO_PI, decibels

    if item.face is Face.GAIN:
        off = 0.0
        for hertz, level in item.gain:
            found = decibels(abs(known.transfer(1j * TWO_PI * hertz)))
            here = _LEAST if found is None else max(_LEAST, found)
            off = max(off, abs(max(_LEAST, level) - here))
        return off
    off = 0.0
    for shown, roots in (item.poles, known.poles), (item.zeros, known.zeros):
        if len(shown) != len(roots):
            return math.inf
        left = list(roots)
        for root in shown:
            nearest = min(left, key=lambda other: abs(other - root))
            left.remove(nearest)
            off = max(off, abs(nearest - root) / (abs(root) or 1.0))
    return off
