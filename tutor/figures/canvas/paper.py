"""Paper for charts and maps: axes, grid, legend, and what every sign on it is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .axes import FrequencyAxis, LevelAxis
from .canvas import Canvas
from .picture import Picture

GRID = "grid"
AXIS = "axis"
TICK = "tick"
ASYMPTOTE = "asymptote"
CURVE = "curve"
CORNER = "corner"
EDGE = "edge"
PEAK = "peak"
LABEL = "label"

SMALLEST = (20, 6)
"""Columns and rows below which a chart is left blank."""
EDGE_SIGNS = ("◇", "o", "◆", "#")
"""The signs that stand on a curve in the place of its dots: of an edge and a peak, with ASCII."""
STROKES = "▔─▁"
"""Thin strokes at three heights of a cell, the uppermost first: a straight line beside a curve in
dots is told by its strokes, without colour too.  Every terminal's font has these three."""
STEEP = "│"
"""The stroke of a straight line that passes more than a row in a column."""
STROKE_IN_ASCII = "="
_FAINT = frozenset({"", GRID, CORNER})
"""What may give way to words: nothing, the grid, and the line down from the corner."""

LegendEntry = tuple[str, str, str]
"""A sample, the role of what it stands for, and its words."""


@dataclass(frozen=True)
class PlottedPicture(Picture):
    """A chart; ``plot`` is (column, row, columns, rows) of the area inside the axes."""

    plot: tuple[int, int, int, int] = (0, 0, 0, 0)
    frequency: FrequencyAxis | None = None
    level: LevelAxis | None = None


def blank(width: int, height: int) -> tuple[str, ...]:
    """The lines of a picture of ``width`` by ``height`` cells that has no room for anything."""
    return (" " * max(width, 0),) * max(height, 0)


class ChartPaper(Canvas):
    """A canvas for one plot, whose axes begin in cell (``left``, ``top``) where asked for."""

    def clear(self, col: int, row: int, length: int, left: int = 0) -> bool:
        """Whether ``length`` cells from (``col``, ``row``) on hold nothing but grid.

        None of them may lie before column ``left``.
        """
        if col < left or col + length > self.width or not 0 <= row < self.height:
            return False
        return _FAINT.issuperset(self.roles[row][col : col + length])

    def grid(
        self, left: int, top: int, axis: FrequencyAxis, level: LevelAxis, zero: str = "┈"
    ) -> None:
        """Lines through the decades and the ticks.

        Args:
            left: the column of the axis' first cell.
            top: the row of the level's first cell.
            axis: the frequency axis.
            level: the vertical axis.
            zero: what the line at level 0 is made of.
        """
        verticals = [cell for cell, _ in axis.decades() if cell > 0]
        for row in range(level.height):
            for cell in verticals:
                self.put(left + cell, top + row, "┊", GRID)
        # Grid lines in every row would drown the curve.
        apart = 1 if level.per_step > 1 else 2
        for row, value in level.ticks():
            if round(value / level.step) % apart == 0:
                line = [zero if value == 0 else "┈"] * axis.width
                for cell in verticals:
                    line[cell] = "┼"
                self.put(left, top + row, "".join(line), GRID)

    def side(self, left: int, top: int, level: LevelAxis, form: str = ".0f") -> None:
        """The vertical axis with the values of its ticks.

        Args:
            left: the column right of the axis.
            top: the row of its first cell.
            level: the axis.
            form: how a value is written, as ``format`` takes it.
        """
        ticks = dict(level.ticks())
        for row in range(level.height):
            if row in ticks:
                text = format(ticks[row], form).replace("-", "−")
                self.put(left - 1 - len(text), top + row, text, TICK)
            self.put(left - 1, top + row, "┤" if row in ticks else "│", AXIS)

    def foot(self, left: int, row: int, axis: FrequencyAxis) -> None:
        """An ``axis`` along, from column ``left`` of a ``row`` on, and below it its labels."""
        base = ["─"] * axis.width
        for cell in axis.minors():
            base[cell] = "╵"
        for cell, _ in axis.decades():
            base[cell] = "┴"
        self.put(left - 1, row, "└" + "".join(base), AXIS)
        self.put(0, row + 1, "Hz", LABEL)
        for start, text in axis.labels():
            self.put(left + start, row + 1, self.words(text), TICK)

    def ticked(
        self, left: int, row: int, columns: int, ticks: Sequence[tuple[int, str]], unit: str
    ) -> None:
        """An axis along, with its unit, and the labels of its ticks below it.

        Args:
            left: the column of its first cell.
            row: its row.
            columns: how many cells it has.
            ticks: (cell, label), from left to right; a small one has "" for a label.
            unit: what stands before the labels, in the characters of this paper.
        """
        base = ["─"] * columns
        for cell, text in ticks:
            base[cell] = "┴" if text else "╵"
        self.put(left - 1, row, "└" + "".join(base), AXIS)
        self.put(0, row + 1, unit, LABEL)
        for cell, text in ticks:
            start = left + min(cell - (len(text) - 1) // 2, columns - len(text))
            if start > len(unit):
                self.put(start, row + 1, self.words(text), TICK)

    def legend(self, col: int, row: int, entries: Iterable[LegendEntry]) -> int:
        """Write ``entries`` from (``col``, ``row``) on; the column at which they would go on."""
        for sample, role, text in entries:
            words = self.words(text)
            self.put(col, row, sample, role)
            self.put(col + len(sample) + 1, row, words, LABEL)
            col += len(sample) + len(words) + 4
        return col
