"""Turning parts: the preferred values of IEC 60063, one per cent, decades, limits."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.problems.circuits.altered import with_value
from rungwise.problems.circuits.model import Kind
from rungwise.problems.circuits.step_value import (
    LIMITS,
    StepSize,
    next_preferred,
    turned,
    with_usual_values,
)
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.circuits.write import write_circuit

# IEC 60063:2015, typed here once more so that the series are held against the standard.
E12 = [10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82]
E24 = sorted([*E12, 11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91])


@pytest.mark.parametrize(("turn", "series"), [(StepSize.E12, E12), (StepSize.E24, E24)])
@pytest.mark.parametrize("start", [Fraction(1000), Fraction(1, 10**8), Fraction(47)])
def test_up_and_down_the_series(turn: StepSize, series: list[int], start: Fraction) -> None:
    kind = Kind.C if start < 1 else Kind.R
    decade = start / 10 if start != 47 else Fraction(1)
    value, seen = start, [start]
    for _ in range(len(series)):
        value = turned(kind, value, turn, up=True) or Fraction(0)
        seen.append(value)
    assert [v / decade for v in seen] == [
        n * (10 if wrapped else 1)
        for wrapped in (False, True)
        for n in series
        if (n >= start / decade if not wrapped else n <= start / decade)
    ]
    for expected in reversed(seen[:-1]):
        value = turned(kind, value, turn, up=False) or Fraction(0)
        assert value == expected


@given(
    st.fractions(min_value=Fraction(1, 10**14), max_value=Fraction(10**9)).filter(bool),
    st.sampled_from([1, 2, 4]),
)
def test_the_next_is_preferred_and_none_lies_between(value: Fraction, every: int) -> None:
    series = {1: E24, 2: E12, 4: E12[::2]}[every]
    up, down = next_preferred(value, every, True), next_preferred(value, every, False)
    assert down < value < up

    def mantissa(x: Fraction) -> Fraction:
        while x >= 100:
            x /= 10
        while x < 10:
            x *= 10
        return x

    low, high = mantissa(down), mantissa(up)
    assert low in series and high in series
    steps = (series.index(int(high)) - series.index(int(low))) % len(series)
    # Two steps apart where the value itself is preferred, one where it is not.
    assert steps == (2 if mantissa(value) in series else 1) % len(series)


def test_fine_steps_stay_readable() -> None:
    value = Fraction(4700)
    for _ in range(300):
        after = turned(Kind.R, value, StepSize.FINE, up=True)
        assert after is not None
        assert float(after / value) == pytest.approx(1.01, rel=1e-3)
        value = after
    assert len(str(value.numerator).rstrip("0")) <= 4 and value.denominator == 1
    assert turned(Kind.R, Fraction(4700), StepSize.FINE, up=True) == 4747
    assert turned(Kind.R, Fraction(4747), StepSize.FINE, up=False) == 4700


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("turn", StepSize)
def test_the_range_ends(kind: Kind, turn: StepSize) -> None:
    least, most = LIMITS[kind]
    assert turned(kind, most, turn, up=True) is None
    assert turned(kind, least, turn, up=False) is None
    # A value from outside the range can be turned back into it.
    assert turned(kind, most * 1000, turn, up=False) is not None
    assert turned(kind, least / 1000, turn, up=True) is not None


def test_values_are_put_in_by_name() -> None:
    ladder = read_circuit(
        "source 600; series L1 1 mH || (C1 1 nF + R1 2); buffer; shunt R2 1; load 3"
    )
    other = with_value(ladder, "C1", Fraction(1, 10**6))
    assert write_circuit(other) == write_circuit(ladder).replace("1 nF", "1 µF")
    assert write_circuit(with_value(ladder, "Rs", Fraction(50))).startswith("source 50 Ω")


def test_usual_values_fill_only_the_gaps() -> None:
    ladder = read_circuit("source R9; series R1; series L1 = 2 mH; shunt C1")
    text = write_circuit(with_usual_values(ladder), "; ")
    assert text == "source R9 = 1 kΩ; series R1 = 1 kΩ; series L1 = 2 mH; shunt C1 = 100 nF"
