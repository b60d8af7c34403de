"""Positive real roots on their own: against roots that are known, and against mpmath."""

from __future__ import annotations

import time
from fractions import Fraction

import mpmath
import pytest
from flint import arb, fmpq, fmpq_poly
from hypothesis import given, settings
from hypothesis import strategies as st
from rungwise.problems.algebra import positive_roots, precision, stationary
from rungwise.problems.isolation import LoneRoot, lone_roots

TINY = Fraction(1, 10**49)


def product(roots: list[Fraction], pairs: list[tuple[Fraction, Fraction]] = []) -> fmpq_poly:  # noqa: B006
    """The polynomial of these real roots and of pairs a ± jb."""
    p = fmpq_poly([1])
    for x in roots:
        p *= fmpq_poly([fmpq(-x.numerator, x.denominator), 1])
    for a, b in pairs:
        size, twice = a * a + b * b, 2 * a
        p *= fmpq_poly(
            [fmpq(size.numerator, size.denominator), fmpq(-twice.numerator, twice.denominator), 1]
        )
    return p


def check(roots: list[Fraction], pairs: list[tuple[Fraction, Fraction]]) -> None:
    found = positive_roots(product(roots, pairs))
    expected = sorted({x for x in roots if x > 0})
    assert len(found) == len(expected)
    for ball, x in zip(found, expected, strict=True):
        with precision(2_000):
            assert ball.contains(arb(fmpq(x.numerator, x.denominator)))
        assert ball.rel_accuracy_bits() >= 60


numbers = st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=10**6)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(numbers, max_size=8),
    st.lists(st.tuples(numbers, numbers.filter(bool)), max_size=4),
    st.integers(1, 3),
)
def test_the_roots_of_a_product(roots, pairs, times) -> None:
    check(roots * times, pairs)


@pytest.mark.parametrize("apart", [TINY, Fraction(1, 2**200), Fraction(1, 3**300)])
def test_roots_that_nearly_meet(apart: Fraction) -> None:
    check([1 + k * apart for k in range(9)], [(Fraction(1), 5 * apart), (Fraction(2), apart)])


def test_roots_at_the_places_where_an_interval_is_halved() -> None:
    check([Fraction(n, 16) for n in range(1, 40)], [])
    check([Fraction(1), Fraction(2), Fraction(4), Fraction(1, 2), 1 + TINY, 1 - TINY], [])


def test_roots_of_very_different_size() -> None:
    check([Fraction(10) ** k for k in range(-40, 41, 8)], [(Fraction(10) ** 20, Fraction(1))])


@pytest.mark.parametrize("p", [[], [3], [0, 0, 1], [1, 1], [1, 0, 1], [0, 5, 3], [-2, -1]])
def test_where_there_is_none(p: list[int]) -> None:
    assert positive_roots(fmpq_poly(p)) == []


@pytest.mark.parametrize("seed", range(6))
def test_against_mpmath(seed: int) -> None:
    """Coefficients without any order; mpmath 1.3's polyroots finds all roots at 60 digits."""
    given = [(seed + 3) ** k * 7919 % 2003 - 1001 for k in range(1, 12)]
    found = positive_roots(fmpq_poly(given))
    with mpmath.workdps(60):
        all_roots = mpmath.polyroots(given[::-1], maxsteps=500, extraprec=500)
        real = sorted(r.real for r in all_roots if abs(r.imag) < 1e-40 and r.real > 0)
        assert len(found) == len(real)
        for ball, x in zip(found, real, strict=True):
            assert abs(mpmath.mpf(ball.str(50, radius=False)) / x - 1) < mpmath.mpf(10) ** -35


def test_each_interval_holds_its_root_and_no_other() -> None:
    roots = [Fraction(1, 3), Fraction(1, 3) + TINY, Fraction(2, 3), Fraction(100)]
    alone = [x for x in lone_roots(product(roots)) if isinstance(x, LoneRoot)]
    assert len(alone) == 4
    for x in alone:
        low, high = (Fraction(int(end.p), int(end.q)) for end in (x.low, fmpq(x.low + x.width)))
        assert sum(low < root < high for root in roots) == 1


def test_extremes_between_nulls_that_nearly_meet() -> None:
    """((u − a)(u − b))² over a square: nulls at a and b, and a hill of 10⁻¹⁹⁸ between them."""
    a, b = Fraction(1), 1 + TINY
    top = product([a, a, b, b])
    bottom = product([], [(Fraction(0), Fraction(1)), (Fraction(0), Fraction(1))])
    found = stationary(top, bottom)
    assert sum(bool(value == 0) for _, value in found) == 2
    (hill,) = (value for _, value in found if value != 0)
    assert 0 < hill < 1e-190
    assert hill.rel_accuracy_bits() >= 60


def test_a_cluster_costs_little() -> None:
    """Complex roots that nearly meet cost seconds where all roots are isolated."""
    pairs = [(1 + k * TINY, 1 + k * TINY) for k in range(12)]
    start = time.process_time()
    check([Fraction(3)], pairs)
    assert time.process_time() - start < 2
