"""Turning a part's value as a knob is turned: preferred values, one per cent, decades.

The limits of what can be had are common practice, no source: 10 mΩ to 100 MΩ, 1 nH to
100 H, 0.1 pF to 100 mF.
"""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum
from fractions import Fraction

from ..quantities.write import decade
from . import preferred
from .model import Kind, Ladder, mapped

LIMITS = {
    Kind.R: (Fraction(1, 100), Fraction(10) ** 8),
    Kind.L: (Fraction(1, 10**9), Fraction(100)),
    Kind.C: (Fraction(1, 10**13), Fraction(1, 10)),
}

USUAL = {Kind.R: Fraction(1000), Kind.L: Fraction(1, 100), Kind.C: Fraction(1, 10**7)}
"""A value for a part that has none: 1 kΩ, 10 mH, 100 nF (common practice, no source)."""

FINE = Fraction(101, 100)
_DIGITS = 4
_LOSS_Q = 20
"""The Q of a coil or capacitor by itself with a usual loss (common practice, no source)."""


class StepSize(StrEnum):
    """How far one step goes."""

    E12 = "E12"
    E24 = "E24"
    FINE = "fine"
    DECADE = "decade"


def next_preferred(value: Fraction, every: int, up: bool) -> Fraction:
    """The next preferred value above (below) a positive value.

    Args:
        value: in SI base units.
        every: 1 for the E24, 2 for the E12, 4 for the E6 series.
        up: whether to go up.
    """
    # Start a decade below and walk up to the first place that is not below the value.
    place = (decade(value) - 1) * preferred.DECADE
    while preferred.value(place) < value:
        place += every
    if up:
        return preferred.value(place if preferred.value(place) > value else place + every)
    return preferred.value(place - every)


def turned(kind: Kind, value: Fraction, turn: StepSize, up: bool) -> Fraction | None:
    """The value one step on; ``None`` where no such part can be had.

    Fine steps are of one per cent, rounded to four digits, so that values stay readable.

    Args:
        kind: what part it is.
        value: the present one, in SI base units.
        turn: how large a step.
        up: whether to go up.
    """
    match turn:
        case StepSize.E12:
            new = next_preferred(value, preferred.E12_STEP, up)
        case StepSize.E24:
            new = next_preferred(value, preferred.E24_STEP, up)
        case StepSize.FINE:
            new = value * FINE if up else value / FINE
            unit = Fraction(10) ** (decade(new) - _DIGITS + 1)
            new = round(new / unit) * unit
        case StepSize.DECADE:
            new = value * 10 if up else value / 10
    least, most = LIMITS[kind]
    if (new > most) if up else (new < least):
        return None
    return new


def usual_loss(kind: Kind, value: Fraction, omega: float) -> Fraction:
    """A preferred resistance that gives a coil or a capacitor, in series with it, a Q of about 20.

    The part is of a ``kind`` and has a ``value`` in SI base units; ``omega`` says where, in rad/s.
    """
    reactance = omega * float(value) if kind is Kind.L else 1 / (omega * float(value))
    least, most = LIMITS[Kind.R]
    ohms = min(max(Fraction(reactance / _LOSS_Q), least), most)
    return next_preferred(ohms, preferred.E12_STEP, up=True)


def with_usual_values(ladder: Ladder) -> Ladder:
    """The ladder with a usual value for every element that has none."""
    return mapped(ladder, lambda e: replace(e, value=USUAL[e.kind]) if e.value is None else e)
