"""The piece of a gain that carries its level, and how far off a drawn one lies.

A line of a filter's gain rises to its pass band and falls from it, so its level is that of its
tops: the flat piece of a pass band (a notch has two), or the corner where the lines of a peaked
band-pass meet.  It is judged there, because only there a break that is misplaced within its
tolerance leaves the height alone: along a slope of 40 dB/decade a fifth of a decade is 8 dB.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..analysis.limits import PASSED_DB
from .model import GainSketch
from .turns import same_turns, turns_of

LEVEL = 2.5
"""Decibels by which a level may be off: less than the 3 dB between curve and corner."""

UNIT = 20
"""dB/decade of a single root."""

_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Top:
    """A top of a gain: where it lies in dB, and the slopes on either side of it.

    A ``peak`` is a corner; otherwise it is a flat piece, and ``piece`` counts it among the pieces
    of the line (a peak's is the one before it).
    """

    height: float
    before: int
    after: int
    piece: int
    peak: bool


def tops(sketch: GainSketch) -> tuple[Top, ...]:
    """The tops of a gain, from left to right; none where it rises without end."""
    slopes, heights = sketch.slopes, sketch.heights or (sketch.level,)
    if slopes[0] < 0 or slopes[-1] > 0:
        return ()
    last = len(slopes) - 1
    found: list[Top] = []
    for piece, slope in enumerate(slopes):
        before = slopes[piece - 1] if piece else 1
        after = slopes[piece + 1] if piece < last else -1
        height = heights[min(piece, len(heights) - 1)]
        if slope == 0 and before > 0 > after:
            found.append(Top(height, before, after, piece, peak=False))
        elif slope > 0 > after and piece < last:
            found.append(Top(height, slope, after, piece, peak=True))
    return tuple(found)


def bands(sketch: GainSketch) -> tuple[Top, ...]:
    """The tops that are pass bands: the highest, and those less than 6 dB below it."""
    every = tops(sketch)
    highest = max((top.height for top in every), default=0.0)
    return tuple(top for top in every if top.height >= highest - PASSED_DB)


def same_lines(truth: GainSketch, drawn: GainSketch) -> bool:
    """Whether slopes and breaks of ``drawn`` are those of ``truth``, whatever the level."""
    return truth.slopes[0] == drawn.slopes[0] and same_turns(turns_of(truth), turns_of(drawn), UNIT)


def offs(truth: GainSketch, drawn: GainSketch) -> tuple[float, ...]:
    """By how many dB each pass band is off.

    Args:
        truth: the right gain.
        drawn: what was drawn.  Where its lines are others than the true ones, the highest tops
            are compared; where there is no top, the first line and its prolongation.
    """
    expected, found = tops(truth), tops(drawn)
    if not expected or not found:
        return (_along(truth, drawn),)
    if not same_lines(truth, drawn) or len(expected) != len(found):
        return (max(top.height for top in found) - max(top.height for top in expected),)
    wanted = bands(truth)
    return tuple(
        _off(truth, right, drawn, top)
        for right, top in zip(expected, found, strict=True)
        if right in wanted
    )


def level_right(truth: GainSketch, drawn: GainSketch) -> bool:
    """Whether every pass band of ``drawn`` lies at its height, that of ``truth``."""
    return all(abs(off) <= LEVEL + _ROUNDING for off in offs(truth, drawn))


def _off(truth: GainSketch, right: Top, drawn: GainSketch, found: Top) -> float:
    """The distance of two tops.

    Where one sketch has a corner and the other a flat piece, breaks that lie near each other
    were drawn as one: the corner may lie at the height of the piece, or where the lines on
    either side of the piece meet, which is a little higher.
    """
    if right.peak is found.peak:
        return found.height - right.height
    if found.peak:
        met = meeting(truth, right, found.before, found.after)
        return _outside(found.height, right.height, met)
    met = meeting(drawn, found, right.before, right.after)
    return -_outside(right.height, found.height, met)


def _outside(height: float, low: float, high: float) -> float:
    return height - low if height < low else max(0.0, height - high)


def meeting(sketch: GainSketch, flat: Top, rising: int, falling: int) -> float:
    """The height in dB where the lines before and after a flat top would meet.

    Args:
        sketch: the gain.
        flat: a top of it that is no peak.
        rising: the slope of the line before it in dB/decade.
        falling: that of the line after it.
    """
    for left in reversed(_lines(sketch, 0, flat.piece)):
        for right in _lines(sketch, flat.piece + 1, len(sketch.slopes)):
            if (left[0], right[0]) == (rising, falling):
                (up, at, height), (down, there, other) = left, right
                place = (other - height + up * at - down * there) / (up - down)
                return height + up * (place - at)
    return flat.height


def _lines(sketch: GainSketch, first: int, end: int) -> list[tuple[int, float, float]]:
    """(slope, log10 of Hz, dB there) of these pieces, each with a point of it."""
    return [
        (
            sketch.slopes[piece],
            math.log10(sketch.breaks[max(0, piece - 1)]),
            sketch.heights[max(0, piece - 1)],
        )
        for piece in range(first, end)
    ]


def _along(truth: GainSketch, drawn: GainSketch) -> float:
    """How far a drawn line lies from the true one where there is no top to compare."""
    if tops(truth):
        return drawn.level - max(top.height for top in tops(truth))
    level = truth.level
    if truth.breaks and drawn.breaks:
        level += truth.slopes[0] * math.log10(drawn.breaks[0] / truth.breaks[0])
    return drawn.level - level
