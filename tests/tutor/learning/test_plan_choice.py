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
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning import choice as review_choice
from rungwise.tutor.learning import plan as review_plan
from rungwise.tutor.learning.choice import allowed, expected, fluency, made, ready
from rungwise.tutor.learning.memory import NOTHING, remembered
from rungwise.tutor.learning.plan import Mode, recurring, standing, what_next
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skill_map import group_of, parts_of, skill_of, skills
from rungwise.tutor.learning.skills import SkillState, SlipCount

from tests.studies import simulate_learners as sim

NOW = sim.BEGIN


@pytest.fixture(scope="module", autouse=True)
def _shared() -> Iterator[None]:
    with sim.shared_problems(4):
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
    """Family after family, of all groups; what comes next shows slips that did not show yet."""
    run = sim.Run(sim.with_slip("none"), 1, tasks=tasks)
    shown: set[str] = set()
    gained = []
    for _ in range(9):
        wish = run.plan()
        found = review_choice.slips_in_play(wish)
        gained.append(len(found - shown))
        shown |= found
        run.climb(wish)
    assert group_of(str(run.wishes[0].family)) is SkillGroup.ONE_POLE
    assert len({(wish.family, wish.task) for wish in run.wishes}) >= 8
    assert len({group_of(str(wish.family)) for wish in run.wishes}) >= 4
    assert {wish.task for wish in run.wishes} <= set(tasks)
    assert sum(count > 0 for count in gained) >= 6


def test_of_the_problems_drawn_the_one_comes_next_that_shows_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The rare slips above all, and none that showed lately."""
    rows = families.FAMILIES[:3]
    first, second, third = (row.name for row in rows)
    shows = {first: {"a", "b", "c"}, second: {"a", "d", "g"}, third: {"a", "b", "e", "f"}}

    def by_question(wish: ProblemRequest) -> dict[Rung, frozenset[str]]:
        rungs = [question.rung for question in wish.whole().questions]
        return {
            rung: frozenset(shows[str(wish.family)] if rung is Rung.TYPE else ()) for rung in rungs
        }

    monkeypatch.setattr(review_choice, "slips_by_question", by_question)

    def ask(recent: list[ProblemRequest]) -> str:
        wish = review_choice.widest(rows, (Task.ANALYSE,), recent, Chance(1))
        return str(wish.family)

    assert ask([]) == third
    climbed = [ProblemRequest(1, third, 1)]
    assert ask(climbed) == second
    assert ask([*climbed, ProblemRequest(1, second, 1)]) == first


def test_the_round_is_over_when_families_enough_are_known() -> None:
    run = sim.Run(sim.with_slip("none"), 1)
    for _ in range(3):
        run.climb(run.plan())
    assert len(review_choice.climbed(run.states)) == len({wish.family for wish in run.wishes})
    at = standing(run.states, run.now, None)
    assert review_plan._shown_round(run.states, at, run.wishes)
    many = {
        **run.states,
        "one-pole/type": SkillState(
            "one-pole/type",
            first=1,
            families=tuple((row.name, 1) for row in families.FAMILIES[: review_choice.ROUND]),
        ),
    }
    assert not review_plan._shown_round(many, at, run.wishes)


def test_what_turned_up_on_the_round_is_practised_in_between() -> None:
    run = sim.Run(sim.with_slip("none"), 1)
    for _ in range(3):
        run.climb(run.plan())
    asked = made(run.wishes[-1])
    skill = skill_of(asked.family, asked.questions[0].rung)
    weak = {**run.states, skill: SkillState(skill, 0.3, 3, 1, 2, first=1)}
    at = standing(weak, run.now, None)
    assert at.weak == (skill,)
    assert review_plan._shown_round(weak, at, run.wishes), "it turned up just now"
    group = parts_of(skill)[0]
    other = next(row for row in families.FAMILIES if group_of(row.name) is not group)
    later = [*run.wishes, ProblemRequest(other.level, other.name, 1)]
    assert not review_plan._shown_round(weak, at, later), "another problem came in between"


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


def test_nothing_new_is_begun_just_before_the_exam_but_every_group_is_met_once() -> None:
    soon = NOW.date() + timedelta(days=1)
    later = NOW.date() + timedelta(days=30)

    def groups(states: dict[str, SkillState], exam: date) -> set[SkillGroup]:
        wishes = [
            what_next(states, NOW, exam, Mode.UNTIL_DONE, [], Chance(seed), (Task.ANALYSE,))
            for seed in range(4)
        ]
        return {group_of(str(wish.family)) for wish in wishes}

    weak = known(but={"one-pole/corner": 0.5})
    one = {s: state for s, state in weak.items() if parts_of(s)[0] is SkillGroup.ONE_POLE}
    # What is weak is left out of the first, so that only what is new can be worth anything.
    done = {**one, "one-pole/corner": one["one-pole/type"]}
    assert groups(done, later) <= {SkillGroup.TAPS, SkillGroup.LOADED}
    assert groups(one, soon) <= {SkillGroup.TAPS, SkillGroup.LOADED}  # they were never met
    met = {
        s: replace(state, families=((families_of(parts_of(s)[0]), 1),))
        for s, state in weak.items()
        if parts_of(s)[0] is SkillGroup.ONE_POLE or parts_of(s)[1] is Rung.TYPE
    }
    assert groups(met, later) - {SkillGroup.ONE_POLE}
    assert groups(met, soon) == {SkillGroup.ONE_POLE}
    nearly = {**met, "one-pole/corner": replace(met["one-pole/corner"], p=0.93)}
    assert groups(nearly, later) - {SkillGroup.ONE_POLE}
    assert groups(nearly, soon) == {SkillGroup.ONE_POLE}


def families_of(group: SkillGroup) -> str:
    """A family of a group."""
    return next(row.name for row in families.FAMILIES if group_of(row.name) is group)


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
                wish = ProblemRequest(row.level, row.name, seed, task)
                asked = {q.rung for q in wish.whole().questions}
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
