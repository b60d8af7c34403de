"""Two poles, all zeros at the origin or at f0: H(s), and closed forms in Q of its figures.

Frequencies are in multiples of f0.

Of the denominator s² + (ω0/Q)·s + ω0²; in every text on second-order systems, common practice, no
source.  They are worked out as they are given: of an exact Q as far as that goes.
"""

from __future__ import annotations

import math
from fractions import Fraction

from .gain_type import FilterType

Figure = Fraction | float


def damped(q: Figure) -> float:
    """Where a pair rings, √(1 − 1/4Q²): the imaginary part of its poles; ``q`` is ½ or more."""
    return math.sqrt(1 - 1 / (4 * q * q))


def peak(q: Figure) -> float:
    """Where a low-pass peaks, √(1 − 1/2Q²), and over which a high-pass does; ``q`` from 1/√2 on."""
    return math.sqrt(1 - 1 / (2 * q * q))


def peak_height(q: Figure) -> float:
    """The gain there against that of the pass band, Q/√(1 − 1/4Q²); ``q`` is above 1/√2."""
    return q / damped(q)


def band_edges(q: Figure) -> tuple[float, float]:
    """Where a band-pass of a ``q`` is 3 dB down, √(1 + 1/4Q²) ∓ 1/2Q; there a notch is, too.

    There the middle term is as large as the two others, and the phase 45° from that at f0.
    """
    root, half = math.sqrt(1 + 1 / (4 * q * q)), 1 / (2 * q)
    return root - half, root + half


def one_sided_edge(q: Figure) -> float:
    """Where a low-pass of a ``q`` is 3 dB down, √(a + √(a² + 1)), and over which a high-pass is.

    a is 1 − 1/2Q².
    """
    a = 1 - 1 / (2 * float(q) * float(q))
    # The plain form loses every digit for a ≪ 0 (two real poles far apart), this one does not.
    return math.sqrt(a + math.hypot(a, 1) if a > 0 else 1 / (math.hypot(a, 1) - a))


def swing(q: Figure) -> float:
    """What each swing of a step response is of the one before it; 0 up to ``q`` = ½: none rings."""
    square = 4 * q * q
    return math.exp(-math.pi / math.sqrt(square - 1)) if square > 1 else 0.0


def angle(q: Figure) -> float:
    """How far a pair lies off the negative real axis, in degrees: cos φ = 1/(2·``q``)."""
    return math.degrees(math.acos(1 / (2 * q)))


def numerator(of: FilterType, bottom: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """The numerator of a pass-band gain of 1: the terms of the denominator that the type leaves.

    Args:
        of: low-pass or high-pass, or of two poles a band-pass or notch.
        bottom: the denominator's coefficients, from the top power.

    Raises:
        ValueError: there is no such numerator.
    """
    one, none = bottom[0], Fraction(0)
    match of:
        case FilterType.LOW_PASS:
            return bottom[-1:]
        case FilterType.HIGH_PASS:
            return (one, *(none for _ in bottom[1:]))
        case FilterType.BAND_PASS:
            return (bottom[1], none)
        case FilterType.NOTCH:
            return (one, none, bottom[-1])
    raise ValueError(f"there is no prototype of a {of.value}")
