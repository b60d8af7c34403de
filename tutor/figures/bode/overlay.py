"""More curves, letters and a marker on top of a chart that left room for them.

Curves are told apart by pattern and letter, never by colour alone: the chart's own curve
is solid, the next one dashed, the third dotted.  In ASCII the others are drawn in their
letters.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from ....problems.analysis.asymptotes import Sweep
from ....problems.analysis.response import Response
from ..canvas import braille
from ..canvas.axes import FrequencyAxis, LevelAxis
from ..canvas.braille import BASE, NEAR, Dots
from ..canvas.canvas import Canvas
from ..canvas.paper import CURVE, EDGE_SIGNS, PlottedPicture

MARKER = "marker"
HAND = "hand"
OTHER = "other"

PATTERNS = ((1, 0), (5, 3), (1, 3), (2, 2))
"""Dots drawn and dots left out, along the curve: solid, dashed, dotted, in pairs."""

_BREAK = 150.0
"""Degrees between two neighbouring dots that are taken for a jump."""


@dataclass(frozen=True)
class Trace:
    """A curve: its letter, its pattern's number, and a value for every dot column."""

    letter: str
    pattern: int
    values: Sequence[float]
    jumps: bool = False

    @property
    def role(self) -> str:
        """What its dots and its letter are called."""
        return f"{OTHER}-{self.letter.lower()}"


def sample(pattern: int, ascii: bool = False) -> str:  # noqa: A002 - the everyday word for it
    """Four cells of the ``pattern`` of that number, for a legend, in ``ascii`` or braille."""
    dots = Dots(4, 1)
    _along(dots, [2] * 8, PATTERNS[pattern])
    canvas = Canvas(4, 1, ascii)
    canvas.lay(0, 0, dots, OTHER)
    return canvas.lines[0]


def frequencies(axis: FrequencyAxis) -> list[float]:
    """Hz at every dot column of an axis."""
    return [axis.at_dot(x) for x in range(axis.width * 2)]


def gains(response: Response, sweep: Sweep, axis: FrequencyAxis) -> list[float]:
    """Decibels at every dot column of an ``axis``; a peak between two columns is not cut off.

    ``sweep`` is of the ``response``.
    """
    values = sweep.gains_db(frequencies(axis))
    sharp = [response.peak_hz, *(abs(p) / math.tau for p in response.poles if p.imag > 0)]
    for frequency in sharp:
        if frequency:
            x = math.floor(axis.cell(frequency) * 2)
            if 0 <= x < len(values):
                values[x] = max(values[x], sweep.gain_db(frequency))
    for zero in response.zeros:
        if zero.real == 0 and zero.imag > 0:
            x = math.floor(axis.cell(zero.imag / math.tau) * 2)
            if 0 <= x < len(values):
                values[x] = -math.inf
    return values


def over(
    chart: PlottedPicture,
    traces: Sequence[Trace] = (),
    *,
    letter: str = "",
    marker: float | None = None,
    factor: float = 1.0,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
) -> PlottedPicture:
    """The chart with other curves, letters on all of them, and a marker.

    Args:
        chart: a chart with axes.
        traces: the other curves.
        letter: the letter of the chart's own curve; none is written without other curves.
        marker: where the marker stands, in Hz, on a chart over frequency.
        factor: what values are divided by before they are drawn.
        ascii: use plain ASCII characters only.
    """
    if chart.level is None:
        return chart
    left, top, columns, rows = chart.plot
    canvas = Canvas.of(chart, ascii)
    layers = _layers(chart.level, traces, columns, rows, factor)
    own = _drawn(canvas, chart) if traces else {}
    for trace, dots in layers:
        _merge(canvas, dots, left, top, trace.role)
    if traces:
        curves = [(letter, HAND, own)] if letter else []
        curves += [(trace.letter, trace.role, _reaches(dots)) for trace, dots in layers]
        _letters(canvas, chart, curves)
    if marker is not None and chart.frequency is not None:
        _mark(canvas, chart, marker)
    return replace(chart, lines=canvas.lines, spans=canvas.spans)


def _layers(
    level: LevelAxis, traces: Sequence[Trace], columns: int, rows: int, factor: float
) -> list[tuple[Trace, Dots]]:
    layers: list[tuple[Trace, Dots]] = []
    for trace in traces:
        dots = Dots(columns, rows)
        ys = [level.dot(v / factor) for v in trace.values]
        breaks = {
            x
            for x in range(1, len(ys))
            if trace.jumps and abs(trace.values[x] - trace.values[x - 1]) > _BREAK
        }
        _along(dots, ys, PATTERNS[trace.pattern], breaks)
        layers.append((trace, dots))
    return layers


