"""Slips about levels and phases at a frequency: decibels, asymptotes, the corner.

Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import FilterType, decibels
from ..quantities.units import Quantity
from ..questions.analyse import pass_band_gain
from ..questions.levels_at import POWERS, stages
from ..questions.model import Rung
from ..questions.values import value_of
from .case import Case, Guess, Topic

TOPIC = Topic("levels_at")

GAIN, PHASE = Rung.GAIN_AT, Rung.PHASE_AT
CASCADE, LEVEL, RATIO = Rung.CASCADE_LEVEL, Rung.LEVEL_OF_RATIO, Rung.RATIO_OF_LEVEL
_BELIEVED_DB = 400
"""A level beyond it nobody takes for a gain."""
_DECADES = {"hundredth": -2, "tenth": -1, "corner": 0, "ten": 1, "hundred": 2}


def _near(level: float) -> Iterator[Guess]:
    yield Guess(float(level), near=True)


def _decades(case: Case) -> int:
    """By how many decades the place asked about lies above the corner."""
    return _DECADES[str(dict(case.question.values)["asked"])]


def _pass_band(case: Case) -> float | None:
    """The level of the pass band in dB."""
    gain = pass_band_gain(case.facts)
    return None if gain is None else decibels(float(gain))


def _falls(case: Case) -> bool:
    """Whether the place lies on the side where the gain falls away from its corner."""
    known, way = case.facts, _decades(case)
    return (known.slope_high < 0 if way > 0 else known.slope_low > 0) and way != 0


# A loss given as a gain, or a gain as a loss.
TOPIC.answer("level-sign", GAIN, CASCADE, LEVEL, by=lambda c: -c.truth, near=True)
# 10·log₁₀ of a ratio of voltages.
TOPIC.answer("level-power-decibels", GAIN, LEVEL, by=lambda c: c.truth / 2, near=True)
# The logarithm itself.
TOPIC.answer("level-without-twenty", LEVEL, by=lambda c: c.truth / 20, near=True)


@TOPIC.slip("corner-on-the-lines", GAIN)
def corner_on_the_lines(case: Case) -> Iterator[Guess]:
    """At the corner the level of the straight lines, which is that of the pass band."""
    level = _pass_band(case)
    if level is not None and not _decades(case) and case.facts.type is not FilterType.BAND_PASS:
        yield from _near(level)


@TOPIC.slip("always-three-decibels", GAIN)
def always_three_decibels(case: Case) -> Iterator[Guess]:
    """−3 dB at every corner, and at the centre of a band too."""
    level = _pass_band(case)
    if level is not None and not _decades(case):
        yield from _near(level + 10 * math.log10(0.5))


@TOPIC.slip("twenty-for-each-filter", GAIN)
def twenty_for_each_filter(case: Case) -> Iterator[Guess]:
    """20 dB a decade where two poles make 40."""
    level, known = _pass_band(case), case.facts
    two = known.type in (FilterType.LOW_PASS, FilterType.HIGH_PASS) and known.transfer.order == 2
    if level is not None and two and _falls(case):
        yield from _near(level - 20 * abs(_decades(case)))


@TOPIC.slip("forty-for-each-skirt", GAIN)
def forty_for_each_skirt(case: Case) -> Iterator[Guess]:
    """40 dB a decade on either side of a band-pass of two poles, where each skirt has 20."""
    level, known = _pass_band(case), case.facts
    if level is not None and known.type is FilterType.BAND_PASS and _falls(case):
        yield from _near(level - 40 * abs(_decades(case)))


@TOPIC.slip("octave-for-the-decade", GAIN)
def octave_for_the_decade(case: Case) -> Iterator[Guess]:
    """6 dB, what an octave costs, taken for each decade."""
    level, known = _pass_band(case), case.facts
    if level is None or not _falls(case):
        return
    slope = abs(known.slope_high if _decades(case) > 0 else known.slope_low)
    yield from _near(level - slope * 0.3 * abs(_decades(case)))


@TOPIC.slip("counted-from-the-pass-band", GAIN)
def counted_from_the_pass_band(case: Case) -> Iterator[Guess]:
    """So many dB below the pass band, which lies below the source itself."""
    level = _pass_band(case)
    if level:
        yield from _near(case.truth - level)


# A lag given as a lead, or a lead as a lag.
TOPIC.answer("phase-of-the-other-sign", PHASE, by=lambda c: -c.truth, near=True)


@TOPIC.slip("end-for-the-place", PHASE)
def end_for_the_place(case: Case) -> Iterator[Guess]:
    """The phase of the far end, though it is not yet reached; at the corner that of either."""
    known, way = case.facts, _decades(case)
    if way >= 0:
        yield from _near(known.phase_high)
    if way <= 0:
        yield from _near(known.phase_low)


@TOPIC.slip("forty-five-for-each-corner", PHASE)
def forty_five_for_each_corner(case: Case) -> Iterator[Guess]:
    """45°, the turn of one pole, at a corner that two poles make."""
    known = case.facts
    if not _decades(case) and case.order == 2:
        yield from _near(known.phase_low - 45)


@TOPIC.slip("turn-of-the-zeros-missed", PHASE)
def turn_of_the_zeros_missed(case: Case) -> Iterator[Guess]:
    """The +90° that each zero at the origin adds at every frequency left out."""
    if case.facts.phase_low:
        yield from _near(case.truth - case.facts.phase_low)


@TOPIC.slip("levels-multiplied", CASCADE)
def levels_multiplied(case: Case) -> Iterator[Guess]:
    """The two levels multiplied, as ratios are."""
    found = stages(case.facts, case.question)
    product = found[0] * found[1] if found is not None else math.inf
    if abs(product) <= _BELIEVED_DB:
        yield from _near(product)
        yield from _near(-abs(product))


@TOPIC.slip("levels-subtracted", CASCADE)
def levels_subtracted(case: Case) -> Iterator[Guess]:
    """The one level less the other."""
    found = stages(case.facts, case.question)
    if found is not None:
        yield from _near(found[0] - found[1])
        yield from _near(found[1] - found[0])


@TOPIC.slip("one-stage-only", CASCADE)
def one_stage_only(case: Case) -> Iterator[Guess]:
    """The level of one of the two stages."""
    for level in stages(case.facts, case.question) or ():
        yield from _near(level)


@TOPIC.slip("voltages-added", CASCADE)
def voltages_added(case: Case) -> Iterator[Guess]:
    """The ratios added instead of multiplied, or their powers."""
    found = stages(case.facts, case.question)
    if found is not None:
        for by in (20, 10):
            yield from _near(by * math.log10(sum(10 ** (level / by) for level in found)))


# 10^(L/10), the ratio of the powers.
TOPIC.answer("power-ratio-for-voltage", RATIO, by=lambda c: c.truth**2)
# The sign of the level overlooked.
TOPIC.answer("ratio-upside-down", RATIO, by=lambda c: 1 / c.truth)
# A twentieth of the level, and no power of ten taken of it.
TOPIC.answer("level-over-twenty", RATIO, by=lambda c: abs(math.log10(c.truth)), near=True)


@TOPIC.slip("ten-log-of-voltage", Rung.HALF_POWER)
def ten_log_of_voltage(case: Case) -> Iterator[Guess]:
    """10·log₁₀ taken of the voltage: half the voltage at 3 dB, a tenth at 10 dB."""
    yield from _left(2 * _asked(case))


@TOPIC.slip("twenty-log-of-power", Rung.HALF_POWER)
def twenty_log_of_power(case: Case) -> Iterator[Guess]:
    """20·log₁₀ taken of the power: half the power at 6 dB, a tenth at 20 dB."""
    yield from _left(_asked(case) / 2)


def _asked(case: Case) -> float:
    return float(value_of(case.question.values, "first_level", Quantity).value)


def _left(level: float) -> Iterator[Guess]:
    """What is left of a voltage that is so many dB lower, where it is offered."""
    if (other := POWERS.get(level)) is not None:
        yield Guess(other)
