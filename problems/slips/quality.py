"""Slips about Q and bandwidth.

A single resonator has Q = √(L/C)/R with R in series, R·√(C/L) with R in parallel, and the
bandwidth f0/Q: R/(2πL) in series, 1/(2πRC) in parallel.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import partial

from ..analysis.design import Pair
from ..analysis.response import TWO_PI, FilterType, PoleNature
from ..circuits.altered import without
from ..circuits.model import Element, Ladder
from ..questions.analyse import pass_band_gain
from ..questions.model import Answer, Rung
from .case import Answers, Case, Guess, Topic, many, names_of

TOPIC = Topic("Q and bandwidth")

Q, BANDWIDTH = Rung.Q, Rung.BANDWIDTH


def _is_tank(case: Case) -> bool:
    """A parallel resonator between a source's resistance and a load."""
    found = case.resonator
    return (
        found is not None
        and not found.series
        and case.facts.type is FilterType.BAND_PASS
        and case.ladder.source is not None
        and len(case.resistors) > 1
    )


def _with_only(case: Case, kept: Element) -> Answer | None:
    """The figure with one resistance; a resonator's by its formula, else of the circuit."""
    if case.resonator is not None:
        return case.truth * _factor(case, case.resonator, kept.amount)
    left: Ladder | None = case.ladder
    for element in case.resistors:
        if element != kept and left is not None:
            left = without(left, element.name)
    return case.of(left)


def _simple(case: Case, kept: Element) -> Iterator[float]:
    """√(L/C)/R and R·√(C/L) where resistances on both sides of the pair damp it."""
    if len(case.inductors) == len(case.capacitors) == 1:
        (coil,), (capacitor,) = case.inductors, case.capacitors
        q = math.sqrt(coil.amount / capacitor.amount) / kept.amount
        yield q
        yield 1 / q


def _factor(case: Case, found: Pair, resistance: Fraction) -> float:
    """How Q, or the bandwidth, changes with another resistance at the resonator.

    Q of a series resonator falls with R, that of a parallel one grows; B does the reverse.
    """
    ratio = float(resistance / found.resistance)
    return ratio if found.series == (case.rung is BANDWIDTH) else 1 / ratio


@TOPIC.slip("tank-source-alone", Q, BANDWIDTH)
def tank_source_alone(case: Case) -> Iterator[Guess]:
    """A fed tank damped by Rs alone, where Rs and the load damp it in parallel."""
    source = case.ladder.source
    if source is not None and _is_tank(case):
        others = names_of(e for e in case.resistors if e != source)
        values = (("source", source.name), ("others", others))
        yield from many(_with_only(case, source), values=values)


@TOPIC.slip("one-resistance", Q, BANDWIDTH)
def one_resistance(case: Case) -> Iterator[Guess]:
    """Only one of several resistances counted."""
    if case.order != 2 or len(case.resistors) < 2:
        return
    for kept in case.resistors:
        if kept == case.ladder.source and _is_tank(case):
            continue
        others = names_of(e for e in case.resistors if e != kept)
        values = (("kept", kept.name), ("others", others))
        yield from many(_with_only(case, kept), values=values)
        if case.resonator is None and case.rung is Q:
            yield from many(*_simple(case, kept), values=values)


def _joined_wrongly(case: Case, *, series: bool) -> Iterator[Guess]:
    """The damping resistances added where they damp in parallel, or the other way round."""
    found = case.resonator
    if found is None or len(case.resistors) < 2:
        return
    ohms = [e.amount for e in case.resistors]
    total, parallel = sum(ohms, Fraction(0)), 1 / sum((1 / r for r in ohms), Fraction(0))
    wrong, right = (total, parallel) if series else (parallel, total)
    if found.resistance != right:
        return
    yield Guess(case.truth * _factor(case, found, wrong))


TOPIC.slip("series-for-parallel", Q, BANDWIDTH)(partial(_joined_wrongly, series=True))
TOPIC.slip("parallel-for-series", Q, BANDWIDTH)(partial(_joined_wrongly, series=False))


@TOPIC.slip("q-inverted", Q)
def q_inverted(case: Case) -> Iterator[Guess]:
    """The series formula for a parallel resonator and the other way round: 1/Q."""
    if case.resonator is not None:
        how = ("series", "parallel") if case.resonator.series else ("parallel", "series")
        yield Guess(1 / case.truth, (("true", how[0]), ("used", how[1])), near=True)


def of_resonator(figure: Callable[[Case, Pair], float | tuple[float, ...] | None]) -> Answers:
    """Answers from the one resonator, of a circuit that has one."""
    return lambda case: None if case.resonator is None else figure(case, case.resonator)


def _ratio(found: Pair) -> float:
    """C/L of a series resonator, L/C of a parallel one."""
    coil, capacitor = _values(found)
    return capacitor / coil if found.series else coil / capacitor


# C/L under the root for L/C, and the other way round.
TOPIC.answer("l-c-swapped", Q, by=of_resonator(lambda c, p: c.truth * _ratio(p)))


