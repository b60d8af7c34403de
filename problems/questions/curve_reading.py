"""Curves read: the value between two points, and the few points that tell a whole curve."""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

from .exhibit import Chart, Points

_SPAN = {Chart.GAIN: 80.0}
"""How far below its top a curve is told: what lies lower is seen to be low, and no more."""
_OFF = {Chart.GAIN: 0.2, Chart.PHASE: 3.0}
"""By how much straight lines between the points that are told may miss the curve."""
_SHARE = 0.02
"""The same of a step response, as a share of its height."""
MOST = 24
"""Points that are told of one curve, at most."""


def value_at(points: Points, place: float, *, log: bool = True) -> float:
    """The ordinate of a curve between two of its points, or that of its nearer end.

    Args:
        points: from left to right, at least one.
        place: the abscissa.
        log: whether a straight line is one over the abscissa's logarithm.
    """
    after = bisect_left(points, place, key=lambda point: point[0])
    if after == 0 or after == len(points):
        return points[min(after, len(points) - 1)][1]
    (x, y), (x2, y2) = points[after - 1], points[after]
    if x == x2 or not (math.isfinite(y) and math.isfinite(y2)):
        return y2
    share = math.log(place / x) / math.log(x2 / x) if log and x > 0 else (place - x) / (x2 - x)
    return y + share * (y2 - y)


def telling(points: Points, chart: Chart) -> Points:
    """The points that a reader needs to draw a curve again: its ends, its bends, its extremes.

    Straight lines between them miss it by little: as few points as that takes, each time the one
    that is missed by most (the method of Douglas and Peucker, The Canadian Cartographer 10, 1973).

    Args:
        points: of one curve.
        chart: what it shows.
    """
    values = [y for _, y in points]
    floor = max(values) - _SPAN.get(chart, math.inf)
    shown = tuple((x, max(y, floor)) for x, y in points)
    log = chart is not Chart.STEP
    off = _OFF.get(chart) or _SHARE * (max(values) - min(values))
    chosen = sorted({0, len(shown) - 1, values.index(max(values)), values.index(min(values))})
    while len(chosen) < MOST:
        missed = [
            (abs(shown[n][1] - value_at((shown[first], shown[last]), shown[n][0], log=log)), n)
            for first, last in pairwise(chosen)
            for n in range(first + 1, last)
        ]
        far, worst = max(missed, default=(0.0, 0))
        if far <= off:
            break
        chosen = sorted({*chosen, worst})
    return tuple(points[n] for n in chosen)
