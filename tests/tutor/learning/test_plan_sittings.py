"""Guidance that fades, when a sitting is done, and the rehearsal of the exam."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from rungwise.problems.catalogue.families import find
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.chance import Chance
from rungwise.problems.grading.read import right_text
from rungwise.problems.questions.kinds import REASON_OF
from rungwise.problems.questions.model import Form, Problem, Rung, Task
from rungwise.tutor.learning.choice import made
from rungwise.tutor.learning.climb import Event
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.learning.rehearsal import Rehearsal, mixed
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.session import (
    A_DAY,
    MOST_A_DAY,
    Session,
    next_wish,
    prediction_due,
    wanted,
)
from rungwise.tutor.learning.skill_map import TASK_OF, group_of, parts_of, skill_name, skill_of
from rungwise.tutor.learning.skills import SkillState
from rungwise.tutor.learning.worked_examples import FADES, filled, guidance

from tests.studies import simulate_learners as sim

from .test_plan_choice import known

NOW = sim.BEGIN


@pytest.fixture(scope="module", autouse=True)
def _shared() -> Iterator[None]:
    with sim.shared_problems(6):
        yield


# ------------------------------------------------------------------------------ guidance


def worked_in(run: sim.Run, wish: ProblemRequest) -> tuple[list[Rung], frozenset[Rung]]:
    problem = made(wish)
    return [q.rung for q in problem.questions], guidance(run.states, problem)


def test_a_new_family_opens_with_a_worked_example_which_fades_from_the_first_step_on() -> None:
    run = sim.Run(sim.Studious(1, learns=0.0), 1)
    shares = []
    for seed in range(FADES + 2):
        wish = ProblemRequest(1, "rc-low-pass", seed)
        rungs, worked = worked_in(run, wish)
        asked = [rung for rung in rungs if rung not in worked]
        assert asked == rungs[: len(asked)]  # the first steps first
        shares.append(len(asked) / len(rungs))
        run.climb(wish)
    assert shares[0] == 0 and shares[FADES:] == [1.0] * 2
    assert shares == sorted(shares) and len(set(shares)) == FADES + 1


def test_a_look_alike_opens_with_an_example_of_its_own() -> None:
    run = sim.Run(sim.Studious(1, learns=0.0), 1)
    for seed in range(8):
        run.climb(ProblemRequest(1, "rc-low-pass", seed))
    rungs, worked = worked_in(run, ProblemRequest(1, "rc-high-pass", 1))
    assert worked == set(rungs)
    run.climb(ProblemRequest(1, "rc-high-pass", 1))
    # It fades sooner for the climbs of its look-alike.
    assert filled(run.states, "rc-high-pass", Task.ANALYSE) == 1.0


def test_no_example_is_forced_on_somebody_who_has_the_skill() -> None:
    for family in ("rc-low-pass", "series-rlc-across-c", "receiver-tank"):
        assert not guidance(known(), made(ProblemRequest(None, family, 1)))
    one = {"one-pole/corner": SkillState("one-pole/corner", 0.97)}
    problem = made(ProblemRequest(None, "rc-low-pass", 1))
    rungs = {q.rung for q in problem.questions}
    assert Rung.CORNER in rungs
    assert guidance(one, problem) == rungs - {Rung.CORNER}
    fluent = sim.Run(sim.with_slip("none"), 1)
    fluent.climb(ProblemRequest(1, "rc-low-pass", 1))
    assert not guidance(fluent.states, made(ProblemRequest(4, "shunt-fed-notch", 1)))


def test_a_step_shown_worked_is_no_evidence() -> None:
    run = sim.Run(lambda problem, question: (Outcome.OPEN, 0, 0, ()), 1)
    run.climb(ProblemRequest(1, "rc-low-pass", 1))
    assert all(state.p == SkillState("x").p for state in run.states.values())
    assert 0 < filled(run.states, "rc-low-pass", Task.ANALYSE) < 1  # but it was seen


def test_each_task_has_its_own_example() -> None:
    run = sim.Run(sim.Studious(1, learns=0.0), 1)
    for seed in range(4):
        run.climb(ProblemRequest(1, "rc-low-pass", seed))
    assert filled(run.states, "rc-low-pass", Task.ANALYSE) == 1.0
    assert filled(run.states, "rc-low-pass", Task.SKETCH) == 0.0


# ------------------------------------------------------------------------------ sittings


def test_ten_minutes_are_over_after_ten_minutes() -> None:
    sitting = Session(Mode.TEN_MINUTES, NOW)
    soon, later = NOW + timedelta(minutes=9, seconds=59), NOW + timedelta(minutes=10)
    assert not sitting.done({}, soon, None, 3) and sitting.done({}, later, None, 3)
    assert sitting.left(soon) == timedelta(seconds=1)
    assert sitting.left(later + timedelta(days=1)) == timedelta(0)


def test_until_done_is_over_when_nothing_is_due_and_the_weak_were_practised() -> None:
    sitting = Session(Mode.UNTIL_DONE, NOW)
    exam = NOW.date() + timedelta(days=35)
    assert sitting.done(known(), NOW, exam, 0)
    assert not sitting.done(known(ago=30), NOW, exam, 50)  # everything is due
    yesterday = known(ago=1, but={"taps/q": 0.5})
    assert not sitting.done(yesterday, NOW, exam, 50)
    assert sitting.done({**yesterday, "taps/q": known(but={"taps/q": 0.5})["taps/q"]}, NOW, exam, 1)


def test_a_day_has_its_share_of_what_is_new() -> None:
    sitting = Session(Mode.UNTIL_DONE, NOW)

    def enough(exam: date | None) -> int:
        return next(n for n in range(99) if sitting.done({}, NOW, exam, n))

    assert enough(None) == A_DAY
    assert enough(NOW.date() + timedelta(days=2)) == MOST_A_DAY
    assert 1 <= enough(NOW.date() + timedelta(days=365)) < A_DAY


def test_weak_spots_are_done_when_each_was_practised_today() -> None:
    sitting = Session(Mode.WEAK_SPOTS, NOW)
    assert sitting.done(known(), NOW, None, 0)
    assert not sitting.done(known(ago=1, but={"taps/q": 0.5}), NOW, None, 3)
    assert sitting.done(known(but={"taps/q": 0.5}), NOW, None, 1)


# ----------------------------------------------------------------------------- rehearsal


def rehearsal(count: int = 2, minutes: float = 8) -> Rehearsal:
    wishes = mixed(count, Chance(3), (Task.ANALYSE, Task.REVERSE))
    return Rehearsal(wishes, [made(wish) for wish in wishes], NOW, minutes)


def test_nothing_is_marked_until_it_is_handed_in() -> None:
    exam = rehearsal()
    for place in range(len(exam.places)):
        exam.go(place)
        if place % 3 == 0:
            given = exam.answer(right_text(exam.question), NOW)
            assert given is not None and not given.trouble
        elif place % 3 == 1:
            wrong = "nonsense" if exam.question.form is Form.CHOICE else "12345.678"
            exam.answer(wrong, NOW)
    with pytest.raises(ValueError):
        exam.marked()
    shown = repr(exam.answers) + repr(exam.given)
    assert "RIGHT" not in shown and "WRONG" not in shown
    exam.hand_in(NOW + timedelta(minutes=5))
    climbs = exam.marked()
    outcomes = [state.outcome for climb in climbs for state in climb.rungs]
    assert all(climb.done for climb in climbs)
    for place, outcome in enumerate(outcomes):
        if place % 3 == 0:
            assert outcome is Outcome.CLEAN
        elif place % 3 == 2:
            assert outcome is Outcome.SKIPPED
        else:
            assert outcome in (Outcome.SHOWN, Outcome.SKIPPED)
    assert exam.marked() is climbs


def test_what_cannot_be_read_is_said_at_once_and_an_earlier_answer_stands() -> None:
    exam = rehearsal(6)
    place = next(
        at
        for at, (number, index) in enumerate(exam.places)
        if exam.problems[number].questions[index].form is Form.COUNT
    )
    exam.go(place)
    first = exam.answer("2", NOW)
    assert first is not None and exam.given == first
    unread = exam.answer("?!", NOW)
    assert unread is not None and unread.trouble and exam.given == first
    assert exam.answer("3", NOW) == exam.given != first
    assert exam.answer("  ", NOW) is None and exam.given is None


def test_when_the_time_is_up_nothing_is_taken() -> None:
    exam = rehearsal(minutes=8)
    late = NOW + timedelta(minutes=8)
    assert exam.left(NOW) == timedelta(minutes=8) and not exam.over(NOW)
    assert exam.over(late) and exam.left(late + timedelta(hours=1)) == timedelta(0)
    exam.go(0)
    assert exam.answer(right_text(exam.question), late) is None and not exam.answers
    exam.hand_in(late + timedelta(minutes=3))
    assert exam.handed_in == late and not exam.answer("1", NOW)


def test_turning_the_pages_stays_inside() -> None:
    exam = rehearsal()
    exam.go(-5)
    assert exam.at == 0 and exam.problem is exam.problems[0]
    exam.go(10_000)
    assert exam.at == len(exam.places) - 1 and exam.problem is exam.problems[-1]


def test_the_record_hears_of_a_rehearsal_as_of_any_climb() -> None:
    exam = rehearsal()
    heard: dict[ProblemRequest, list[Event]] = {wish: [] for wish in exam.wishes}
    exam.hand_in(NOW)
    exam.marked(lambda wish: heard[wish].append)
    for wish, events in heard.items():
        problem: Problem = made(wish)
        assert len(events) == len(problem.questions) + 1  # it began, each was skipped


def test_a_rehearsal_is_mixed() -> None:
    wishes = mixed(10, Chance(8))
    assert len({wish.family for wish in wishes}) >= 6
    assert len({wish.level for wish in wishes}) >= 3
    assert {wish.task for wish in wishes} == set(Task)
    assert len(set(REASON_OF)) == 4


# --------------------------------------------------------------------- the next of a sitting


def sat(run: sim.Run, count: int, mode: Mode = Mode.UNTIL_DONE) -> list[ProblemRequest]:
    """Climb what the sitting says, so many times."""
    for _ in range(count):
        chance = Chance(run.seed, "sitting", len(run.wishes))
        run.climb(next_wish(run.states, run.now, None, mode, run.wishes[-20:], chance))
    return run.wishes[-count:]


def test_an_example_is_followed_by_a_problem_of_its_family() -> None:
    for seed in range(4):
        run = sim.Run(lambda problem, question: (Outcome.OPEN, 0, 0, ()), seed)
        first, second = sat(run, 2)
        assert first.family == second.family and first.task is second.task
        assert filled(run.states, first.family or "", first.task or Task.ANALYSE) > 1 / FADES - 1e-9
        kinds = [find(wish.family or "").type for wish in sat(run, 8)]
        assert not any(a is b is c for a, b, c in zip(kinds, kinds[1:], kinds[2:], strict=False))


def test_what_is_due_or_weak_comes_before_anything_new() -> None:
    states = known(ago=30, but={"taps/q": 0.5, "one-pole/corner": 0.4})
    for task in Task:  # nothing of the ladders was ever asked
        states = {s: v for s, v in states.items() if not s.startswith("ladders/")}
        only = wanted(states, NOW, None, Mode.UNTIL_DONE)
        assert {"taps/q", "one-pole/corner"} <= only
        wish = next_wish(states, NOW, None, Mode.UNTIL_DONE, [], Chance(3), (task,))
        asked = {skill_of(wish.family or "", q.rung) for q in made(wish).questions}
        assert asked & only
    weak = wanted(states, NOW, None, Mode.WEAK_SPOTS)
    assert weak == {"taps/q", "one-pole/corner"}
    wish = next_wish(states, NOW, None, Mode.WEAK_SPOTS, [], Chance(3))
    assert weak & {skill_of(wish.family or "", q.rung) for q in made(wish).questions}


# ---------------------------------------------------------------- what there is to predict


def test_predictions_wait_until_filters_are_known_at_sight() -> None:
    before = {skill: state for skill, state in known().items() if "/type" not in skill}
    asked = [Rung.CORNER] * 30
    for seed in range(6):
        chance = Chance(seed)
        wish = next_wish(before, NOW, None, Mode.UNTIL_DONE, [], chance, asked=asked)
        assert wish.task is not Task.PREDICT
        wish = next_wish(known(), NOW, None, Mode.UNTIL_DONE, [], chance, asked=asked)
        assert wish.task is Task.PREDICT and wish.problem().task is Task.PREDICT
    assert not prediction_due([]) and not prediction_due([Rung.GAIN_AT, *asked[:5]])


def test_predictions_are_made_of_circuits_that_are_known_at_sight_alone() -> None:
    name = skill_name(SkillGroup.TAPS, Rung.TYPE)
    states = {name: known()[name]}
    for seed in range(4):
        asked = [Rung.CORNER] * 30
        wish = next_wish(states, NOW, None, Mode.TEN_MINUTES, [], Chance(seed), asked=asked)
        assert wish.task is Task.PREDICT and group_of(wish.family or "") is SkillGroup.TAPS


def test_one_question_in_six_of_a_mixed_sitting_is_a_prediction() -> None:
    lacking = known(but={"taps/q": 0.5, "lc-arms/corner": 0.5})
    states = {s: st for s, st in lacking.items() if TASK_OF[parts_of(s)[1]] is not Task.PREDICT}
    counted = Counter[bool]()
    wishes: list[ProblemRequest] = []
    for place in range(40):
        wish = next_wish(states, NOW, None, Mode.TEN_MINUTES, wishes[-20:], Chance(7, place))
        wishes.append(wish.settled({}))
        for rung in wishes[-1].asked:
            counted[TASK_OF[rung] is Task.PREDICT] += 1
    assert 1 / 7 <= counted[True] / counted.total() <= 1 / 5