@TOPIC.slip("root-forgotten", Q)
def root_forgotten(case: Case) -> Iterator[Guess]:
    """L/C without its root, or Q² outright."""
    found = case.resonator
    if found is not None:
        r = float(found.resistance)
        yield Guess(case.truth**2 * (r if found.series else 1 / r))
    yield Guess(case.truth**2, near=True)


@TOPIC.slip("damping-ratio", Q)
def damping_ratio(case: Case) -> Iterator[Guess]:
    """ζ = 1/2Q, or its inverse 2Q."""
    yield Guess(1 / (2 * case.truth), near=True)
    yield Guess(2 * case.truth)


# f0·L/R for ω0·L/R, or R/(f0·L) for R/(ω0·L).
TOPIC.answer(
    "hertz-in-reactance", Q,
    by=of_resonator(lambda c, p: c.truth * (1 / TWO_PI if p.series else TWO_PI)),
)  # fmt: skip


@TOPIC.slip("peak-as-q", Q)
def peak_as_q(case: Case) -> Iterator[Guess]:
    """The height of the peak, Q/√(1 − 1/4Q²), for Q."""
    if case.facts.type.one_sided and case.truth > math.sqrt(0.5):
        peak = case.facts.peak_gain
        yield from many(peak, near=True)
        reference = max(case.facts.gain_low, case.facts.gain_high)
        if peak is not None and reference != 1:
            yield Guess(peak / float(reference), near=True)


# The gain of the pass band given for Q.
TOPIC.answer(
    "gain-for-q", Q, Rung.LOADED_Q,
    by=lambda c: float(gain) if (gain := pass_band_gain(c.facts)) else None, near=True,
)  # fmt: skip
# 20·log Q for Q.
q_in_decibels = TOPIC.answer(
    "q-in-decibels", Q, Rung.LOADED_Q,
    by=lambda c: 20 * math.log10(c.truth) if c.truth > 1 else None, near=True,
)  # fmt: skip


def _bands(case: Case, found: Pair, *, series: bool) -> tuple[float, ...]:
    """What another formula than the resonator's own makes of the resistance, and of each one."""
    if found.series is series:
        return ()
    coil, capacitor = _values(found)
    ohms = (float(found.resistance), *(float(e.amount) for e in case.resistors))
    return tuple(r / (TWO_PI * coil) if series else 1 / (TWO_PI * r * capacitor) for r in ohms)


# B = R/(2πL) for a parallel resonator, whose bandwidth is 1/(2πRC).
TOPIC.answer(
    "series-band-on-parallel", BANDWIDTH, near=True,
    by=of_resonator(lambda c, p: _bands(c, p, series=True)),
)  # fmt: skip
# B = 1/(2πRC) for a series resonator, whose bandwidth is R/(2πL).
TOPIC.answer(
    "parallel-band-on-series", BANDWIDTH, near=True,
    by=of_resonator(lambda c, p: _bands(c, p, series=False)),
)  # fmt: skip


@TOPIC.slip("bandwidth-times-q", BANDWIDTH)
def bandwidth_times_q(case: Case) -> Iterator[Guess]:
    """B = f0·Q for f0/Q."""
    if case.facts.corner_hz and case.facts.q:
        yield Guess(case.facts.corner_hz * case.facts.q, near=True)


# The distance from the centre to one edge, f0/2Q, for the whole band.
half_band = TOPIC.answer(
    "half-band", BANDWIDTH, by=lambda c: c.truth / 2 if c.facts.type.banded else None
)
# f0 given for the bandwidth.
centre_for_bandwidth = TOPIC.answer(
    "centre-for-bandwidth", BANDWIDTH, by=lambda c: c.facts.corner_hz, near=True
)


@TOPIC.slip("edge-for-bandwidth", BANDWIDTH)
def edge_for_bandwidth(case: Case) -> Iterator[Guess]:
    """An edge given for the bandwidth: the upper one, as of a low-pass, or the lower one."""
    low, high = case.facts.edges_hz
    yield from many(high, low, near=True)


@TOPIC.slip("more-r-more-q", Rung.POLE_NATURE)
def more_r_more_q(case: Case) -> Iterator[Guess]:
    """The belief that more resistance in series raises Q: the poles of 1/Q."""
    q = case.facts.q
    if case.resonator is not None and case.resonator.series and q:
        nature = PoleNature.COMPLEX if 1 / q > 0.5 else PoleNature.REAL
        yield Guess(nature.value)


@TOPIC.slip("more-r-more-q", Q)
def more_r_more_q_value(case: Case) -> Iterator[Guess]:
    """The same belief as a figure: R·√(C/L) in series."""
    found = case.resonator
    if found is not None and found.series:
        coil, capacitor = _values(found)
        for ohms in (found.resistance, *(e.amount for e in case.resistors)):
            yield Guess(float(ohms) * math.sqrt(capacitor / coil), near=True)


def _values(found: Pair) -> tuple[float, float]:
    return float(found.inductor.amount), float(found.capacitor.amount)
