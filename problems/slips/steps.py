"""Slips about the step response: what starts and settles, how far it swings, and how long.

Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from ..analysis.response import TWO_PI
from ..questions.model import PLACES, Rung
from ..questions.outputs import dc_output, high_output
from ..questions.steps import SAME_LEVEL, StepSeen, seen
from .case import Case, Guess, Topic
from .one_pole import load_ignored, radians_as_hertz, source_ignored
from .poles import of_pair
from .quality import damping_ratio

TOPIC = Topic("the step response")

FIRST, LAST = Rung.STEP_FIRST, Rung.STEP_LAST
WHICH = (Rung.WHICH_STEP, Rung.MAP_STEP)
SHARES = (Rung.OVERSHOOT, Rung.READ_OVERSHOOT)
TAU, RISE = Rung.TIME_CONSTANT, Rung.RISE_TIME

TOPIC.slip("load-ignored", TAU, RISE)(load_ignored)
TOPIC.slip("source-ignored", TAU, RISE)(source_ignored)
TOPIC.slip("radians-as-hertz", Rung.READ_RINGING)(radians_as_hertz)
TOPIC.slip("damping-ratio", Rung.READ_STEP_Q)(damping_ratio)


# ------------------------------------------------------------------- start and end


@TOPIC.slip("start-and-end-exchanged", FIRST, LAST, *WHICH)
def start_and_end_exchanged(case: Case) -> Iterator[Guess]:
    """The first moment taken for DC, and the end for high frequency."""
    facts = case.facts
    if case.rung in (FIRST, LAST):
        yield Guess((dc_output if case.rung is FIRST else high_output)(facts))
        return
    start, end = float(facts.gain_high), float(facts.gain_low)
    for place, curve in _curves(case):
        if _is(curve, curve.start, end) and _is(curve, curve.end, start) and start != end:
            yield Guess(place)


# Everything thought to start at zero, since it needs time.
TOPIC.answer("output-cannot-jump", FIRST, by=lambda c: "nothing")
# The source is at 1 V, and so the output is thought to be.
TOPIC.answer("step-is-all-there", FIRST, LAST, by=lambda c: "all")
# Whatever a step starts is thought to die away to zero.
TOPIC.answer("settles-to-nothing", LAST, by=lambda c: "nothing")


# ------------------------------------------------------------------- which of four


_COMPARED = {
    "start-not-compared": (False, True),
    "end-not-compared": (True, False),
    "pace-not-compared": (True, True),  # nor how it swings
}
"""By slip, whether the curve chosen has the right start, and the right end."""


def _compared(case: Case, *, fits: tuple[bool, bool]) -> Iterator[Guess]:
    start, end = float(case.facts.gain_high), float(case.facts.gain_low)
    for place, curve in _curves(case):
        found = _is(curve, curve.start, start), _is(curve, curve.end, end)
        if found == fits and place != case.question.truth:
            yield Guess(place)


for _id, _fits in _COMPARED.items():
    TOPIC.slip(_id, *WHICH)(partial(_compared, fits=_fits))


def _curves(case: Case) -> Iterator[tuple[str, StepSeen]]:
    shown = case.question.exhibit
    for place, plot in zip(PLACES, shown.plots if shown else (), strict=False):
        yield place, seen(plot.points)


def _is(curve: StepSeen, volts: float, wanted: float) -> bool:
    """Whether a level of a drawn curve is one that the circuit has."""
    return abs(volts - wanted) < SAME_LEVEL * curve.size


# ------------------------------------------------------------------- overshoot


# A number of per cent without its sign.
TOPIC.answer("percent-left-out", *SHARES, Rung.LOAD_SHARE, by=lambda c: 100 * c.truth)


@TOPIC.slip("whole-peak", *SHARES)
def whole_peak(case: Case) -> Iterator[Guess]:
    """The highest value itself, counted from zero, relative to the end or in volts."""
    yield Guess(1 + case.truth)
    end = float(case.facts.gain_low)
    if end < 1:
        yield Guess(end * (1 + case.truth), near=True)


# Volts above the final value, not divided by it.
TOPIC.answer(
    "overshoot-in-volts", *SHARES,
    by=lambda c: float(c.facts.gain_low) * c.truth if c.facts.gain_low < 1 else None, near=True,
)  # fmt: skip
# The envelope after a whole period, where the first low point is, for that after half.
TOPIC.answer("whole-period-to-peak", *SHARES, by=lambda c: c.truth**2)


@TOPIC.slip("q-for-damping-ratio", Rung.OVERSHOOT)
def q_for_damping_ratio(case: Case) -> Iterator[Guess]:
    """Q put where the damping ratio belongs."""
    q = case.facts.q
    if q is not None and q < 1:
        yield Guess(math.exp(-math.pi * q / math.sqrt(1 - q * q)), near=True)


@TOPIC.slip("half-forgotten-in-damping", Rung.OVERSHOOT)
def half_forgotten_in_damping(case: Case) -> Iterator[Guess]:
    """ζ = 1/Q for 1/2Q."""
    q = case.facts.q
    if q is not None and q > 1:
        yield Guess(math.exp(-math.pi / math.sqrt(q * q - 1)), near=True)


# e^(−πζ): ω0 for the frequency at which it rings.
TOPIC.answer(
    "root-left-out-of-overshoot", Rung.OVERSHOOT,
    by=lambda c: math.exp(-math.pi / (2 * c.facts.q)) if c.facts.q else None, near=True,
)  # fmt: skip


@TOPIC.slip("resonance-peak-for-overshoot", Rung.OVERSHOOT)
def resonance_peak_for_overshoot(case: Case) -> Iterator[Guess]:
    """How far the gain rises above that at DC, at its peak."""
    peak, end = case.facts.peak_gain, float(case.facts.gain_low)
    if peak is not None and peak > end:
        yield Guess(peak / end - 1, near=True)


# ------------------------------------------------------------------- swings, and Q from them


# Swings to either side counted, two to a period.
TOPIC.answer("half-swings-counted", Rung.SWINGS, by=lambda c: 2 * c.truth)
# Counted for one time constant, to 37 %, only.
TOPIC.answer("one-time-constant", Rung.SWINGS, by=lambda c: c.truth / math.pi)
# Q swings, where Q is too small for that rule.
TOPIC.answer("swings-by-thumb", Rung.SWINGS, by=lambda c: c.facts.q, near=True)
# The damping ratio for the number of swings.
TOPIC.answer(
    "damping-for-swings", Rung.SWINGS, by=of_pair(lambda _, p: p.decay / p.radius), near=True
)
# The time to the first peak, or from a high point to a low one, taken for a period.
TOPIC.answer("half-period-read", Rung.READ_RINGING, by=lambda c: 2 * c.truth)
# Every second high point.
TOPIC.answer("two-periods-read", Rung.READ_RINGING, by=lambda c: c.truth / 2)
# The highest value, relative to the end, taken for Q as if it were a gain at resonance.
TOPIC.answer(
    "overshoot-for-q", Rung.READ_STEP_Q, by=of_pair(lambda _, p: (1 + p.swing, p.swing)), near=True
)
# The overshoot taken for what is left after a whole period: ln of it over 2π, not over π.
TOPIC.answer(
    "period-in-decrement", Rung.READ_STEP_Q,
    by=of_pair(lambda _, p: math.sqrt((2 * p.height / p.decay) ** 2 + 1) / 2), near=True,
)  # fmt: skip


# ------------------------------------------------------------------- times of one pole


def _taus(case: Case) -> float:
    """How many time constants the time asked for is."""
    return math.log(9) if case.rung is RISE else 1.0


# The rise time from 10 to 90 % for τ.
TOPIC.answer("rise-for-time-constant", TAU, Rung.READ_TAU, by=lambda c: c.truth * math.log(9))
# Five time constants, after which all is settled.
TOPIC.answer(
    "settled-for-time-constant", TAU, RISE, Rung.READ_TAU, by=lambda c: c.truth * 5 / _taus(c)
)
# The time to half of the change, τ·ln 2.
TOPIC.answer(
    "half-value-time", TAU, RISE, Rung.READ_TAU, by=lambda c: c.truth * math.log(2) / _taus(c)
)
# 37 % of the change for 63 %: read where only a third of it is done.
TOPIC.answer("wrong-third", Rung.READ_TAU, by=lambda c: -c.truth * math.log(1 - math.exp(-1)))


@TOPIC.slip("time-constant-for-rise", RISE)
def time_constant_for_rise(case: Case) -> Iterator[Guess]:
    """τ itself for the rise time, or τ·ln 10, from zero to 90 %."""
    yield Guess(case.truth / math.log(9))
    yield Guess(case.truth * math.log(10) / math.log(9), near=True)


# ω0 and f0 mixed up in 0.35/f0 = 2.2/ω0.
TOPIC.answer("turn-in-rise", RISE, by=lambda c: (c.truth * TWO_PI, c.truth / TWO_PI))
# L and R, or R and C, upside down: one over τ.
TOPIC.answer("corner-for-time", TAU, by=lambda c: 1 / c.truth)
