"""A learner's sketch laid over the finished charts: dashed, and named beside its line."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from ..drawing import Drawing
from ..lettering import ascii_form
from ..words import fill
from . import braille
from .bode import ASYMPTOTE, CURVE, LABEL, Chart
from .braille import BASE, NEAR, Dots
from .picture import Span, runs
from .sketch_course import points
from .sketch_line import MINE

ON, OFF = 6, 4
"""Dots drawn and left out along the line."""
_KEPT = (CURVE, ASYMPTOTE)


def over(chart: Chart, drawing: Drawing, *, ascii: bool = False) -> Chart:  # noqa: A002
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
    for one, other in pairwise(points(drawing, 10**axis.low, 10**axis.high)):
        (x, y), (x2, y2) = (
            (
                (p - axis.low) * axis.per_decade * 2 + 0.5,
                level.cell(max(-1e4, min(1e4, v))) * 4 - 0.5,
            )
            for p, v in (one, other)
        )
        steps = max(1, round(max(abs(x2 - x), abs(y2 - y))))
        for step in range(steps + 1):
            if (walked + step) % (ON + OFF) < ON:
                share = step / steps
                dots.dot(round(x + (x2 - x) * share), round(y + (y2 - y) * share))
        walked += steps
    chars = [list(line) for line in chart.lines]
    roles = [[""] * chart.width for _ in chart.lines]
    for span in chart.spans:
        roles[span.row][span.col : span.col + span.length] = [span.role] * span.length
    table = braille.ASCII if ascii else braille.UNICODE
    for row, cells in enumerate(dots.rows):
        for col, bits in enumerate(cells, left):
            if not bits:
                continue
            role, under = roles[top + row][col], ord(chars[top + row][col]) - BASE
            if role in _KEPT:
                # Dots that touch the curve would only blur it.
                if 0 <= under < 256 and not ascii and role == CURVE:
                    bits &= ~NEAR[under]
                if 0 <= under < 256 and not ascii:
                    chars[top + row][col] = chr(BASE + (under | bits))
            else:
                chars[top + row][col], roles[top + row][col] = table[bits], MINE
    _name(chars, roles, chart, drawing, ascii)
    lines = tuple("".join(line) for line in chars)
    return replace(chart, lines=lines, spans=tuple(runs(roles)))


def _name(
    chars: list[list[str]],
    roles: list[list[str]],
    chart: Chart,
    drawing: Drawing,
    ascii: bool,  # noqa: A002
) -> None:
    """Write whose line it is beside it, where nothing else is drawn."""
    assert chart.frequency is not None and chart.level is not None
    left, top, columns, rows = chart.plot
    axis, level = chart.frequency, chart.level
    text = fill("sketch", "legend.yours")
    text = ascii_form(text) if ascii else text
    taken = (*_KEPT, MINE, LABEL)
    found = points(drawing, 10**axis.low, 10**axis.high)
    for part in (0.3, 0.7, 0.15, 0.5, 0.85):
        place = axis.low + part * (axis.high - axis.low)
        (x, y), (x2, y2) = next(
            (pair for pair in pairwise(found) if pair[1][0] >= place), (found[-2], found[-1])
        )
        value = y + (y2 - y) * (place - x) / (x2 - x) if x2 > x else y2
        row, col = (
            level.row(max(-1e4, min(1e4, value))),
            round((place - axis.low) * axis.per_decade),
        )
        for away in (-1, 1, -2, 2):
            start, r = col - len(text) // 2, row + away
            if not 0 <= r < rows or not start >= 0 or start + len(text) > columns:
                continue
            around = range(
                max(left, left + start - 1), min(left + columns, left + start + len(text) + 1)
            )
            if any(roles[top + r][c] in taken for c in around):
                continue
            for n, char in enumerate(text):
                chars[top + r][left + start + n] = char
                roles[top + r][left + start + n] = MINE
            return


def verdict(chart: Chart, text: str) -> Chart:
    """The map with a line of words at its foot, in the place of what little is drawn there."""
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
