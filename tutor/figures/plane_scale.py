"""The scale of a map of poles and zeros, in characters and on paper alike.

Chosen by the spread of the roots: linear, the same on both axes; or, where roots lie more than
`SPREAD` apart, a logarithmic distance from the origin with true angles, so that the damping of a
pair can still be seen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .canvas.scales import nice, prefix_of

SPREAD = 12.0


@dataclass
class PlaneScale:
    """Where a root lies, in the units of the drawing from the origin, upwards positive.

    Args:
        roots: what has to fit in, in rad/s.
        across: units to the left of the origin.
        up: units above it.
        room: how much further than the outermost root a linear scale reaches.
        circle: radius in rad/s of a circle that must be seen whole.
        named: whether the axes have a unit, and so a prefix.
    """

    roots: Sequence[complex]
    across: float
    up: float
    room: float
    circle: float = 0.0
    named: bool = True

    def __post_init__(self) -> None:
        sizes = [abs(r) for r in self.roots if r] or [1.0]
        self.largest = max(sizes)
        self.log = self.largest / min(sizes) > SPREAD
        self.factor, self.prefix = 1.0, ""
        if self.log:
            self.floor = math.floor(math.log10(min(sizes)) - 0.3)
            self.ceiling = math.log10(self.largest) + 0.2
            self.unit = min(self.up, self.across) / (self.ceiling - self.floor)
            return
        tall = max([self.circle, *(abs(r.imag) for r in self.roots)])
        wide = max((abs(r.real) for r in self.roots), default=0.0)
        if not tall and not wide:
            tall = wide = 1.0
        fits = [self.up / (self.room * tall)] if tall else []
        fits += [self.across / (self.room * wide)] if wide else []
        self.unit = min(fits)
        if self.named:
            self.factor, self.prefix = prefix_of(self.largest, 1.0)

    def place(self, root: complex) -> tuple[float, float]:
        """Units to the right and upwards."""
        if not self.log:
            return root.real * self.unit, root.imag * self.unit
        size = abs(root)
        if not size:
            return 0.0, 0.0
        radius = self.radius(size)
        return root.real / size * radius, root.imag / size * radius

    def radius(self, size: float) -> float:
        """Units from the origin to what is so far off it on a logarithmic scale."""
        return (math.log10(size) - self.floor) * self.unit

    def steps(self, least: float, far: float) -> list[float]:
        """Round values of a linear scale, with its prefix: ``least`` units apart, up to ``far``."""
        step = nice(least / self.unit / self.factor)
        return [n * step for n in range(1, int(far / self.unit / self.factor / step + 1e-9) + 1)]
