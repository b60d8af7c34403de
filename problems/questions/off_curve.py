"""Figures read off a drawn gain curve: f0, Q, bandwidth, edges, peak, levels, slope, poles.

All kinds of one problem share one curve, exact or as if measured.  Most low-passes and
high-passes that peak are drawn close to the peak, all others out to their skirts.

Tolerances are those that a careful reader meets at 80 columns, without a marker, or on paper: a
hundred dots across and 48 down.  A frequency may be off by one dot across, on the flanks of a band
by two, a level by one dot down, rounded up to a figure that can be said.  A bandwidth and a Q may
be off by 10 %: they are asked only where the band is drawn wide enough, Q from 1.2 to 8.  Of one
pole, and from afar, a curve is so flat where it is 3 dB down that it is 10 % there too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial

from ..analysis.response import TWO_PI, Facts, FilterType, decibels
from ..chance import Chance
from .asking import Asking, Stream
from .exhibit import Chart, Exhibit, Plot
from .kinds import MAKERS
from .model import Answer, Form, Question, Rung, Values
from .plotted import gain_points, measured, phase_points

ACROSS, DOWN = 100, 48
"""Dots of a chart at 80 columns and 24 rows, at least."""

_SHARES = tuple(Fraction(n, 100) for n in (2, 3, 5, 10))
_LEVELS = (Fraction(1, 2), Fraction(1), Fraction(2))
_TENTH = Fraction(1, 10)

_CUT_DB = 40.0
"""How far a notch is drawn below its pass band: its bottom would take the room of all else."""
_SHARP_Q = 1.2
"""The Q from which a band is drawn close to its edges, below it out to its skirts."""
_CLOSE_DB, _WIDE_DB = 12.0, 20.0
"""How far down a band's curve is drawn then, about; of a notch, from where it begins to fall."""
_DECADES = 6.0
"""More than these no picture shows well."""

LEAST_PEAK = 1.3
"""The Q from which a peak is high enough to be read: 3 dB."""
_MOST_Q = 8.0
_WIDE_Q = 0.2
"""The curve of a band-pass below it is drawn by its two poles, which lie far apart."""
_LEAST_Q = 0.5
_EDGE_Q = 0.7
"""Below it the −3 dB edge of a low-pass or high-pass is too flat to be read."""


@dataclass(frozen=True, slots=True)
class DrawnCurve:
    """The gain that a problem's questions are read off.

    Args:
        low: the lowest frequency in Hz.
        high: the highest.
        exhibit: the picture.
        close: whether it shows a peak from near, and not the skirts.
    """

    low: float
    high: float
    exhibit: Exhibit
    close: bool

    @property
    def across(self) -> Fraction:
        """The relative tolerance of a frequency: a dot."""
        return _up(math.log(self.high / self.low) / ACROSS, _SHARES)

    @property
    def beside(self) -> Fraction:
        """The relative tolerance of the place of a level on a flank: two dots."""
        return _up(2 * math.log(self.high / self.low) / ACROSS, _SHARES)

    @property
    def down(self) -> Fraction:
        """The tolerance of a level in dB: a dot."""
        levels = [level for _, level in self.exhibit.plots[0].points]
        return _up((max(levels) - min(levels)) / DOWN, _LEVELS)


def _up(wanted: float, offered: Sequence[Fraction]) -> Fraction:
    return next((one for one in offered if one >= wanted), offered[-1])


def plain(facts: Facts) -> bool:
    """Whether all zeros lie at the origin, or are a null between equal ends; and nothing rings on.

    Then slopes and phases count the poles, and two poles have their figures in f0 and Q alone.
    """
    t = facts.transfer
    if t.order == 0 or any(pole.real >= 0 for pole in facts.poles):
        return False
    if facts.type is FilterType.NOTCH:
        return t.order == 2 and facts.axis_zero_pairs == 1 and facts.gain_low == facts.gain_high
    at_origin = {
        FilterType.LOW_PASS: t.zero_count == 0,
        FilterType.HIGH_PASS: t.zero_count == t.order,
        FilterType.BAND_PASS: 0 < t.zero_count < t.order,
    }
    return t.zero_count == t.zeros_at_origin and at_origin.get(facts.type, False)


def pass_band_db(facts: Facts) -> float:
    """The level of the pass band in dB: of a band-pass, that of its peak; of a ``plain`` one."""
    match facts.type:
        case FilterType.HIGH_PASS:
            gain: float | None = float(facts.gain_high)
        case FilterType.BAND_PASS:
            gain = facts.peak_gain
        case _:
            gain = float(facts.gain_low)
    level = decibels(gain or 0.0)
    assert level is not None
    return level


