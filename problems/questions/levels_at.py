"""Gain in decibels at a multiple of the corner frequency.

Of the exact H(s) at s = j·k·ω0; common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

from ..analysis.response import TWO_PI, Facts, decibels
from .asking import Asking
from .kinds import MAKERS
from .model import Form, Question, Rung

PLACES = {"tenth": Fraction(1, 10), "corner": Fraction(1), "ten": Fraction(10)}
"""Where it is asked, in multiples of the corner frequency."""

NEAR_DB = Fraction(1, 2)


def gain_at(facts: Facts, times: Fraction) -> float | None:
    """The gain in dB at a multiple of the corner; ``None`` where nothing gets through.

    Args:
        facts: of the circuit.
        times: the multiple.
    """
    corner = facts.corner_hz
    if corner is None:
        return None
    return decibels(abs(facts.transfer(1j * TWO_PI * float(corner) * float(times))))


@MAKERS(Rung.GAIN_AT)
def _gain_at(asking: Asking) -> Question | None:
    place = asking.chance.pick(tuple(PLACES))
    found = gain_at(asking.facts, PLACES[place])
    if found is None:
        return None
    values = (("asked", place),)
    truth = round(found, 6)
    return Question(Rung.GAIN_AT, Form.LEVEL, truth, unit="dB", tolerance=NEAR_DB, values=values)
