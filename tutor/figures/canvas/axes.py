"""Axes of the charts: which ticks to draw, and where values fall in character cells.

A tick's value always falls on the middle of a cell, so that a grid line drawn through
the cell and a curve drawn in dots agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

NUDGE = 1e-7
"""Cells added to every position, so that a value exactly between two dots falls on the same
side on every machine, whatever the last bit of its logarithm."""
CUSTOMARY = 20.0
"""Decibels between ticks that readers of Bode plots expect: one decade of one pole."""
_PREFIXES = {-12: "p", -9: "n", -6: "µ", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"}


def decade_label(exponent: int) -> str:
    """10^exponent with an SI prefix: "10", "1k", "100k"; beyond the prefixes "1e15"."""
    group = exponent // 3 * 3
    if group not in _PREFIXES:
        return f"1e{exponent}"
    return f"{10 ** (exponent - group)}{_PREFIXES[group]}"


@dataclass(frozen=True)
class FrequencyAxis:
    """A logarithmic axis: ``low`` is log10 of the value in the middle of the first cell."""

    low: float
    per_decade: float
    width: int

    @classmethod
    def over(cls, low: float, high: float, width: int) -> FrequencyAxis:
        """An axis of ``width`` cells from 10^``low`` to at least 10^``high``.

        A decade takes whole cells if it can.
        """
        fit = (width - 1) / (high - low)
        return cls(low, float(int(fit)) if fit >= 1 else fit, width)

    def cell(self, frequency: float) -> float:
        """Position in cells; the middle of cell n is n + 0.5."""
        return (math.log10(frequency) - self.low) * self.per_decade + 0.5 + NUDGE

    def at_dot(self, dot: float) -> float:
        """Frequency at the middle of a dot column (two to the cell)."""
        return float(10 ** (self.low + ((dot + 0.5) / 2 - 0.5) / self.per_decade))

    def holds(self, frequency: float) -> bool:
        """Whether a frequency lies on the axis."""
        return self.at_dot(0) <= frequency <= self.at_dot(2 * self.width - 1)

    @property
    def high(self) -> float:
        """log10 of the value in the middle of the last cell."""
        return self.low + (self.width - 1) / self.per_decade

    def decades(self) -> list[tuple[int, int]]:
        """(cell, exponent) of every decade on the axis."""
        first = math.ceil(self.low - 1e-9)
        last = math.floor(self.high + 1e-9)
        return [(int((e - self.low) * self.per_decade + 0.5), e) for e in range(first, last + 1)]

    def minors(self) -> list[int]:
        """Cells of the marks at 2 to 9 of each decade, where there is room for them."""
        if self.per_decade >= 16:
            digits: tuple[int, ...] = (2, 3, 4, 5, 6, 7, 8, 9)
        elif self.per_decade >= 10:
            digits = (2, 3, 4, 6)
        elif self.per_decade >= 6:
            digits = (2, 5)
        else:
            return []
        cells: list[int] = []
        for exponent in range(math.floor(self.low), math.floor(self.high) + 1):
            for digit in digits:
                cell = int(self.cell(digit * 10.0**exponent))
                if 0 <= cell < self.width:
                    cells.append(cell)
        return cells

    def labels(self) -> list[tuple[int, str]]:
        """(first cell, text) of the decade labels, every n-th so that none touch.

        The first may begin a cell left of the axis.
        """
        decades = self.decades()
        for every in range(1, len(decades) + 1):
            placed: list[tuple[int, str]] = []
            end = -2
            fits = True
            for cell, exponent in decades:
                if exponent % every:
                    continue
                text = decade_label(exponent)
                start = min(cell - (len(text) - 1) // 2, self.width - len(text))
                if start <= end:
                    fits = False
                    break
                placed.append((start, text))
                end = start + len(text)
            if fits and placed:
                return placed
        return []


@dataclass(frozen=True)
class LevelAxis:
    """A linear axis downwards: ``top`` is the uppermost tick, in the middle of cell ``first``."""

    top: float
    step: float
    per_step: int
    height: int
    first: int
    count: int

    @classmethod
    def over(
        cls, low: float, high: float, height: int, steps: tuple[float, ...], centred: bool = False
    ) -> LevelAxis:
        """An axis with the smallest step that leaves the ticks room.

        Ticks stand at least two rows apart, but for `CUSTOMARY`, which may stand in every row.

        Args:
            low: the least value it must show.
            high: the greatest.
            height: its rows.
            steps: what may lie between two ticks, the smallest first.
            centred: share out rows left over above and below, instead of more of the axis below.
        """
        for step in steps:
            spare = 2 if height >= 8 and step != CUSTOMARY else 1
            top = math.ceil(high / step - 1e-9) * step
            bottom = math.floor(low / step + 1e-9) * step
            count = max(1, round((top - bottom) / step))
            if count <= max(1, (height - 1) // spare) and count <= 8:
                break
        per_step = max(1, (height - 1) // count)
        if centred:
            return cls(
                top, step, per_step, height, max(0, (height - 1 - count * per_step) // 2), count
            )
        # A peak a little above a tick need not take a whole step for itself: a row or two
        # above that tick will do where the steps can then be taller.
        tick = top - step
        for rows in range((height - 1) // 2, per_step, -1):
            above = math.ceil((high - tick) / step * rows)
            if above + (tick - low) / step * rows <= height - 0.5:
                return cls(tick, step, rows, height, above, (height - 1 - above) // rows)
        return cls(top, step, per_step, height, 0, (height - 1) // per_step)

    def cell(self, value: float) -> float:
        """Position in cells from the top; the middle of cell n is n + 0.5."""
        return (self.top - value) / self.step * self.per_step + self.first + 0.5 + NUDGE

    def dot(self, value: float) -> int:
        """Dot row (four to the cell), far outside for infinities."""
        position = self.cell(value) * 4
        if position != position:  # pragma: no cover - no value is ever undefined
            return -8
        return math.floor(max(-8.0, min(position, self.height * 4 + 8.0)))

    def row(self, value: float) -> int:
        """Cell of a value, far outside for infinities."""
        return self.dot(value) // 4

    def ticks(self) -> list[tuple[int, float]]:
        """(cell, value) of every tick."""
        cells = range(self.first, self.height, self.per_step)
        return [
            (cell, self.top - n * self.step)
            for n, cell in zip(range(self.count + 1), cells, strict=False)
        ]
