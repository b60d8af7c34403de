"""What becomes of the signal at an end, held against nodal analysis."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.arms import ArmState, End, decay, redrawn, sections
from rungwise.problems.analysis.ends import EndCause, end_fact, end_facts, stoppers
from rungwise.problems.analysis.ties import Tie, tie
from rungwise.problems.chance import Chance
from rungwise.problems.circuits.model import CircuitError
from rungwise.problems.circuits.text import read_circuit

from tests.support.told import fall, near_one
from tests.support.topologies import random_topology

LOW, HIGH = End.LOW, End.HIGH


@pytest.mark.parametrize(
    ("text", "end", "cause", "parts"),
    [
        ("series R1; shunt C1", HIGH, EndCause.SHORT_OUTPUT, ("C1",)),
        ("series R1; shunt C1", LOW, EndCause.PATH, ("R1",)),
        ("series C1; shunt R1", LOW, EndCause.OPEN, ("C1",)),
        ("series R1; shunt C1; series R2; load RL", HIGH, EndCause.SHORT_PATH, ("C1",)),
        ("source Rs; shunt L1 || C1; load RL", LOW, EndCause.SHORT_OUTPUT, ("L1",)),
        ("series L1 || C1; load RL", HIGH, EndCause.PATH, ("C1",)),
        ("series C1; shunt C2 || R1", HIGH, EndCause.DIVIDES, ("C1", "C2")),
        ("series R1; shunt R2", HIGH, EndCause.RESISTANCES, ("R1",)),
        ("source Rs; shunt C1", LOW, EndCause.PATH, ("Rs",)),
        ("series R1 || L1 || C1; shunt R2", LOW, EndCause.PATH, ("L1",)),
        ("series R1; shunt C1; buffer; series C2; shunt R2", HIGH, EndCause.SHORT_PATH, ("C1",)),
    ],
)
def test_the_cause_and_its_parts(
    text: str, end: End, cause: EndCause, parts: tuple[str, ...]
) -> None:
    fact = end_fact(read_circuit(text), end)
    assert (fact.cause, fact.parts) == (cause, parts)


def test_a_part_that_would_stop_an_end_elsewhere_is_told() -> None:
    assert end_fact(read_circuit("shunt C1; series R1; shunt R2"), HIGH).idle == ("C1",)
    assert end_fact(read_circuit("series R1; shunt R2; series C1"), LOW).idle == ("C1",)


def test_every_part_is_redrawn() -> None:
    ladder = read_circuit("shunt C1; series L1; shunt R1 + C2")
    opened = dict.fromkeys(("C1", "C2"), ArmState.OPEN)
    assert redrawn(ladder, LOW) == {**opened, "L1": ArmState.SHORT}
    assert redrawn(ladder, HIGH)["L1"] is ArmState.OPEN


def test_powers_at_both_ends_are_those_of_nodal_analysis() -> None:
    chance = Chance(5, "ends")
    tried = 0
    while tried < 150:
        ladder = random_topology(chance, 1 + chance.below(4))
        try:
            plain = near_one(ladder)
            cut = sections(plain)
            if any(not s.rails and s.source is None for s in cut):
                continue  # nothing is at work: the ideal source itself
            for end, fact in zip(End, end_facts(plain), strict=True):
                count = fall(plain, end)
                assert decay(cut, end) == count
                assert fact.passes is (count == 0)
                assert fact.parts
                if len(stoppers(plain, end)) == count:
                    continue
                assert fact.cause in (EndCause.DIVIDES, EndCause.TOGETHER) or count
        except CircuitError:
            continue
        tried += 1


@pytest.mark.parametrize(
    ("text", "name", "found"),
    [
        ("source Rs; shunt C1; series C2; shunt C3 || R1", "C3", Tie.LOOP),
        ("series C1; shunt C2 || R1", "C2", Tie.SOURCE_LOOP),
        ("series R1 + L1; shunt L2; series L3; load RL", "L3", Tie.CUT),
        ("source Rs; shunt L1; series L2; shunt L3; load RL", "L3", Tie.UNSEEN),
        ("series R1; shunt C1", "C1", Tie.UNSEEN),
    ],
)
def test_what_ties_a_part(text: str, name: str, found: Tie) -> None:
    assert tie(read_circuit(text), name) is found
