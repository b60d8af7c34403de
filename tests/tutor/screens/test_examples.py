"""Worked examples in the drill: shown before a new family, fading, and handed over at a key."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Task
from rungwise.tutor.coach.planner import SessionPlan
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Move, Outcome
from rungwise.tutor.learning.course import MoveKind as Made
from rungwise.tutor.learning.evidence import Evidence
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.common.onward import OnwardLine
from rungwise.tutor.screens.drill.screen import DrillPhase, DrillScreen
from textual.pilot import Pilot

from .learners import Memory, returning
from .stage import settled

WISH = ProblemRequest(1, "rc-low-pass", 5)
NOW = datetime(2026, 11, 25, tzinfo=UTC)


def seen(times: int, *, first: Outcome = Outcome.RIGHT) -> list[Evidence]:
    """The family was climbed some times, never well."""
    return [
        Evidence(
            NOW, "rc-low-pass", 1, seed, Task.ANALYSE, question.rung, len(question.choices), first,
            2, 0,
        )
        for seed in range(times)
        for question in WISH.problem().questions
    ]  # fmt: skip


async def drilled(pilot: Pilot[None], keeper: Memory, wish: ProblemRequest = WISH) -> DrillScreen:
    screen = DrillScreen(wish, plan=SessionPlan(keeper, Mode.UNTIL_DONE, Chance(1)))  # type: ignore[arg-type]
    await pilot.app.push_screen(screen)
    await settled(pilot)
    return screen


def climb_of(screen: DrillScreen) -> Climb:
    assert screen.climb is not None
    return screen.climb


async def test_the_first_of_a_family_is_worked_from_the_first_step_to_the_last() -> None:
    memory = Memory()
    async with returning(memory).run_test(size=(80, 24)) as pilot:
        screen = await drilled(pilot, memory)
        climb = climb_of(screen)
        for number, state in enumerate(climb.rungs):
            assert climb.position == number and screen.phase is DrillPhase.ONWARD
            assert isinstance(pilot.app.focused, OnwardLine)
            question = state.question
            if question.form not in (Form.CHOICE, Form.SKETCH):
                assert screen.body.controls.draft == right_text(question)
            await pilot.press("f2", "f3", "f4")  # no hint, answer or skip where nothing is asked
            await pilot.press("enter")
            await settled(pilot)
        assert climb.done
        assert {state.outcome for state in climb.rungs} == {Outcome.WORKED}
        assert climb.summary().asked == 0 and climb.summary().worked == len(climb.rungs)


async def test_t_hands_the_climb_over() -> None:
    memory = Memory()
    async with returning(memory).run_test(size=(80, 24)) as pilot:
        screen = await drilled(pilot, memory)
        climb = climb_of(screen)
        await pilot.press("enter", "t")
        await settled(pilot)
        assert climb.position == 1 and screen.phase is DrillPhase.ANSWER
        assert climb.rungs[0].outcome is Outcome.WORKED
        assert screen.body.controls.draft == ""  # what was shown is not there to be copied
        await pilot.press("f4")
        await settled(pilot)
        assert climb.rungs[1].outcome is Outcome.SKIPPED and screen.phase is DrillPhase.ANSWER


@pytest.mark.parametrize("times", [1, 2, 3])
async def test_the_first_steps_become_the_learners_first(times: int) -> None:
    memory = Memory(seen(times))
    async with returning(memory).run_test(size=(80, 24)) as pilot:
        screen = await drilled(pilot, memory)
        climb = climb_of(screen)
        worked = [state.question.rung in climb.worked for state in climb.rungs]
        assert not worked[0] and screen.phase is DrillPhase.ANSWER
        assert worked == sorted(worked)
        assert sum(worked) == len(worked) - -(-len(worked) * times // 3)


async def test_without_a_plan_or_a_record_nothing_is_shown_worked() -> None:
    memory = Memory()
    async with returning(memory).run_test(size=(80, 24)) as pilot:
        screen = DrillScreen(WISH)
        await pilot.app.push_screen(screen)
        await settled(pilot)
        assert not climb_of(screen).worked and screen.phase is DrillPhase.ANSWER
    assert not SessionPlan(None, Mode.UNTIL_DONE, Chance(1)).worked(WISH.problem())


def test_an_example_is_climbed_again_as_one() -> None:
    problem = WISH.problem()
    told: list[object] = []
    climb = Climb(problem, told.append, [q.rung for q in problem.questions[:2]])
    assert climb.example
    climb.work()
    climb.work()
    assert not climb.example
    again = Climb(problem)
    moves = [Move(Made.WORKED, question.rung) for question in problem.questions[:2]]
    assert again.replay(moves) == 2
    assert [s.outcome for s in again.rungs[:3]] == [Outcome.WORKED, Outcome.WORKED, Outcome.OPEN]
    assert len(told) == 3
