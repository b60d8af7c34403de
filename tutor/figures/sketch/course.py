"""The course of a straight-line plot over frequency: its corners, and its value anywhere."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from ....problems.sketches.model import GainSketch, LineSketch, PhaseSketch
from ....problems.sketches.write import degrees, signed
from ..canvas.axes import FrequencyAxis, LevelAxis

REACH = 1.0
"""Decades on either side of the middle of a turn of phase: the textbook's straight lines."""
FAR = 1e4
"""Beyond this many dB or degrees nothing is drawn."""


@dataclass(frozen=True)
class Frame:
    """The edges of the paper: Hz, and dB or degrees."""

    low: float
    high: float
    bottom: float
    top: float


def points(drawing: LineSketch, low: float, high: float) -> list[tuple[float, float]]:
    """(log10 of Hz, value) of the ends and corners of a ``drawing`` from ``low`` to ``high`` Hz."""
    first, last = math.log10(low), math.log10(high)
    bends = [(math.log10(bend.frequency), bend.value) for bend in drawing.bends]
    if isinstance(drawing, GainSketch):
        # Without a break the level is that of the paper's middle.
        at = bends[0][0] if bends else (first + last) / 2
        found = [(first, drawing.level + drawing.start * (first - at))] if first < at else []
        slope, value = drawing.start, drawing.level
        for place, after in bends:
            value += slope * (place - at)
            found.append((place, value))
            at, slope = place, after
        return [*found, (max(last, at), value + slope * (max(last, at) - at))]
    bends_at = {math.log10(b.frequency) for b in drawing.bends if b.jump}
    turns = {math.log10(b.frequency) + way for b in drawing.bends for way in (-REACH, REACH)}
    inner = sorted(c for c in turns | bends_at if first < c < last)
    found = [(first, phase_at(drawing, first))]
    for place in inner:
        found.append((place, phase_at(drawing, place)))
        if place in bends_at:
            found.append((place, phase_at(drawing, place, after=True)))
    return [*found, (last, phase_at(drawing, last))]


def dot_place(
    point: tuple[float, float], axis: FrequencyAxis, level: LevelAxis
) -> tuple[float, float]:
    """(column, row) of dots, fractions too, of a ``point`` (log10 of Hz, value).

    It lies over frequencies on an ``axis`` and values on a ``level``.
    """
    x, y = point
    return (
        (x - axis.low) * axis.per_decade * 2 + 0.5,
        level.cell(max(-FAR, min(FAR, y))) * 4 - 0.5,
    )


def phase_at(drawing: PhaseSketch, place: float, after: bool = False) -> float:
    """Degrees of a ``drawing`` at ``place``, log10 of Hz; ``after`` a jump there, or before it."""
    phase = float(drawing.start)
    for bend in drawing.bends:
        away = place - math.log10(bend.frequency)
        if bend.jump:
            phase += bend.value if away > 0 or (after and away == 0) else 0
        else:
            phase += bend.value * max(0.0, min(1.0, (away + REACH) / (2 * REACH)))
    return phase


def value_at(drawing: LineSketch, place: float, frame: Frame) -> float:
    """Decibels or degrees of a ``drawing`` on a ``frame`` of paper at ``place``, log10 of Hz."""
    if isinstance(drawing, PhaseSketch):
        return phase_at(drawing, place)
    found = points(drawing, frame.low, frame.high)
    for (x, y), (x2, y2) in pairwise(found):
        if place <= x2:
            return y + (y2 - y) * (place - x) / (x2 - x) if x2 > x else y2
    return found[-1][1]


def ends_at(drawing: LineSketch, place: float, frame: Frame) -> tuple[float, float]:
    """The values of a ``drawing`` on a ``frame`` of paper before and after ``place``, log10 of Hz.

    A jump alone makes them differ.
    """
    if isinstance(drawing, PhaseSketch):
        return phase_at(drawing, place), phase_at(drawing, place, after=True)
    value = value_at(drawing, place, frame)
    return value, value


def amount(drawing: LineSketch, value: int) -> str:
    """A ``value`` of a ``drawing``, a slope or a change, with its sign: "−20", "+90°"."""
    return signed(value) if isinstance(drawing, GainSketch) else degrees(value)
