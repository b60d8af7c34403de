"""What a response that has no type name looks like: a step up or down, a dip, a bump."""

from __future__ import annotations

from enum import StrEnum

from ..algebra import axis_pairs, ball, squared_magnitude, stationary
from .response import Response
from .transfer import polynomial, to_flint


class Shape(StrEnum):
    """The course of |H| from DC to very high frequency, where both ends pass."""

    CONSTANT = "constant"
    RISING = "rising"
    FALLING = "falling"
    DIP = "dip"  # lower somewhere between than at either end
    BUMP = "bump"  # higher somewhere between than at either end
    WAVY = "wavy"  # both


def shape(response: Response) -> Shape:
    """The course of |H|, decided by its exact extremes.

    The extremes are the positive roots u = ω² of the derivative of |H|², and every
    comparison is of ball-arithmetic values, so it holds or is not claimed.
    """
    transfer = response.transfer
    top = squared_magnitude(polynomial(transfer.numerator))
    bottom = squared_magnitude(polynomial(transfer.denominator))
    if top * bottom[0] == bottom * top[0]:
        return Shape.CONSTANT
    low, high = (ball(to_flint(gain**2)) for gain in (response.gain_low, response.gain_high))
    values = [value for _, value in stationary(top, bottom)]
    # Without damping |H| grows beyond all bounds: no stationary value, but a bump all the same.
    bump = axis_pairs(polynomial(transfer.denominator)) > 0
    bump = bump or any(v > low and v > high for v in values)
    dip = any(v < low and v < high for v in values)
    if bump or dip:
        return Shape.WAVY if bump and dip else Shape.BUMP if bump else Shape.DIP
    return Shape.RISING if response.gain_high > response.gain_low else Shape.FALLING
