"""Slips about tuning a resonator along its band.  Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Callable

from ..quantities.units import Quantity
from ..questions.model import Rung
from ..questions.tuning import LOWER, SAME, UPPER, farads, tuned
from ..questions.values import value_of
from .case import Answers, Case, Topic, instead

TOPIC = Topic("tuning", as_asked=True)


def _band(case: Case) -> tuple[float, float]:
    values = case.question.values
    low, high = (value_of(values, key, Quantity).value for key in ("f1", "f2"))
    return float(low), float(high)


def _of_band(figure: Callable[[float, float], float]) -> Answers:
    """Answers from the two ends of the band, in Hz."""
    return lambda case: figure(*_band(case))


# The ratio of the frequencies: the root in f0 forgotten.
TOPIC.answer(
    "tuning-not-squared", Rung.TUNING_RATIO, by=_of_band(lambda low, high: high / low), near=True
)
# The root of the ratio for its square.
TOPIC.answer(
    "tuning-root",
    Rung.TUNING_RATIO,
    by=_of_band(lambda low, high: math.sqrt(high / low)),
    near=True,
)
# The smaller over the larger.
TOPIC.answer("tuning-inverted", Rung.TUNING_RATIO, by=lambda c: 1 / c.truth, near=True)


def _changed(case: Case, power: int) -> float:
    """A power of f0 at the end asked about, over f0 at the other."""
    found = tuned(case.ladder, case.question.values)
    return float(found.ratio if found.here == LOWER else 1 / found.ratio) ** power


def _power(case: Case) -> int:
    """Which power of f0 Q goes with."""
    return tuned(case.ladder, case.question.values).powers[0]


def _kept(case: Case) -> float:
    """The bandwidth as drawn."""
    return case.facts.bandwidth_hz or 1.0


# Q thought to be the same at both ends.
TOPIC.answer("q-kept-over-band", Rung.TUNED_Q, by=lambda c: c.facts.q or 1.0, near=True)
# Q falling where it rises: series for parallel, or the coil for the capacitor.
TOPIC.answer(
    "q-other-way", Rung.TUNED_Q, by=lambda c: c.truth / _changed(c, 2 * _power(c)), near=True
)
# Q changed as the part is, by the square of the frequency's ratio.
TOPIC.answer(
    "q-by-the-square", Rung.TUNED_Q, by=lambda c: c.truth * _changed(c, _power(c)), near=True
)
# The bandwidth thought to be the same at both ends.
TOPIC.answer("band-kept-over-band", Rung.TUNED_BAND, by=_kept, near=True)
# f0/Q with the Q of the other end: the bandwidth changed as f0 alone does.
TOPIC.answer("band-as-f0", Rung.TUNED_BAND, by=lambda c: _kept(c) * _changed(c, 1), near=True)
# Narrower where it is wider.
TOPIC.answer(
    "tuned-band-other-way", Rung.TUNED_BAND, by=lambda c: _kept(c) ** 2 / c.truth, near=True
)
# ω0/Q in rad/s, given as hertz.
TOPIC.answer("tuned-band-in-radians", Rung.TUNED_BAND, by=lambda c: c.truth * math.tau, near=True)
# Tuning is thought to move f0 and nothing else.
TOPIC.answer("same-over-band", Rung.TUNED_END, by=lambda c: SAME)
# The other end.
TOPIC.answer("ends-of-band-exchanged", Rung.TUNED_END, by=instead({LOWER: UPPER, UPPER: LOWER}))
# Whatever is tuned is thought to be sharper at one end.
TOPIC.answer("tuning-changes-all", Rung.TUNED_END, by=instead({SAME: (LOWER, UPPER)}))
# Halfway in value, halfway in frequency.
TOPIC.answer(
    "middle-of-band", Rung.HALF_IN, by=_of_band(lambda low, high: (low + high) / 2), near=True
)
# The geometric mean of the ends.
TOPIC.answer(
    "geometric-middle",
    Rung.HALF_IN,
    by=_of_band(lambda low, high: math.sqrt(low * high)),
    near=True,
)
# Half the greatest value, as if the least were none.
TOPIC.answer(
    "least-value-forgotten", Rung.HALF_IN, by=_of_band(lambda low, _: low * math.sqrt(2)), near=True
)


def _of_capacitances(figure: Callable[[float, float, float], float | tuple[float, ...]]) -> Answers:
    """Answers from the least, the most and the stray capacitance, in farads."""
    keys = ("least", "most", "stray")
    return lambda case: figure(*(float(farads(case.question.values, key)) for key in keys))


# The range without the stray capacitance.
TOPIC.answer(
    "stray-forgotten", Rung.STRAY_RANGE,
    by=_of_capacitances(lambda least, most, _: math.sqrt(most / least)), near=True,
)  # fmt: skip
# The ratio of the capacitances.
TOPIC.answer("stray-root-forgotten", Rung.STRAY_RANGE, by=lambda c: c.truth**2, near=True)
# Added at one end of the range only.
TOPIC.answer(
    "stray-at-one-end", Rung.STRAY_RANGE,
    by=_of_capacitances(lambda a, b, s: (math.sqrt((b + s) / a), math.sqrt(b / (a + s)))),
    near=True,
)  # fmt: skip
