"""Why a wrong answer to a look cannot be right: an exact fact of this circuit that it contradicts.

Each counter-fact follows from the exact facts of the circuit and from nothing else; its words stand
in ``content/looks.toml`` under ``<kind>.counter.<key>``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from ..generate.contrast import answer_of, nearest
from ..questions.looks import Facing, Look, LookKind
from .counterfact_changes import ON, wrong_change
from .counterfact_counts import wrong_feed, wrong_poles, wrong_slope, wrong_zeros
from .counterfact_curves import wrong_curve, wrong_step, wrong_step_of_map, wrong_twin
from .counterfact_ends import CounterFact, wrong_end, wrong_type
from .counterfact_levels import dc_fact, larger_fact, phase_fact
from .counterfact_pictures import wrong_circuit, wrong_one, wrong_pair, wrong_picture


def _whatever(fact: Callable[[Look], CounterFact]) -> Callable[[Look, str], CounterFact]:
    """A fact that refutes every wrong answer alike."""
    return lambda look, _: fact(look)


_OF: Mapping[LookKind, Callable[[Look, str], CounterFact]] = MappingProxyType(
    {
        LookKind.TYPE: wrong_type,
        LookKind.LOW_END: wrong_end,
        LookKind.HIGH_END: wrong_end,
        LookKind.FED: wrong_feed,
        LookKind.POLES: wrong_poles,
        LookKind.ORIGIN_ZEROS: wrong_zeros,
        LookKind.LOW_SLOPE: wrong_slope,
        LookKind.HIGH_SLOPE: wrong_slope,
        LookKind.WHICH_RESPONSE: wrong_picture,
        LookKind.WHICH_MAP: wrong_picture,
        LookKind.WHICH_CIRCUIT: wrong_circuit,
        LookKind.SAME_TYPE: wrong_pair,
        LookKind.WHICH_ONE: wrong_one,
        **dict.fromkeys(ON, wrong_change),
        LookKind.DC_OUTPUT: _whatever(dc_fact),
        LookKind.CORNER_PHASE: _whatever(phase_fact),
        LookKind.LARGER_OUTPUT: _whatever(larger_fact),
        LookKind.GAIN_OF_Q: wrong_curve,
        LookKind.PHASE_OF_Q: wrong_curve,
        LookKind.STEP_OF_Q: wrong_curve,
        LookKind.STEP_OF_MAP: wrong_step_of_map,
        LookKind.STEP_OF_CIRCUIT: wrong_step,
        LookKind.SAME_TRANSFER: wrong_twin,
    }
)


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
    found = _OF[look.kind](look, answered)
    if (
        found.lookalike is None
        and look.row.facing is Facing.CIRCUIT
        and answer_of(look.ladder, look.kind) is not None
    ):
        other = nearest(look.ladder, look.kind, answered, found.marked)
        found = replace(found, lookalike=other)
    return found
