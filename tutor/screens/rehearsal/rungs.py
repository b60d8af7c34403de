"""The problems of a rehearsal as rungs, and how far each of them has come."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...phrases.rehearsal import say
from ..common.problem_rungs import ProblemRung

if TYPE_CHECKING:
    from ...learning.rehearsal import Rehearsal

GIVEN, OPEN, AHEAD = "●", "○", "·"
"""A question with an answer, one that was left open, one still to come."""


def rehearsal_rungs(exam: Rehearsal) -> list[ProblemRung]:
    """One rung a problem, with a dot for each of its questions: what was given, never how good.

    What is to come stays unnamed, as in the drill.
    """
    return [_rung(exam, number) for number in range(len(exam.problems))]


def _rung(exam: Rehearsal, number: int) -> ProblemRung:
    signs: list[tuple[str, str]] = []
    for at in range(len(exam.problems[number].questions)):
        if (number, at) in exam.answers:
            signs.append((GIVEN, "$ink-copper"))
        elif at < exam.reached[number]:
            signs.append((OPEN, "$ink-brass"))
        else:
            signs.append((AHEAD, "$ink-quiet"))
    name = say("ask.problem", number=number + 1)
    asked = exam.number == number and not exam.complete
    return ProblemRung(name, asked, signs, over=not exam.waits(number))
