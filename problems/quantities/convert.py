"""Values from one unit in another of the same dimension."""

from __future__ import annotations

import math

_OCTAVE = math.log10(2)  # decades in an octave

SAME = 1e-9
"""Relative distance below which two break frequencies are drawn as one."""


def to_asked(value: float, unit: str, asked: str) -> float:
    """``value`` typed in ``unit``, in the unit ``asked`` for.

    dB/octave follow the trade's round figures: 6 dB/octave is 20 dB/decade.
    """
    match unit, asked:
        case ("rad/s", "Hz"):
            return value / math.tau
        case ("Hz", "rad/s"):
            return value * math.tau
        case ("dB", ""):
            return float(10 ** (value / 20))
        case ("", "dB"):
            return 20 * math.log10(value)
        case ("rad", "°"):
            return math.degrees(value)
        case ("dB/octave", "dB/decade"):
            poles = round(value / 6)
            trade = poles and abs(value - 6 * poles) <= 0.021 * abs(poles)
            return 20.0 * poles if trade else value / _OCTAVE
        case _:
            return value