def drawn_curve(asking: Asking) -> DrawnCurve | None:
    """The curve that all questions of a problem are read off; ``None`` where none is plain."""
    return _drawn(asking.facts, asking.stream)


@lru_cache(maxsize=16)
def _drawn(facts: Facts, stream: Stream) -> DrawnCurve | None:
    if not plain(facts):
        return None
    chance = Chance(*stream, "curve")
    below, above = (1 + chance.below(4) / 10 for _ in range(2))
    near, noisy = chance.below(3) > 0, chance.below(2) == 0
    q, f0, two = facts.q or 0.0, facts.corner_hz or 0.0, facts.transfer.order == 2
    close = near and two and facts.type.one_sided and LEAST_PEAK <= q <= _MOST_Q
    notch = facts.type is FilterType.NOTCH
    if two and facts.type.banded and q <= _MOST_Q and (notch or q >= _WIDE_Q):
        seen = _CLOSE_DB if q >= _SHARP_Q else _WIDE_DB
        reach = math.asinh(10 ** (seen / 20) / (2 * q))
        low, high = f0 * math.exp(-reach * below), f0 * math.exp(reach * above)
    elif notch:
        return None
    elif close:
        passed, skirt = 10**below, 10 ** (0.6 * above)
        if facts.type is FilterType.HIGH_PASS:
            passed, skirt = skirt, passed
        low, high = f0 / passed, f0 * skirt
    else:
        places = [abs(pole) / TWO_PI for pole in facts.poles]
        low, high = min(places) / 10**below, max(places) * 10**above
    if math.log10(high / low) > _DECADES:
        return None
    points = gain_points(facts, low, high)
    if notch:
        floor = pass_band_db(facts) - _CUT_DB
        points = tuple(point for point in points if point[1] >= floor)
    if noisy:
        points = measured(points, chance)
    return DrawnCurve(low, high, Exhibit(Chart.GAIN, (Plot(points),), measured=noisy), close)


# ------------------------------------------------------------------------- makers

Reader = Callable[[Facts, DrawnCurve], "Question | None"]


def _reads(rung: Rung) -> Callable[[Reader], Reader]:
    """Fill the slot of a kind with what makes its question of a drawn curve."""

    def fill(reader: Reader) -> Reader:
        @MAKERS(rung)
        def make(asking: Asking) -> Question | None:
            curve = drawn_curve(asking)
            return None if curve is None else reader(asking.facts, curve)

        return reader

    return fill


def _figure(
    rung: Rung, truth: float | None, curve: DrawnCurve, tolerance: Fraction, asked: str = ""
) -> Question | None:
    if not truth:
        return None
    values: Values = (("asked", asked),) if asked else ()
    form, unit = (Form.RATIO, "") if rung is Rung.READ_Q else (Form.QUANTITY, "Hz")
    return Question(rung, form, truth, (), unit, tolerance, values, curve.exhibit)


def _level(rung: Rung, truth: float, curve: DrawnCurve, tolerance: Fraction) -> Question:
    return Question(rung, Form.LEVEL, round(truth, 6), (), "dB", tolerance, exhibit=curve.exhibit)


def _band(facts: Facts, least: float = _LEAST_Q) -> bool:
    """Whether it is a band or a notch of two poles, not too wide to be read, nor too narrow."""
    two = facts.type.banded and facts.transfer.order == 2
    return two and facts.q is not None and least <= facts.q <= _MOST_Q


@_reads(Rung.READ_CORNER)
def _corner(facts: Facts, curve: DrawnCurve) -> Question | None:
    """Of one pole where it is 3 dB down; of a band its centre; else where the lines meet."""
    make = partial(_figure, Rung.READ_CORNER, facts.corner_hz, curve)
    if facts.transfer.order == 1:
        return make(_TENTH, "one-pole")
    if _band(facts):
        return make(curve.across, "centre")
    if facts.type.one_sided and (facts.q or 0) >= _LEAST_Q:
        return make(_TENTH, "lines")
    return None


@_reads(Rung.READ_Q)
def _q(facts: Facts, curve: DrawnCurve) -> Question | None:
    """f0 over the bandwidth; of a low-pass or high-pass by its peak."""
    if _band(facts, _SHARP_Q):
        return _figure(Rung.READ_Q, facts.q, curve, _TENTH, "band")
    return _figure(Rung.READ_Q, facts.q, curve, _TENTH, "peak") if curve.close else None


