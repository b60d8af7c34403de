"""Slips about levels and phases at a frequency: decibels, asymptotes, the corner.

Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from ..analysis.response import FilterType, decibels
from ..quantities.units import Quantity
from ..questions.analyse import pass_band_gain
from ..questions.levels_at import POWERS, stages
from ..questions.model import Rung
from ..questions.values import value_of
from .case import Answers, Case, Guess, Topic

TOPIC = Topic("levels_at")

GAIN, PHASE = Rung.GAIN_AT, Rung.PHASE_AT
CASCADE, LEVEL, RATIO = Rung.CASCADE_LEVEL, Rung.LEVEL_OF_RATIO, Rung.RATIO_OF_LEVEL
_BELIEVED_DB = 400
"""A level beyond it nobody takes for a gain."""
_DECADES = {"hundredth": -2, "tenth": -1, "corner": 0, "ten": 1, "hundred": 2}


def _decades(case: Case) -> int:
    """By how many decades the place asked about lies above the corner."""
    return _DECADES[case.question.asked]


def _pass_band(case: Case) -> float | None:
    """The level of the pass band in dB."""
    gain = pass_band_gain(case.facts)
    return None if gain is None else decibels(float(gain))


def _skirt(case: Case) -> int:
    """The slope where the gain falls away from its corner, in dB for each decade; else 0."""
    known, way = case.facts, _decades(case)
    return max(0, -known.slope_high if way > 0 else known.slope_low) if way else 0


def _fallen(case: Case, slope: float) -> float | None:
    """The level at the place asked about, with a slope of so many dB a decade on that skirt."""
    level = _pass_band(case)
    return level - slope * abs(_decades(case)) if level is not None and _skirt(case) else None


# A loss given as a gain, or a gain as a loss.
TOPIC.answer("level-sign", GAIN, CASCADE, LEVEL, by=lambda c: -c.truth, near=True)
# 10·log₁₀ of a ratio of voltages.
TOPIC.answer("level-power-decibels", GAIN, LEVEL, by=lambda c: c.truth / 2, near=True)
# The logarithm itself.
TOPIC.answer("level-without-twenty", LEVEL, by=lambda c: c.truth / 20, near=True)


def _at_corner(case: Case, above: float) -> float | None:
    """So many dB above the pass band, asked at the corner."""
    level = _pass_band(case)
    return level + above if level is not None and not _decades(case) else None


# At the corner the level of the straight lines, which is that of the pass band.
TOPIC.answer(
    "corner-on-the-lines", GAIN,
    by=lambda c: _at_corner(c, 0.0) if c.facts.type is not FilterType.BAND_PASS else None,
    near=True,
)  # fmt: skip
# −3 dB at every corner, and at the centre of a band too.
TOPIC.answer(
    "always-three-decibels", GAIN, by=lambda c: _at_corner(c, 10 * math.log10(0.5)), near=True
)
# 20 dB a decade where two poles make 40.
TOPIC.answer(
    "twenty-for-each-filter", GAIN,
    by=lambda c: _fallen(c, 20) if c.facts.type.one_sided and c.order == 2 else None, near=True,
)  # fmt: skip
# 40 dB a decade on either side of a band-pass of two poles, where each skirt has 20.
TOPIC.answer(
    "forty-for-each-skirt", GAIN,
    by=lambda c: _fallen(c, 40) if c.facts.type is FilterType.BAND_PASS else None, near=True,
)  # fmt: skip
# 6 dB, what an octave costs, taken for each decade.
TOPIC.answer("octave-for-the-decade", GAIN, by=lambda c: _fallen(c, _skirt(c) * 0.3), near=True)
# So many dB below the pass band, which lies below the source itself.
TOPIC.answer(
    "counted-from-the-pass-band", GAIN,
    by=lambda c: c.truth - level if (level := _pass_band(c)) else None, near=True,
)  # fmt: skip
# A lag given as a lead, or a lead as a lag.
TOPIC.answer("phase-of-the-other-sign", PHASE, by=lambda c: -c.truth, near=True)


@TOPIC.slip("end-for-the-place", PHASE)
def end_for_the_place(case: Case) -> Iterator[Guess]:
    """The phase of the far end, though it is not yet reached; at the corner that of either."""
    known, way = case.facts, _decades(case)
    if way >= 0:
        yield Guess(float(known.phase_high), near=True)
    if way <= 0:
        yield Guess(float(known.phase_low), near=True)


# 45°, the turn of one pole, at a corner that two poles make.
TOPIC.answer(
    "forty-five-for-each-corner", PHASE,
    by=lambda c: c.facts.phase_low - 45.0 if not _decades(c) and c.order == 2 else None, near=True,
)  # fmt: skip
# The +90° that each zero at the origin adds at every frequency left out.
TOPIC.answer(
    "turn-of-the-zeros-missed", PHASE,
    by=lambda c: c.truth - c.facts.phase_low if c.facts.phase_low else None, near=True,
)  # fmt: skip


def _of_stages(figure: Callable[[float, float], tuple[float, ...]]) -> Answers:
    """Answers from the levels of the two stages, in dB."""

    def answers(case: Case) -> tuple[float, ...]:
        found = stages(case.facts, case.question)
        return () if found is None else figure(*found)

    return answers


def _product(one: float, other: float) -> tuple[float, ...]:
    product = one * other
    return (product, -abs(product)) if abs(product) <= _BELIEVED_DB else ()


def _sum(one: float, other: float, by: int) -> float:
    return by * math.log10(10 ** (one / by) + 10 ** (other / by))


# The two levels multiplied, as ratios are.
TOPIC.answer("levels-multiplied", CASCADE, by=_of_stages(_product), near=True)
# The one level less the other.
TOPIC.answer("levels-subtracted", CASCADE, by=_of_stages(lambda a, b: (a - b, b - a)), near=True)
# The level of one of the two stages.
TOPIC.answer("one-stage-only", CASCADE, by=_of_stages(lambda a, b: (a, b)), near=True)
# The ratios added instead of multiplied, or their powers.
TOPIC.answer(
    "voltages-added", CASCADE,
    by=_of_stages(lambda a, b: (_sum(a, b, 20), _sum(a, b, 10))), near=True,
)  # fmt: skip
# 10^(L/10), the ratio of the powers.
TOPIC.answer("power-ratio-for-voltage", RATIO, by=lambda c: c.truth**2)
# The sign of the level overlooked.
TOPIC.answer("ratio-upside-down", RATIO, by=lambda c: 1 / c.truth)
# A twentieth of the level, and no power of ten taken of it.
TOPIC.answer("level-over-twenty", RATIO, by=lambda c: abs(math.log10(c.truth)), near=True)


def _left(case: Case, factor: float) -> str | None:
    """What is left of a voltage that is so many times the dB lower, where it is offered."""
    level = value_of(case.question.values, "first_level", Quantity).value
    return POWERS.get(float(level) * factor)


# 10·log₁₀ taken of the voltage: half the voltage at 3 dB, a tenth at 10 dB.
TOPIC.answer("ten-log-of-voltage", Rung.HALF_POWER, by=lambda c: _left(c, 2))
# 20·log₁₀ taken of the power: half the power at 6 dB, a tenth at 20 dB.
TOPIC.answer("twenty-log-of-power", Rung.HALF_POWER, by=lambda c: _left(c, 0.5))
