"""What a hint says of one circuit: which variant of the words, filled with which values.

A hint has three levels: 1 the principle, 2 where to look in this circuit, 3 this step
worked.  The sentences live in ``content/hints.toml``; the modules behind this one decide
which of their variants is true of the circuit at hand, and what fills their placeholders.
"""

from __future__ import annotations

from functools import lru_cache
from types import ModuleType

from ..circuits.model import Ladder
from ..questions.model import Problem, Question
from . import (
    changed,
    counts,
    energy,
    levels_at,
    losses,
    numbers,
    off_curve,
    outputs,
    picture,
    poles,
    q_curves,
    reverse,
    scaling,
    sketch,
    sources,
    steps,
    tuning,
)
from .fill import HINTS, Hint, Scene

_KINDS: tuple[ModuleType, ...] = (
    picture,
    counts,
    numbers,
    sketch,
    reverse,
    losses,
    levels_at,
    outputs,
    off_curve,
    q_curves,
    poles,
    steps,
    changed,
    tuning,
    energy,
    sources,
    scaling,
)
"""The modules whose functions fill the slots of the kinds."""


def hint(problem: Problem, question: Question) -> Hint:
    """The hint of one ``question`` of a ``problem``, all three levels."""
    return _hint(problem.ladder, question)


@lru_cache(maxsize=64)
def _hint(ladder: Ladder, question: Question) -> Hint:
    filler = HINTS.get(question.rung)
    if filler is None:
        raise LookupError(f"nothing looks at a circuit for the hints of {question.rung}")
    return filler(Scene(ladder, question))


def focus(problem: Problem, question: Question) -> tuple[str, ...]:
    """Names of the elements that the hint of this ``question`` of ``problem`` marks."""
    return tuple(dict.fromkeys(hint(problem, question).focus))
