"""Slips about the frequencies of two poles: ω0, the peak, the −3 dB edges.

Closed forms of two poles in ω0 and Q are derived in every text on second-order systems;
see ``analysis/two_poles.py``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction
from functools import partial

from ..algebra import positive_roots, squared_magnitude
from ..analysis.response import TWO_PI, PoleNature
from ..analysis.transfer import polynomial, to_flint
from ..analysis.two_poles import damped
from ..circuits.altered import buffered, unbuffered
from ..circuits.model import Kind, Ladder
from ..questions.analyse import pass_band_gain
from ..questions.model import Rung
from .case import Answers, Case, Guess, Topic, many
from .one_pole import EDGES

TOPIC = Topic("two-pole frequency")

CORNERS = (Rung.CORNER, Rung.READ_CORNER)
BANDS = (Rung.BANDWIDTH, Rung.READ_BANDWIDTH)
LOWER = (Rung.LOWER_EDGE, Rung.READ_LOWER_EDGE)
FORMULAIC = (Rung.CORNER, Rung.Q, Rung.BANDWIDTH, *EDGES, Rung.GAIN, Rung.POLE_NATURE)


def _sections(case: Case, *, how: Callable[[Ladder], Ladder | None]) -> Iterator[Guess]:
    """Two sections worked out apart though one loads the other, or the other way round."""
    if case.order == 2:
        yield from case.altered(how(case.ladder))


def of_parts(figure: Callable[[Fraction, Fraction], float | tuple[float, ...]]) -> Answers:
    """Answers from the one L and the one C of a circuit of two poles, in H and F."""

    def answers(case: Case) -> float | tuple[float, ...] | None:
        if case.order != 2 or not len(case.inductors) == len(case.capacitors) == 1:
            return None
        return figure(case.inductors[0].amount, case.capacitors[0].amount)

    return answers


TOPIC.slip("unbuffered-as-buffered", *FORMULAIC)(partial(_sections, how=buffered))
TOPIC.slip("buffered-as-unbuffered", *FORMULAIC)(partial(_sections, how=unbuffered))


# 1/(2π√(LC)) where resistances on both sides move ω0.
TOPIC.answer(
    "load-cannot-matter", Rung.CORNER,
    by=of_parts(lambda coil, capacitor: 1 / (TWO_PI * math.sqrt(coil * capacitor))),
)  # fmt: skip
# ω0² for ω0: 1/(2πLC).
root_forgotten = TOPIC.answer(
    "root-forgotten", Rung.CORNER, by=lambda c: TWO_PI * c.truth**2 if c.order == 2 else None
)
# The period T = 2π√(LC) for the frequency 1/T.
TOPIC.answer("period-reported", Rung.CORNER, by=lambda c: 1 / c.truth if c.order == 2 else None)


def _over(coil: Fraction, capacitor: Fraction) -> tuple[float, ...]:
    ratio = math.sqrt(coil / capacitor)
    return 1 / (TWO_PI * ratio), ratio / TWO_PI


# L/C under the root for L·C.
TOPIC.answer("l-over-c", Rung.CORNER, by=of_parts(_over))


@TOPIC.slip("resistance-in-f0", Rung.CORNER)
def resistance_in_f0(case: Case) -> Iterator[Guess]:
    """A resistance worked into f0 = 1/(2π√(LC))."""
    if case.resonator is not None:
        for element in case.resistors:
            values = (("resistance", element.name),)
            yield Guess(case.truth / math.sqrt(element.amount), values)
            yield Guess(case.truth / float(element.amount), values)


@TOPIC.slip("sections-added", Rung.CORNER)
def sections_added(case: Case) -> Iterator[Guess]:
    """The sum of two sections' time constants for the root of their product."""
    reactive = case.ladder.reactive()
    if case.order != 2 or len(reactive) != 2 or len(case.resistors) != 2:
        return
    if case.inductors and case.capacitors:
        return
    total = 0.0
    for resistor, part in zip(case.resistors, reactive, strict=True):
        r, x = float(resistor.amount), float(part.amount)
        total += x / r if case.inductors else r * x
    yield Guess(1 / (TWO_PI * total), near=True)


@TOPIC.slip("one-pole-form", Rung.CORNER)
def one_pole_form(case: Case) -> Iterator[Guess]:
    """1/(2πRC) or R/(2πL) of one pair of parts, for two poles."""
    if case.order != 2:
        return
    for resistor in case.resistors:
        for part in case.ladder.reactive():
            r, x = float(resistor.amount), float(part.amount)
            corner = r / (TWO_PI * x) if part.kind is Kind.L else 1 / (TWO_PI * r * x)
            yield Guess(corner, near=True)


def _ringing(case: Case) -> float | None:
    """Q, where it is above ½."""
    return case.facts.q if case.facts.q and case.facts.q > 0.5 else None


# The frequency of the decaying oscillation, f0·√(1 − 1/4Q²).
TOPIC.answer(
    "damped-frequency", Rung.CORNER,
    by=lambda c: c.truth * damped(q) if (q := _ringing(c)) else None, near=True,
)  # fmt: skip
# How fast the oscillation dies away, σ/2π = f0/2Q, for how fast it is.
TOPIC.answer(
    "decay-for-corner", Rung.CORNER,
    by=lambda c: c.truth / (2 * q) if (q := _ringing(c)) else None, near=True,
)  # fmt: skip


