"""What the plan makes of simulated learners: some of ``tests.studies.simulate_learners``."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest
from rungwise.problems.questions.model import Task

from tests.studies import simulate_learners as sim
from tests.support.samples import sample

OTHERS = tuple(task for task in Task if task is not Task.PREDICT)
"""Predictions wait until filters are known at sight; ``studies.predicted`` has their slips."""


@pytest.fixture(scope="module", autouse=True)
def _shared() -> Iterator[None]:
    """Six problems of each family and task, in which all the learners of this file meet."""
    with sim.shared_problems(6):
        yield


def test_the_skill_of_a_single_slip_is_found_within_eighteen_problems() -> None:
    """Of eight questions at most: as many questions as twelve problems used to ask."""
    some = sim.findable()
    every = sample(5, 2)
    found = [sim.climbs_to_find(slip, seed) for seed in (0, 1) for slip in some[seed::every]]
    assert len(found) > 50
    assert sum(count is not None for count in found) >= 0.9 * len(found)
    assert sum(count is not None and count <= sim.FEW for count in found) >= 0.6 * len(found)


def test_of_all_slips_of_all_tasks_seven_in_ten_are_found_within_eighteen_problems() -> None:
    found = [sim.climbs_to_find(slip, 0, tasks=OTHERS) for slip in sim.slips()[:: sample(2, 1)]]
    assert len(found) > 70
    assert sum(count is not None for count in found) >= 0.7 * len(found)
    assert sum(count is not None and count <= sim.FEW for count in found) >= 0.4 * len(found)


def test_a_studious_learner_masters_everything_in_fewer_problems_than_in_random_order() -> None:
    """At least a quarter fewer; random order is given up at that point, since it takes long."""
    planned = sim.climbs_to_master(1)
    limit = int(planned / 0.75) + 1
    assert planned < 400
    assert sim.climbs_to_master(1, order="by group", most=limit) == limit


@pytest.mark.parametrize("kind", ["guesser", "cycler", "hint_clicker"])
def test_whoever_does_not_learn_hardly_ever_reaches_mastery(kind: str) -> None:
    make = getattr(sim, kind)
    never = kind == "hint_clicker"  # who tries no luck: only the plan's differs from run to run
    runs = range(sample(4, 12) if never else 12)
    results = [sim.masters(make(random.Random(seed)), seed, 60) for seed in runs]
    assert all(asked > 10 for _, asked, _ in results)
    lucky = [once for once, _, _ in results if once]
    assert len(lucky) <= (0 if never else 1) and sum(lucky) <= 2
