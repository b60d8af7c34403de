"""What a teacher recognises on a paper without typing it: the right answer, and those of slips."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ....problems.analysis.response import Facts, facts
from ....problems.grading.choices import LETTERS
from ....problems.grading.grade import grade, right_text
from ....problems.grading.predicted import predicted_text
from ....problems.questions.model import Answer, Mark, Problem, Question, Verdict
from ....problems.sheets.model import KeyItem
from ....problems.slips.engine import predictions
from ...language.texts import Words
from ..handins.cells import one_line

MOST_SLIPS = 9
"""Slips in sight: each has a digit."""


@dataclass(frozen=True, slots=True)
class KnownSlip:
    """A wrong answer that slips lead to: as it is typed, and their names."""

    typed: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OfferedChoice:
    """A choice with its letter and words; ``names`` are those of the slips that lead to it."""

    letter: str
    words: str
    right: bool
    names: tuple[str, ...] = ()


class PaperQuestion:
    """One question of one student's sheet, with its truth.

    Args:
        item: the problem that it is one of.
        place: which of its questions it is, from 0 on.
    """

    def __init__(self, item: KeyItem, place: int) -> None:
        self.item, self.place = item, place
        self.number = f"{item.number}.{place + 1}"
        self.question: Question = item.problem.questions[place]
        self.of = item.points[place]

    @property
    def problem(self) -> Problem:
        """The problem that it is one of."""
        return self.item.problem

    @cached_property
    def facts(self) -> Facts:
        """What is true of its circuit."""
        return facts(self.problem.ladder)

    @cached_property
    def right(self) -> str:
        """The right answer as it is entered: a choice's letter, else as a student could type it."""
        ids = [choice.id for choice in self.question.choices]
        truth = self._id(self.question.truth)
        return LETTERS[ids.index(truth)] if truth in ids else right_text(self.question)

    def _id(self, value: Answer) -> str:
        """The id of the choice that a value is: counts and slopes have boxes with figures."""
        if not isinstance(value, int | float):
            return str(value)
        ids = (choice.id for choice in self.question.choices)
        return next((id_ for id_ in ids if float(id_) == value), "")

    @cached_property
    def choices(self) -> tuple[OfferedChoice, ...]:
        """What there is to choose from; empty where nothing is."""
        words, names = Words.load(), self._named
        return tuple(
            OfferedChoice(
                letter,
                one_line(words.choice(self.question, choice)),
                choice.id == self._id(self.question.truth),
                tuple(names.get(choice.id, ())),
            )
            for letter, choice in zip(LETTERS, self.question.choices, strict=False)
        )

    @cached_property
    def slips(self) -> tuple[KnownSlip, ...]:
        """Wrong answers that are known, likeliest first; where there are choices those say them."""
        if self.question.choices:
            return ()
        found = list(self._named.items())[:MOST_SLIPS]
        return tuple(KnownSlip(typed, tuple(names)) for typed, names in found)

    @cached_property
    def _named(self) -> dict[str, list[str]]:
        """What slips lead to → their names; only what marking would name them for."""
        found: dict[str, list[str]] = {}
        words, question = Words.load(), self.question
        for one in predictions(self.problem.ladder, self.facts, question):
            if not one.in_play or one.value == question.truth:
                continue
            choice = bool(question.choices)
            typed = self._id(one.value) if choice else predicted_text(question, one)
            name = one_line(words.slip_name(one.slip))
            if typed in found:
                if name not in found[typed]:
                    found[typed].append(name)
            elif choice or self.mark(typed).verdict is Verdict.WRONG:
                found[typed] = [name]
        return found

    def mark(self, text: str, decimal: str = "") -> Mark:
        """The mark of a ``text``, read as marking reads it.

        Args:
            text: what stands on the paper.
            decimal: the decimal sign of the same hand's other answers, "" where that is not known.
        """
        setting = Words.load().setting(self.question, decimal)
        return grade(self.problem, self.question, text, self.facts, setting)