def _along(
    dots: Dots, ys: Sequence[int], pattern: tuple[int, int], breaks: Collection[int] = ()
) -> None:
    """Draw along a curve, so that dashes are as long where it is steep."""
    on, off = pattern
    period, walked = on + off, 0
    limit = dots.height * braille.ROWS
    last = len(ys) - 1
    for x, y in enumerate(ys):
        start = y if not x or x in breaks else (ys[x - 1] + y) // 2
        end = y if x == last or x + 1 in breaks else (y + ys[x + 1]) // 2
        # The next column begins where this one ends: that dot belongs to one of them only.
        path = _path(start, y)
        path += [row for row in _path(y, end) if row not in path]
        for row in path:
            if walked % period < on and 0 <= row < limit:
                dots.dot(x, row)
            walked += 1


def _path(start: int, end: int) -> list[int]:
    return list(range(start, end + 1)) if end >= start else list(range(start, end - 1, -1))


def _merge(canvas: Canvas, dots: Dots, left: int, top: int, role: str) -> None:
    for row, cells in enumerate(dots.rows):
        line, parts = canvas.chars[top + row], canvas.roles[top + row]
        for col, bits in enumerate(cells, left):
            if not bits:
                continue
            under = ord(line[col]) - BASE
            if 0 <= under < 256:
                if parts[col] == CURVE:
                    bits &= ~NEAR[under]  # dots that touch the curve would only blur it
                else:
                    parts[col] = role
                line[col] = chr(BASE + (under | bits))
            elif parts[col] != CURVE:
                line[col] = canvas.either(braille.UNICODE[bits], role[-1])
                parts[col] = role


def _letters(
    canvas: Canvas,
    chart: PlottedPicture,
    curves: Sequence[tuple[str, str, dict[int, tuple[int, int]]]],
) -> None:
    """A letter beside each curve, where it keeps the greatest distance from the others."""
    left, top, columns, rows = chart.plot
    used: list[tuple[int, int]] = []
    every = max(1, columns // 60)
    for name, role, places in curves:
        best: tuple[float, int, int] | None = None
        for col in range(2, columns - 2, every):
            if col not in places:
                continue
            first, last = places[col]
            reaches = [other[col] for n, _, other in curves if n != name and col in other]
            gap = min((_apart((first, last), r) for r in reaches), default=8)
            for row in (first // 4 - 1, last // 4 + 1):
                if not 0 <= row < rows or canvas.roles[top + row][left + col] in (CURVE, MARKER):
                    continue
                if any(abs(col - c) < 3 and abs(row - r) < 2 for c, r in used):
                    continue
                cell = (4 * row, 4 * row + 3)
                room = min((_apart(cell, r) for r in reaches), default=8)
                # Flat pieces are read more easily than steep ones.
                score = 2 * min(gap, 6) + 0.5 * min(room, 4) - 0.2 * min(last - first, 10)
                if best is None or score > best[0] + 1e-9:
                    best = score, col, row
        if best is not None:
            _, col, row = best
            used.append((col, row))
            canvas.chars[top + row][left + col] = name
            canvas.roles[top + row][left + col] = role


def _apart(one: tuple[int, int], other: tuple[int, int]) -> int:
    """Dot rows between two runs of them; 0 where they touch."""
    return max(other[0] - one[1], one[0] - other[1], 0)


def _reaches(dots: Dots) -> dict[int, tuple[int, int]]:
    """Column of cells → its first and last dot row."""
    found: dict[int, tuple[int, int]] = {}
    for row, cells in enumerate(dots.rows):
        for col, bits in enumerate(cells):
            if bits:
                lit = [y for y, pair in enumerate(braille.BITS) if bits & (pair[0] | pair[1])]
                first, _ = found.get(col, (4 * row + lit[0], 0))
                found[col] = first, 4 * row + lit[-1]
    return found


def _drawn(canvas: Canvas, chart: PlottedPicture) -> dict[int, tuple[int, int]]:
    """The same of the chart's own curve."""
    left, top, columns, rows = chart.plot
    dots = Dots(columns, rows)
    for row in range(rows):
        for col in range(columns):
            if canvas.roles[top + row][left + col] == CURVE:
                bits = ord(canvas.chars[top + row][left + col]) - BASE
                dots.rows[row][col] = bits if 0 <= bits < 256 else 0xFF
    return _reaches(dots)


def _mark(canvas: Canvas, chart: PlottedPicture, frequency: float) -> None:
    """A line down the chart at the marker, broken by the curves; on the curve in hand a dot."""
    left, top, columns, rows = chart.plot
    assert chart.frequency is not None
    col = math.floor(chart.frequency.cell(frequency))
    if not 0 <= col < columns:
        return
    lit = [
        row
        for row in range(rows)
        # An edge's sign lies on the curve, the line of its level does not.
        if canvas.roles[top + row][left + col] == CURVE
        or canvas.chars[top + row][left + col] in EDGE_SIGNS
    ]
    for row in range(rows):
        role = canvas.roles[top + row][left + col]
        if role != CURVE and not role.startswith(OTHER):
            canvas.chars[top + row][left + col] = "┃"
            canvas.roles[top + row][left + col] = MARKER
    if lit:
        middle = lit[len(lit) // 2]
        canvas.chars[top + middle][left + col] = "●"
        canvas.roles[top + middle][left + col] = MARKER
