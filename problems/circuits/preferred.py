"""Preferred values, and the parts that lie in a laboratory's drawers.

A preferred value is addressed by its *place*: an integer on the E24 scale, so that place
p is close to 10^(p/24) in SI base units and is exactly ``E24[p mod 24]·10^(p div 24 − 1)``.
Every fourth place is an E6 value, every second an E12 value.  Sizing a circuit is then
integer arithmetic, and the same on every machine: no logarithm is ever rounded.

Source: IEC 60063:2015, "Preferred number series for resistors and capacitors".  The
ranges of parts are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from .model import Kind

E24 = (
    *(10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30),
    *(33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
)
E12 = E24[::2]
E6 = E24[::4]

DECADE = 24
"""Places in a decade."""


@dataclass(frozen=True, slots=True)
class PartsKept:
    """The parts kept of one kind: places from ``least`` to ``most``, every ``step``-th."""

    least: int
    most: int
    step: int

    def nearest(self, place: int) -> int | None:
        """The nearest place kept (the upper of two), ``None`` beyond the ends."""
        rounded = (2 * place + self.step) // (2 * self.step) * self.step
        return rounded if self.least <= rounded <= self.most else None


E6_STEP, E12_STEP, E24_STEP = 4, 2, 1

# 10 Ω to 1 MΩ; 1 µH to 1 H; 10 pF to 1000 µF.
RESISTORS = PartsKept(1 * DECADE, 6 * DECADE, E12_STEP)
FINE_RESISTORS = PartsKept(1 * DECADE, 6 * DECADE, E24_STEP)
LOSSES = PartsKept(0 * DECADE, 7 * DECADE, E12_STEP)
"""Resistances that no drawer holds: of a coil's wire, from 1 Ω, and of leaks, to 10 MΩ."""
INDUCTORS = PartsKept(-6 * DECADE, 0, E6_STEP)
CAPACITORS = PartsKept(-11 * DECADE, -3 * DECADE, E6_STEP)

DRAWERS = {Kind.R: RESISTORS, Kind.L: INDUCTORS, Kind.C: CAPACITORS}


@lru_cache(maxsize=1024)
def value(place: int) -> Fraction:
    """The preferred value at a place, exact, in SI base units."""
    power, index = divmod(place, DECADE)
    return Fraction(E24[index]) * Fraction(10) ** (power - 1)
