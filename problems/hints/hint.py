"""What a hint says of one circuit: which variant of the words, filled with which values.

A hint has three levels: 1 the principle, 2 where to look in this circuit, 3 this step
worked.  The sentences live in ``content/hints.toml``; the modules behind this one decide
which of their variants is true of the circuit at hand, and what fills their placeholders.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import lru_cache

from ..circuits.model import Ladder
from ..questions.model import Problem, Question, Rung
from . import counts as hints_counts
from . import numbers as hints_numbers
from . import picture as hints_picture
from . import reverse as hints_reverse
from . import sketch as hints_sketch
from .fill import Hint, Scene

HINTS: Mapping[Rung, Callable[[Scene], Hint]] = {
    Rung.FED: hints_picture.fed,
    Rung.LOW_END: hints_picture.low_end,
    Rung.LOW_END_REASON: hints_picture.low_end,
    Rung.HIGH_END: hints_picture.high_end,
    Rung.HIGH_END_REASON: hints_picture.high_end,
    Rung.TYPE: hints_picture.filter_type,
    Rung.TYPE_REASON: hints_picture.filter_type,
    Rung.INDEPENDENT: hints_counts.independent,
    Rung.POLES: hints_counts.poles,
    Rung.ZEROS: hints_counts.zeros,
    Rung.ORIGIN_ZEROS: hints_counts.origin_zeros,
    Rung.LOW_SLOPE: hints_counts.low_slope,
    Rung.HIGH_SLOPE: hints_counts.high_slope,
    Rung.LOW_PHASE: hints_counts.low_phase,
    Rung.HIGH_PHASE: hints_counts.high_phase,
    Rung.GAIN: hints_numbers.gain,
    Rung.TRANSFER: hints_numbers.transfer,
    Rung.CORNER: hints_numbers.corner,
    Rung.CORNER_REASON: hints_numbers.corner,
    Rung.Q: hints_numbers.q,
    Rung.POLE_NATURE: hints_numbers.pole_nature,
    Rung.BANDWIDTH: hints_numbers.bandwidth,
    Rung.LOWER_EDGE: hints_numbers.lower_edge,
    Rung.UPPER_EDGE: hints_numbers.upper_edge,
    Rung.GAIN_SKETCH: hints_sketch.gain,
    Rung.PHASE_SKETCH: hints_sketch.phase,
    Rung.MAP_SKETCH: hints_sketch.roots,
    Rung.WHICH_CIRCUIT: hints_reverse.which_circuit,
    Rung.LOOKALIKE_REASON: hints_reverse.lookalike_reason,
    Rung.MISSING_ARM: hints_reverse.missing_arm,
    Rung.ELEMENT_VALUE: hints_reverse.element_value,
    Rung.LEAST_VALUE: hints_reverse.extreme_value,
    Rung.MOST_VALUE: hints_reverse.extreme_value,
}
"""Which function looks at the circuit for the hints of which kind of question."""


def hint(problem: Problem, question: Question) -> Hint:
    """The hint of one rung of a problem, all three levels."""
    return _hint(problem.ladder, question)


@lru_cache(maxsize=64)
def _hint(ladder: Ladder, question: Question) -> Hint:
    return HINTS[question.rung](Scene(ladder, question))


def focus(problem: Problem, question: Question) -> tuple[str, ...]:
    """Names of the elements the hint speaks of (to be marked in the drawing)."""
    return tuple(dict.fromkeys(hint(problem, question).focus))
