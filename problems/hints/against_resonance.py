"""Against wrong answers about energy, resonance with a load, current sources and duals.

Of a figure it is said where to look in this circuit, then by which rule it is found; of a circuit
that is not the dual, where its response first parts from that of the one drawn.
"""

from __future__ import annotations

from ..analysis.idle import generic
from ..questions.kinds import kinds_of_way
from ..questions.model import Rung
from ..questions.sources import chosen_circuit
from .counterfact_pictures import apart
from .explanation import (
    FACTS,
    REASONS,
    Explanation,
    WrongAnswer,
    as_hinted,
    fact,
    sentence_of_looks,
)

FIGURES = (
    *kinds_of_way("energy"),
    *(r for r in kinds_of_way("source") if r is not Rung.WHICH_DUAL),
)
"""The kinds of both groups that ask for a figure."""

FACTS(*FIGURES)(as_hinted(2))
REASONS(*FIGURES, Rung.WHICH_DUAL)(as_hinted(1))


@FACTS(Rung.WHICH_DUAL)
def which_dual(wrong: WrongAnswer) -> Explanation:
    """Where the response of the circuit chosen first parts from that of the one drawn."""
    chosen = chosen_circuit(wrong.choice)
    found = apart(wrong.ladder, generic(chosen), "circuit-drawn")
    sentence = sentence_of_looks(found.key, found.values, "which-circuit.counter")
    return fact(sentence, lookalike=chosen)
