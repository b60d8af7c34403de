"""Sittings by keyboard: what is left of them, how they end, what they came to."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Task
from rungwise.tutor.coach import outlook, planner
from rungwise.tutor.coach.looking import Worth, worth_most_now
from rungwise.tutor.language.texts import entry, fill
from rungwise.tutor.learning import session as review_sitting
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.looks import ROUND_LENGTH
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.learning.session import Remaining, SessionUnit
from rungwise.tutor.learning.worked_examples import guidance
from rungwise.tutor.screens.drill.screen import DrillScreen
from rungwise.tutor.screens.drill.session_end import SummingUpScreen
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.store.keeper import Keeper
from textual.pilot import Pilot

from .clockwork import Clock, clockwork, tutor
from .stage import MEDIUM, settled, squeezed, text

WISHES = [
    ProblemRequest(1, "rc-low-pass", 2),
    ProblemRequest(1, "rl-high-pass", 3),
    ProblemRequest(1, "rc-high-pass", 4),
]


def say(key: str, **values: object) -> str:
    return fill("opening", f"sitting.{key}", values.items())


def climbed(home: Path, count: int = 3) -> None:
    """A past: some problems climbed, all wrong at first."""
    keeper = Keeper("", home)
    for seed in range(count):
        wish = ProblemRequest(1, "rc-low-pass", 40 + seed)
        climb = Climb(wish.problem(), keeper.begin(wish))
        while not climb.done:
            climb.answer("77")
            climb.answer(right_text(climb.current.question))
    keeper.close()


@asynccontextmanager
async def sitting(
    home: Path, key: str, monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[tuple[Pilot[None], Clock]]:
    """Somebody with a past sits down a day later; the problems that come are known."""
    given = iter(WISHES * 9)

    def next_wish(*_: object, **__: object) -> ProblemRequest:
        return next(given)

    with clockwork() as clock:
        climbed(home)
        clock.on(days=1)
        monkeypatch.setattr(review_sitting, "next_wish", next_wish)
        app = tutor(home, clock)
        async with app.run_test(size=MEDIUM) as pilot:
            await settled(pilot)
            await pilot.press(key)
            await settled(pilot)
            assert isinstance(app.screen, DrillScreen)
            yield pilot, clock
        app.let_go()


async def to_the_top(pilot: Pilot[None]) -> None:
    """Answer rightly what is asked, read what is shown worked; stop at the top."""
    drill = pilot.app.screen
    assert isinstance(drill, DrillScreen) and drill.climb is not None
    climb = drill.climb
    while not climb.done:
        question = climb.current.question
        if climb.example:
            await pilot.press("enter")
        elif question.form is Form.CHOICE:
            ids = [choice.id for choice in question.choices]
            await pilot.press("abcdefghij"[ids.index(right_text(question))], "enter")
        else:
            await pilot.press("f3", "enter")
    await settled(pilot)


async def onward(pilot: Pilot[None]) -> None:
    """From the top over the whole picture to what comes next."""
    await pilot.press("enter")
    await settled(pilot)
    await pilot.press("enter")
    await settled(pilot)


async def test_ten_minutes_end_after_the_problem_in_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(tmp_path, "t", monkeypatch) as (pilot, clock):
        drill = pilot.app.screen
        assert isinstance(drill, DrillScreen)
        assert say("minutes", count=10) in text(pilot).splitlines()[0]
        clock.on(minutes=6)
        drill.next._minute()
        await pilot.pause()
        assert say("minutes", count=4) in text(pilot).splitlines()[0]
        await to_the_top(pilot)
        await onward(pilot)
        assert pilot.app.screen is drill and drill.climb is not None
        assert not drill.climb.done
        clock.on(minutes=5)
        drill.next._minute()
        await pilot.pause()
        assert say("minutes-over") in text(pilot).splitlines()[0]
        await to_the_top(pilot)
        await onward(pilot)
        summed = pilot.app.screen
        assert isinstance(summed, SummingUpScreen)
        over, shown = summed._over, squeezed(pilot)
        assert over.mode is Mode.TEN_MINUTES and over.climbs == 2 and over.seconds == 660
        assert say("title-ten-minutes") in shown and say("work", count=2, time="11 min") in shown
        assert say("done", right=over.right, asked=over.asked) in shown
        evidence = Keeper("", tmp_path).evidence(clock().replace(hour=0))
        worked = sum(piece.outcome.value == "worked" for piece in evidence)
        assert (over.asked, over.worked) == (len(evidence) - worked, worked)
        assert over.right == sum(piece.outcome.value == "clean" for piece in evidence)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, OpeningScreen)
        assert fill("opening", "about.nothing") in squeezed(pilot)


async def test_time_that_runs_out_at_the_top_ends_it_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(tmp_path, "t", monkeypatch) as (pilot, clock):
        await to_the_top(pilot)
        clock.on(minutes=11)
        await onward(pilot)
        await settled(pilot)
        assert isinstance(pilot.app.screen, SummingUpScreen)
        await pilot.press("m")  # ten minutes more
        await settled(pilot)
        drill = pilot.app.screen
        assert isinstance(drill, DrillScreen) and drill.climb is not None
        assert say("minutes", count=10) in text(pilot).splitlines()[0]


async def test_weak_spots_are_counted_down_and_done_when_each_was_practised(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(tmp_path, "w", monkeypatch) as (pilot, clock):
        look = outlook.look(pilot.app.keeper, clock())  # type: ignore[attr-defined]
        weak = set(look.standing.weak)
        assert say("skills", count=len(weak)) in text(pilot).splitlines()[0]
        await to_the_top(pilot)
        today = Keeper("", tmp_path).states()
        left = [s for s in weak if today[s].last < clock().replace(hour=0).timestamp()]
        assert len(left) < len(weak)
        if left:
            said = say("skills-one") if len(left) == 1 else say("skills", count=len(left))
            assert said in text(pilot).splitlines()[0]
        else:
            await onward(pilot)
            assert isinstance(pilot.app.screen, SummingUpScreen)


async def test_until_done_goes_on_when_one_wants_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        review_sitting.Session, "remaining", lambda *_: Remaining(SessionUnit.PROBLEMS, 0)
    )
    async with sitting(tmp_path, "n", monkeypatch) as (pilot, _):
        for _ in range(2):
            await to_the_top(pilot)
            await onward(pilot)
            if isinstance(pilot.app.screen, SummingUpScreen):
                assert say("title-until-done") in squeezed(pilot)
                await pilot.press("m")
                await settled(pilot)
            # Then nothing ends it any more but the learner.
            assert isinstance(pilot.app.screen, DrillScreen)
        assert pilot.app.screen.climb is not None


def test_a_first_start_says_what_the_plan_does(tmp_path: Path) -> None:
    """Enter begins a round of looks; of circuits in full the first comes worked, to be read."""
    plan = planner.SessionPlan(None, Mode.UNTIL_DONE, planner.new_chance())
    problem = plan.next(Clock()()).problem()
    assert guidance({}, problem) == {question.rung for question in problem.questions}
    assert problem.task is Task.ANALYSE
    said = entry("opening", "first.say")
    assert f"Enter begins with {ROUND_LENGTH} looks" in " ".join(said.split())
    keeper = Keeper("", tmp_path)
    assert worth_most_now(keeper, Clock()()) is Worth.PLACING
    keeper.close()
