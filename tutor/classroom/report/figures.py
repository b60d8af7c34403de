"""The figures of classical test theory, from a table of points.

All sums are exact integers; only the last step of each figure (a division, a root) rounds, so
that the same marks give the same bytes everywhere.  A figure that the data do not determine is
``None``, never 0.

Sources: L. Crocker & J. Algina, *Introduction to Classical and Modern Test Theory*, 1986 (item
difficulty, item–total correlation and the correction of Henrysson, Psychometrika 28 (1963) 211,
the standard error of measurement); L. J. Cronbach, Psychometrika 16 (1951) 297 (coefficient
alpha); E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209 (the interval of a share); R. L. Ebel &
D. A. Frisbie, *Essentials of Educational Measurement*, 1991 (what counts as telling apart well).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

FEW = 30
"""Fewer hand-ins than this get a caution: common practice, no source."""
FEWEST = 3
"""A correlation of two pairs is ±1 whatever they are."""
Z95 = 1.959963984540054
"""The 97.5 % point of the normal distribution, for intervals of 95 %."""
WEAK = 0.2
"""Below this an item hardly tells apart who knows: Ebel & Frisbie 1991, from memory."""


@dataclass(frozen=True, slots=True)
class Spread:
    """A distribution in points.  ``deviation`` is the sample's (n − 1); ``None`` below two."""

    count: int
    mean: float
    median: float
    deviation: float | None
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Share:
    """``right`` of ``asked``, with Wilson's interval of 95 %; without any asked, 0 to 1."""

    right: int
    asked: int
    low: float
    high: float

    @property
    def value(self) -> float | None:
        """The share itself, 0 to 1; ``None`` where nothing was asked."""
        return self.right / self.asked if self.asked else None

    @property
    def bounds(self) -> tuple[float, float]:
        """From where to where it may lie."""
        return self.low, self.high


def spread(points: Sequence[Fraction]) -> Spread | None:
    """Mean, median, deviation and range, in points; ``None`` of nothing."""
    if not points:
        return None
    whole, scale = scaled([points])
    values = sorted(whole[0])
    n = len(values)
    middle = Fraction(values[(n - 1) // 2] + values[n // 2], 2 * scale)
    deviation = math.sqrt(_variance(values) / scale**2) if n > 1 else None
    return Spread(
        n,
        float(Fraction(sum(values), n * scale)),
        float(middle),
        deviation,
        float(Fraction(values[0], scale)),
        float(Fraction(values[-1], scale)),
    )


def scaled(rows: Sequence[Sequence[Fraction]]) -> tuple[list[list[int]], int]:
    """The same points as integers, and what they were multiplied by."""
    scale = math.lcm(1, *{p.denominator for row in rows for p in row})
    return [[p.numerator * (scale // p.denominator) for p in row] for row in rows], scale


def _variance(values: Sequence[int]) -> Fraction:
    """The sample's variance (n − 1), exact."""
    n = len(values)
    total = sum(values)
    return Fraction(n * sum(v * v for v in values) - total * total, n * (n - 1))


def correlation(first: Sequence[int], second: Sequence[int]) -> float | None:
    """Pearson's correlation of ``first`` and ``second``; ``None`` where it is not determined.

    That is for fewer than three pairs, or where one side is constant.  Of points that are all or
    nothing, this is the point-biserial correlation.
    """
    n = len(first)
    if n < FEWEST:
        return None
    a, b = sum(first), sum(second)
    across = n * sum(x * y for x, y in zip(first, second, strict=True)) - a * b
    along = n * sum(x * x for x in first) - a * a
    other = n * sum(y * y for y in second) - b * b
    if not along or not other:
        return None
    # The root of the whole product rounds once; integers may be beyond what a float holds.
    size = math.sqrt(Fraction(across * across, along * other))
    return min(1.0, size) if across >= 0 else -min(1.0, size)


def correlated(first: Sequence[Fraction], second: Sequence[Fraction]) -> float | None:
    """As :func:`correlation`, of ``first`` and ``second`` in points or shares of them."""
    (one,), _ = scaled([first])
    (other,), _ = scaled([second])
    return correlation(one, other)


def difficulty(points: Sequence[Fraction], of: Fraction) -> float | None:
    """The mean share of ``points``, ``of`` so many: 1 is easy.  ``None`` of nothing."""
    if not points or not of:
        return None
    return float(sum(points, Fraction(0)) / (len(points) * of))


def alpha(items: Sequence[Sequence[Fraction]]) -> float | None:
    """Cronbach's coefficient; ``None`` for one item, one student, or equal totals.

    Args:
        items: one row an item, one column a student.
    """
    if len(items) < 2 or len(items[0]) < 2:
        return None
    rows, _ = scaled(items)
    whole = _variance([sum(column) for column in zip(*rows, strict=True)])
    if not whole:
        return None
    parts = sum((_variance(row) for row in rows), Fraction(0))
    k = len(rows)
    return float(Fraction(k, k - 1) * (1 - parts / whole))


def measurement_error(deviation: float | None, reliability: float | None) -> float | None:
    """The standard error of measurement s·√(1 − r), in points.

    ``None`` without a ``deviation`` s, or for a ``reliability`` r outside 0 to 1.
    """
    if deviation is None or reliability is None or not 0 <= reliability <= 1:
        return None
    return deviation * math.sqrt(1 - reliability)


def wilson(right: int, asked: int, quantile: float = Z95) -> Share:
    """The share ``right`` of ``asked`` with Wilson's interval.

    The ``quantile`` is the upper point of the normal distribution; the usual one is for 95 %.

    Raises:
        ValueError: there are more right than asked, or fewer than none.
    """
    if not 0 <= right <= asked:
        raise ValueError(f"{right} of {asked} is no share")
    if not asked:
        return Share(0, 0, 0.0, 1.0)
    p, z = right / asked, quantile * quantile / asked
    middle = (p + z / 2) / (1 + z)
    half = math.sqrt(p * (1 - p) * z + z * z / 4) / (1 + z)
    # Where none or all are right one end is exact, which rounding would miss.
    low = 0.0 if right == 0 else max(0.0, middle - half)
    high = 1.0 if right == asked else min(1.0, middle + half)
    return Share(right, asked, low, high)


def histogram(shares: Iterable[Fraction], bins: int = 10) -> list[int]:
    """How many ``shares`` (0 to 1) fall into each of equal ``bins``; a whole one into the last."""
    counts = [0] * bins
    for share in shares:
        counts[min(bins - 1, max(0, int(share * bins)))] += 1
    return counts
