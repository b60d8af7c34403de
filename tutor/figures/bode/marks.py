"""What a Bode chart points out: the corner, the −3 dB edges and the width, the peak.

A mark stands on the curve; its words stand beside it only where they hide nothing of the
curve or of the straight lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ....problems.analysis.asymptotes import Stick, Sweep
from ....problems.analysis.response import FilterType, Response
from ....problems.quantities.write import write_quantity
from ...language.texts import fill
from ..canvas.axes import FrequencyAxis, LevelAxis
from ..canvas.paper import CORNER, EDGE, LABEL, PEAK, ChartPaper

RISE = 0.05
"""Decibels by which a peak must stand above both ends to be one that is worth a mark."""


def peak(response: Response) -> tuple[float, float] | None:
    """(Hz, dB) of the gain's maximum, where one frequency attains it visibly."""
    if not response.peak_hz or not response.peak_gain:
        return None
    level = 20 * math.log10(response.peak_gain)
    for end in (response.gain_low, response.gain_high):
        if end and level - 20 * math.log10(end) < RISE:
            return None
    return response.peak_hz, level


@dataclass
class ChartMarks:
    """The marks of one response on one sheet.

    Args:
        sheet: what to draw on.
        response: whose marks they are.
        sweep: the same response, ready to be evaluated.
        axis: the frequency axis; its cell 0 is column ``left``.
        level: the vertical axis; its cell 0 is row ``top``.
        left: first column of the plot.
        top: first row of the plot.
        phase: whether the chart shows the phase.
        quiet: leave out all words, because other curves will lie on top.
    """

    sheet: ChartPaper
    response: Response
    sweep: Sweep
    axis: FrequencyAxis
    level: LevelAxis
    left: int
    top: int
    phase: bool
    quiet: bool

    def _col(self, frequency: float) -> int:
        return self.left + int(self.axis.cell(frequency))

    def _edges(self) -> list[float]:
        return [e for e in self.response.edges_hz if e is not None and self.axis.holds(e)]

    # --- below the curve -------------------------------------------------------------------

    def guides(self) -> None:
        """The −3 dB level from edge to edge, where no grid line is in its way; the corner."""
        sheet, (low, high) = self.sheet, self.response.edges_hz
        edges = self._edges()
        if edges and not self.phase:
            row = self.level.row(self.sweep.gain_db(edges[0]))
            first, last = self._col(edges[0]), self._col(edges[-1])
            if low is None:
                first = self.left
            if high is None:
                last = self.left + self.axis.width - 1
            if 0 <= row < self.level.height and row not in {tick for tick, _ in self.level.ticks()}:
                sheet.put(first, row + self.top, "╌" * (last - first + 1), EDGE)
        corner = self.response.corner_hz
        if corner is not None and self.axis.holds(corner):
            for row in range(self.top, self.level.height + self.top):
                sheet.put(self._col(corner), row, "╎", CORNER)

    # --- on the curve ----------------------------------------------------------------------

    def points(self) -> None:
        """The −3 dB edges with the width between them, and the peak."""
        cells = []
        for edge in self._edges():
            value = (self.sweep.phase_deg if self.phase else self.sweep.gain_db)(edge)
            row = self.level.row(value)
            if 0 <= row < self.level.height:
                cells.append((self._col(edge), row + self.top))
                self.sheet.put(*cells[-1], "◇", EDGE)
        if self.phase:
            return
        if len(cells) == 2 and cells[0][1] == cells[1][1]:
            self._width(cells[0][0], cells[1][0], cells[0][1])
        elif len(cells) == 1:
            self._edge(*cells[0])
        self._peak()

    # --- on straight lines that grow ---------------------------------------------------------

    def joints(self, lines: Stick) -> None:
        """Every break the lines have come to, and the slope of their last piece."""
        for frequency, level in lines.breaks:
            row = self.level.row(level)
            if self.axis.holds(frequency) and 0 <= row < self.level.height:
                joint = "●"
                self.sheet.put(self._col(frequency), row + self.top, joint, CORNER)
        slope = lines.slopes[-1]
        sign = "+" if slope > 0 else ""
        text = self.sheet.words(f" {sign}{write_quantity(slope, 'dB/decade')} ")
        first = self.left
        if lines.breaks and self.axis.holds(lines.breaks[-1][0]):
            first = self._col(lines.breaks[-1][0])
        last = self.left + self.axis.width - 1
        middle = (first + last) // 2
        for col in sorted(range(first, last + 1), key=lambda col: (abs(col - middle), col)):
            row = self.level.row(lines.at(self.axis.at_dot(2 * (col - self.left))))
            places = {
                0: ((col - len(text) // 2, row - 1), (col - len(text) // 2, row + 1)),
                1: ((col - len(text) - 1, row), (col + 2, row)),
                -1: ((col + 2, row), (col - len(text) - 1, row)),
            }
            for start, at in places[(slope > 0) - (slope < 0)]:
                clear = self.sheet.clear(start, at + self.top, len(text), self.left)
                if 0 <= at < self.level.height and clear:
                    self.sheet.put(start, at + self.top, text, LABEL)
                    return

    def _peak(self) -> None:
        found = peak(self.response)
        if found is None or not self.axis.holds(found[0]):
            return
        frequency, level = found
        row, col = self.level.row(level), self._col(frequency)
        if not 0 <= row < self.level.height:
            return
        row += self.top
        if self.sheet.roles[row][col] != EDGE:  # a peak so narrow is all edge
            self.sheet.put(col, row, "◆", PEAK)
        if self.quiet:
            return
        values = {
            "gain": write_quantity(level, "dB", 3),
            "frequency": write_quantity(frequency, "Hz", 3),
        }
        for key in ("peak", "peak-short"):
            text = self.sheet.words(fill("figures", f"bode.{key}", values.items()))
            if self._beside(col, col, row, text, PEAK):
                return

    def _width(self, first: int, last: int, row: int) -> None:
        """Arrows that measure the width between two edges, from inside or from outside."""
        sheet = self.sheet
        width = self.response.bandwidth_hz
        text = (
            ""
            if width is None or self.quiet
            else self._words("width", value=write_quantity(width, "Hz"))
        )
        # The curve itself may take some cells next to the edges.
        inside = [col for col in range(first + 1, last) if self._free(col, row)]
        whole = bool(inside) and inside[-1] - inside[0] + 1 == len(inside)
        if whole and len(inside) >= len(text) + 4:
            sheet.put(inside[0], row, "◂", EDGE)
            sheet.put(inside[-1], row, "▸", EDGE)
            if text:
                start = inside[0] + (len(inside) - len(text) - 2) // 2
                sheet.put(start, row, f" {text} ", EDGE)
            return
        before = next((c for c in range(first - 1, first - 4, -1) if self._free(c, row)), None)
        after = next((c for c in range(last + 1, last + 4) if self._free(c, row)), None)
        if before is not None and after is not None:
            sheet.put(before, row, "▸", EDGE)
            sheet.put(after, row, "◂", EDGE)
            first, last = before, after
        if text:
            self._beside(first, last, row, text, EDGE)

    def _edge(self, col: int, row: int) -> None:
        """A single edge: an arrow along the level that leads to it, and its words."""
        low_pass = self.response.type is FilterType.LOW_PASS
        arrow = "▸" if low_pass else "◂"
        place = col - 1 if low_pass else col + 1
        if self._free(place, row):
            self.sheet.put(place, row, arrow, EDGE)
        if not self.quiet:
            # On the far side, where the curve falls away.
            sides = (1,) if low_pass else (-1,)
            self._beside(col, col, row, self._words("edge-here"), EDGE, sides)

    def _words(self, key: str, **values: str) -> str:
        return self.sheet.words(fill("figures", f"bode.{key}", values.items()))

    def _free(self, col: int, row: int) -> bool:
        """Whether only grid, guides or the level itself stand there."""
        if not self.left <= col < self.left + self.axis.width:
            return False
        on_level = self.sheet.chars[row][col] == "╌"
        return on_level or self.sheet.clear(col, row, 1)

    def _beside(
        self,
        first: int,
        last: int,
        row: int,
        text: str,
        role: str,
        sides: tuple[int, ...] = (1, -1),
    ) -> bool:
        """Write beside the columns ``first`` to ``last``, on the first side with room."""
        for side in sides:
            start = last + 1 if side > 0 else first - len(text) - 2
            # A blank on either side keeps the words apart from curve and grid.
            if self.sheet.clear(start, row, len(text) + 2, self.left):
                self.sheet.put(start, row, f" {text} ", role)
                return True
        return False
