"""Circuits refuse what they cannot mean."""

from fractions import Fraction

import pytest
from rungwise.problems.circuits.model import (
    CircuitError,
    Element,
    Group,
    Joint,
    Kind,
    Ladder,
    Place,
    Stage,
    depth,
    join,
    leaves,
)

from tests.support.oracle import element
from tests.support.refusals import refused

R1, L1, C1 = element("R", "R1", 100), element("L", "L1", "1e-3"), element("C", "C1", "1e-6")
SHUNT_C = Stage(Place.SHUNT, C1)


@pytest.mark.parametrize(
    ("kind", "name", "value", "message"),
    [
        ("R", "L1", 1, "cannot name"),
        ("R", "R 1", 1, "cannot name"),
        ("R", "R" + "1" * 12, 1, "cannot name"),
        ("C", "C1\n", 1, "cannot name"),
        ("C", "C1", 0, "greater than zero"),
        ("L", "L1", -1, "greater than zero"),
    ],
)
def test_elements(kind, name, value, message):
    with refused(CircuitError, says=message):
        Element(Kind(kind), name, Fraction(value))


def test_groups_are_flat_and_have_parts():
    with refused(CircuitError, says="two parts"):
        Group(Joint.SERIES, (R1,))
    inner = Group(Joint.SERIES, (R1, L1))
    with refused(CircuitError, says="flat"):
        Group(Joint.SERIES, (inner, C1))
    assert join(Joint.SERIES, inner, C1) == Group(Joint.SERIES, (R1, L1, C1))
    assert join(Joint.PARALLEL, R1) is R1
    with refused(CircuitError, says="at least one"):
        join(Joint.SERIES)
    nested = join(Joint.PARALLEL, inner, C1)
    assert list(leaves(nested)) == [R1, L1, C1]
    assert (depth(R1), depth(inner), depth(nested)) == (0, 1, 2)


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (((),), "at least one"),
        (((SHUNT_C,), C1), "source must be a resistance"),
        (((SHUNT_C,), None, L1), "load must be a resistance"),
        (((SHUNT_C, SHUNT_C),), "used twice"),
        (
            (tuple(Stage(Place.SHUNT, element("C", f"C{k}", 1)) for k in range(41)),),
            "limit is 40",
        ),
    ],
)
def test_ladders(arguments, message):
    with refused(CircuitError, says=message):
        Ladder(*arguments)


def test_nesting_is_bounded():
    arm = R1
    for k in range(9):
        joint = Joint.SERIES if k % 2 else Joint.PARALLEL
        arm = join(joint, arm, element("C", f"C{k}", 1))
    with refused(CircuitError, says="deeper than 8"):
        Ladder((Stage(Place.SHUNT, arm),))


def test_stages():
    with refused(CircuitError, says="buffer"):
        Stage(Place.BUFFER, R1)
    with refused(CircuitError, says="buffer"):
        Stage(Place.SERIES)


def test_elements_come_in_reading_order():
    ladder = Ladder(
        (Stage(Place.SERIES, L1), Stage(Place.BUFFER), SHUNT_C),
        element("R", "Rs", 50),
        element("R", "RL", 75),
    )
    assert [e.name for e in ladder.elements()] == ["Rs", "L1", "C1", "RL"]
    assert [e.name for e in ladder.reactive()] == ["L1", "C1"]
    assert ladder.valued
    assert not Ladder((Stage(Place.SERIES, Element(Kind.R, "R1")),)).valued