@_reads(Rung.READ_BANDWIDTH)
def _bandwidth(facts: Facts, curve: DrawnCurve) -> Question | None:
    found = facts.bandwidth_hz if _band(facts, _SHARP_Q) else None
    return _figure(Rung.READ_BANDWIDTH, found, curve, _TENTH)


def _edge(rung: Rung, at: int, facts: Facts, curve: DrawnCurve) -> Question | None:
    """Of one pole the edge is the corner."""
    if facts.type.one_sided and facts.transfer.order == 2 and (facts.q or 0) >= _EDGE_Q:
        return _figure(rung, facts.edges_hz[at], curve, curve.across if curve.close else _TENTH)
    return _figure(rung, facts.edges_hz[at], curve, curve.beside) if _band(facts) else None


_reads(Rung.READ_LOWER_EDGE)(partial(_edge, Rung.READ_LOWER_EDGE, 0))
_reads(Rung.READ_UPPER_EDGE)(partial(_edge, Rung.READ_UPPER_EDGE, 1))


@_reads(Rung.READ_PEAK)
def _peak(facts: Facts, curve: DrawnCurve) -> Question | None:
    """Above the pass band."""
    highest = decibels(facts.peak_gain or 0.0) if curve.close else None
    if highest is None:
        return None
    return _level(Rung.READ_PEAK, highest - pass_band_db(facts), curve, curve.down)


@_reads(Rung.READ_PEAK_PLACE)
def _peak_place(facts: Facts, curve: DrawnCurve) -> Question | None:
    """To 10 %, since it is flat on top."""
    found = facts.peak_hz if curve.close else None
    return _figure(Rung.READ_PEAK_PLACE, found, curve, _TENTH)


@_reads(Rung.READ_PASS_BAND)
def _pass_band(facts: Facts, curve: DrawnCurve) -> Question | None:
    """Where it lies so far from 0 dB that this is not the answer of who does not look."""
    level = pass_band_db(facts)
    if abs(level) < 2 * curve.down:
        return None
    return _level(Rung.READ_PASS_BAND, level, curve, curve.down)


def counts_poles(facts: Facts, curve: DrawnCurve) -> bool:
    """Whether the ``curve`` of a circuit with these ``facts`` runs out into straight skirts."""
    if facts.type is FilterType.NOTCH or curve.close:
        return False
    return facts.type.one_sided or facts.transfer.order > 2 or (facts.q or 0) < _SHARP_Q


def _slope(asking: Asking) -> Question | None:
    curve, facts = drawn_curve(asking), asking.facts
    if curve is None or not counts_poles(facts, curve):
        return None
    ends = [end for end, slope in _slopes(facts).items() if slope]
    asked = asking.chance.pick(ends)
    truth = _slopes(facts)[asked]
    values: Values = (("asked", asked),)
    return Question(
        Rung.READ_SLOPE, Form.SLOPE, truth, unit="dB/decade", values=values, exhibit=curve.exhibit
    )


MAKERS(Rung.READ_SLOPE)(_slope)


def _slopes(facts: Facts) -> dict[str, int]:
    """Of the left end and of the right one."""
    return {"left": facts.slope_low, "right": facts.slope_high}


@_reads(Rung.READ_POLES)
def _poles(facts: Facts, curve: DrawnCurve) -> Question | None:
    """20 dB/decade for each, from end to end."""
    if not counts_poles(facts, curve):
        return None
    truth: Answer = facts.transfer.order
    return Question(Rung.READ_POLES, Form.COUNT, truth, exhibit=curve.exhibit)


@MAKERS(Rung.READ_TURN)
def _turn(asking: Asking) -> Question | None:
    """90° for each, from end to end: of the phase, over more of the axis."""
    facts = asking.facts
    if not plain(facts) or facts.type is FilterType.NOTCH:
        return None
    chance = asking.drawn("turn")
    below, above = (1.3 + chance.below(4) / 10 for _ in range(2))
    places = [abs(pole) / TWO_PI for pole in facts.poles]
    low, high = min(places) / 10**below, max(places) * 10**above
    if math.log10(high / low) > _DECADES:
        return None
    exhibit = Exhibit(Chart.PHASE, (Plot(phase_points(facts, low, high)),))
    return Question(Rung.READ_TURN, Form.COUNT, facts.transfer.order, exhibit=exhibit)
