"""Slips about the step response: what starts and settles, how far it swings, and how long.

Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..analysis.response import TWO_PI
from ..questions.model import PLACES, Rung
from ..questions.poles import pole_pair
from ..questions.steps import SAME_LEVEL, StepSeen, first_moment, last_moment, seen
from .case import Case, Guess, Topic, many
from .one_pole import load_ignored, radians_as_hertz, source_ignored
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
        yield Guess((last_moment if case.rung is FIRST else first_moment)(facts))
        return
    start, end = float(facts.gain_high), float(facts.gain_low)
    for place, curve in _curves(case):
        if _is(curve, curve.start, end) and _is(curve, curve.end, start) and start != end:
            yield Guess(place)


@TOPIC.slip("output-cannot-jump", FIRST)
def output_cannot_jump(case: Case) -> Iterator[Guess]:
    """Everything thought to start at zero, since it needs time."""
    yield Guess("nothing")


@TOPIC.slip("step-is-all-there", FIRST, LAST)
def step_is_all_there(case: Case) -> Iterator[Guess]:
    """The source is at 1 V, and so the output is thought to be."""
    yield Guess("all")


@TOPIC.slip("settles-to-nothing", LAST)
def settles_to_nothing(case: Case) -> Iterator[Guess]:
    """Whatever a step starts is thought to die away to zero."""
    yield Guess("nothing")


# ------------------------------------------------------------------- which of four


@TOPIC.slip("start-not-compared", *WHICH)
def start_not_compared(case: Case) -> Iterator[Guess]:
    """Another start with the right end."""
    start, end = float(case.facts.gain_high), float(case.facts.gain_low)
    for place, curve in _curves(case):
        if not _is(curve, curve.start, start) and _is(curve, curve.end, end):
            yield Guess(place)


@TOPIC.slip("end-not-compared", *WHICH)
def end_not_compared(case: Case) -> Iterator[Guess]:
    """Another end with the right start."""
    start, end = float(case.facts.gain_high), float(case.facts.gain_low)
    for place, curve in _curves(case):
        if _is(curve, curve.start, start) and not _is(curve, curve.end, end):
            yield Guess(place)


@TOPIC.slip("pace-not-compared", *WHICH)
def pace_not_compared(case: Case) -> Iterator[Guess]:
    """Start and end right; how long it takes, or how it swings, not looked at."""
    start, end = float(case.facts.gain_high), float(case.facts.gain_low)
    for place, curve in _curves(case):
        alike = _is(curve, curve.start, start) and _is(curve, curve.end, end)
        if alike and place != case.question.truth:
            yield Guess(place)


def _curves(case: Case) -> Iterator[tuple[str, StepSeen]]:
    shown = case.question.exhibit
    for place, plot in zip(PLACES, shown.plots if shown else (), strict=False):
        yield place, seen(plot.points)


def _is(curve: StepSeen, volts: float, wanted: float) -> bool:
    """Whether a level of a drawn curve is one that the circuit has."""
    return abs(volts - wanted) < SAME_LEVEL * curve.size


# ------------------------------------------------------------------- overshoot


@TOPIC.slip("percent-left-out", *SHARES, Rung.LOAD_SHARE)
def percent_left_out(case: Case) -> Iterator[Guess]:
    """A number of per cent without its sign."""
    yield Guess(100 * case.truth)


@TOPIC.slip("whole-peak", *SHARES)
def whole_peak(case: Case) -> Iterator[Guess]:
    """The highest value itself, counted from zero, relative to the end or in volts."""
    yield Guess(1 + case.truth)
    end = float(case.facts.gain_low)
    if end < 1:
        yield Guess(end * (1 + case.truth), near=True)


@TOPIC.slip("overshoot-in-volts", *SHARES)
def overshoot_in_volts(case: Case) -> Iterator[Guess]:
    """Volts above the final value, not divided by it."""
    end = float(case.facts.gain_low)
    if end < 1:
        yield Guess(end * case.truth, near=True)


@TOPIC.slip("whole-period-to-peak", *SHARES)
def whole_period_to_peak(case: Case) -> Iterator[Guess]:
    """The envelope after a whole period, where the first low point is, for that after half."""
    yield Guess(case.truth**2)


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


@TOPIC.slip("root-left-out-of-overshoot", Rung.OVERSHOOT)
def root_left_out_of_overshoot(case: Case) -> Iterator[Guess]:
    """e^(−πζ): ω0 for the frequency at which it rings."""
    q = case.facts.q
    if q is not None:
        yield Guess(math.exp(-math.pi / (2 * q)), near=True)


@TOPIC.slip("resonance-peak-for-overshoot", Rung.OVERSHOOT)
def resonance_peak_for_overshoot(case: Case) -> Iterator[Guess]:
    """How far the gain rises above that at DC, at its peak."""
    peak, end = case.facts.peak_gain, float(case.facts.gain_low)
    if peak is not None and peak > end:
        yield Guess(peak / end - 1, near=True)


# ------------------------------------------------------------------- swings, and Q from them


@TOPIC.slip("half-swings-counted", Rung.SWINGS)
def half_swings_counted(case: Case) -> Iterator[Guess]:
    """Swings to either side counted, two to a period."""
    yield Guess(2 * case.truth)


@TOPIC.slip("one-time-constant", Rung.SWINGS)
def one_time_constant(case: Case) -> Iterator[Guess]:
    """Counted for one time constant, to 37 %, only."""
    yield Guess(case.truth / math.pi)


@TOPIC.slip("swings-by-thumb", Rung.SWINGS)
def swings_by_thumb(case: Case) -> Iterator[Guess]:
    """Q swings, where Q is too small for that rule."""
    yield from many(case.facts.q, near=True)


@TOPIC.slip("damping-for-swings", Rung.SWINGS)
def damping_for_swings(case: Case) -> Iterator[Guess]:
    """The damping ratio for the number of swings."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(found.decay / found.radius, near=True)


