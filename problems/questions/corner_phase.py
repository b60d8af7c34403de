"""The phase at the corner: halfway between what it is at DC and at high frequency.

At ω0 the denominator of one pole is a0·(1 + j) and turns the phase by −45°; that of two poles,
a2·s² + a1·s + a0 with ω0² = a0/a2, is jω0·a1 and turns it by −90°, whatever Q.  Each zero at the
origin gives its +90° everywhere.  So it is a whole multiple of 45° wherever all zeros lie at the
origin, and is asked only there: any other zero turns it by some odd angle, and at the null of a
notch there is no phase.  Common practice, no source.
"""

from __future__ import annotations

from ..analysis.response import Facts
from .asking import Asking
from .kinds import MAKERS, MEASURES
from .model import Form, Question, Rung


def corner_phase(facts: Facts) -> int | None:
    """The phase at the corner in degrees, followed from DC.

    ``None`` without one or two poles, with a zero that is not at the origin, and without damping.
    """
    transfer = facts.transfer
    if transfer.order not in (1, 2) or transfer.zero_count != transfer.zeros_at_origin:
        return None
    if transfer.denominator[1] == 0:
        return None
    return 90 * transfer.zeros_at_origin - 45 * transfer.order


MEASURES(Rung.CORNER_PHASE)(corner_phase)


@MAKERS(Rung.CORNER_PHASE)
def _asked(asking: Asking) -> Question | None:
    truth = corner_phase(asking.facts)
    if truth is None:
        return None
    return Question(Rung.CORNER_PHASE, Form.ANGLE, truth, unit="°")
