"""Hints for what is read off a drawn curve; the circuit behind it is not shown, nor named."""

from __future__ import annotations

from ..analysis.response import decibels
from ..quantities.write import write_quantity
from ..questions.model import Rung
from ..questions.off_curve import pass_band_db
from ..slips.off_curve import HALF_POWER_DB
from .fill import HINTS, Hint, Named, Scene

_PLACES = 2
"""Decimals of a level in dB: no curve is read more closely."""


def level_text(level: float) -> str:
    """A ``level`` in dB as it is read."""
    return write_quantity(round(level, _PLACES) + 0.0, "dB")


def _figures(scene: Scene) -> Named:
    """The figures of the curve, as texts."""
    known = scene.facts
    low, high = known.edges_hz
    level = pass_band_db(known)
    peak = decibels(known.peak_gain or 0.0) or 0.0
    return (
        ("level", level_text(level)),
        ("edge", level_text(level - HALF_POWER_DB)),
        ("highest", level_text(peak)),
        ("height", level_text(peak - level)),
        ("ratio", write_quantity(10 ** ((peak - level) / 20), "")),
        ("low", write_quantity(low or 0.0, "Hz")),
        ("high", write_quantity(high or 0.0, "Hz")),
        ("corner", write_quantity(known.corner_hz or 0.0, "Hz")),
        ("band", write_quantity(known.bandwidth_hz or 0.0, "Hz")),
    )


FIGURES = (
    Rung.READ_CORNER,
    Rung.READ_Q,
    Rung.READ_BANDWIDTH,
    Rung.READ_LOWER_EDGE,
    Rung.READ_UPPER_EDGE,
    Rung.READ_PEAK,
    Rung.READ_PEAK_PLACE,
    Rung.READ_PASS_BAND,
)
"""The kinds whose figure is read off a gain."""


@HINTS(*FIGURES)
def figure(scene: Scene) -> Hint:
    """Which levels and frequencies to read, and what they come to."""
    question = scene.question
    asked = question.asked or "any"
    principle = asked if question.rung is Rung.READ_Q else "any"
    found = question.figure
    level = question.rung in (Rung.READ_PEAK, Rung.READ_PASS_BAND)
    result = level_text(found) if level else write_quantity(found, question.unit)
    return Hint(principle, asked, asked, (*_figures(scene), ("result", result)))


@HINTS(Rung.READ_SLOPE)
def slope(scene: Scene) -> Hint:
    """By how much the level changes over a decade."""
    truth = int(scene.question.figure)
    values: Named = (
        ("size", write_quantity(abs(truth), "dB")),
        ("result", write_quantity(truth, "dB/decade")),
    )
    return Hint("any", "any", "any", values)


@HINTS(Rung.READ_POLES, Rung.READ_TURN)
def poles(scene: Scene) -> Hint:
    """The two ends, and what lies between them."""
    known, by_slope = scene.facts, scene.question.rung is Rung.READ_POLES
    ends = (known.slope_low, known.slope_high) if by_slope else (known.phase_low, known.phase_high)
    unit = "dB/decade" if by_slope else "°"
    left, right = ends
    values: Named = (
        ("left", write_quantity(left, unit)),
        ("right", write_quantity(right, unit)),
        ("turn", write_quantity(left - right, unit)),
        ("result", str(scene.question.truth)),
    )
    return Hint("any", "any", "any", values)
