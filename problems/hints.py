"""What a hint says of one circuit: which variant of the words, filled with which values.

A hint has three levels: 1 the principle, 2 where to look in this circuit, 3 this step
worked.  The sentences live in ``content/hints.toml``; this module decides which of their
variants is true of the circuit at hand, and works out what fills their placeholders.
"""

from __future__ import annotations

from dataclasses import dataclass

from .problem import Problem, Question, Values


@dataclass(frozen=True, slots=True)
class Hint:
    """The variants of the three levels, what fills them, and the elements they speak of."""

    principle: str
    look: str
    step: str
    values: Values = ()
    focus: tuple[str, ...] = ()

    def variant(self, level: int) -> str:
        """The key of the words of one level."""
        return (self.principle, self.look, self.step)[level - 1]


def hint(problem: Problem, question: Question) -> Hint:
    """The hint of one rung of a problem, all three levels."""
    return Hint("any", "any", "any")


def hint_values(problem: Problem, question: Question) -> Values:
    """What fills the placeholders of the hints of one rung."""
    return hint(problem, question).values


def focus(problem: Problem, question: Question) -> tuple[str, ...]:
    """Names of the elements the hint speaks of (to be marked in the drawing)."""
    return hint(problem, question).focus
