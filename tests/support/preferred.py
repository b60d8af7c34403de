"""Whether a value is a preferred one, told without the places of the scale."""

from __future__ import annotations

from fractions import Fraction

from rungwise.problems.circuits.preferred import E24


def is_preferred(number: Fraction, series: tuple[int, ...] = E24) -> bool:
    """Whether a positive ``number`` is a value of ``series``, at any power of ten."""
    while number >= 100:
        number /= 10
    while number < 10:
        number *= 10
    return number in series
