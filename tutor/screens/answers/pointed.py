"""What is pointed out in a circuit, and redrawn at its ends, by what was said of it last."""

from __future__ import annotations

from ....problems.hints.explanation import Explanation
from ....problems.hints.hint import focus
from ....problems.hints.redrawing import LOOK, explained, hinted
from ....problems.questions.model import Problem, Question
from ...phrases.redrawn import views
from ..pictures.circuit import Pointed

Hinted = tuple[Question, int]
"""A hint to a question, by its level; the last level is the reason of the right answer, too."""

Explained = tuple[Question, Explanation, bool]
"""What was said of a wrong answer to a question, and whether there was another one before."""

Said = Hinted | Explained


def point_out(problem: Problem, said: Said) -> Pointed:
    """What is pointed out in the circuit of a ``problem`` by what was ``said`` of it."""
    if len(said) == 3:
        question, explanation, again = said
        found = explained(problem, question, explanation, again=again)
        return Pointed(explanation.marked, views(problem.ladder, found, explanation.lookalike))
    question, level = said
    if level < LOOK:
        return Pointed()
    marked = focus(problem, question)
    return Pointed(marked, views(problem.ladder, hinted(problem, question, level)))
