"""The step response: how it starts, rings and settles; from the circuit, its map, its curve.

The source jumps from 0 to 1 V.  A pair of poles −σ ± j·ωd adds e^(−σt)·cos(ωd·t + φ) to what the
output settles to.

* The output starts at H(∞) and settles to H(0) (initial and final value theorems).
* A low-pass of two poles and no zero overshoots by e^(−πσ/ωd) of its final value: exact, since its
  slope is e^(−σt)·sin(ωd·t) but for a factor, and first turns at t = π/ωd.  With zeros it is not,
  and is not asked.
* *Swings* are counted until the envelope e^(−σt) has fallen to e^(−π), 4.3 %: that is at t = π/σ,
  after ωd·t/2π = ωd/2σ periods, which is √(Q² − ¼) exactly: about Q.
* One pole: 63 % after τ = 1/ω0; from 10 to 90 % it takes τ·ln 9 = 2.2 τ.

In every text on circuit analysis; e.g. Ogata, "Modern Control Engineering", chapter 5 (citation
from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import groupby

from ..analysis.arms import End
from ..analysis.response import Facts, FilterType, Response
from ..analysis.transfer import TransferFunction
from ..analysis.two_poles import numerator
from . import plotted
from .asking import Asking, quantity
from .exhibit import Chart, Exhibit, Plot, Points
from .kinds import MAKERS, MEASURES
from .model import PLACES, TOLERANCE, Choice, Form, Question, Rung, Values
from .outputs import ALL, NOTHING, PART, dc_output, high_output
from .poles import pole_pair, ringing_hz, told_poles

SENSITIVE = Fraction(5, 100)
"""A per cent of Q moves the overshoot by several."""
READ = Fraction(10, 100)
"""What a careful reader of a drawn curve keeps to."""

_LEAST_READ, _MOST_READ = 0.18, 0.7
"""Between these the overshoot, and Q from it, can be read off a small picture: to 1.5 % of the
final value.  The low point that follows is then seen, too: at the square of it."""
_MOST_Q = 6.0
"""What rings longer has too many swings for a small picture."""
_LEAST_Q = 0.15
_TIMES = 4
"""By what Q, or the time constant, of other step responses is larger or smaller."""
_SEEN = 0.12
"""By what share of their height two curves differ somewhere if they can be told apart."""
SAME_LEVEL = 0.05
"""By what share of a curve's height levels differ that are not one level."""
_SETTLED = 5
"""Time constants that are drawn: then less than a hundredth is missing."""
_LN9 = math.log(9)
SHAPES = (FilterType.LOW_PASS, FilterType.HIGH_PASS, FilterType.BAND_PASS, FilterType.NOTCH)
"""Of what shapes step responses are offered; one pole has only the first two."""


# ------------------------------------------------------------------- figures


def overshoot(facts: Facts) -> float | None:
    """How far the output overshoots, as a share of its final value, where that is exact.

    Of low-passes of two complex poles without zeros: 0.163 for Q = 1.
    """
    pair = pole_pair(facts)
    if pair is None or facts.transfer.zero_count or facts.type is not FilterType.LOW_PASS:
        return None
    return pair.swing


def swings(facts: Facts) -> float | None:
    """Periods of ringing until the envelope has fallen to e^(−π): √(Q² − ¼)."""
    pair = pole_pair(facts)
    return None if pair is None else pair.height / (2 * pair.decay)


def time_constant(facts: Facts) -> float | None:
    """τ of one pole, in seconds."""
    if facts.transfer.order != 1 or not facts.corner_squared:
        return None
    return 1 / math.sqrt(facts.corner_squared)


def rise_time(facts: Facts) -> float | None:
    """From 10 to 90 % of the final value, in seconds, of a low-pass of one pole and no zero."""
    tau = time_constant(facts)
    if tau is None or facts.transfer.zero_count or facts.type is not FilterType.LOW_PASS:
        return None
    return tau * _LN9


_FIGURES: dict[Rung, tuple[Callable[[Facts], float | None], str, Fraction, float]] = {
    Rung.OVERSHOOT: (overshoot, "", SENSITIVE, 0.05),
    Rung.STEP_RINGING: (ringing_hz, "Hz", TOLERANCE, 0.0),
    Rung.SWINGS: (swings, "", SENSITIVE, 0.7),
    Rung.TIME_CONSTANT: (time_constant, "s", TOLERANCE, 0.0),
    Rung.RISE_TIME: (rise_time, "s", TOLERANCE, 0.0),
}
"""Figures worked out: how each is measured, its unit, its tolerance, and the least asked about."""


