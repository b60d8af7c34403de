"""What is drawn is never near a limit of the rule that names it; older formats are as they were."""

from __future__ import annotations

import pytest
from rungwise.problems.analysis.gain_type import FilterType
from rungwise.problems.analysis.limits import CLEAR_DB
from rungwise.problems.analysis.response import facts
from rungwise.problems.catalogue.families import FAMILIES, Family
from rungwise.problems.circuits.text import read_circuit
from rungwise.problems.generate.analyse import GenerationError, attempt, generate, known_by
from rungwise.problems.generate.certify import IndistinctError, certify
from rungwise.problems.questions.model import FORMAT, GAIN_NAMES, Problem, Task

from tests.support.made_once import made_problem
from tests.support.samples import sample


@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.name)
def test_no_problem_is_near_a_limit(family: Family) -> None:
    for task in Task.ANALYSE, Task.SKETCH, Task.REVERSE:
        for seed in sample([FAMILIES.index(family) % 2], [0, 1, 2]):
            try:
                problem = made_problem(seed, task, family=family.name)
            except GenerationError:
                assert task is Task.REVERSE, "some families have no way back"
                break
            known = facts(problem.ladder)
            assert known.margin_db >= CLEAR_DB and not known.borderline
            assert known.type is family.type


def test_a_borderline_circuit_is_drawn_again() -> None:
    """A step of 20.8 dB, of which a problem of the second format is made and none of the third."""
    ladder = read_circuit("series R1 = 10 kΩ; shunt R2 = 1 kΩ + C = 100 nF")
    assert facts(ladder).borderline
    for seed in range(20):
        old = generate(seed, family="lag-network", format=GAIN_NAMES - 1)
        if facts(old.ladder).borderline:
            break
    with pytest.raises(IndistinctError, match="too near to call"):
        certify(Problem(FORMAT, old.family, old.level, old.seed, old.ladder, old.questions))
    certify(old)


def test_formats_before_name_by_exact_zeros() -> None:
    tank = read_circuit("source 100 kΩ; shunt (L1 = 250 µH + R1 = 5 Ω) || C1 = 100 pF; load 1 MΩ")
    assert known_by(tank, GAIN_NAMES - 1).type is FilterType.LOW_PASS
    assert known_by(tank, GAIN_NAMES).type is FilterType.BAND_PASS


def test_a_family_and_a_seed_mean_one_circuit_in_every_format_but_of_lag_networks() -> None:
    for family in FAMILIES:
        drawn_alike = family.since < GAIN_NAMES and not family.chosen
        if drawn_alike and family.type is not FilterType.OTHER:
            for number in range(3):
                try:
                    old = attempt(family, 7, number, GAIN_NAMES - 1)
                    new = attempt(family, 7, number, GAIN_NAMES)
                except IndistinctError:
                    continue
                assert (old and old.ladder) == (new and new.ladder)
