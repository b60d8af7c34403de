"""What each piece of a sketch weighs; plans of sheets hold it, and need no analysis for that."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .model import SketchPart


@dataclass(frozen=True, slots=True)
class SketchWeights:
    """What a piece of a sketch weighs: a line or an angle, a break or a turn, the level.

    Regions of a map weigh as lines do.
    """

    lines: Fraction = Fraction(1)
    breaks: Fraction = Fraction(1)
    level: Fraction = Fraction(1)

    def of(self, part: SketchPart) -> Fraction:
        """The weight of a piece; a number of them weighs nothing."""
        if part.counts:
            return Fraction(0)
        match part.id:
            case "break" | "turn" | "jump":
                return self.breaks
            case "level":
                return self.level
        return self.lines


EVEN = SketchWeights()
