"""Slips about asymptotic slopes and phases.

A zero at the origin gives +20 dB/decade and +90° at the low end; at the high end every
finite zero adds and every pole takes away as much.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType
from ..questions.model import Rung
from .case import Case, Guess, Topic

TOPIC = Topic("slopes and phases")

SLOPES = (Rung.LOW_SLOPE, Rung.HIGH_SLOPE)
PHASES = (Rung.LOW_PHASE, Rung.HIGH_PHASE)


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)


# A rise given as a fall, or the other way round.
slope_sign = TOPIC.answer("slope-sign", *SLOPES, by=lambda c: -int(c.truth))


@TOPIC.slip("band-pass-skirts", *SLOPES)
def band_pass_skirts(case: Case) -> Iterator[Guess]:
    """40 dB/decade for each skirt of a two-pole band-pass, whose poles share the skirts."""
    if case.facts.type is FilterType.BAND_PASS and case.order == 2:
        yield Guess(2 * int(case.truth))


# One pole's or zero's 20 dB/decade, where several work together.
twenty_for_forty = TOPIC.answer(
    "twenty-for-forty", *SLOPES, by=lambda c: 20 * _sign(c.truth) if abs(c.truth) > 20 else None
)


@TOPIC.slip("octave-for-decade", *SLOPES)
def octave_for_decade(case: Case) -> Iterator[Guess]:
    """6 dB/decade for 6 dB/octave, or 20 dB/octave for 20 dB/decade."""
    yield Guess(round(case.truth * 6 / 20), typed_unit="dB/decade")
    yield Guess(round(case.truth / math.log10(2)), typed_unit="dB/octave")


# 10·log of a voltage ratio: 10 dB/decade for each pole.
ten_log = TOPIC.answer("ten-log", *SLOPES, by=lambda c: int(c.truth) // 2)


@TOPIC.slip("zeros-left-out", Rung.HIGH_SLOPE)
def zeros_left_out_of_slope(case: Case) -> Iterator[Guess]:
    """All poles counted at the high end, and no zero."""
    if case.facts.transfer.zero_count and case.facts.type is not FilterType.BAND_PASS:
        yield Guess(-20 * case.order)


@TOPIC.slip("other-end", *SLOPES)
def other_end_of_slope(case: Case) -> Iterator[Guess]:
    """The slope of the other end."""
    low = case.rung is Rung.LOW_SLOPE
    yield Guess(case.facts.slope_high if low else case.facts.slope_low)


@TOPIC.slip("band-pass-as-low-pass", *PHASES)
def band_pass_as_low_pass(case: Case) -> Iterator[Guess]:
    """0° to −180° for a band-pass, as if its pair of poles were all."""
    if case.facts.type is FilterType.BAND_PASS:
        yield Guess(0 if case.rung is Rung.LOW_PHASE else -90 * case.order)


# The phase of an end, where the poles have done nothing yet or all they ever do.
TOPIC.answer(
    "asymptote-at-corner", Rung.CORNER_PHASE, by=lambda c: (c.facts.phase_high, c.facts.phase_low)
)


@TOPIC.slip("band-pass-as-low-pass", Rung.CORNER_PHASE)
def band_pass_corner_as_low_pass(case: Case) -> Iterator[Guess]:
    """−90° at the centre of a band-pass, as if its pair of poles were all."""
    if case.facts.type is FilterType.BAND_PASS:
        yield Guess(-45 * case.order)


# One pole's 45°, where two turn the phase together.
TOPIC.answer(
    "half-for-two", Rung.CORNER_PHASE, by=lambda c: c.facts.phase_low - 45 if c.order == 2 else None
)


@TOPIC.slip("zeros-left-out-of-phase", Rung.CORNER_PHASE)
def zeros_left_out_of_phase(case: Case) -> Iterator[Guess]:
    """A high-pass that starts at 0° like a low-pass, so that its poles alone are counted."""
    if case.facts.type is FilterType.HIGH_PASS:
        yield Guess(-45 * case.order)


@TOPIC.slip("high-pass-starts-at-zero", Rung.LOW_PHASE)
def high_pass_starts_at_zero(case: Case) -> Iterator[Guess]:
    """A high-pass taken to start at 0°."""
    if case.facts.type is FilterType.HIGH_PASS:
        yield Guess(0)


@TOPIC.slip("notch-jump-missed", Rung.HIGH_PHASE)
def notch_jump_missed(case: Case) -> Iterator[Guess]:
    """A notch without the jump by +180° at each pair of jω-axis zeros."""
    if case.facts.type is FilterType.NOTCH:
        yield Guess(int(case.truth) - 180 * case.facts.axis_zero_pairs)


# One pole's or zero's 90°, where several turn the phase together.
TOPIC.answer(
    "ninety-for-two", *PHASES, by=lambda c: 90 * _sign(c.truth) if abs(c.truth) > 90 else None
)


@TOPIC.slip("phase-sign", *PHASES, Rung.CORNER_PHASE)
def phase_sign(case: Case) -> Iterator[Guess]:
    """A lead given as a lag, or the other way round."""
    # Towards DC ±180° are one angle; further up the phase is followed from there.
    if case.rung is not Rung.LOW_PHASE or abs(case.truth) != 180:
        yield Guess(-int(case.truth))


@TOPIC.slip("phase-folded", *PHASES)
def phase_folded(case: Case) -> Iterator[Guess]:
    """A phase beyond ±180° folded back by a whole turn: −90° for 270°."""
    if abs(case.truth) == 270:
        yield Guess(int(case.truth) - 360 * _sign(case.truth))


@TOPIC.slip("phase-at-corner", *PHASES)
def phase_at_corner(case: Case) -> Iterator[Guess]:
    """The phase at the corner, halfway between the asymptotes, given for one of them."""
    if case.facts.type is not FilterType.NOTCH and case.order:
        yield Guess((case.facts.phase_low + case.facts.phase_high) // 2)


@TOPIC.slip("other-end", *PHASES)
def other_end_of_phase(case: Case) -> Iterator[Guess]:
    """The phase of the other end."""
    low = case.rung is Rung.LOW_PHASE
    yield Guess(case.facts.phase_high if low else case.facts.phase_low)
