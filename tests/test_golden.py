"""What seeds mean, held for ever.  ``python -m tests.golden.make`` adds a new family's."""

from __future__ import annotations

from collections import Counter

import pytest
from rungwise.problems.families import FAMILIES, Family, find
from rungwise.problems.generator import generate
from rungwise.problems.notation import read_circuit
from rungwise.problems.problem import Rung
from rungwise.problems.response import facts

from tests.golden import make

GOLDEN = make.read()


def test_there_are_three_golden_problems_of_every_family() -> None:
    assert Counter(name for name, _ in GOLDEN) == {f.name: 3 for f in FAMILIES}


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_seeds_mean_what_they_always_meant(family: Family) -> None:
    for (name, seed), entry in GOLDEN.items():
        if name == family.name:
            made = make.record(generate(seed, family=name))
            assert made["circuit"] == entry["circuit"]
            for now, then in zip(made["questions"], entry["questions"], strict=True):
                assert now == then
            assert made == entry


def test_golden_circuits_read_back_to_their_facts() -> None:
    for entry in GOLDEN.values():
        known = facts(read_circuit(entry["circuit"]))
        assert known.type is find(entry["family"]).type
        for question in entry["questions"]:
            if question["rung"] == Rung.CORNER:
                assert known.corner_hz == pytest.approx(question["truth"], rel=1e-11)
            if question["rung"] == Rung.POLES:
                assert known.transfer.order == question["truth"]
