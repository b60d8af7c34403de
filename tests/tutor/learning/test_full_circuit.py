"""One circuit in full: the type first and cold, the ends spared, six to eight questions."""

from __future__ import annotations

import pytest
from rungwise.problems.catalogue.groups import LEVELS
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.kinds import REASON_OF
from rungwise.problems.questions.model import Rung, Task
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import MoveKind, Outcome
from rungwise.tutor.learning.full_circuit import ENDS, LEAST, MOST, most_telling, new_ends, spared
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.skills import SkillState

from tests.tutor.store.climbing import wrong_text


@pytest.mark.parametrize("level", LEVELS)
def test_six_to_eight_questions_the_type_first(level: int) -> None:
    for seed in range(25):
        wish = ProblemRequest(level, None, seed)
        problem, whole = wish.problem(), wish.whole()
        rungs = [question.rung for question in problem.questions]
        ends = spared(problem)
        if Rung.TYPE in {question.rung for question in whole.questions}:
            assert rungs[0] is Rung.TYPE
            assert ends == set(ENDS) & {question.rung for question in whole.questions}
        counted = [rung for rung in rungs if rung not in ends]
        assert len(counted) <= MOST
        assert len(counted) >= min(LEAST, len([q for q in whole.questions if q.rung not in ends]))
        assert Rung.INDEPENDENT not in rungs
        by_rung = {question.rung: question for question in whole.questions}
        assert all(by_rung[question.rung] == question for question in problem.questions)


def test_the_ends_are_asked_after_an_error_alone() -> None:
    problem = ProblemRequest(3, None, 7).problem()
    ends = spared(problem)
    assert ends
    heard: list[object] = []
    climb = Climb(problem, heard.append, spare=ends)
    climb.answer(right_text(climb.current.question))
    left = [state.outcome for state in climb.rungs if state.question.rung in ends]
    assert set(left) == {Outcome.SPARED} and climb.current.question.rung not in ENDS
    spare = [event for event in heard if getattr(event, "kind", None) is MoveKind.SPARED]
    assert len(spare) == len(ends) and not climb.summary().skipped
    climb = Climb(problem, spare=ends)
    climb.answer(wrong_text(climb.current.question))
    climb.answer(right_text(climb.current.question))
    assert climb.current.question.rung in ENDS


def test_while_the_ends_are_new_they_are_asked() -> None:
    problem = ProblemRequest(3, None, 7).problem()
    new = new_ends({})
    assert new == set(ENDS) and not spared(problem, new)
    states = {
        f"{group}/{rung}": SkillState(f"{group}/{rung}", right=2)
        for group in ("one-pole", "taps")
        for rung in ENDS
    }
    assert not new_ends(states)  # right four times in all, of whatever circuits


def test_what_is_mastered_is_left_out_and_the_learner_may_choose() -> None:
    wish = ProblemRequest(4, None, 3)
    whole = wish.whole()
    corner = next(q.rung for q in whole.questions if q.rung is Rung.CORNER)
    from rungwise.tutor.learning.skill_map import skill_of

    known = skill_of(whole.family, corner)
    asked = wish.settled({known: SkillState(known, p=0.97, asked=9, right=9)}).asked
    pool = [q.rung for q in whole.questions if q.rung not in (*ENDS, Rung.INDEPENDENT)]
    if len(pool) > LEAST:
        assert corner not in asked or len(asked) <= LEAST + len(ENDS)
    chosen = ProblemRequest(4, None, 3, kinds=(Rung.Q, Rung.BANDWIDTH)).problem()
    assert {question.rung for question in chosen.questions} <= {Rung.Q, Rung.BANDWIDTH}
    sketch = ProblemRequest(2, None, 7, Task.SKETCH)
    assert sketch.problem() == sketch.whole()  # one thing to do: nothing is left out


def test_somebody_fluent_is_asked_what_shows_most() -> None:
    """The type first, a reason only after what it is the reason of, never the two counts."""
    for seed in range(40):
        whole = ProblemRequest(1 + seed % 6, None, seed).whole()
        made = [question.rung for question in whole.questions]
        shows = {rung: {f"{rung.value} believed"} for rung in made}
        if Rung.TYPE not in made:
            continue
        worth = {f"{rung.value} believed": 1.0 + (n * 7 + seed) % 11 for n, rung in enumerate(made)}
        asked = most_telling(whole, shows, worth)
        assert len(set(asked)) == len(asked) and set(asked) <= set(made)
        counted = [rung for rung in asked if rung not in ENDS]
        assert counted[0] is Rung.TYPE and len(counted) <= MOST
        assert not {Rung.POLES, Rung.INDEPENDENT} <= set(asked)
        for parent, reason in REASON_OF.items():
            assert reason not in counted or parent in counted
        dearest = max(
            (r for r in made if r not in ENDS and r not in REASON_OF.values()),
            key=lambda r: worth[f"{r.value} believed"] if r is not Rung.TYPE else 0,
        )
        assert dearest in asked
