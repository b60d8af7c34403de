"""The step response in braille dots, on a linear time axis."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...problems.analysis.response import PoleNature, Response
from ...problems.analysis.step import StepResponse
from ...problems.quantities.write import write_quantity
from ..language.texts import fill
from .canvas.axes import LevelAxis
from .canvas.braille import Dots
from .canvas.paper import (
    CORNER,
    CURVE,
    EDGE,
    GRID,
    LABEL,
    SMALLEST,
    ChartPaper,
    LegendEntry,
    PlottedPicture,
    blank,
)
from .canvas.scales import nice, nice_steps, prefix_of

MARGIN = 6
_ROUND = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)


@dataclass(frozen=True)
class TimeAxis:
    """A linear axis from 0 to ``end`` seconds over ``width`` cells."""

    end: float
    width: int

    def cell(self, time: float) -> float:
        """Position in cells; the middle of cell n is n + 0.5."""
        return time / self.end * (self.width - 1) + 0.5

    def at_dot(self, dot: float) -> float:
        """Seconds at the middle of a dot column (two to the cell)."""
        return ((dot + 0.5) / 2 - 0.5) / (self.width - 1) * self.end

    def times(self) -> list[float]:
        """Seconds at every dot column; the first lies a moment before the step."""
        return [self.at_dot(dot) for dot in range(self.width * 2)]

    def ticks(self) -> tuple[float, str, list[tuple[int, str]]]:
        """(factor, prefix, (cell, text) of every tick), at least nine cells apart."""
        least = self.end * 9 / max(1, self.width - 1)
        step = nice(least)
        last = math.floor(self.end / step + 1e-9)
        factor, prefix = prefix_of(step * max(last, 1), largest=1.0)
        ticks = [(int(self.cell(n * step)), f"{n * step / factor:.4g}") for n in range(last + 1)]
        return factor, prefix, ticks


@dataclass(frozen=True)
class StepChart(PlottedPicture):
    """A chart over time; ``factor`` is what volts were divided by."""

    time: TimeAxis | None = None
    factor: float = 1.0


def volts(value: float) -> str:
    """Volts to three digits, with a prefix: "0.5 V", "12 mV"."""
    factor, prefix = prefix_of(abs(value), 0.0999, 1.0) if value else (1.0, "")
    text = f"{value / factor:.3g}".replace("-", "−")
    return f"{text} {prefix}V"


def rounded_up(value: float) -> float:
    """The next of a few round numbers that is not below a positive value."""
    decade = 10.0 ** math.floor(math.log10(value))
    return next((m * decade for m in _ROUND if m * decade >= value * 0.9999), 10 * decade)


def chart(
    response: StepResponse,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002 - the everyday word for it
    also: Sequence[StepResponse] = (),
) -> StepChart:
    """The output after a step of one volt at the source.

    Args:
        response: what to draw.
        width: columns of the whole picture.
        height: rows of the whole picture.
        ascii: use plain ASCII characters only.
        also: responses that the axes leave room for, because they will be drawn on top.
    """
    if width < SMALLEST[0] or height < SMALLEST[1]:
        return StepChart(blank(width, height))
    columns, rows = width - MARGIN, height - 3
    # A round end, so that the axis stays where it is while a part is turned.
    reaches = [h.horizon for h in (response, *also) if h.transfer.order]
    axis = TimeAxis(rounded_up(max(reaches, default=response.horizon)), columns)
    times = axis.times()
    values = response.at(times)
    level, factor, prefix = _levels(response, values, [h.at(times) for h in also], rows)
    paper = ChartPaper(width, height, ascii)
    ticks = [row for row, _ in level.ticks()]
    for row in ticks:
        paper.put(MARGIN, row + 1, "┈" * columns, GRID)
    end = level.row(response.final / factor)
    if 0 <= end < rows and end not in ticks:
        paper.put(MARGIN, end + 1, "╌" * columns, EDGE)
    dots = Dots(columns, rows)
    dots.curve([level.dot(v / factor) for v in values])
    paper.lay(MARGIN, 1, dots, CURVE)
    over = response.overshoot
    if over is not None and over[0] <= axis.end:
        row = level.row(over[1] / factor)
        if 0 <= row < rows:
            paper.put(MARGIN + int(axis.cell(over[0])), row + 1, "◇", CORNER)
    paper.side(MARGIN, 1, level, ".3g")
    _, second, marks = axis.ticks()
    paper.ticked(MARGIN, rows + 1, columns, marks, paper.words(f"{second}s"))
    unit = f"{prefix}V"
    paper.put(MARGIN - 1 - len(unit), 0, paper.words(unit), LABEL)
    _legend(response, paper)
    plot = (MARGIN, 1, columns, rows)
    return StepChart(paper.lines, paper.spans, plot, None, level, axis, factor)


def _levels(
    response: StepResponse, values: Sequence[float], others: Sequence[Sequence[float]], rows: int
) -> tuple[LevelAxis, float, str]:
    """The axis, in units of (volts, prefix)."""
    every = [*values, *(v for other in others for v in other), response.final, 0.0]
    if response.overshoot is not None:
        every.append(response.overshoot[1])
    low, high = min(every), max(every)
    factor, prefix = prefix_of(max(-low, high) or 1.0, 0.0999, 1.0)
    low, high = low / factor, high / factor
    # A hair beyond a tick is still at the tick: rounding must not add a step.
    slack = (high - low) * 1e-6 or 1e-6
    low, high = low + slack if low < 0 else low, high - slack if high > 0 else high
    steps = nice_steps((high - low) / 8, 8)
    return LevelAxis.over(low, high, rows, steps, centred=True), factor, prefix


def _legend(response: StepResponse, paper: ChartPaper) -> None:
    final = [("value", volts(response.final))]
    entries: list[LegendEntry] = [
        ("⠤⠤", CURVE, fill("figures", "step.curve")),
        ("╌╌", EDGE, fill("figures", "step.final", final)),
    ]
    over = response.overshoot
    if over is not None:
        share = f"{(over[1] / response.final - 1) * 100:.3g} %"
        values = [("share", share), ("time", write_quantity(over[0], "s", 3))]
        entries.append(("◇", CORNER, fill("figures", "step.over", values)))
    known = Response(response.transfer)
    if known.pole_nature is PoleNature.DOUBLE:
        entries.append(("", LABEL, fill("figures", "step.critical")))
    elif known.maximally_flat:
        entries.append(("", LABEL, fill("figures", "step.flat")))
    col = MARGIN
    for entry in entries:
        if col + len(entry[0]) + 1 + len(entry[2]) <= paper.width:
            col = paper.legend(col, 0, [entry])
