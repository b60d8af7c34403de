"""Dots, two across and four down in every character cell (braille patterns, U+2800)."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType

from ...language.ascii import BRAILLE

BASE = BRAILLE
COLUMNS = 2
ROWS = 4
BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bit of the dot in row 0 to 3, column 0 to 1 of a cell."""

UNICODE = [chr(BASE + bits) if bits else " " for bits in range(256)]


def _near(bits: int) -> int:
    """The dots of a cell that lie in, or next above or below, dots of the same column."""
    found = bits
    for y, row in enumerate(BITS):
        for x, bit in enumerate(row):
            if bits & bit:
                for other in (y - 1, y + 1):
                    if 0 <= other < ROWS:
                        found |= BITS[other][x]
    return found


NEAR = tuple(_near(bits) for bits in range(256))
"""For every pattern the dots that lie in it, or next above or below it."""


class Dots:
    """A grid of dots over ``width`` by ``height`` character cells."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self.rows = [bytearray(width) for _ in range(height)]

    def dot(self, x: int, y: int) -> None:
        """Set the dot in column ``x``, row ``y``; dots outside are ignored."""
        if 0 <= x < self.width * COLUMNS and 0 <= y < self.height * ROWS:
            self.rows[y >> 2][x >> 1] |= BITS[y & 3][x & 1]

    def column(self, x: int, y: int, y2: int) -> None:
        """Set the dots of column ``x`` from row ``y`` to ``y2``, both included, in either order."""
        if not 0 <= x < self.width * COLUMNS:
            return
        if y > y2:
            y, y2 = y2, y
        y, y2 = max(y, 0), min(y2, self.height * ROWS - 1)
        col, side = x >> 1, x & 1
        rows = self.rows
        for row in range(y, y2 + 1):
            rows[row >> 2][col] |= BITS[row & 3][side]

    def line(self, x: float, y: float, x2: float, y2: float, on: int = 1, off: int = 0) -> None:
        """Dots from (``x``, ``y``) to (``x2``, ``y2``), ``on`` and ``off`` in turn; see `path`."""
        self.path([(x, y), (x2, y2)], on, off)

    def path(
        self,
        points: Sequence[tuple[float, float]],
        on: int = 1,
        off: int = 0,
        *,
        thick: bool = False,
    ) -> None:
        """Straight lines of dots through points, with one pattern all the way.

        Args:
            points: (column, row) of dots, fractions too.
            on: dots set in turn with gaps.
            off: gaps in turn with dots; 0: none.
            thick: whether each dot has another one below it, or beside it where it is steep.
        """
        walked = 0
        for (x, y), (x2, y2) in pairwise(points):
            steps = max(1, round(max(abs(x2 - x), abs(y2 - y))))
            steep = abs(y2 - y) > abs(x2 - x)
            for step in range(steps + 1):
                if (walked + step) % (on + off) < on:
                    col, row = (
                        round(x + (x2 - x) * step / steps),
                        round(y + (y2 - y) * step / steps),
                    )
                    self.dot(col, row)
                    if thick:
                        self.dot(col + steep, row + (not steep))
            walked += steps

    def curve(
        self,
        ys: Sequence[int],
        extra: Mapping[int, Sequence[int]] = MappingProxyType({}),
        jumps: Collection[int] = (),
    ) -> None:
        """A curve without gaps: every column reaches half-way to its neighbours.

        Args:
            ys: the row of dots in every column of dots.
            extra: further rows that columns reach to, such as a peak between two columns.
            jumps: columns that are not joined to the one before.
        """
        last = len(ys) - 1
        for x, y in enumerate(ys):
            reach = [y, *extra.get(x, ())]
            if x and x not in jumps:
                reach.append((ys[x - 1] + y + (y > ys[x - 1])) // 2)
            if x < last and x + 1 not in jumps:
                reach.append((ys[x + 1] + y + (y > ys[x + 1])) // 2)
            self.column(x, min(reach), max(reach))
