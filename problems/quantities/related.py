"""The same quantity in the units it is confused with: Hz and rad/s, dB and a plain ratio.

Only units are changed, by their definitions (BIPM, SI brochure, 9th ed.; 1 dB of voltage is
20·log₁₀ of a ratio, IEC 60027-3); nothing is worked out from a circuit.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from .write import write_quantity

_TURN = math.tau
_OCTAVE = math.log10(2)  # decades in an octave

_OTHERS: dict[str, tuple[str, Callable[[float], float]]] = {
    "Hz": ("rad/s", lambda v: v * _TURN),
    "rad/s": ("Hz", lambda v: v / _TURN),
    "°": ("rad", math.radians),
    "rad": ("°", math.degrees),
    "dB/decade": ("dB/octave", lambda v: v * _OCTAVE),
    "dB/octave": ("dB/decade", lambda v: v / _OCTAVE),
    "dB": ("", lambda v: 10 ** (v / 20)),
}


def related(value: float, unit: str, *, gain: bool = False) -> str:
    """The value in the related unit, as text; "" where there is none.

    Args:
        value: the quantity, in ``unit``.
        unit: its unit's symbol.
        gain: whether a plain number is a ratio of voltages, which has decibels.

    >>> related(4700.0, "Hz"), related(-20.0, "dB/decade"), related(0.5, "", gain=True)
    ('29.53 krad/s', '−6.021 dB/octave', '−6.021 dB')
    """
    try:
        if not unit and gain:
            return write_quantity(20 * math.log10(value), "dB") if value > 0 else ""
        if unit not in _OTHERS:
            return ""
        other, convert = _OTHERS[unit]
        return write_quantity(convert(value), other)
    except (OverflowError, ValueError):
        return ""
