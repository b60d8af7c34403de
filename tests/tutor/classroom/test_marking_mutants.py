"""Damaged hand-ins, in small; ``python -m tests.studies.mutants handins`` makes a thousand."""

from __future__ import annotations

from .mutant_handins import mutant, survey


def test_damaged_hand_ins_are_marked_or_set_apart() -> None:
    outcomes = survey(50, seed=11)
    assert sum(outcomes.values()) == 50
    assert outcomes["marked"] > 10 and outcomes["apart"] > 10


def test_a_mutant_is_the_same_each_time() -> None:
    assert [mutant(n, 3) for n in range(8)] == [mutant(n, 3) for n in range(8)]
    assert len({mutant(n, 3) for n in range(8)}) == 8
