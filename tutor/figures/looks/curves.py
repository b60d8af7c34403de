"""Small curves that are told apart by their Q, or by where they start and end.

Gains and phases that stand together have one scale, and f0, at which Q is read, is marked in each.
Step responses have one axis of time where they are of one corner; each has its own scale of volts,
as its height says nothing, and its axis begins a moment before the step, so that a jump is seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ....problems.analysis.asymptotes import Sweep
from ....problems.analysis.response import Response
from ....problems.analysis.step import StepResponse
from ..canvas.braille import COLUMNS, ROWS, Dots
from ..canvas.canvas import Canvas
from ..canvas.paper import AXIS, CURVE, GRID, TICK
from ..canvas.picture import Picture

REACH = 0.75
"""Decades shown on either side of f0."""
FLOOR = -24.0
"""The lowest gain shown, in dB."""
_MARGIN = 5
"""Columns of the figures at the left."""
_BEFORE = 0.04
"""The share of the axis of time that lies before the step."""


@dataclass(frozen=True, slots=True)
class _Scale:
    """The values at the lowest and the highest dot, and those that have a line and a text."""

    low: float
    high: float
    marks: tuple[tuple[float, str], ...] = ()

    def dot(self, value: float, rows: int) -> int:
        """The row of dots of a value."""
        share = (self.high - value) / (self.high - self.low)
        return round(share * (rows * ROWS - 1))


def small_curves(
    responses: Sequence[Response],
    width: int,
    height: int,
    *,
    phase: bool,
    ascii: bool = False,  # noqa: A002
) -> list[Picture]:
    """Gains, or phases, about f0, of one scale.

    Args:
        responses: of two poles, all with one f0.
        width: columns of each picture.
        height: rows of each picture.
        phase: draw the phase, else the gain.
        ascii: use plain ASCII characters only.
    """
    every = [_samples(response, width, phase) for response in responses]
    if phase:
        low, high = responses[0].phase_high, responses[0].phase_low
        middle = (low + high) / 2
        scale = _Scale(low - 4, high + 4, tuple((v, _degrees(v)) for v in (low, middle, high)))
    else:
        top = max(max(values) for values in every)
        marks = tuple((v, f"{v:+.0f} dB".replace("+0", "0")) for v in (-20.0, 0.0, 20.0))
        scale = _gain_scale(max(3.0, top + 1), height - 2, marks)
    unit = "" if phase else "dB"
    return [_drawn(values, scale, unit, width, height, ascii) for values in every]


def _gain_scale(high: float, rows: int, marks: tuple[tuple[float, str], ...]) -> _Scale:
    """From ``high`` down to the floor or below: whole rows of cells to 20 dB, 0 dB amid one.

    So that a curve at a mark lies on the line that is drawn there.
    """
    dot = 20 / (max(1, int(20 * rows / (high - FLOOR))) * ROWS)
    middle = (ROWS - 1) / 2
    top = (math.ceil((high / dot - middle) / ROWS) * ROWS + middle) * dot
    return _Scale(top - (rows * ROWS - 1) * dot, top, marks)


def _samples(response: Response, width: int, phase: bool) -> list[float]:
    """The gain in dB, or the phase in degrees, at every column of dots."""
    middle, count = response.corner_hz or 1.0, (width - _MARGIN) * COLUMNS
    places = [middle * 10 ** (REACH * (2 * n / (count - 1) - 1)) for n in range(count)]
    sweep = Sweep(response)
    return sweep.phases_deg(places) if phase else sweep.gains_db(places)


def _degrees(value: float) -> str:
    return f"{value:.0f}°".replace("-", "−")


def _drawn(
    values: Sequence[float], scale: _Scale, unit: str, width: int, height: int, plain: bool
) -> Picture:
    """A curve about f0, marked, with its scale at the left."""
    canvas = Canvas(width, height, plain)
    rows, columns = height - 2, width - _MARGIN
    middle = _MARGIN + columns // 2
    for row in range(rows):
        canvas.put(middle, row, "┊", GRID)
    _lines(canvas, scale, rows, columns)
    dots = Dots(columns, rows)
    dots.curve([min(scale.dot(value, rows), rows * ROWS + ROWS) for value in values])
    canvas.lay(_MARGIN, 0, dots, CURVE)
    canvas.put(_MARGIN - 1, rows, "└" + "─" * columns, AXIS)
    canvas.put(middle, rows, "┴", AXIS)
    canvas.put(middle - 1, rows + 1, "1 Hz", TICK)
    canvas.put(1, rows, unit, TICK)
    return Picture(canvas.lines, canvas.spans)


def _lines(canvas: Canvas, scale: _Scale, rows: int, columns: int) -> None:
    """The axis, and a line with its text for every mark."""
    for row in range(rows):
        canvas.put(_MARGIN - 1, row, "│", AXIS)
    for value, text in scale.marks:
        row = scale.dot(value, rows) // ROWS
        if 0 <= row < rows:
            canvas.put(_MARGIN, row, "┈" * columns, GRID)
            short = text.removesuffix(" dB").replace("-", "−")[: _MARGIN - 1]
            canvas.put(_MARGIN - 1 - len(short), row, short, TICK)


def small_steps(
    responses: Sequence[Response],
    width: int,
    height: int,
    *,
    seconds: float | None = None,
    ascii: bool = False,  # noqa: A002
) -> list[Picture]:
    """Step responses, each on its own scale of volts.

    Args:
        responses: what to draw.
        width: columns of each picture.
        height: rows of each picture.
        seconds: to the end of the axis; ``None``: to where each has settled.
        ascii: use plain ASCII characters only.
    """
    return [_step(response, width, height, seconds, ascii) for response in responses]


def _step(
    response: Response, width: int, height: int, seconds: float | None, plain: bool
) -> Picture:
    canvas = Canvas(width, height, plain)
    step, rows, columns = StepResponse(response.transfer), height - 1, width - 2
    end, count = seconds or step.horizon, columns * COLUMNS
    start = max(2, round(_BEFORE * count))
    times = [end * (n - start) / (count - 1 - start) for n in range(count)]
    values = [0.0 if n < start else v for n, v in enumerate(step.at(times))]
    low, high = min(0.0, *values), max(0.0, *values)
    room = (high - low) * 0.06 or 1.0
    scale = _Scale(low - room, high + room)
    zero = min(rows - 1, scale.dot(0.0, rows) // ROWS)
    for row in range(rows):
        canvas.put(1, row, "│", AXIS)
    canvas.put(0, zero, "0", TICK)
    canvas.put(2, zero, "┈" * columns, GRID)
    dots = Dots(columns, rows)
    dots.curve([scale.dot(value, rows) for value in values])
    canvas.lay(2, 0, dots, CURVE)
    # Where it is just after the step: a fast rise and a jump look alike in few columns.
    canvas.put(2 + start // COLUMNS, scale.dot(step.initial, rows) // ROWS, "●", CURVE)
    canvas.put(1, rows, "└" + "─" * (columns - 2), AXIS)
    canvas.put(width - 1, rows, "t", TICK)
    return Picture(canvas.lines, canvas.spans)
