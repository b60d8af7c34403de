"""Values in another unit of the same dimension: Hz and rad/s, dB and a plain ratio.

Only units are changed, by their definitions (BIPM, SI brochure, 9th ed.; 1 dB of voltage is
20·log₁₀ of a ratio, IEC 60027-3); nothing is worked out from a circuit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from .write import write_quantity

_OCTAVE = math.log10(2)  # decades in an octave

SAME = 1e-9
"""Relative distance below which two break frequencies are drawn as one."""

_CONVERT: Mapping[tuple[str, str], Callable[[float], float]] = MappingProxyType(
    {
        ("Hz", "rad/s"): lambda v: v * math.tau,
        ("rad/s", "Hz"): lambda v: v / math.tau,
        ("dB", ""): lambda v: 10 ** (v / 20),
        ("", "dB"): lambda v: 20 * math.log10(v),
        ("°", "rad"): math.radians,
        ("rad", "°"): math.degrees,
        ("dB/decade", "dB/octave"): lambda v: v * _OCTAVE,
        ("dB/octave", "dB/decade"): lambda v: v / _OCTAVE,
    }
)


def converted(value: float, unit: str, other: str) -> float | None:
    """``value`` in ``unit``, in an ``other`` of the same dimension; ``None``: it is none such.

    Raises:
        ValueError: a ratio that is not positive has no decibels.
        OverflowError: the ratio of so many decibels is beyond all floats.
    """
    convert = _CONVERT.get((unit, other))
    return None if convert is None else convert(value)


def to_asked(value: float, unit: str, asked: str) -> float:
    """``value`` typed in ``unit``, in the unit ``asked`` for.

    dB/octave follow the trade's round figures: 6 dB/octave is 20 dB/decade.
    """
    if (unit, asked) == ("dB/octave", "dB/decade"):
        poles = round(value / 6)
        if poles and abs(value - 6 * poles) <= 0.021 * abs(poles):
            return 20.0 * poles
    found = converted(value, unit, asked)
    return value if found is None else found


def related(value: float, unit: str, *, gain: bool = False) -> str:
    """The value in the unit it is confused with, as text; "" where there is none.

    Args:
        value: the quantity, in ``unit``.
        unit: its unit's symbol.
        gain: whether a plain number is a ratio of voltages, which has decibels.

    >>> related(4700.0, "Hz"), related(-20.0, "dB/decade"), related(0.5, "", gain=True)
    ('29.53 krad/s', '−6.021 dB/octave', '−6.021 dB')
    """
    other = next((there for here, there in _CONVERT if here == unit), None)
    if other is None or (not unit and not (gain and value > 0)):
        return ""
    try:
        return write_quantity(_CONVERT[unit, other](value), other)
    except (OverflowError, ValueError):
        return ""
