"""What is pointed out in a circuit, and redrawn at its ends, by what was said of it last."""

from __future__ import annotations

from ....problems.hints.hint import focus
from ....problems.hints.redrawing import LOOK, hinted
from ....problems.questions.model import Problem, Question
from ...phrases.redrawn import views
from ..pictures.circuit import Pointed

Said = tuple[Question, int]
"""A hint to a question, by its level; the last level is the reason of the right answer, too."""


def point_out(problem: Problem, said: Said) -> Pointed:
    """What is pointed out in the circuit of a ``problem`` by what was ``said`` of it."""
    question, level = said
    if level < LOOK:
        return Pointed()
    found = focus(problem, question)
    return Pointed(found, views(problem.ladder, hinted(problem, question, level)))
