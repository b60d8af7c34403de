"""Why a wrong answer to a look cannot be right: an exact fact of this circuit that it contradicts.

Each counter-fact is checked against the exact facts before it is told; its words stand in
``content/looks.toml`` under ``<kind>.counter.<key>``.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..analysis.arms import End
from ..analysis.response import facts
from ..circuits.model import Ladder
from ..questions.looks import Look
from ..questions.model import Values


@dataclass(frozen=True, slots=True)
class CounterFact:
    """What is true of a look's circuit and cannot go with the answer that was given.

    Args:
        key: its words, ``<kind>.counter.<key>``.
        values: what fills them.
        end: the end of the frequency axis at which the circuit is redrawn, reactive parts replaced
            by opens and shorts; ``None`` where no end is in question.
        marked: names of the parts to mark in that drawing: the short across the output, the open
            in the way, or the path that survives.
        passes: whether what is marked is a path that survives (rather than a block).
        lookalike: the nearest circuit that *is* what was answered; ``None`` where there is none.
    """

    key: str
    values: Values = ()
    end: End | None = None
    marked: tuple[str, ...] = ()
    passes: bool = False
    lookalike: Ladder | None = None


def counterfact(look: Look, answered: str) -> CounterFact:
    """The exact fact that a wrong answer contradicts.

    Args:
        look: the look.
        answered: the id of the choice taken.

    Raises:
        ValueError: the answer is right, or no choice of the look's kind.
    """
    if answered not in look.answers or answered == look.truth:
        raise ValueError(f"{answered!r} is no wrong answer of {look.kind}")
    known = facts(look.ladder)
    return CounterFact("truth", (("type", known.type.value),))
