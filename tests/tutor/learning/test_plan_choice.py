"""What is asked next: mixing, look-alikes, what is due, weak or new, and in which mode."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby, pairwise

import pytest
from rungwise.problems.catalogue import families
from rungwise.problems.catalogue.families import find
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning import choice as review_choice
from rungwise.tutor.learning import round as review_round
from rungwise.tutor.learning.choice import allowed, expected, fluency, made, ready
from rungwise.tutor.learning.memory import NOTHING, remembered
from rungwise.tutor.learning.plan import Mode, recurring, standing, what_next
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skills import (
    SkillGroup,
    SkillState,
    SlipCount,
    group_of,
    parts_of,
    skill_of,
    skills,
)

from tests.studies import simulate_learners as sim

NOW = sim.BEGIN


@pytest.fixture(scope="module", autouse=True)
def _shared() -> Iterator[None]:
    with sim.shared_problems(12):
        yield


def known(*, ago: int = 0, but: dict[str, float] | None = None) -> dict[str, SkillState]:
    """Everything mastered some days ago, except for some skills with a P(L) of their own."""
    when = NOW.timestamp() - ago * 86400
    memory = remembered(NOTHING, True, when)
    states = {
        skill: SkillState(
            skill, 0.97, 9, 8, 1, 0, 0, 90.0, when, memory[0], memory[1], memory[2], memory[3],
            (("rc-low-pass", 4),),
        )
        for skill in skills()
    }  # fmt: skip
    for skill, p in (but or {}).items():
        states[skill] = replace(states[skill], p=p)
    return states


def types_of(wishes: list[ProblemRequest]) -> list[str]:
    return [find(str(wish.family)).type.value for wish in wishes]


def share_alike(wishes: list[ProblemRequest]) -> float:
    groups = [find(str(wish.family)).group for wish in wishes]
    return sum(a == b for a, b in pairwise(groups)) / (len(groups) - 1)


LEARNERS = {
    "fluent": lambda: sim.with_slip("tank-in-series"),
    "studious": lambda: sim.Studious(3),
    "guessing": lambda: sim.guesser(random.Random(4)),
    "hinting": lambda: sim.hint_clicker(random.Random(5)),
}


@pytest.mark.parametrize("mode", list(Mode))
@pytest.mark.parametrize("kind", list(LEARNERS))
def test_families_are_mixed(kind: str, mode: Mode) -> None:
    """At most two of one type in a row, and 40 % of neighbours look-alikes, all the way."""
    tasks = tuple(Task) if kind == "fluent" else (Task.ANALYSE,)
    run = sim.Run(LEARNERS[kind](), 11, mode=mode, tasks=tasks, exam=NOW.date() + timedelta(30))
    for _ in range(24):
        run.climb(run.plan())
        assert all(len(list(same)) <= 2 for _, same in groupby(types_of(run.wishes)))
        if len(run.wishes) > review_choice.FEW:
            assert share_alike(run.wishes) >= 0.4
        assert all(a.family != b.family for a, b in pairwise(run.wishes))
    assert all(wish.level == find(str(wish.family)).level for wish in run.wishes)


def test_whatever_came_before_something_may_follow() -> None:
    chance = Chance(5)
    for _ in range(300):
        recent = [
            ProblemRequest(row.level, row.name, 1) for row in chance.shuffled(families.FAMILIES)[:6]
        ] + [ProblemRequest(None, None, 3)]
        rows = allowed(recent)
        assert rows
        assert all(row.name != recent[-2].family for row in rows)


def test_the_same_again_for_the_same_chance() -> None:
    states = known(but={"taps/q": 0.3})

    def ask(seed: int) -> ProblemRequest:
        return what_next(states, NOW, None, Mode.UNTIL_DONE, [], Chance(seed))

    assert ask(1) == ask(1)
    assert len({ask(seed) for seed in range(5)}) > 1


def test_a_beginner_begins_with_one_pole_and_stays_there_until_the_foundations_are_there() -> None:
    run = sim.Run(sim.Studious(1), 1)
    for _ in range(8):
        run.climb(run.plan())
    assert {group_of(str(wish.family)) for wish in run.wishes} == {SkillGroup.ONE_POLE}
    assert fluency(run.states) < review_choice.FLUENT
    assert SkillGroup.TAPS not in ready(run.states)
    assert ready({}) == {SkillGroup.ONE_POLE}
    assert ready(known()) == set(SkillGroup) - {SkillGroup.OTHER}


TASKS = [tuple(Task), (Task.ANALYSE,), (Task.SKETCH,), (Task.REVERSE,)]


@pytest.mark.parametrize("tasks", TASKS)
def test_somebody_fluent_is_shown_round(tasks: tuple[Task, ...]) -> None:
    """The stops of one way, in their order, whatever the seeds; the first is made anew."""
    run = sim.Run(sim.with_slip("none"), 1, tasks=tasks)
    for _ in range(11):
        run.climb(run.plan())
    ways = review_round.ways_of(frozenset(tasks))
    assert any(run.wishes[0].family == way[0].family for way in ways)
    every = [stop for way in ways for stop in way]
    begun = next(k for k, w in enumerate(run.wishes) if any(stop.has(w) for stop in every))
    # A way back asks little: after one or two it is not sure yet that somebody is fluent.
    assert begun == 1 or (begun <= 3 and tasks == (Task.REVERSE,))
    stops = [(wish.task, wish.family) for wish in run.wishes[begun:]]
    assert stops in [[(stop.task, stop.family) for stop in way[1:]][: len(stops)] for way in ways]
    assert len({group_of(str(wish.family)) for wish in run.wishes}) >= 4


def test_ways_round_are_mixed_and_no_two_share_a_stop() -> None:
    for tasks in TASKS:
        ways = review_round.ways_of(frozenset(tasks))
        seen: set[ProblemRequest] = set()
        for way in ways:
            assert 10 < len(way) <= 12 and not way[0].seeds
            assert group_of(way[0].family) is SkillGroup.ONE_POLE
            before: list[ProblemRequest] = []
            for stop in way:
                assert find(stop.family) in allowed(before)
                before.append(ProblemRequest(None, stop.family, 0, stop.task))
                wishes = {ProblemRequest(None, stop.family, seed, stop.task) for seed in stop.seeds}
                assert not wishes & seen and stop.task in tasks
                seen |= wishes
            assert len({(stop.task, stop.family) for stop in way}) == len(way)


def test_two_tasks_of_three_have_what_is_left_of_the_ways_round() -> None:
    two = (Task.ANALYSE, Task.REVERSE)
    ways = review_round.ways_of(frozenset(two))
    assert ways and all(stop.task in two for way in ways for stop in way)
    run = sim.Run(sim.with_slip("none"), 1, tasks=two)
    for _ in range(6):
        run.climb(run.plan())
    assert {wish.task for wish in run.wishes} == set(two)


def test_what_turned_up_on_the_way_round_is_practised_after_every_other_stop() -> None:
    run = sim.Run(sim.with_slip("none"), 1)
    for _ in range(5):
        run.climb(run.plan())
    assert review_round.in_a_row((Task.ANALYSE,), run.wishes, 2)
    weak = {**run.states, "one-pole/corner": SkillState("one-pole/corner", 0.3, 3, 1, 2, first=1)}
    assert standing(weak, run.now, None).weak == ("one-pole/corner",)
    stops = [stop for way in review_round.ways_of(frozenset({Task.ANALYSE})) for stop in way]

    def next_is_a_stop(states: dict[str, SkillState], recent: list[ProblemRequest]) -> bool:
        wish = what_next(states, run.now, None, Mode.UNTIL_DONE, recent, Chance(3), (Task.ANALYSE,))
        return any(stop.has(wish) for stop in stops)

    assert next_is_a_stop(run.states, run.wishes)
    assert not next_is_a_stop(weak, run.wishes)
    last = find(str(run.wishes[-1].family)).group
    others = [row for row in families.FAMILIES if row.group == last]  # as mixing asks for
    assert any(
        next_is_a_stop(weak, [*run.wishes, ProblemRequest(row.level, row.name, 1)])
        for row in others
    )
    # Just before the exam nothing new is begun, a way round neither.
    soon = NOW.date() + timedelta(days=1)
    wish = what_next(weak, NOW, soon, Mode.UNTIL_DONE, [], Chance(3), (Task.ANALYSE,))
    assert not any(stop.has(wish) for stop in stops)


@pytest.mark.parametrize("skill", ["taps/q", "lc-arms/bandwidth", "ladders/high-phase"])
def test_a_weak_skill_is_asked(skill: str) -> None:
    states = known(but={skill: 0.4})
    at = standing(states, NOW, None)
    assert at.weak == (skill,) and not at.due
    for mode in (Mode.WEAK_SPOTS, Mode.UNTIL_DONE):
        asked = 0
        for seed in range(4):
            wish = what_next(states, NOW, None, mode, [], Chance(seed), (Task.ANALYSE,))
            asked += any(
                skill_of(str(wish.family), question.rung) == skill
                for question in made(wish).questions
            )
        assert asked >= 3


def test_what_is_due_is_asked() -> None:
    exam = NOW.date() + timedelta(days=35)
    states = known()
    late = known(ago=60)
    states["loaded/transfer"] = late["loaded/transfer"]
    assert standing(states, NOW, exam).due == ("loaded/transfer",)
    wish = what_next(states, NOW, exam, Mode.TEN_MINUTES, [], Chance(2), (Task.ANALYSE,))
    assert group_of(str(wish.family)) is SkillGroup.LOADED
    assert Rung.TRANSFER in {question.rung for question in made(wish).questions}


def test_nothing_new_is_begun_just_before_the_exam() -> None:
    states = {
        skill: state
        for skill, state in known(but={"one-pole/corner": 0.5}).items()
        if parts_of(skill)[0] is SkillGroup.ONE_POLE
    }
    soon = NOW.date() + timedelta(days=1)
    later = NOW.date() + timedelta(days=30)

    def groups(states: dict[str, SkillState], exam: date) -> set[SkillGroup]:
        wishes = [
            what_next(states, NOW, exam, Mode.UNTIL_DONE, [], Chance(seed), (Task.ANALYSE,))
            for seed in range(4)
        ]
        return {group_of(str(wish.family)) for wish in wishes}

    # What is weak is left out of the first, so that only what is new can be worth anything.
    done = {**states, "one-pole/corner": states["one-pole/type"]}
    assert groups(done, later) <= {SkillGroup.TAPS, SkillGroup.LOADED}
    assert groups(states, soon) == {SkillGroup.ONE_POLE}
    only_new = {**states, "one-pole/corner": replace(states["one-pole/corner"], p=0.93)}
    assert groups(only_new, later) - {SkillGroup.ONE_POLE}
    assert groups(only_new, soon) == {SkillGroup.ONE_POLE}


def test_tasks_that_are_not_wanted_are_not_asked() -> None:
    for tasks in ((Task.SKETCH,), (Task.REVERSE,), (Task.ANALYSE, Task.REVERSE)):
        for mode in Mode:
            wish = what_next(known(), NOW, None, mode, [], Chance(3), tasks)
            assert wish.task in tasks and made(wish).task is wish.task


def test_what_a_family_is_expected_to_be_asked_is_what_it_is_asked() -> None:
    """Questions not expected are rare; those expected always are there in every problem."""
    for row in families.FAMILIES[::3]:
        for task in Task:
            sure = {rung for rung, often in expected(row.name, task) if often == 1.0}
            some = {rung for rung, _ in expected(row.name, task)}
            for seed in range(2):
                asked = {
                    q.rung for q in made(ProblemRequest(row.level, row.name, seed, task)).questions
                }
                if task is Task.ANALYSE:
                    assert sure <= asked, (row.name, sure - asked)
                assert len(asked - some) <= 2, (row.name, task, asked - some)


# ------------------------------------------------------------------------------ standing


def test_every_skill_has_one_place() -> None:
    states = known(but={"taps/q": 0.4, "taps/poles": 0.2})
    states["taps/poles"] = replace(states["taps/poles"], wrong=0)
    del states["ladders/fed"]
    at = standing(states, NOW, None)
    assert (at.weak, at.begun, at.new) == (("taps/q",), ("taps/poles",), ("ladders/fed",))
    assert sorted((*at.mastered, *at.weak, *at.begun, *at.new)) == sorted(skills())
    assert not at.complete and standing(known(), NOW, None).complete
    assert standing({}, NOW, None).new == skills()


def test_slips_recur_until_they_heal() -> None:
    one = SkillState("taps/q", last=2.0, slips=(SlipCount("q-inverted", 1, 0),))
    two = SkillState("lc-arms/q", last=1.0, slips=(SlipCount("q-inverted", 2, 1),))
    over = SkillState("taps/corner", slips=(SlipCount("prefix-lost", 5, 2),))
    once = SkillState("taps/poles", slips=(SlipCount("resistors-counted", 1, 0),))
    (target,) = recurring([one, two, over, once])
    assert (target.slip, target.times) == ("q-inverted", 3)
    assert target.skills == ("lc-arms/q", "taps/q")


def test_the_forecast() -> None:
    nothing = standing({}, NOW, NOW.date() + timedelta(days=30)).forecast
    assert (nothing.days, nothing.ready, nothing.calendar) == (30, 0.0, ())
    assert nothing.a_day == nothing.problems / 30 and nothing.problems > 100
    soon, late = (
        standing(known(), NOW, NOW.date() + timedelta(days=days)).forecast for days in (7, 300)
    )
    assert soon.problems == 0 and soon.a_day == 0
    assert 0.3 < late.ready < soon.ready < 0.97  # more is forgotten until a later day
    assert sum(count for _, count in soon.calendar) == len(skills())
    overdue = standing(known(ago=300), NOW, date(2027, 9, 1)).forecast
    assert overdue.calendar == ((NOW.date(), len(skills())),)
    assert standing(known(), NOW, NOW.date()).forecast.a_day is None
    assert standing(known(), NOW, NOW.date() - timedelta(days=3)).forecast.days is None
