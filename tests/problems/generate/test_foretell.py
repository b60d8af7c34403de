"""What may be foretold of a change: one right choice, or nothing is asked.

What is right of every page of the lessons is checked against nodal analysis beside them.
"""

from __future__ import annotations

import math

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.foretell import Foretold, PredictedChange, foretell

LOW = "series R1 = {r}; series L1 = 10 mH; shunt C1 = 1 uF"


def foretold(asked: Foretold, before: str, after: str) -> PredictedChange:
    return foretell(asked, facts(read_circuit(before)), facts(read_circuit(after)))


@pytest.mark.parametrize(
    ("asked", "before", "after"),
    [
        (Foretold.Q, "series R1 = 1 kΩ; shunt C1 = 1 nF", "series R1 = 2 kΩ; shunt C1 = 1 nF"),
        (Foretold.NATURE, "series R1 = 1 kΩ; shunt C1 = 1 nF", "series R1 = 2 kΩ; shunt C1 = 1 nF"),
        (Foretold.PEAK, "series R1 = 1 kΩ; shunt C1 = 1 nF", "series R1 = 2 kΩ; shunt C1 = 1 nF"),
        (Foretold.RATIO, LOW.format(r="1 Ω"), LOW.format(r="2 Ω")),
        (Foretold.RATIO, LOW.format(r="1 Ω"), "series R1 = 1 kΩ; shunt C1 = 1 nF"),
        (Foretold.POLES, LOW.format(r="1 Ω"), "series R1 = 1 kΩ; shunt R2 = 1 kΩ + C1 = 1 nF"),
    ],
)
def test_what_does_not_exist_is_not_asked(asked: Foretold, before: str, after: str) -> None:
    if asked is Foretold.POLES:  # a shelf has its poles all the same
        assert foretold(asked, before, after).truth == "1"
        return
    with pytest.raises(LookupError):
        foretold(asked, before, after)


@pytest.mark.parametrize(
    ("ohms", "nature"), [("50 Ω", "complex"), ("200 Ω", "double"), ("201 Ω", "real")]
)
def test_the_nature_of_the_poles_is_exact(ohms: str, nature: str) -> None:
    found = foretold(Foretold.NATURE, LOW.format(r="100 Ω"), LOW.format(r=ohms))
    assert found.truth == nature


def test_overshoot_is_that_of_two_poles() -> None:
    """exp(−πζ/√(1−ζ²)) with ζ = 1/(2Q) = ½: 16.3 %, as control textbooks print it."""
    found = foretold(Foretold.OVERSHOOT, LOW.format(r="300 Ω"), LOW.format(r="100 Ω"))
    assert found.truth == "up" and found.figures[0] == 0
    assert math.isclose(found.figures[1], 0.163, abs_tol=5e-4)


def test_the_gain_at_the_corner_is_q() -> None:
    found = foretold(Foretold.AT_CORNER, LOW.format(r="100 Ω"), LOW.format(r="20 Ω"))
    assert found.truth == "up" and math.isclose(found.figures[1], 5, rel_tol=1e-9)


def test_a_factor_of_two_in_f0_takes_four_in_the_part() -> None:
    tank = "source 1 kΩ; shunt L1 = 1 mH || C1 = {c}"
    found = foretold(Foretold.RATIO, tank.format(c="400 pF"), tank.format(c="100 pF"))
    assert found.truth == "square"
    assert [round(f, 9) for f in found.figures] == [2, 4]


def test_same_is_same_by_exact_figures() -> None:
    found = foretold(Foretold.CORNER, LOW.format(r="100 Ω"), LOW.format(r="20 Ω"))
    assert found.truth == "same" and found.choices == ("up", "down", "same")
