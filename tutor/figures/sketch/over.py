"""A learner's sketch laid over the finished charts: dashed, and named beside its line."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from ....problems.sketches.model import LineSketch
from ...language.texts import fill
from ..canvas.braille import BASE, NEAR, UNICODE, Dots
from ..canvas.canvas import Canvas
from ..canvas.paper import ASYMPTOTE, CURVE, GRID, PlottedPicture
from ..canvas.picture import Span
from .course import dot_place, points
from .line import MINE

ON, OFF = 6, 4
"""Dots drawn and left out along the line."""


def over(chart: PlottedPicture, drawing: LineSketch, *, ascii: bool = False) -> PlottedPicture:  # noqa: A002
    """The chart with a straight-line sketch on top.

    Args:
        chart: a Bode chart of the gain or the phase, whichever the sketch is of.
        drawing: the sketch.
        ascii: use plain ASCII characters only.
    """
    if chart.frequency is None or chart.level is None:
        return chart
    left, top, columns, rows = chart.plot
    axis, level = chart.frequency, chart.level
    dots = Dots(columns, rows)
    walked = 0
    # Not `Dots.path`, which sees a dot exactly between two cells on the other side.
    for one, other in pairwise(points(drawing, 10**axis.low, 10**axis.high)):
        (x, y), (x2, y2) = (dot_place(point, axis, level) for point in (one, other))
        steps = max(1, round(max(abs(x2 - x), abs(y2 - y))))
        for step in range(steps + 1):
            if (walked + step) % (ON + OFF) < ON:
                share = step / steps
                dots.dot(round(x + (x2 - x) * share), round(y + (y2 - y) * share))
        walked += steps
    canvas = Canvas.of(chart, ascii)
    for row, cells in enumerate(dots.rows):
        for col, bits in enumerate(cells, left):
            if not bits:
                continue
            role, under = canvas.roles[top + row][col], ord(canvas.chars[top + row][col]) - BASE
            if role in ("", GRID, ASYMPTOTE):
                canvas.chars[top + row][col], canvas.roles[top + row][col] = UNICODE[bits], MINE
            elif role == CURVE and 0 <= under < 256:
                bits &= ~NEAR[under]  # dots that touch the curve would only blur it
                canvas.chars[top + row][col] = chr(BASE + (under | bits))
    _name(canvas, chart, drawing)
    return replace(chart, lines=canvas.lines, spans=canvas.spans)


def _name(canvas: Canvas, chart: PlottedPicture, drawing: LineSketch) -> None:
    """Write whose line it is beside it, where nothing else is drawn."""
    assert chart.frequency is not None and chart.level is not None
    left, top, columns, rows = chart.plot
    axis, level = chart.frequency, chart.level
    text = canvas.words(fill("sketch", "legend.yours"))
    found = points(drawing, 10**axis.low, 10**axis.high)
    spots = [(away, part) for away in (-1, 1, -2, 2) for part in (0.3, 0.7, 0.15, 0.5, 0.85)]
    # First where it can be told from the other lines, else anywhere along it.
    for lone in (True, False):
        for away, part in spots:
            place = axis.low + part * (axis.high - axis.low)
            (x, y), (x2, y2) = next(
                (pair for pair in pairwise(found) if pair[1][0] >= place), (found[-2], found[-1])
            )
            value = y + (y2 - y) * (place - x) / (x2 - x) if x2 > x else y2
            row = level.row(max(-1e4, min(1e4, value)))
            middle = round((place - axis.low) * axis.per_decade)
            start = middle - len(text) // 2
            if not (0 <= row < rows and 0 <= row + away < rows):
                continue
            if start < 1 or start + len(text) >= columns:
                continue
            beside = canvas.roles[top + row][left + middle - 3 : left + middle + 4]
            if lone and MINE not in beside:
                continue
            first = left + start
            if set(canvas.roles[top + row + away][first - 1 : first + len(text) + 1]) <= {"", GRID}:
                canvas.chars[top + row + away][first : first + len(text)] = text
                canvas.roles[top + row + away][first : first + len(text)] = [MINE] * len(text)
                return


def verdict(chart: PlottedPicture, text: str) -> PlottedPicture:
    """The ``chart``, a map, with ``text`` at its foot, in the place of what little is there."""
    if not chart.lines:
        return chart
    row = chart.height - 1
    words = f" {text} "[: chart.width]
    line = words + chart.lines[row][len(words) :]
    kept = [s for s in chart.spans if s.row != row or s.col >= len(words)]
    cut = [
        s._replace(col=len(words), length=s.col + s.length - len(words))
        for s in chart.spans
        if s.row == row and s.col < len(words) < s.col + s.length
    ]
    mine = Span(row, 0, len(words), MINE)
    return replace(chart, lines=(*chart.lines[:row], line), spans=(*kept, *cut, mine))
