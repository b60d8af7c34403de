"""The problems of a sheet as rungs, and which of their questions were answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...language.texts import fill
from ..common.problem_rungs import ProblemRung

if TYPE_CHECKING:
    from ....problems.sheets.model import AskedQuestion, SheetProblem
    from ...classroom.handins.filling import Filling

GIVEN, OPEN, HERE = "●", "○", "◉"
"""A question with an answer, one without, the one being asked."""


def sheet_rungs(filling: Filling) -> list[ProblemRung]:
    """One rung a problem, as on paper: what was answered, never how well."""
    return [_rung(filling, item) for item in filling.sheet.items]


def _rung(filling: Filling, item: SheetProblem) -> ProblemRung:
    name = item.title or fill("filling", "ask.item", [("number", item.number)])
    signs = [_sign(filling, asked) for asked in item.questions]
    return ProblemRung(name, item is filling.item, signs)


def _sign(filling: Filling, asked: AskedQuestion) -> tuple[str, str]:
    if asked is filling.asked:
        return HERE, "bold $ink-copper"
    given = asked.number in filling.answers
    return (GIVEN, "$ink-copper") if given else (OPEN, "$ink-quiet")
