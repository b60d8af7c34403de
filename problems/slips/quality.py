"""Slips about Q and bandwidth.

A single resonator has Q = √(L/C)/R with R in series, R·√(C/L) with R in parallel, and the
bandwidth f0/Q: R/(2πL) in series, 1/(2πRC) in parallel.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from functools import partial

from ..analysis.design import Pair
from ..analysis.response import TWO_PI, FilterType, PoleNature
from ..circuits.altered import without
from ..circuits.model import Element, Ladder
from ..questions.analyse import pass_band_gain
from ..questions.model import Answer, Rung
from .case import Case, Guess, Topic, many, names_of
from .two_pole import LOW_OR_HIGH, WITH_BAND

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
        assert kept.value is not None
        return case.truth * _factor(case, case.resonator, kept.value)
    left: Ladder | None = case.ladder
    for element in case.resistors:
        if element != kept and left is not None:
            left = without(left, element.name)
    return case.of(left)


def _simple(case: Case, kept: Element) -> Iterator[float]:
    """√(L/C)/R and R·√(C/L) where resistances on both sides of the pair damp it."""
    if len(case.inductors) == len(case.capacitors) == 1:
        (coil,), (capacitor,) = case.inductors, case.capacitors
        assert coil.value is not None and capacitor.value is not None and kept.value is not None
        q = math.sqrt(coil.value / capacitor.value) / kept.value
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
    ohms = [e.value for e in case.resistors if e.value is not None]
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


@TOPIC.slip("l-c-swapped", Q)
def l_c_swapped(case: Case) -> Iterator[Guess]:
    """C/L under the root for L/C, and the other way round."""
    found = case.resonator
    if found is not None:
        coil, capacitor = _values(found)
        factor = capacitor / coil if found.series else coil / capacitor
        yield Guess(case.truth * factor)


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


@TOPIC.slip("hertz-in-reactance", Q)
def hertz_in_reactance(case: Case) -> Iterator[Guess]:
    """f0·L/R for ω0·L/R, or R/(f0·L) for R/(ω0·L)."""
    found = case.resonator
    if found is not None:
        factor = 1 / TWO_PI if found.series else TWO_PI
        yield Guess(case.truth * factor)


@TOPIC.slip("peak-as-q", Q)
def peak_as_q(case: Case) -> Iterator[Guess]:
    """The height of the peak, Q/√(1 − 1/4Q²), for Q."""
    if case.facts.type in LOW_OR_HIGH and case.truth > math.sqrt(0.5):
        peak = case.facts.peak_gain
        yield from many(peak, near=True)
        reference = max(case.facts.gain_low, case.facts.gain_high)
        if peak is not None and reference != 1:
            yield Guess(peak / float(reference), near=True)


@TOPIC.slip("gain-for-q", Q, Rung.LOADED_Q)
def gain_for_q(case: Case) -> Iterator[Guess]:
    """The gain of the pass band given for Q."""
    gain = pass_band_gain(case.facts)
    if gain:
        yield Guess(float(gain), near=True)


@TOPIC.slip("q-in-decibels", Q, Rung.LOADED_Q)
def q_in_decibels(case: Case) -> Iterator[Guess]:
    """20·log Q for Q."""
    if case.truth > 1:
        yield Guess(20 * math.log10(case.truth), near=True)


@TOPIC.slip("series-band-on-parallel", BANDWIDTH)
def series_band_on_parallel(case: Case) -> Iterator[Guess]:
    """B = R/(2πL) for a parallel resonator, whose bandwidth is 1/(2πRC)."""
    found = case.resonator
    if found is not None and not found.series:
        coil, _ = _values(found)
        for r in _resistances(case, found):
            yield Guess(r / (TWO_PI * coil), near=True)


@TOPIC.slip("parallel-band-on-series", BANDWIDTH)
def parallel_band_on_series(case: Case) -> Iterator[Guess]:
    """B = 1/(2πRC) for a series resonator, whose bandwidth is R/(2πL)."""
    found = case.resonator
    if found is not None and found.series:
        _, capacitor = _values(found)
        for r in _resistances(case, found):
            yield Guess(1 / (TWO_PI * r * capacitor), near=True)


@TOPIC.slip("bandwidth-times-q", BANDWIDTH)
def bandwidth_times_q(case: Case) -> Iterator[Guess]:
    """B = f0·Q for f0/Q."""
    if case.facts.corner_hz and case.facts.q:
        yield Guess(case.facts.corner_hz * case.facts.q, near=True)


# The distance from the centre to one edge, f0/2Q, for the whole band.
half_band = TOPIC.answer(
    "half-band", BANDWIDTH, by=lambda c: c.truth / 2 if c.facts.type in WITH_BAND else None
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
        for element in (None, *case.resistors):
            r = found.resistance if element is None else element.value
            assert r is not None
            yield Guess(float(r) * math.sqrt(capacitor / coil), near=True)


def _values(found: Pair) -> tuple[float, float]:
    coil, capacitor = found.inductor.value, found.capacitor.value
    assert coil is not None and capacitor is not None
    return float(coil), float(capacitor)


def _resistances(case: Case, found: Pair) -> list[float]:
    single = [float(e.value) for e in case.resistors if e.value is not None]
    return [float(found.resistance), *single]
