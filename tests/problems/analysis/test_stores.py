"""Independent stores of energy: Bryant's count against the determinant of the circuit's equations.

The degree of det(G + sC) is the number of natural frequencies, and its lowest power of s how many
of them lie at s = 0.  Exact, by flint's determinants of integer matrices at integer s.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from flint import fmpq_mat
from hypothesis import given, settings
from rungwise.problems.analysis.idle import Reason
from rungwise.problems.analysis.response import facts
from rungwise.problems.analysis.ties import stores
from rungwise.problems.circuits.model import Kind, Ladder
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.cli.solve import page
from rungwise.tutor.documents.solved_facts import facts_json

from tests.support.oracle import GROUND, Network
from tests.support.strategies import ladders

PRIMES = [n for n in range(2, 800) if all(n % k for k in range(2, n))]
"""Values that have nothing to do with each other, one for each of up to 139 parts."""


def modes(ladder: Ladder) -> tuple[int, int]:
    """(natural frequencies, how many of them at s = 0) of a circuit with unrelated values."""
    network = Network(ladder)
    coils = sum(kind is Kind.L for kind, *_ in network.parts)
    nodes = network.count - 1
    size = nodes + coils + 1 + len(network.buffers)
    reactive = sum(kind is not Kind.R for kind, *_ in network.parts)

    def matrix(s: int) -> fmpq_mat:
        rows = [[0] * size for _ in range(size)]

        def incidence(row: int, a: int, z: int) -> None:
            for node, sign in ((a, 1), (z, -1)):
                if node != GROUND:
                    rows[row][node - 1] += sign
                    rows[node - 1][row] += sign

        row = nodes
        for (kind, a, z, _), prime in zip(network.parts, PRIMES[: len(network.parts)], strict=True):
            if kind is Kind.L:
                incidence(row, a, z)
                rows[row][row] = -s * prime
                row += 1
                continue
            y = prime if kind is Kind.R else s * prime
            for i, si in ((a, 1), (z, -1)):
                for k, sk in ((a, 1), (z, -1)):
                    if i != GROUND and k != GROUND:
                        rows[i - 1][k - 1] += si * sk * y
        incidence(row, 1, GROUND)
        for sensed, driven in network.buffers:
            row += 1
            rows[row][driven - 1] += 1
            rows[row][sensed - 1] -= 1
            rows[driven - 1][row] += 1
        return fmpq_mat(size, size, [x for line in rows for x in line])

    points = range(reactive + 1)  # the degree is that of the reactive parts at most
    values = [matrix(s).det() for s in points]
    coefficients = interpolated([Fraction(int(v.p), int(v.q)) for v in values])
    powers = [k for k, c in enumerate(coefficients) if c]
    assert powers, "the equations can be solved"
    return powers[-1], powers[0]


def interpolated(values: list[Fraction]) -> list[Fraction]:
    """The coefficients, ascending, of the polynomial with these values at 0, 1, 2, …."""
    differences = list(values)
    for k in range(1, len(values)):
        for i in range(len(values) - 1, k - 1, -1):
            differences[i] = (differences[i] - differences[i - 1]) / k
    found = [Fraction(0)]
    for k in range(len(values) - 1, -1, -1):
        shifted = [Fraction(0), *found]
        for i, c in enumerate(found):
            shifted[i] -= k * c
        shifted[0] += differences[k]
        found = shifted
    return found


# Circuit, independent stores, modes at s = 0, poles of H(s): counted by hand.
COUNTED = [
    ("source 50 Ω; shunt L1 = 1 mH; series L2 = 1 mH; shunt L3 = 2 mH; load 50 Ω", 3, 1, 2),  # π
    ("source 50 Ω; series C1 = 1 nF; shunt C2 = 1 nF; series C3 = 2 nF; load 50 Ω", 3, 1, 2),  # T
    ("source 50 Ω; shunt C1 = 1 nF; series C2 = 1 nF; shunt C3 = 2 nF; load 50 Ω", 2, 0, 2),
    ("source 50 Ω; series L1 = 1 mH; shunt L2 = 1 mH; series L3 = 2 mH; load 50 Ω", 2, 0, 2),
    ("source 1 kΩ; shunt L1 = 1 mH || L2 = 2 mH", 2, 1, 1),
    ("series C1 = 1 nF + C2 = 2 nF; shunt R1 = 1 kΩ", 2, 1, 1),
    ("series R1 = 1 kΩ; shunt C1 = 1 nF || C2 = 2 nF", 1, 0, 1),
    ("series L1 = 1 mH + L2 = 2 mH; shunt R1 = 1 kΩ", 1, 0, 1),
    ("shunt C1 = 1 nF; series R1 = 1 kΩ; shunt C2 = 1 nF", 1, 0, 1),
    ("shunt L1 = 1 mH; series R1 = 1 kΩ; shunt C2 = 1 nF", 2, 1, 1),
    ("shunt R2 = 1 kΩ + C1 = 1 nF; series R1 = 1 kΩ; shunt C2 = 1 nF", 2, 0, 1),
    ("series C1 = 1 nF; shunt C2 = 1 nF", 1, 1, 0),
    ("series R1 = 1 kΩ; shunt C1 = 1 nF; series C2 = 1 nF", 2, 1, 1),
    ("series R1 = 1 kΩ; shunt C1 = 1 nF; series L1 = 1 mH", 1, 0, 1),
    ("series R1 = 1 kΩ; shunt C1 = 1 nF; buffer; series R2 = 1 kΩ; shunt C2 = 1 nF", 2, 0, 2),
    ("series L1 = 1 mH; shunt C1 = 1 nF; load 1 kΩ", 2, 0, 2),
    ("series R1 = 1 kΩ; load 1 kΩ", 0, 0, 0),
]


@pytest.mark.parametrize(("text", "independent", "resting", "poles"), COUNTED)
def test_stores_counted_by_hand(text: str, independent: int, resting: int, poles: int) -> None:
    known = facts(read_circuit(text))
    assert known.independent_count == known.stores.independent == independent
    assert known.stores.resting == resting
    assert known.transfer.order == known.seen_count == poles
    assert modes(known.ladder) == (independent, resting)


@settings(max_examples=120, deadline=None)
@given(ladders(laboratory=True, max_stages=6))
def test_bryants_count_is_the_degree_of_the_determinant(ladder: Ladder) -> None:
    known = facts(ladder)
    assert (known.stores.independent, known.stores.resting) == modes(ladder)
    # What H(s) has, the circuit has; a mode at s = 0 H(s) never has.
    assert known.seen_count <= known.stores.independent - known.stores.resting


def test_a_circuit_with_a_mode_that_is_never_seen_says_what_is_true() -> None:
    for text in (COUNTED[0][0], COUNTED[1][0]):
        ladder = read_circuit(text)
        assert [h.reason for h in facts(ladder).hidden] == [Reason.UNSEEN]
        shown = " ".join(page(ladder).split())
        assert "3, of which 3 independent; 2 of them make a pole" in shown
        assert "One mode lies at s = 0" in shown
        assert "loop of capacitors" not in shown
        told = facts_json(ladder)
        assert (told["independent_reactive_elements"], told["order"]) == (3, 2)


def test_a_graph_of_one_part() -> None:
    found = stores(read_circuit("shunt C1 = 1 nF"))
    assert (found.drawn, found.loops, found.independent) == (1, 1, 0)
