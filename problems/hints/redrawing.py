"""Circuits redrawn at an end of the frequency axis, as hints and explanations speak of them.

At an end every inductor and capacitor is an open or a short (``analysis.arms``).  What is marked is
what the words are about: the parts to look at, or those that decide what becomes of the signal.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..analysis.arms import End
from ..analysis.ends import end_fact
from ..circuits.model import Ladder
from ..questions.model import Problem, Question
from .explanation import Explanation
from .hint import focus, hint

LOOK, STEP = 2, 3
"""The levels of hints that say where to look in the circuit, and how the step is worked."""


@dataclass(frozen=True, slots=True)
class Redrawing:
    """A circuit at an end, and the names of the parts that are marked in it."""

    end: End
    marked: tuple[str, ...] = ()


def decided(ladder: Ladder, end: End) -> Redrawing:
    """``ladder`` at an ``end``, with the short, the open or the surviving path marked."""
    return Redrawing(end, end_fact(ladder, end).parts)


def hinted(problem: Problem, question: Question, level: int) -> tuple[Redrawing, ...]:
    """How a hint redraws the circuit: not before it says where to look in it.

    Args:
        problem: the problem.
        question: which of its questions is hinted at.
        level: of the hint, 1 to 3; the last one is also the reason of the right answer.
    """
    ends = hint(problem, question).ends
    if level < LOOK:
        return ()
    if level < STEP:
        return tuple(Redrawing(end, focus(problem, question)) for end in ends)
    return tuple(decided(problem.ladder, end) for end in ends)


def explained(
    problem: Problem, question: Question, explanation: Explanation | None, *, again: bool
) -> tuple[Redrawing, ...]:
    """How what is said of a wrong answer redraws the circuit.

    Args:
        problem: the problem.
        question: which of its questions was answered.
        explanation: what is said; ``None``: nothing.
        again: whether the question was answered wrong before: then its ends are redrawn in any
            case, as its hints do.
    """
    if explanation is not None and explanation.ends:
        return tuple(Redrawing(end, explanation.marked) for end in explanation.ends)
    return hinted(problem, question, LOOK) if again else ()