def _figure(rung: Rung, asking: Asking) -> Question | None:
    measure, unit, tolerance, least = _FIGURES[rung]
    found = measure(asking.facts)
    if found is None or found < least:
        return None
    return quantity(rung, found, unit, tolerance=tolerance)


for _rung in _FIGURES:
    MAKERS(_rung)(partial(_figure, _rung))


# ------------------------------------------------------------------- the first moment, and the last


_SHARES = tuple(Choice(one) for one in (ALL, PART, NOTHING))


def _settles(facts: Facts) -> bool:
    """Whether something changes, and comes to rest."""
    return facts.transfer.order > 0 and all(pole.real < 0 for pole in facts.poles)


_MOMENTS = {
    Rung.STEP_FIRST: (End.HIGH, high_output),
    Rung.STEP_LAST: (End.LOW, dc_output),
}
"""The end of the frequency axis that a moment belongs to, and how much comes out there."""


def _moment(rung: Rung, asking: Asking) -> Question | None:
    end, much = _MOMENTS[rung]
    if not _settles(asking.facts) or not asking.plain_end(end):
        return None
    return Question(rung, Form.CHOICE, much(asking.facts), _SHARES)


for _rung in _MOMENTS:
    MAKERS(_rung)(partial(_moment, _rung))


# ------------------------------------------------------------------- which of four


def shape_of(facts: Facts) -> FilterType | None:
    """The type of one or two poles whose H(s) is the plainest of its type, but for a factor."""
    t = facts.transfer
    if t.order not in (1, 2):
        return None
    found = (
        s for s in _shapes(t.order) if _of_shape(s, _gain(s, facts), t.denominator).transfer == t
    )
    return next((s for s in found if s is facts.type), None)


def _shapes(order: int) -> tuple[FilterType, ...]:
    return SHAPES if order == 2 else SHAPES[:2]


def _gain(shape: FilterType, facts: Facts) -> Fraction:
    """The gain of the pass band, were it of a shape."""
    t = facts.transfer
    if shape is FilterType.BAND_PASS:
        return t.numerator[0] / t.denominator[1] if t.denominator[1] else Fraction(0)
    if shape is FilterType.HIGH_PASS:
        return t.numerator[0]
    return t.numerator[-1] / t.denominator[-1]


def _of_shape(shape: FilterType, gain: Fraction, bottom: tuple[Fraction, ...]) -> Response:
    """The response of a shape with a pass-band gain, and with a denominator from the top power."""
    top = tuple(gain * c for c in numerator(shape, bottom))
    return Response(TransferFunction(top, bottom))


def _slower(bottom: tuple[Fraction, ...], times: Fraction) -> tuple[Fraction, ...]:
    """The denominator with another time constant, or of two poles with another Q."""
    one, damping, *rest = bottom
    return (one, damping / times, *rest)


def _settling(response: Response) -> float:
    """Seconds until hardly anything is missing."""
    return _SETTLED / min(-pole.real for pole in response.poles)


def _four(asking: Asking) -> tuple[list[Points], int] | None:
    """Four step responses: two shapes, each with two Qs (or time constants); and which is right.

    Each shares its shape with one of the others and its Q with another, so that none stands out.
    """
    facts, chance = asking.facts, asking.chance
    shape, bottom = shape_of(facts), facts.transfer.denominator
    if shape is None or not _settles(facts):
        return None
    gain = _gain(shape, facts)
    two = facts.transfer.order == 2
    others = [s for s in _shapes(facts.transfer.order) if s is not shape]
    times = chance.pick((Fraction(_TIMES), Fraction(1, _TIMES)))
    if two:
        assert facts.q is not None
        found = [t for t in (times, 1 / times) if _LEAST_Q <= facts.q * t <= _MOST_Q]
        if not _LEAST_Q <= facts.q <= _MOST_Q or not found:
            return None
        times = found[0]
    denominators = (bottom, _slower(bottom, times))
    for other in chance.shuffled(others):
        four = [_of_shape(s, gain, d) for s in (shape, other) for d in denominators]
        until = max(map(_settling, four))
        points = [plotted.step_points(one, until) for one in four]
        if all(_apart(a, b) for n, a in enumerate(points) for b in points[:n]):
            own = points[0]
            points = chance.shuffled(points)
            return points, points.index(own)
    return None


