"""What the losses of a resonator come to: Q loaded and unloaded, insertion loss, depth of a notch.

The loaded Q is the Q of the poles; where a resonator has losses of its own it is asked by that name
and not as plain Q.  Both levels are asked in decibels, and are right within a quarter of one at
least: a loss of 2 dB to 2 % would be right to 0.04 dB, which nobody reads off anything.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from functools import partial

from ..analysis.losses import insertion_loss_db, loaded_q, notch_depth_db, unloaded_q
from ..analysis.response import Facts
from .asking import Asking, quantity
from .kinds import MAKERS, MEASURES
from .model import TOLERANCE, Question, Rung

LEAST_DB = 2.0
"""A loss of less than this is not asked: near 1 dB the ratio itself is about as many."""

_NEAR_DB = Fraction(1, 4)

MEASURES(Rung.LOADED_Q)(loaded_q)
MEASURES(Rung.UNLOADED_Q)(unloaded_q)
MEASURES(Rung.INSERTION_LOSS)(insertion_loss_db)
MEASURES(Rung.NOTCH_DEPTH)(notch_depth_db)


def _ratio(rung: Rung, measure: Callable[[Facts], float | None], asking: Asking) -> Question | None:
    found = measure(asking.facts)
    return None if found is None else quantity(rung, found)


MAKERS(Rung.LOADED_Q)(partial(_ratio, Rung.LOADED_Q, loaded_q))
MAKERS(Rung.UNLOADED_Q)(partial(_ratio, Rung.UNLOADED_Q, unloaded_q))


def tolerance_of(level: float) -> Fraction:
    """The relative tolerance of a ``level`` in dB: 2 %, or a quarter of a decibel if that is more.

    In whole per cent, so that it can be said.
    """
    return max(TOLERANCE, Fraction(math.floor(100 * _NEAR_DB / Fraction(level)), 100))


def _level(rung: Rung, measure: Callable[[Facts], float | None], asking: Asking) -> Question | None:
    found = measure(asking.facts)
    if found is None or found < LEAST_DB:
        return None
    return quantity(rung, found, "dB", tolerance=tolerance_of(found))


MAKERS(Rung.INSERTION_LOSS)(partial(_level, Rung.INSERTION_LOSS, insertion_loss_db))
MAKERS(Rung.NOTCH_DEPTH)(partial(_level, Rung.NOTCH_DEPTH, notch_depth_db))
