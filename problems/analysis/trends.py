"""What the corner, Q, bandwidth and gain do at a change, for all positive values of all parts.

With the letters' denominator a2·s² + a1·s + a0 and x the part that grows,

* ω0² = a0/a2 has the derivative's sign of a0'·a2 − a0·a2' (one pole: a1 in the place of a2);
* Q² = a0·a2/a1² that of (a0'·a2 + a0·a2')·a1 − 2·a0·a2·a1';
* the bandwidth a1/a2 of a band-pass or a notch, and the gain of the pass band, are ratios as ω0².

Of two circuits made of the same parts the differences of the same figures are looked at.

Where all terms of such a polynomial have one sign, so has it for all positive letters; where signs
are mixed nothing is said (the answer would hang on the values, or on more than signs).
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache

from flint import fmpz, fmpz_mpoly, fmpz_mpoly_ctx

from ..circuits.model import CircuitError, Ladder, valueless
from .letters import Solved, solve


class Trend(StrEnum):
    """Which way a figure goes when a part grows."""

    UP = "up"
    DOWN = "down"
    SAME = "same"


def way_of(before: float | Fraction, after: float | Fraction) -> Trend:
    """Which way a figure goes.

    Args:
        before: the figure before a change.
        after: the same after it.
    """
    return Trend.SAME if before == after else Trend.UP if after > before else Trend.DOWN


def corner_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way ω0 goes when each part grows, by name; ``None`` where values decide.

    Empty unless there are one or two poles.
    """
    return {name: all_[0] for name, all_ in _trends(valueless(ladder)).items()}


def q_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way Q goes when each part grows; ``None`` where values decide, or there is no Q."""
    return {name: all_[1] for name, all_ in _trends(valueless(ladder)).items()}


def bandwidth_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way the bandwidth of a band-pass or notch of two poles goes when each part grows."""
    return {name: all_[2] for name, all_ in _trends(valueless(ladder)).items()}


def gain_trends(ladder: Ladder) -> Mapping[str, Trend | None]:
    """Which way the gain of the pass band goes when each part grows, at f0 for a band-pass."""
    return {name: all_[3] for name, all_ in _trends(valueless(ladder)).items()}


def trend_between(before: Ladder, after: Ladder, *, corner: bool) -> Trend | None:
    """Which way ω0 or Q goes from one circuit to another, whatever the values.

    ``None`` where values decide, or the two have not the same number of poles, one or two.

    Args:
        before: a circuit.
        after: another one, of no other parts.
        corner: of ω0, else of Q.
    """
    try:
        first, second = solve(before), solve(after)
    except CircuitError:
        return None
    names = [element.name for element in before.elements()]
    places = [1 + names.index(element.name) for element in after.elements()]
    a = first.bottom
    b = tuple(_moved(p, places, first.algebra.ctx) for p in second.bottom)
    if len(a) != len(b) or len(a) not in ((2, 3) if corner else (3,)):
        return None
    if corner:
        return _sign(b[-1] * a[0] - a[-1] * b[0])
    if a[1].is_zero() or b[1].is_zero():
        return None
    return _sign(b[0] * b[2] * a[1] * a[1] - a[0] * a[2] * b[1] * b[1])


def _moved(p: fmpz_mpoly, places: list[int], ctx: fmpz_mpoly_ctx) -> fmpz_mpoly:
    """A polynomial in the letters of another circuit, whose parts have these places in ``ctx``."""
    found: dict[tuple[int, ...], fmpz] = {}
    for exponents, c in p.to_dict().items():
        moved = [0] * ctx.nvars()
        for place, exponent in zip(places, exponents[1:], strict=True):
            moved[place] = exponent
        found[tuple(moved)] = c
    return ctx.from_dict(found)


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


_Trends = tuple[Trend | None, Trend | None, Trend | None, Trend | None]
"""Of ω0, Q, bandwidth, gain."""


@lru_cache(maxsize=2048)
def _trends(ladder: Ladder) -> Mapping[str, _Trends]:
    try:
        solved = solve(ladder)
    except CircuitError:
        return {}
    order = len(solved.bottom) - 1
    if order not in (1, 2):
        return {}
    gain = _gain(solved)
    return {
        element.name: (
            _ratio(solved.bottom[-1], solved.bottom[0], index),
            _quality(solved, index) if order == 2 else None,
            _ratio(solved.bottom[1], solved.bottom[0], index) if order == 2 else None,
            _ratio(*gain, index) if gain is not None else None,
        )
        for index, element in enumerate(ladder.elements())
    }


def _gain(solved: Solved) -> tuple[fmpz_mpoly, fmpz_mpoly] | None:
    """Above and below the line of the gain of the pass band; ``None`` where there is no one."""
    top, bottom = solved.top, solved.bottom
    low, high = not top[-1].is_zero(), len(top) == len(bottom)
    if not low and not high:  # a band-pass: k·s/(a2·s² + a1·s + a0) is k/a1 at ω0
        return (top[0], bottom[1]) if len(top) == 2 else None
    if low and high and top[-1] * bottom[0] != top[0] * bottom[-1]:
        return None  # the two ends differ
    return (top[-1], bottom[-1]) if low else (top[0], bottom[0])


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
