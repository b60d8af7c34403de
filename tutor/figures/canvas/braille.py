"""Dots, two across and four down in every character cell (braille patterns, U+2800)."""

from __future__ import annotations

from ...language.ascii import BRAILLE, DOTS

BASE = BRAILLE
COLUMNS = 2
ROWS = 4
BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bit of the dot in row 0 to 3, column 0 to 1 of a cell."""

FULL_COLUMN = (0x47, 0xB8)
"""All four dots of the left, of the right column of a cell."""

UNICODE = [chr(BASE + bits) if bits else " " for bits in range(256)]
ASCII = DOTS


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
        """Set one dot; dots outside are ignored."""
        if 0 <= x < self.width * COLUMNS and 0 <= y < self.height * ROWS:
            self.rows[y >> 2][x >> 1] |= BITS[y & 3][x & 1]

    def column(self, x: int, y: int, y2: int) -> None:
        """Set a vertical run of dots, both ends included, in either order."""
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
        """A straight line of dots; with ``off``, ``on`` dots and ``off`` gaps in turn."""
        steps = max(1, round(max(abs(x2 - x), abs(y2 - y))))
        period = on + off
        for step in range(steps + 1):
            if step % period < on:
                share = step / steps
                self.dot(round(x + (x2 - x) * share), round(y + (y2 - y) * share))
