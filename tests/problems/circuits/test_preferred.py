"""Preferred values against the published series."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from rungwise.problems.circuits import preferred
from rungwise.problems.circuits.model import Kind

from tests.support.preferred import is_preferred

# IEC 60063:2015, "Preferred number series for resistors and capacitors", table 1.
E6 = [10, 15, 22, 33, 47, 68]
E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
E24 = [
    *(10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30),
    *(33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91),
]


def test_series_are_those_of_iec_60063() -> None:
    assert list(preferred.E6) == E6
    assert list(preferred.E12) == E12
    assert list(preferred.E24) == E24


@pytest.mark.parametrize(
    ("place", "expected"),
    [(0, "1"), (24, "10"), (4, "3/2"), (8 + 72, "2200"), (-1, "91/100"), (-264, "1/100000000000")],
)
def test_value_of_a_place(place: int, expected: str) -> None:
    assert preferred.value(place) == Fraction(expected)


def test_a_place_is_close_to_its_power_of_ten() -> None:
    for place in range(-264, 145):
        assert abs(math.log10(preferred.value(place)) - place / 24) < 1 / 48


@pytest.mark.parametrize("kind", Kind)
def test_drawers_hold_whole_series(kind: Kind) -> None:
    drawer = preferred.DRAWERS[kind]
    series = E12 if kind is Kind.R else E6
    kept = [preferred.value(p) for p in range(drawer.least, drawer.most + 1, drawer.step)]
    assert all(is_preferred(v, tuple(series)) for v in kept)
    decades = round(math.log10(kept[-1] / kept[0]))
    assert len(kept) == decades * len(series) + 1


def test_ranges_of_parts() -> None:
    ends = {
        k: (preferred.value(d.least), preferred.value(d.most)) for k, d in preferred.DRAWERS.items()
    }
    assert ends[Kind.R] == (10, 10**6)
    assert ends[Kind.L] == (Fraction(1, 10**6), 1)
    assert ends[Kind.C] == (Fraction(1, 10**11), Fraction(1, 1000))


def test_nearest_is_nearest_and_stops_at_the_ends() -> None:
    for drawer in (*preferred.DRAWERS.values(), preferred.FINE_RESISTORS):
        kept = range(drawer.least, drawer.most + 1, drawer.step)
        for place in range(drawer.least - 6, drawer.most + 7):
            found = drawer.nearest(place)
            if found is None:
                assert not drawer.least <= place <= drawer.most
            else:
                assert found in kept
                assert abs(found - place) == min(abs(k - place) for k in kept)


def test_values_that_are_not_preferred() -> None:
    assert is_preferred(Fraction(4700))
    assert is_preferred(Fraction("1.5e-9"), preferred.E6)
    assert not is_preferred(Fraction(5000))
    assert not is_preferred(Fraction(4710))
    assert not is_preferred(Fraction("1.8e-9"), preferred.E6)