@TOPIC.slip("half-period-read", Rung.READ_RINGING)
def half_period_read(case: Case) -> Iterator[Guess]:
    """The time to the first peak, or from a high point to a low one, taken for a period."""
    yield Guess(2 * case.truth)


@TOPIC.slip("two-periods-read", Rung.READ_RINGING)
def two_periods_read(case: Case) -> Iterator[Guess]:
    """Every second high point."""
    yield Guess(case.truth / 2)


@TOPIC.slip("overshoot-for-q", Rung.READ_STEP_Q)
def overshoot_for_q(case: Case) -> Iterator[Guess]:
    """The highest value, relative to the end, taken for Q as if it were a gain at resonance."""
    found = pole_pair(case.facts)
    if found is not None:
        share = math.exp(-math.pi * found.decay / found.height)
        yield Guess(1 + share, near=True)
        yield Guess(share, near=True)


@TOPIC.slip("period-in-decrement", Rung.READ_STEP_Q)
def period_in_decrement(case: Case) -> Iterator[Guess]:
    """The overshoot taken for what is left after a whole period: ln of it over 2π, not over π."""
    found = pole_pair(case.facts)
    if found is not None:
        yield Guess(math.sqrt((2 * found.height / found.decay) ** 2 + 1) / 2, near=True)


# ------------------------------------------------------------------- times of one pole


@TOPIC.slip("rise-for-time-constant", TAU, Rung.READ_TAU)
def rise_for_time_constant(case: Case) -> Iterator[Guess]:
    """The rise time from 10 to 90 % for τ."""
    yield Guess(case.truth * math.log(9))


@TOPIC.slip("settled-for-time-constant", TAU, RISE, Rung.READ_TAU)
def settled_for_time_constant(case: Case) -> Iterator[Guess]:
    """Five time constants, after which all is settled."""
    yield Guess(case.truth * 5 / (math.log(9) if case.rung is RISE else 1))


@TOPIC.slip("half-value-time", TAU, RISE, Rung.READ_TAU)
def half_value_time(case: Case) -> Iterator[Guess]:
    """The time to half of the change, τ·ln 2."""
    yield Guess(case.truth * math.log(2) / (math.log(9) if case.rung is RISE else 1))


@TOPIC.slip("wrong-third", Rung.READ_TAU)
def wrong_third(case: Case) -> Iterator[Guess]:
    """37 % of the change for 63 %: read where only a third of it is done."""
    yield Guess(-case.truth * math.log(1 - math.exp(-1)))


@TOPIC.slip("time-constant-for-rise", RISE)
def time_constant_for_rise(case: Case) -> Iterator[Guess]:
    """τ itself for the rise time, or τ·ln 10, from zero to 90 %."""
    yield Guess(case.truth / math.log(9))
    yield Guess(case.truth * math.log(10) / math.log(9), near=True)


@TOPIC.slip("turn-in-rise", RISE)
def turn_in_rise(case: Case) -> Iterator[Guess]:
    """ω0 and f0 mixed up in 0.35/f0 = 2.2/ω0."""
    yield Guess(case.truth * TWO_PI)
    yield Guess(case.truth / TWO_PI)


@TOPIC.slip("corner-for-time", TAU)
def corner_for_time(case: Case) -> Iterator[Guess]:
    """L and R, or R and C, upside down: one over τ."""
    yield Guess(1 / case.truth)
