"""Which way figures go: hand-derived, and against doubled values of random circuits."""

from __future__ import annotations

from fractions import Fraction

import pytest
from rungwise.problems.analysis.response import Facts, facts
from rungwise.problems.analysis.trends import corner_trends, null_at_corner, q_trends
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import Element, Ladder, mapped
from rungwise.problems.circuits.text import read_circuit

from tests.support.topologies import random_topology

# By hand: ω0 = 1/√(LC) throughout; Q = ω0L/R in series, R/(ω0L) in parallel.
BY_HAND = [
    ("series R; series L; shunt C", "R:same L:down C:down", "R:down L:up C:down"),
    ("source Rs; shunt L || C", "Rs:same L:down C:down", "Rs:up L:down C:up"),
    # Q = RL·√(C/L)
    ("series L; shunt C; load RL", "L:down C:down RL:same", "L:down C:up RL:up"),
    # ω0² = (Rs + RL)/(LC·Rs): more Rs lowers it, more RL raises it; Q depends on the values
    ("source Rs; shunt C; series L; load RL", "Rs:down C:down L:down RL:up", ""),
    # ω = (R ∥ RL)/L
    ("series R; shunt L; load RL", "R:up L:down RL:up", ""),
    # across the source C1 does nothing
    ("shunt C1; series R; shunt C2", "C1:same R:down C2:down", ""),
]


@pytest.mark.parametrize(("text", "corner", "q"), BY_HAND)
def test_by_hand(text: str, corner: str, q: str) -> None:
    ladder = read_circuit(text)

    def told(found: object) -> str:
        assert isinstance(found, dict)
        return " ".join(f"{name}:{trend}" for name, trend in found.items() if trend)

    assert told(dict(corner_trends(ladder))) == corner
    assert told(dict(q_trends(ladder))) == q


def test_three_poles_have_no_corner_to_speak_of() -> None:
    ladder = read_circuit("series L1; shunt C; series L2; load RL")
    assert corner_trends(ladder) == {}


def test_a_notch_with_unequal_ends_has_its_null_elsewhere() -> None:
    assert null_at_corner(read_circuit("source Rs; shunt L + C; load RL"))
    assert not null_at_corner(read_circuit("series R1 || L2; shunt L + C; load RL"))
    # The load divides at both ends alike, and R1 shunts the null's arm.
    assert null_at_corner(read_circuit("series R; series L || C; load RL"))


def _valued(ladder: Ladder, chance: Chance) -> Ladder:
    values = {
        e.name: Fraction(1 + chance.below(200), 1 + chance.below(40)) for e in ladder.elements()
    }
    return mapped(ladder, lambda e: Element(e.kind, e.name, values[e.name]))


def _way(before: Fraction | None, after: Fraction | None) -> str:
    assert before is not None and after is not None
    return "same" if after == before else "up" if after > before else "down"


def test_doubled_values_go_the_way_that_is_told() -> None:
    """At random values, by another route: exact figures of the circuit with one value doubled."""
    told = 0
    for seed in range(250):
        chance = Chance(seed, "trends")
        bare = random_topology(chance, 1 + chance.below(3))
        corners, qs = corner_trends(bare), q_trends(bare)
        for _ in range(2 if corners else 0):
            ladder = _valued(bare, chance)
            known = facts(ladder)
            for name in corners:
                doubled = facts(_doubled(ladder, name))
                for trend, figure in (
                    (corners[name], Facts.corner_squared),
                    (qs[name], Facts.q_squared),
                ):
                    if trend is not None and known.transfer.order == doubled.transfer.order:
                        assert _way(figure.__get__(known), figure.__get__(doubled)) == trend
                        told += 1
    assert told > 500


def _doubled(ladder: Ladder, name: str) -> Ladder:
    return mapped(
        ladder, lambda e: Element(e.kind, e.name, e.value and e.value * (1 + (e.name == name)))
    )