def _apart(one: Points, other: Points) -> bool:
    """Whether two curves over the same times can be told apart."""
    size = max(abs(v) for _, v in (*one, *other))
    return max(abs(a - b) for (_, a), (_, b) in zip(one, other, strict=True)) >= _SEEN * size


def _which(asking: Asking, rung: Rung, values: Values = ()) -> Question | None:
    found = _four(asking)
    if found is None:
        return None
    points, right = found
    shown = Exhibit(Chart.STEP, tuple(map(Plot, points)), "s")
    choices = tuple(map(Choice, PLACES))
    return Question(rung, Form.CHOICE, PLACES[right], choices, values=values, exhibit=shown)


@MAKERS(Rung.WHICH_STEP)
def _which_step(asking: Asking) -> Question | None:
    return _which(asking, Rung.WHICH_STEP)


@MAKERS(Rung.MAP_STEP)
def _map_step(asking: Asking) -> Question | None:
    """The same from the poles and zeros alone, told in words."""
    facts = asking.facts
    shape = shape_of(facts)
    if shape is None:
        return None
    told = told_poles(facts)
    how = "pair" if len(told) == 1 and facts.transfer.order == 2 else f"real-{len(told)}"
    values = (("asked", f"{how}-{shape.value}"), *told)
    return _which(asking, Rung.MAP_STEP, values)


@dataclass(frozen=True, slots=True)
class StepSeen:
    """What is seen of a drawn step response.

    Args:
        start: the output at once, in volts.
        end: what it settles to.
        size: how far it ever is from 0.
        swings: how often it has swung to and fro before it stays within 4.3 % (e^−π), in halves.
    """

    start: float
    end: float
    size: float
    swings: float


def seen(points: Points) -> StepSeen:
    """What is seen of a curve that is drawn until it has settled: its ``points``."""
    volts = [v for v, _ in groupby(v for _, v in points)]  # flat tops count once
    size = max(map(abs, volts))
    end = volts[-1] if abs(volts[-1]) > SAME_LEVEL * size else 0.0
    far = max(abs(v - end) for v in volts)
    turns = sum(
        1
        for before, here, after in zip(volts, volts[1:], volts[2:], strict=False)
        if (here - before) * (after - here) < 0 and abs(here - end) > far * math.exp(-math.pi)
    )
    return StepSeen(volts[0], end, size, turns / 2)


# ------------------------------------------------------------------- read off a drawn one


def drawn_step(facts: Facts) -> Exhibit | None:
    """The step response that figures are read off; ``None`` where they can't be.

    Of one pole of a plain shape, or of a low-pass of two that overshoots visibly.
    """
    share = overshoot(facts)
    one = facts.transfer.order == 1 and shape_of(facts) is not None
    if not one and (share is None or not _LEAST_READ <= share <= _MOST_READ):
        return None
    points = plotted.step_points(facts, _settling(facts))
    return Exhibit(Chart.STEP, (Plot(points),), "s")


_READINGS: dict[Rung, tuple[Callable[[Facts], float | None], str]] = {
    Rung.READ_OVERSHOOT: (overshoot, ""),
    Rung.READ_RINGING: (ringing_hz, "Hz"),
    Rung.READ_STEP_Q: (lambda facts: facts.q, ""),
    Rung.READ_TAU: (time_constant, "s"),
}
"""What is read off: how it is measured, and its unit."""


def _reading(rung: Rung, asking: Asking) -> Question | None:
    measure, unit = _READINGS[rung]
    found, shown = measure(asking.facts), drawn_step(asking.facts)
    if found is None or shown is None:
        return None
    return quantity(rung, found, unit, tolerance=READ, exhibit=shown)


for _rung in _READINGS:
    MAKERS(_rung)(partial(_reading, _rung))

for _rung, _worked in _FIGURES.items():
    MEASURES(_rung)(_worked[0])
for _rung, _read in _READINGS.items():
    MEASURES(_rung)(_read[0])
for _rung, (_, _much) in _MOMENTS.items():
    MEASURES(_rung)(_much)
