"""Against wrong answers about energy, resonance with a load, current sources and duals.

Of a figure it is said where to look in this circuit, then by which rule it is found; of a circuit
that is not the dual, where its response first parts from that of the one drawn.
"""

from __future__ import annotations

from ..analysis.idle import generic
from ..questions.kinds import kinds_of
from ..questions.model import Rung, Task
from ..questions.sources import chosen_circuit
from .against_ends import choice_of
from .counterfact_pictures import apart
from .explanation import (
    FACTS,
    REASONS,
    Explanation,
    WrongAnswer,
    fact,
    of_hint,
    sentence_of_looks,
)

_FIRST, _LAST = Rung.STORED_ENERGY, Rung.DUAL_VALUE
_ALL = kinds_of(Task.PREDICT)
FIGURES = _ALL[_ALL.index(_FIRST) : _ALL.index(_LAST) + 1]
"""The kinds of both groups that ask for a figure."""


@FACTS(*FIGURES)
def where_to_look(wrong: WrongAnswer) -> Explanation:
    """What there is to see in this circuit."""
    return of_hint(wrong, 2)


@REASONS(*FIGURES, Rung.WHICH_DUAL)
def by_which_rule(wrong: WrongAnswer) -> Explanation:
    """The rule that leads to the answer."""
    return of_hint(wrong, 1)


@FACTS(Rung.WHICH_DUAL)
def which_dual(wrong: WrongAnswer) -> Explanation:
    """Where the response of the circuit chosen first parts from that of the one drawn."""
    chosen = chosen_circuit(choice_of(wrong))
    found = apart(wrong.ladder, generic(chosen), "circuit-drawn")
    sentence = sentence_of_looks(found.key, found.values, "which-circuit.counter")
    return fact(sentence, lookalike=chosen)
