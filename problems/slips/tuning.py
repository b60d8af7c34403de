"""Slips about tuning a resonator along its band.  Common practice, no source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction

from ..quantities.units import Quantity
from ..questions.model import Rung
from ..questions.tuning import LOWER, SAME, UPPER, farads, tuned
from ..questions.values import value_of
from .case import Case, Guess, Topic

TOPIC = Topic("tuning")

_OTHER = {LOWER: UPPER, UPPER: LOWER}


def _band(case: Case) -> tuple[float, float]:
    values = case.question.values
    low, high = (value_of(values, key, Quantity).value for key in ("f1", "f2"))
    return float(low), float(high)


def _near(case: Case, *answers: float) -> Iterator[Guess]:
    for answer in answers:
        yield Guess(answer, case.question.values, near=True)


@TOPIC.slip("tuning-not-squared", Rung.TUNING_RATIO)
def tuning_not_squared(case: Case) -> Iterator[Guess]:
    """The ratio of the frequencies: the root in f0 forgotten."""
    low, high = _band(case)
    yield from _near(case, high / low)


@TOPIC.slip("tuning-root", Rung.TUNING_RATIO)
def tuning_root(case: Case) -> Iterator[Guess]:
    """The root of the ratio for its square."""
    low, high = _band(case)
    yield from _near(case, math.sqrt(high / low))


@TOPIC.slip("tuning-inverted", Rung.TUNING_RATIO)
def tuning_inverted(case: Case) -> Iterator[Guess]:
    """The smaller over the larger."""
    yield from _near(case, 1 / case.truth)


def _change(case: Case) -> Fraction:
    """f0 at the end asked about, over f0 at the other."""
    found = tuned(case.ladder, case.question.values)
    return found.ratio if found.here == LOWER else 1 / found.ratio


@TOPIC.slip("q-kept-over-band", Rung.TUNED_Q)
def q_kept_over_band(case: Case) -> Iterator[Guess]:
    """Q thought to be the same at both ends."""
    yield from _near(case, case.facts.q or 1.0)


@TOPIC.slip("q-other-way", Rung.TUNED_Q)
def q_other_way(case: Case) -> Iterator[Guess]:
    """Q falling where it rises: series for parallel, or the coil for the capacitor."""
    power = tuned(case.ladder, case.question.values).powers[0]
    yield from _near(case, case.truth / float(_change(case)) ** (2 * power))


@TOPIC.slip("q-by-the-square", Rung.TUNED_Q)
def q_by_the_square(case: Case) -> Iterator[Guess]:
    """Q changed as the part is, by the square of the frequency's ratio."""
    power = tuned(case.ladder, case.question.values).powers[0]
    yield from _near(case, case.truth * float(_change(case)) ** power)


@TOPIC.slip("band-kept-over-band", Rung.TUNED_BAND)
def band_kept(case: Case) -> Iterator[Guess]:
    """The bandwidth thought to be the same at both ends."""
    yield from _near(case, case.facts.bandwidth_hz or 1.0)


@TOPIC.slip("band-as-f0", Rung.TUNED_BAND)
def band_as_f0(case: Case) -> Iterator[Guess]:
    """f0/Q with the Q of the other end: the bandwidth changed as f0 alone does."""
    yield from _near(case, (case.facts.bandwidth_hz or 1.0) * float(_change(case)))


@TOPIC.slip("tuned-band-other-way", Rung.TUNED_BAND)
def band_other_way(case: Case) -> Iterator[Guess]:
    """Narrower where it is wider."""
    yield from _near(case, (case.facts.bandwidth_hz or 1.0) ** 2 / case.truth)


@TOPIC.slip("tuned-band-in-radians", Rung.TUNED_BAND)
def band_in_radians(case: Case) -> Iterator[Guess]:
    """ω0/Q in rad/s, given as hertz."""
    yield from _near(case, case.truth * math.tau)


@TOPIC.slip("same-over-band", Rung.TUNED_END)
def same_over_band(case: Case) -> Iterator[Guess]:
    """Tuning is thought to move f0 and nothing else."""
    yield Guess(SAME, case.question.values)


@TOPIC.slip("ends-of-band-exchanged", Rung.TUNED_END)
def ends_exchanged(case: Case) -> Iterator[Guess]:
    """The other end."""
    other = _OTHER.get(str(case.question.truth))
    if other is not None:
        yield Guess(other, case.question.values)


@TOPIC.slip("tuning-changes-all", Rung.TUNED_END)
def tuning_changes_all(case: Case) -> Iterator[Guess]:
    """Whatever is tuned is thought to be sharper at one end."""
    if case.question.truth == SAME:
        yield Guess(LOWER, case.question.values)
        yield Guess(UPPER, case.question.values)


@TOPIC.slip("middle-of-band", Rung.HALF_IN)
def middle_of_band(case: Case) -> Iterator[Guess]:
    """Halfway in value, halfway in frequency."""
    low, high = _band(case)
    yield from _near(case, (low + high) / 2)


@TOPIC.slip("geometric-middle", Rung.HALF_IN)
def geometric_middle(case: Case) -> Iterator[Guess]:
    """The geometric mean of the ends."""
    low, high = _band(case)
    yield from _near(case, math.sqrt(low * high))


@TOPIC.slip("least-value-forgotten", Rung.HALF_IN)
def least_value_forgotten(case: Case) -> Iterator[Guess]:
    """Half the greatest value, as if the least were none."""
    low, _ = _band(case)
    yield from _near(case, low * math.sqrt(2))


def _capacitances(case: Case) -> tuple[float, float, float]:
    least, most, stray = (
        float(farads(case.question.values, k)) for k in ("least", "most", "stray")
    )
    return least, most, stray


@TOPIC.slip("stray-forgotten", Rung.STRAY_RANGE)
def stray_forgotten(case: Case) -> Iterator[Guess]:
    """The range without the stray capacitance."""
    least, most, _ = _capacitances(case)
    yield from _near(case, math.sqrt(most / least))


@TOPIC.slip("stray-root-forgotten", Rung.STRAY_RANGE)
def stray_root_forgotten(case: Case) -> Iterator[Guess]:
    """The ratio of the capacitances."""
    yield from _near(case, case.truth**2)


@TOPIC.slip("stray-at-one-end", Rung.STRAY_RANGE)
def stray_at_one_end(case: Case) -> Iterator[Guess]:
    """Added at one end of the range only."""
    least, most, stray = _capacitances(case)
    yield from _near(case, math.sqrt((most + stray) / least), math.sqrt(most / (least + stray)))
