"""Slips about asymptotic slopes and phases.

A zero at the origin gives +20 dB/decade and +90° at the low end; at the high end every
finite zero adds and every pole takes away as much.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType
from ..questions.model import Rung
from .case import Case, Guess, Topic, of_type

TOPIC = Topic("slopes and phases")

SLOPES = (Rung.LOW_SLOPE, Rung.HIGH_SLOPE)
PHASES = (Rung.LOW_PHASE, Rung.HIGH_PHASE)
BAND = FilterType.BAND_PASS


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)


# A rise given as a fall, or the other way round.
slope_sign = TOPIC.answer("slope-sign", *SLOPES, by=lambda c: -int(c.truth))
# 40 dB/decade for each skirt of a two-pole band-pass, whose poles share the skirts.
band_pass_skirts = TOPIC.answer(
    "band-pass-skirts", *SLOPES,
    by=of_type(BAND, lambda c: 2 * int(c.truth) if c.order == 2 else None),
)  # fmt: skip
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


# The slope of the other end.
TOPIC.answer(
    "other-end", *SLOPES,
    by=lambda c: c.facts.slope_high if c.rung is Rung.LOW_SLOPE else c.facts.slope_low,
)  # fmt: skip
# 0° to −180° for a band-pass, as if its pair of poles were all.
TOPIC.answer(
    "band-pass-as-low-pass", *PHASES,
    by=of_type(BAND, lambda c: 0 if c.rung is Rung.LOW_PHASE else -90 * c.order),
)  # fmt: skip
# The phase of an end, where the poles have done nothing yet or all they ever do.
TOPIC.answer(
    "asymptote-at-corner", Rung.CORNER_PHASE, by=lambda c: (c.facts.phase_high, c.facts.phase_low)
)
# −90° at the centre of a band-pass, as if its pair of poles were all.
TOPIC.answer("band-pass-as-low-pass", Rung.CORNER_PHASE, by=of_type(BAND, lambda c: -45 * c.order))
# One pole's 45°, where two turn the phase together.
TOPIC.answer(
    "half-for-two", Rung.CORNER_PHASE, by=lambda c: c.facts.phase_low - 45 if c.order == 2 else None
)
# A high-pass that starts at 0° like a low-pass, so that its poles alone are counted.
TOPIC.answer(
    "zeros-left-out-of-phase", Rung.CORNER_PHASE,
    by=of_type(FilterType.HIGH_PASS, lambda c: -45 * c.order),
)  # fmt: skip
# A high-pass taken to start at 0°.
TOPIC.answer(
    "high-pass-starts-at-zero", Rung.LOW_PHASE, by=of_type(FilterType.HIGH_PASS, lambda c: 0)
)
# A notch without the jump by +180° at each pair of jω-axis zeros.
TOPIC.answer(
    "notch-jump-missed", Rung.HIGH_PHASE,
    by=of_type(FilterType.NOTCH, lambda c: int(c.truth) - 180 * c.facts.axis_zero_pairs),
)  # fmt: skip
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


# A phase beyond ±180° folded back by a whole turn: −90° for 270°.
TOPIC.answer(
    "phase-folded", *PHASES,
    by=lambda c: int(c.truth) - 360 * _sign(c.truth) if abs(c.truth) == 270 else None,
)  # fmt: skip


@TOPIC.slip("phase-at-corner", *PHASES)
def phase_at_corner(case: Case) -> Iterator[Guess]:
    """The phase at the corner, halfway between the asymptotes, given for one of them."""
    if case.facts.type is not FilterType.NOTCH and case.order:
        yield Guess((case.facts.phase_low + case.facts.phase_high) // 2)


# The phase of the other end.
TOPIC.answer(
    "other-end", *PHASES,
    by=lambda c: c.facts.phase_high if c.rung is Rung.LOW_PHASE else c.facts.phase_low,
)  # fmt: skip
