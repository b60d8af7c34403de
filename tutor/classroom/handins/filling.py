"""A problem sheet being filled in: what is asked, what was answered, and the hand-in it makes.

It knows no screen.  A sheet holds no truths, so that nothing is marked here: an answer is only
read, so that nobody hands in a figure that can't be read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from ....problems.circuits.model import Element, Ladder
from ....problems.quantities.separators import decimal_sign
from ....problems.questions.model import Face, Rung
from ....problems.questions.values import value_of
from ....problems.sheets.model import ANSWERS_FORMAT, AskedQuestion, Sheet, SheetProblem
from ...language.errors import worded
from ...language.texts import Words
from ...learning.basis import AnswerBasis

if TYPE_CHECKING:
    from ....problems.analysis.response import Facts

MOST = 1024
"""Characters of an answer; what the grader reads of it."""

_LEAST = -80.0
"""Decibels below which curves are taken as alike."""


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
        open_ = (n for n, (_, a) in enumerate(self.places) if a.number not in self.answers)
        self.at = next(open_, 0)
        self.trouble = ""
        """Why the answers are not being kept; "" while they are."""
        self._bases: dict[int, AnswerBasis] = {}

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

    @property
    def basis(self) -> AnswerBasis:
        """What answers to the problem being asked about are read and drawn by."""
        item = self.item
        if item.number not in self._bases:
            whole = item.ladder if item.ladder is not None and item.ladder.valued else None
            self._bases[item.number] = AnswerBasis(parts_of(item), whole, item.paper)
        return self._bases[item.number]

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

        others = [t for n, t in self.answers.items() if n != self.asked.number]
        setting = Words.load().setting(self.asked, decimal_sign(others))
        try:
            reading = grader_read.read(
                self.asked, text, self.basis.parts, self.basis.facts, setting
            )
        except grader_read.Unclear as trouble:
            return FilledAnswer(text, trouble=worded(trouble))
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


def parts_of(item: SheetProblem) -> tuple[Element, ...]:
    """The elements that an answer may name, with their values as far as the sheet says them.

    Where the circuit is asked for these are the parts of those to choose from; one whose value
    is not the same in all of them has none.
    """
    if item.ladder is not None:
        return tuple(item.ladder.elements())
    first, *others = offered(item) or (None,)
    if first is None:
        return ()
    found = [{e.name: e for e in other.elements()} for other in others if other is not None]
    return tuple(
        e if all(parts.get(e.name, e) == e for parts in found) else replace(e, value=None)
        for e in first.elements()
    )


def offered(item: SheetProblem) -> tuple[Ladder, ...]:
    """The circuits to choose from; empty where none is to be chosen."""
    return tuple(_circuits(item))


def _circuits(item: SheetProblem) -> Iterator[Ladder]:
    for asked in item.questions:
        if asked.rung is Rung.WHICH_CIRCUIT:
            yield from (value_of(choice.values, "valued", Ladder) for choice in asked.choices)


@cache
def of_response(item: SheetProblem) -> Ladder | None:
    """The one of the circuits to choose from that has the response shown, to draw it by.

    A sheet holds points of a curve, or roots as they can be read off; charts draw responses.
    """
    from ....problems.analysis.response import facts

    return min(offered(item), key=lambda ladder: _off(item, facts(ladder)), default=None)


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
