"""Slips in reading a curve.

Many are those of working the figure out: what is a wrong formula there is a wrong place to look
here.  Common practice, no source; that half the voltage is taken for half the power, and 0 dB for
the pass band, every teacher has seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType, decibels
from ..questions.model import Rung
from ..questions.off_curve import pass_band_db
from . import one_pole, quality, shapes, two_pole
from .case import Case, Guess, Topic

TOPIC = Topic("off a curve")

CORNER, Q, BAND = Rung.READ_CORNER, Rung.READ_Q, Rung.READ_BANDWIDTH
EDGES = (Rung.READ_LOWER_EDGE, Rung.READ_UPPER_EDGE)
PEAK, PLACE, PASS = Rung.READ_PEAK, Rung.READ_PEAK_PLACE, Rung.READ_PASS_BAND
COUNTS = (Rung.READ_POLES, Rung.READ_TURN)

HALF_POWER_DB = 10 * math.log10(2)

# The same wrong figures as where they are worked out.
TOPIC.slip("edge-as-corner", CORNER)(two_pole.edge_as_corner)
TOPIC.slip("tap-peak", CORNER)(two_pole.tap_peak)
TOPIC.slip("arithmetic-centre", CORNER)(two_pole.arithmetic_centre)
TOPIC.slip("half-power-from-input", CORNER)(one_pole.half_power_from_input)
TOPIC.slip("half-power-from-input", *EDGES)(two_pole.half_power_from_input)
TOPIC.slip("half-voltage-edge", CORNER, BAND, *EDGES)(two_pole.half_voltage_edge)
TOPIC.slip("three-db-at-f0", *EDGES)(two_pole.three_db_at_f0)
TOPIC.slip("other-edge", *EDGES)(two_pole.other_edge)
TOPIC.slip("centre-for-edge", *EDGES)(two_pole.centre_for_edge)
TOPIC.slip("q-in-decibels", Q)(quality.q_in_decibels)
TOPIC.slip("peak-as-q", Q)(quality.peak_as_q)
TOPIC.slip("half-band", BAND)(quality.half_band)
TOPIC.slip("centre-for-bandwidth", BAND)(quality.centre_for_bandwidth)
TOPIC.slip("edge-for-bandwidth", BAND)(quality.edge_for_bandwidth)
TOPIC.slip("slope-sign", Rung.READ_SLOPE)(shapes.slope_sign)
TOPIC.slip("band-pass-skirts", Rung.READ_SLOPE)(shapes.band_pass_skirts)
TOPIC.slip("twenty-for-forty", Rung.READ_SLOPE)(shapes.twenty_for_forty)
TOPIC.slip("octave-for-decade", Rung.READ_SLOPE)(shapes.octave_for_decade)
TOPIC.slip("ten-log", Rung.READ_SLOPE)(shapes.ten_log)


# ------------------------------------------------------------------------- Q


@TOPIC.slip("half-voltage-edge", Q)
def half_voltage_q(case: Case) -> Iterator[Guess]:
    """The Q of the width at half the voltage: wider by √3 of a band, narrower of a gap."""
    if case.question.asked == "band":
        wider = case.facts.type is FilterType.BAND_PASS
        yield Guess(case.truth / math.sqrt(3) if wider else case.truth * math.sqrt(3))


# f0 over half the band.
TOPIC.answer("half-band", Q, by=lambda c: 2 * c.truth if c.question.asked == "band" else None)
# B/f0.
TOPIC.answer(
    "band-over-centre",
    Q,
    by=lambda c: 1 / c.truth if c.question.asked == "band" else None,
    near=True,
)
# The height of the peak in decibels.
TOPIC.answer(
    "peak-level-as-q", Q, by=lambda c: _height(c) if c.question.asked == "peak" else None, near=True
)


def _highest(case: Case) -> float | None:
    """The level of the peak, in dB."""
    return decibels(case.facts.peak_gain or 0.0)


def _height(case: Case) -> float:
    """Of the peak above the pass band, in dB."""
    return (_highest(case) or 0.0) - pass_band_db(case.facts)


# ------------------------------------------------------------------------- levels


# Counted from 0 dB, where the pass band lies lower.
TOPIC.answer("peak-from-zero", PEAK, by=lambda c: c.truth + pass_band_db(c.facts), near=True)
# The ratio of the voltages, with no logarithm taken of it.
TOPIC.answer(
    "ratio-for-decibels", PEAK, PASS, Rung.PEAK_OF_Q, Rung.GAIN_OF_Q,
    by=lambda c: 10 ** (c.truth / 20), near=True,
)  # fmt: skip
# From the −3 dB line, and not from the pass band.
TOPIC.answer("counted-from-edge", PEAK, by=lambda c: c.truth + HALF_POWER_DB, near=True)
# f0, where the lines meet.
TOPIC.answer("corner-for-peak", PLACE, by=lambda c: c.facts.corner_hz, near=True)
# The −3 dB edge, where the pass band ends.
TOPIC.answer("edge-for-peak", PLACE, by=lambda c: c.facts.edges_hz, near=True)
# The pass band taken to lie at 0 dB.
TOPIC.answer("pass-band-at-zero", PASS, by=lambda c: 0.0, near=True)
# The −3 dB level, at which the band ends.
TOPIC.answer("level-of-edge", PASS, by=lambda c: c.truth - HALF_POWER_DB, near=True)
# The highest point of a low-pass or high-pass, which is beside its pass band.
TOPIC.answer(
    "peak-for-pass-band", PASS,
    by=lambda c: _highest(c) if c.facts.type.one_sided and c.facts.peak_hz else None, near=True,
)  # fmt: skip
# A loss given without its sign.
TOPIC.answer("loss-unsigned", PASS, by=lambda c: -c.truth, near=True)


# ------------------------------------------------------------------------- counts


@TOPIC.slip("one-end-counted", *COUNTS)
def one_end_counted(case: Case) -> Iterator[Guess]:
    """The slope, or the phase, of one end alone."""
    for slope in (case.facts.slope_high, case.facts.slope_low):
        yield Guess(abs(slope) // 20)


@TOPIC.slip("share-of-a-pole", *COUNTS)
def share_of_a_pole(case: Case) -> Iterator[Guess]:
    """Twice or half of what one pole does."""
    yield Guess(2 * int(case.truth))
    if case.truth % 2 == 0:
        yield Guess(int(case.truth) // 2)
