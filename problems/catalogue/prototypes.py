"""Prototypes of second order: series R-L-C circuits with a corner at 1 Hz and a chosen Q.

With R = 1 Ω, L = Q·R/ω0 and C = 1/(Q·R·ω0) the corner lies at ω0 and Q is √(L/C)/R.  C is rounded
to nine digits, so that 1 Hz is right to a part in 10⁸; L = Q²·R²·C makes Q² exact, that of 1/√2
too.  Common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from ..analysis.response import FilterType
from ..circuits.model import Element, Joint, Kind, Ladder, Place, Stage, join

TYPES_OF_TWO = tuple(
    kind.value for kind in (FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS)
)
"""The types that there are prototypes of: the output across C, L, or R."""

_ACROSS = dict(zip(TYPES_OF_TWO, (Kind.C, Kind.L, Kind.R), strict=True))
_DIGITS = 9


@dataclass(frozen=True, slots=True)
class Quality:
    """A Q by its square, which is a fraction; ``text`` is how people write it."""

    squared: Fraction
    text: str

    @property
    def q(self) -> float:
        """Q itself."""
        return math.sqrt(self.squared)


QUALITIES = tuple(
    Quality(Fraction(squared), text)
    for squared, text in (
        (Fraction(1, 4), "½"), (Fraction(1, 2), "1/√2"), (1, "1"), (4, "2"), (9, "3"), (25, "5"),
        (100, "10"),
    )
)  # fmt: skip
"""Those that are asked about."""


def quality(text: str) -> Quality:
    """The Q that is written so.

    Raises:
        LookupError: there is no such one.
    """
    for one in QUALITIES:
        if one.text == text:
            return one
    raise LookupError(f"no prototype has Q = {text!r}")


def quality_of(ladder: Ladder) -> Quality:
    """The Q of a prototype.

    Raises:
        LookupError: it is none.
    """
    values = {element.kind: element.value for element in ladder.elements()}
    r, coil, capacitor = (values.get(kind) for kind in (Kind.R, Kind.L, Kind.C))
    if r and coil and capacitor:
        for one in QUALITIES:
            if one.squared == coil / capacitor / r**2:
                return one
    raise LookupError("it is no prototype")


def prototype_type(ladder: Ladder) -> str:
    """The type of a prototype, by the part that its output is across."""
    arm = ladder.stages[-1].arm
    return next(
        kind for kind, part in _ACROSS.items() if isinstance(arm, Element) and arm.kind is part
    )


@cache
def prototype(kind: str, q: Quality) -> Ladder:
    """The series R-L-C circuit of a type of two poles, with f0 = 1 Hz.

    Args:
        kind: one of :data:`TYPES_OF_TWO`.
        q: its Q.
    """
    capacitance = Fraction(f"{1 / (math.tau * q.q):.{_DIGITS}g}")
    parts = {
        Kind.R: Element(Kind.R, "R1", Fraction(1)),
        Kind.L: Element(Kind.L, "L1", q.squared * capacitance),
        Kind.C: Element(Kind.C, "C1", capacitance),
    }
    across = parts.pop(_ACROSS[kind])
    way = join(Joint.SERIES, *parts.values())
    return Ladder((Stage(Place.SERIES, way), Stage(Place.SHUNT, across)))
