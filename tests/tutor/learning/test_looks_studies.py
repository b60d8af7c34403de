"""Some of the studies of looks and of the plan, with bounds; the whole of them is run by hand."""

from __future__ import annotations

import pytest
from rungwise.problems.questions.looks import PREDICTED

from tests.studies import first_hours, luck_of_looks, policies


def test_who_knows_is_past_one_pole_at_once_and_sees_no_worked_step() -> None:
    met = first_hours.first_minutes(0.95, 1)
    assert met.cold >= 40 and met.worked == 0
    assert len(met.types) == 5 and max(met.types["band-pass"], met.types["notch"]) <= 5
    assert met.past_one_pole <= 4


@pytest.mark.parametrize("share", [0.2, 0.6])
def test_a_beginner_meets_every_type_in_the_first_ten_minutes(share: float) -> None:
    met = first_hours.first_minutes(share, 2)
    assert len(met.types) == 5 and max(met.types["band-pass"], met.types["notch"]) <= 5


def test_the_evening_before_the_exam_covers_the_subject() -> None:
    groups, types, structures = first_hours.evening(0.6, 1)
    assert groups >= 6 and types == 5 and structures >= 20


@pytest.mark.parametrize("name", list(luck_of_looks.KINDS))
def test_who_does_not_look_knows_nothing(name: str) -> None:
    asked, right, known = luck_of_looks.run(name, 1, rounds=6)
    assert known == 0
    kind = max(asked, key=lambda one: asked[one])
    assert asked[kind] > 30 and right[kind] / asked[kind] < 0.45  # one in five, and luck


def test_who_does_not_look_knows_nothing_of_what_builds_upon_recognition() -> None:
    asked, right, known = luck_of_looks.run("favourite", 1, rounds=8, kinds=PREDICTED)
    assert known == 0 and set(asked) <= set(PREDICTED) and len(asked) >= 12  # drawn, not dealt
    # One in three and a twentieth at most; three standard deviations of luck.
    looks = sum(asked.values())
    assert sum(right.values()) / looks < 0.34 + 0.05 + 3 * (0.22 / looks) ** 0.5


@pytest.mark.parametrize("learner", ["additive", "belief"])
def test_looks_teach_these_models_more_than_the_old_plan_at_equal_minutes(learner: str) -> None:
    shares = [policies.share_right(policy, learner, 1, 25) for policy in ("inspection", "old")]
    assert shares[0] > shares[1]
