"""What the corner and Q do when one part grows, for all positive values of all parts.

With the letters' denominator a2·s² + a1·s + a0 and x the part that grows,

* ω0² = a0/a2 has the derivative's sign of a0'·a2 − a0·a2' (one pole: a1 in the place of a2);
* Q² = a0·a2/a1² that of (a0'·a2 + a0·a2')·a1 − 2·a0·a2·a1'.

Where all terms of such a polynomial have one sign, so has it for all positive letters; where signs
are mixed nothing is said (the answer would hang on the values, or on more than signs).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache

from flint import fmpz_mpoly

from ..circuits.model import CircuitError, Ladder, valueless
from .letters import Solved, solve


class Trend(StrEnum):
    """Which way a figure goes when a part grows."""

    UP = "up"
    DOWN = "down"
    SAME = "same"


def corner_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way ω0 goes when each part grows, by name; ``None`` where values decide.

    Empty unless there are one or two poles.
    """
    return {name: both[0] for name, both in _trends(valueless(ladder)).items()}


def q_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way Q goes when each part grows; ``None`` where values decide, or there is no Q."""
    return {name: both[1] for name, both in _trends(valueless(ladder)).items()}


def null_at_corner(ladder: Ladder) -> bool:
    """Whether a notch of two poles has its null at ω0, whatever the values."""
    try:
        solved = solve(ladder)
    except CircuitError:
        return False
    top, bottom = solved.top, solved.bottom
    if len(top) != 3 or len(bottom) != 3 or not top[1].is_zero():
        return False
    return bool(top[2] * bottom[0] == top[0] * bottom[2])


@lru_cache(maxsize=2048)
def _trends(ladder: Ladder) -> Mapping[str, tuple[Trend | None, Trend | None]]:
    try:
        solved = solve(ladder)
    except CircuitError:
        return {}
    order = len(solved.bottom) - 1
    if order not in (1, 2):
        return {}
    return {
        element.name: (
            _ratio(solved.bottom[-1], solved.bottom[0], index),
            _quality(solved, index) if order == 2 else None,
        )
        for index, element in enumerate(ladder.elements())
    }


def _ratio(top: fmpz_mpoly, bottom: fmpz_mpoly, index: int) -> Trend | None:
    return _sign(_slope(top, index) * bottom - top * _slope(bottom, index))


def _quality(solved: Solved, index: int) -> Trend | None:
    a2, a1, a0 = solved.bottom
    if a1.is_zero():
        return None
    grown = _slope(a0, index) * a2 + a0 * _slope(a2, index)
    return _sign(grown * a1 - 2 * a0 * a2 * _slope(a1, index))


def _slope(p: fmpz_mpoly, index: int) -> fmpz_mpoly:
    return p.derivative(1 + index)  # the first letter is s


def _sign(p: fmpz_mpoly) -> Trend | None:
    signs = {c > 0 for c in p.coeffs()}
    if not signs:
        return Trend.SAME
    return None if len(signs) == 2 else Trend.UP if signs == {True} else Trend.DOWN
