"""What looks show: known is right, cold and quick, on three structures and two days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.questions.looks import LOOK_KINDS, LookKind, look_row
from rungwise.tutor.learning.carried import carried
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.learning.recognition import (
    Recognition,
    kinds_of_skill,
    look_skill,
    look_skills,
    sight_skills,
)
from rungwise.tutor.learning.skills import SkillState

from .looking import Looker, mostly, right

MONDAY = date(2026, 11, 2)
TUESDAY = MONDAY + timedelta(days=1)


def event(number: int, *, kind: LookKind = LookKind.TYPE, right: bool = True, **more) -> LookEvent:  # type: ignore[no-untyped-def]
    answers = look_row(kind).answers
    truth = answers[number % len(answers)]
    said = truth if right else answers[(number + 1) % len(answers)]
    plain = LookEvent(
        "", number, kind, number, SkillGroup.TAPS, f"structure {number}", "", truth, said, True,
        seconds=2.0,
    )  # fmt: skip
    return replace(plain, **more)


def shown(*looks: tuple[int, date], **more) -> Recognition:  # type: ignore[no-untyped-def]
    known = Recognition()
    number = 0
    for count, day in looks:
        for _ in range(count):
            known.take(event(number, **more), day)
            number += 1
    return known


TAPS = look_skill(LookKind.TYPE, SkillGroup.TAPS)


def test_there_is_a_skill_for_each_group_and_one_for_each_other_rule() -> None:
    skills = look_skills()
    assert len(skills) == len(set(skills)) == 8 + 13 + 15
    assert sight_skills() == skills[: 8 + 13]  # what builds upon recognition comes after it
    assert {kind for skill in skills for kind in kinds_of_skill(skill)} == {
        row.kind for row in LOOK_KINDS
    }
    assert look_skill(LookKind.LOW_END, SkillGroup.TAPS) == look_skill(
        LookKind.HIGH_END, SkillGroup.LADDERS
    )


def test_two_days_are_needed() -> None:
    assert not shown((12, MONDAY)).known(TAPS)
    assert shown((11, MONDAY), (1, TUESDAY)).known(TAPS)


def test_three_structures_are_needed() -> None:
    same = shown((11, MONDAY), (1, TUESDAY), structure="one and the same")
    assert not same.known(TAPS)


@pytest.mark.parametrize("more", [{"cold": False}, {"scaffold": True}, {"right": False}])
def test_only_cold_right_looks_count(more: dict[str, bool]) -> None:
    assert not shown((11, MONDAY), (1, TUESDAY), **more).known(TAPS)


def test_what_is_known_is_lost_with_the_second_miss_of_five() -> None:
    known = shown((11, MONDAY), (1, TUESDAY))
    known.take(event(20, right=False), TUESDAY)
    assert known.known(TAPS)
    known.take(event(21, right=False), TUESDAY)
    assert not known.known(TAPS)


def test_slow_answers_do_not_count_by_ones_own_pace() -> None:
    def by(seconds: float) -> Recognition:
        known = Recognition()
        for number in range(24):  # the poles quickly, the types slowly
            kind = LookKind.POLES if number % 2 else LookKind.TYPE
            day = MONDAY if number < 20 else TUESDAY
            took = seconds if kind is LookKind.POLES else 8 * seconds
            known.take(event(number, kind=kind, seconds=took), day)
        return known

    for times in (1.0, 5.0, 40.0):
        known = by(times)
        assert known.known(LookKind.POLES.value) and not known.known(TAPS)


def test_a_slow_hand_is_no_worse_off() -> None:
    def known(times: float) -> list[tuple[str, ...]]:
        chance = Random(4)
        looker = Looker(mostly(Random(5), 0.9), 2)
        inner = looker.answer
        looker.answer = lambda step: (inner(step)[0], times * chance.lognormvariate(1, 0.4))
        found = []
        for _ in range(6):
            looker.look()
            found.append(looker.known.known_skills())
        return found

    quick, slow = known(1.0), known(5.0)
    assert quick == slow and quick[-1]


def test_nobody_looked_at_a_clock() -> None:
    assert shown((11, MONDAY), (1, TUESDAY), seconds=0.0).known(TAPS)


def test_somebody_called_away_moves_no_median_far() -> None:
    known = shown((12, MONDAY))
    for number in range(12, 15):
        known.take(event(number, seconds=4000.0), MONDAY)
    assert known.seconds(TAPS) == 2.0
    for number in range(15, 30):
        known.take(event(number, seconds=4000.0), MONDAY)
    assert known.seconds(TAPS) <= 40


def test_the_type_shows_the_ends() -> None:
    known = shown((12, MONDAY), (1, TUESDAY))
    assert known.known("ends")
    flat = event(3, truth="flat", answered="notch", right=False)
    known.take(flat, TUESDAY)  # the type is wrong, and the ends are right
    assert known.states["ends"].right == 14 and known.states[TAPS].right == 13


def test_confusions_are_counted_as_they_were_made() -> None:
    known = Recognition()
    for _ in range(3):
        known.take(event(0, truth="notch", answered="band-pass"), MONDAY)
    known.take(event(0, truth="band-pass", answered="notch"), MONDAY)
    known.take(event(0, truth="flat", answered=""), MONDAY)
    assert known.confusions() == (("notch", "band-pass", 3), ("band-pass", "notch", 1))
    assert known.confused_with("notch") == {"band-pass": 4}


def test_what_climbs_have_shown_is_known_until_looks_say_otherwise() -> None:
    states = {
        skill: SkillState(skill, p=0.97, asked=5, right=5)
        for skill in ("taps/type", "taps/poles", "loaded/poles", "one-pole/low-end")
    }
    assert carried(states) == {TAPS, "poles"}
    known = Recognition(carried(states))
    assert known.known(TAPS) and known.known("poles") and not known.known("ends")
    known.take(event(1, right=False), MONDAY)
    assert known.known(TAPS)
    known.take(event(2, right=False), MONDAY)
    assert not known.known(TAPS)


def test_a_group_of_few_circuits_is_known_by_those_that_build_upon_it() -> None:
    known = Recognition({"type/taps", "type/loaded"})
    assert known.known("type/one-pole")
    assert not Recognition({"type/taps"}).known("type/one-pole")


def test_somebody_never_wrong_is_done_within_150_looks() -> None:
    for seed in range(2):
        looker = Looker(right, seed, a_day=1)
        done = lambda known: set(known.known_skills()) >= set(sight_skills())  # noqa: E731
        while looker.rounds < 8 and not done(looker.known):
            looker.look(until=done)
        assert len(looker.looks) <= 150