@TOPIC.slip("one-real-pole", Rung.CORNER)
def one_real_pole(case: Case) -> Iterator[Guess]:
    """One of two real poles given for the corner of both."""
    if case.facts.pole_nature is PoleNature.REAL:
        yield from many(*(abs(pole) / TWO_PI for pole in case.facts.poles), near=True)


@TOPIC.slip("tap-peak", Rung.CORNER)
def tap_peak(case: Case) -> Iterator[Guess]:
    """Where the output of a low-pass or high-pass is largest."""
    if case.facts.type.one_sided and case.facts.q and case.facts.q > math.sqrt(0.5):
        yield from many(case.facts.peak_hz, near=True)


# A −3 dB frequency given for f0.
edge_as_corner = TOPIC.answer(
    "edge-as-corner", Rung.CORNER, by=lambda c: c.facts.edges_hz if c.order == 2 else (), near=True
)


@TOPIC.slip("arithmetic-centre", Rung.CORNER)
def arithmetic_centre(case: Case) -> Iterator[Guess]:
    """The middle between the edges, (f1 + f2)/2, for their geometric mean."""
    low, high = case.facts.edges_hz
    if case.order == 2 and case.facts.type.banded and low and high:
        yield Guess((low + high) / 2, near=True)


def _corner_of(case: Case, *, double: bool) -> float | None:
    """f0 of a low-pass or high-pass, of a double pole or of any other."""
    is_double = case.facts.pole_nature is PoleNature.DOUBLE
    return case.facts.corner_hz if case.facts.type.one_sided and is_double is double else None


# A double pole taken to be 3 dB down at f0, where it is 6.02 dB down.
TOPIC.answer("double-pole-three-db", *EDGES, by=lambda c: _corner_of(c, double=True))
# The gain at f0 taken to be −3 dB always, where it is 20·log Q from the reference.
three_db_at_f0 = TOPIC.answer(
    "three-db-at-f0", *EDGES, by=lambda c: _corner_of(c, double=False), near=True
)


@TOPIC.slip("arithmetic-edges", *EDGES)
def arithmetic_edges(case: Case) -> Iterator[Guess]:
    """f0 ± B/2."""
    f0, band = case.facts.corner_hz, case.facts.bandwidth_hz
    if case.order == 2 and case.facts.type.banded and f0 and band:
        half = band / 2
        yield Guess(f0 - half if case.rung is Rung.LOWER_EDGE else f0 + half, near=True)


@TOPIC.slip("other-edge", *EDGES)
def other_edge(case: Case) -> Iterator[Guess]:
    """The upper edge for the lower one and the other way round."""
    if case.facts.type.banded:
        low, high = case.facts.edges_hz
        yield from many(high if case.rung in LOWER else low, near=True)


# f0 of a band-pass or a notch given for one of its edges.
centre_for_edge = TOPIC.answer(
    "centre-for-edge", *EDGES,
    by=lambda c: c.facts.corner_hz if c.facts.type.banded else None, near=True,
)  # fmt: skip


@TOPIC.slip("half-power-from-input", *EDGES)
def half_power_from_input(case: Case) -> Iterator[Guess]:
    """Where |H| itself is √½, whatever the gain of the pass band."""
    crossings = _where(case, Fraction(1, 2))
    if crossings:
        nearest = min(crossings, key=lambda f: abs(math.log(f / case.truth)))
        yield Guess(nearest, near=True)


def _where(case: Case, power: Fraction) -> list[float]:
    """The frequencies in Hz at which |H|² is ``power``, ascending."""
    top = squared_magnitude(polynomial(case.facts.transfer.numerator))
    bottom = squared_magnitude(polynomial(case.facts.transfer.denominator))
    level = top - bottom * to_flint(power)
    return [math.sqrt(float(u.mid())) / TWO_PI for u in positive_roots(level)]


@TOPIC.slip("half-voltage-edge", *EDGES, Rung.CORNER, Rung.BANDWIDTH)
def half_voltage_edge(case: Case) -> Iterator[Guess]:
    """Half the voltage, −6 dB, taken for half the power, at an edge or at one pole's corner."""
    gain = pass_band_gain(case.facts)
    if not gain or (case.rung in CORNERS and case.order != 1):
        return
    found = _where(case, gain * gain / 4)
    if case.rung in BANDS:
        if len(found) == 2:
            yield Guess(found[1] - found[0], near=True)
        return
    band = case.facts.type.banded
    if found and (not band or len(found) == 2):
        upper = case.rung in (Rung.UPPER_EDGE, Rung.READ_UPPER_EDGE)
        yield Guess(found[-1 if upper else 0], near=True)


@TOPIC.slip("edge-by-q", *EDGES)
def edge_by_q(case: Case) -> Iterator[Guess]:
    """f0·Q or f0/Q for an edge."""
    f0, q = case.facts.corner_hz, case.facts.q
    if case.order == 2 and f0 and q:
        yield Guess(f0 / q, near=True)
        yield Guess(f0 * q, near=True)
