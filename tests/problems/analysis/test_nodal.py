"""The independent witness, itself held against printed voltages and closed forms."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.analysis.nodal import Network, response
from rungwise.problems.analysis.transfer import transfer_function
from rungwise.problems.circuits.model import (
    CircuitError,
    Element,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    join,
)

from tests.support.refusals import refused


def part(name: str, value: str) -> Element:
    return Element(Kind(name[0]), name, Fraction(value))


def series(*parts: Element) -> Stage:
    return Stage(Place.SERIES, join(Joint.SERIES, *parts))


def shunt(*parts: Element) -> Stage:
    return Stage(Place.SHUNT, join(Joint.SERIES, *parts))


def bank(place: Place, *parts: Element) -> Stage:
    return Stage(place, join(Joint.PARALLEL, *parts))


LOAD = part("RL", "1000")

# Kuphaldt, "Lessons in Electric Circuits", vol. II, ch. 8 (Design Science License): the
# voltage at the load for a source of one volt, as printed.
LESSONS = [
    (Ladder((series(part("L", "3")),), load=LOAD), 1, 0.9998),
    (Ladder((series(part("L", "3")),), load=LOAD), 200, 0.2564),
    (Ladder((series(part("R", "500")), shunt(part("C", "7e-6")))), 50, 0.6728),
    (Ladder((series(part("R", "500")), shunt(part("C", "7e-6"))), load=LOAD), 30, 0.6102),
    (Ladder((series(part("R", "500")), shunt(part("C", "7e-6"))), load=LOAD), 150, 0.2760),
    (Ladder((series(part("C", "0.5e-6")),), load=LOAD), 200, 0.5320),
    (Ladder((series(part("R", "200")), shunt(part("L", "0.1"))), load=LOAD), 200, 0.5017),
    (Ladder((series(part("L", "1"), part("C", "1e-6")),), load=LOAD), 50, 0.3291),
    (Ladder((series(part("L", "1"), part("C", "1e-6")),), load=LOAD), 250, 0.7307),
    (
        Ladder((series(part("R", "500")), shunt(part("L", "0.1"), part("C", "10e-6"))), load=LOAD),
        70,
        0.3213,
    ),
    (
        Ladder((bank(Place.SERIES, part("L", "0.1"), part("C", "10e-6")),), load=LOAD),
        100,
        0.9947,
    ),
]


@pytest.mark.parametrize(("ladder", "hertz", "volts"), LESSONS)
def test_printed_voltages(ladder: Ladder, hertz: float, volts: float) -> None:
    assert abs(response(ladder, math.tau * hertz)) == pytest.approx(volts, abs=1e-4)


def test_phase_of_one_pole() -> None:
    ladder = Ladder((series(part("R", "1000")), shunt(part("C", "1e-6"))))
    assert response(ladder, 1000.0) == pytest.approx(0.5 - 0.5j, rel=1e-14)


def test_a_buffer_takes_no_current() -> None:
    one = (series(part("R1", "1000")), shunt(part("C1", "1e-6")))
    two = (series(part("R2", "2200")), shunt(part("C2", "1e-7")))
    cascade = Ladder((*one, Stage(Place.BUFFER), *two))
    product = response(Ladder(one), 700.0) * response(Ladder(two), 700.0)
    assert response(cascade, 700.0) == pytest.approx(product, rel=1e-14)


def test_an_arm_across_an_ideal_source_does_nothing() -> None:
    rest = (series(part("R", "1000")), shunt(part("C", "1e-6")))
    with_arm = Ladder((shunt(part("L", "1e-3"), part("C1", "1e-9")), *rest))
    assert response(with_arm, 700.0) == pytest.approx(response(Ladder(rest), 700.0), rel=1e-14)


def test_only_shunt_arms_on_an_ideal_source() -> None:
    assert response(Ladder((shunt(part("L", "1e-3")),), load=LOAD), 700.0) == 1


def test_undamped_resonance_is_no_number() -> None:
    ladder = Ladder((series(part("L", "1")), shunt(part("C", "1"))))
    with pytest.raises(ZeroDivisionError):
        response(ladder, 1.0)


def test_letters_alone_have_no_response() -> None:
    with refused(CircuitError, says="R has no value"):
        Network(Ladder((series(Element(Kind.R, "R")),), load=LOAD))


@st.composite
def ladders(draw: st.DrawFn) -> Ladder:
    """Ladders of up to five arms, each of one to three elements, values within six decades."""
    count = draw(st.integers(1, 5))
    used = 0
    stages: list[Stage] = []
    for _ in range(count):
        parts: list[Element] = []
        for _ in range(draw(st.integers(1, 3))):
            used += 1
            kind = draw(st.sampled_from(Kind))
            scale = {"R": 3, "L": -3, "C": -9}[kind.value]
            value = Fraction(draw(st.integers(1, 999))) * Fraction(10) ** scale / 100
            parts.append(Element(kind, f"{kind.value}{used}", value))
        joint = draw(st.sampled_from(Joint))
        stages.append(
            Stage(draw(st.sampled_from([Place.SERIES, Place.SHUNT])), join(joint, *parts))
        )
        if draw(st.integers(0, 5)) == 0:
            stages.append(Stage(Place.BUFFER))
    ends = [draw(st.none() | st.just(part(name, "470"))) for name in ("Rs", "RL")]
    return Ladder(tuple(stages), *ends)


@settings(max_examples=120, deadline=None)
@given(ladders(), st.floats(1e4, 1e7))
def test_both_algorithms_agree_on_any_ladder(ladder: Ladder, omega: float) -> None:
    exact = transfer_function(ladder)
    at = Fraction(omega)
    # Exact real arithmetic for the even and odd parts, so that only nodal analysis rounds.
    top, bottom = (_at_jw(c, at) for c in (exact.numerator, exact.denominator))
    if bottom == 0:
        return
    expected = top / bottom
    assert response(ladder, omega) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def _at_jw(descending: tuple[Fraction, ...], omega: Fraction) -> complex:
    real = imaginary = Fraction(0)
    for c in descending:
        real, imaginary = c - imaginary * omega, real * omega
    return complex(float(real), float(imaginary))
