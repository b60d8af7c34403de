"""What a question shows besides the circuit: curves and maps, as plain points.

An exhibit holds what may be seen and nothing else: neither the circuit behind it nor its figures,
so that it can stand on a student's sheet.  Coordinates are rounded to what can be read off a
picture, and so are the same on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

Points = tuple[tuple[float, float], ...]


class Chart(StrEnum):
    """What a picture shows."""

    GAIN = "gain"  # dB over frequency
    PHASE = "phase"  # degrees over frequency
    STEP = "step"  # volts over time, after the source has jumped from 0 to 1 V
    MAP = "map"  # poles and zeros in the s-plane


@dataclass(frozen=True, slots=True)
class Plot:
    """One curve, or one map.

    ``points`` are (abscissa, ordinate), from left to right; ``poles`` and ``zeros`` are each of
    them once, conjugates too.
    """

    points: Points = ()
    poles: tuple[complex, ...] = ()
    zeros: tuple[complex, ...] = ()


@dataclass(frozen=True, slots=True)
class Exhibit:
    """One picture, or one for each choice.

    Args:
        chart: what is shown.
        plots: one, or one for each choice of the question, in the order of the choices.
        unit: of the abscissa (of maps: of both axes): "Hz", "s", "rad/s", or "" where it is
            counted in multiples of ω0 or f0, or of 1/ω0.
        measured: whether it is as if measured: with a little noise, and said to be so.
        together: several curves on one chart, each named by its letter; else a picture each.
    """

    chart: Chart
    plots: tuple[Plot, ...]
    unit: str = "Hz"
    measured: bool = False
    together: bool = False
