"""The rehearsal by keyboard: nothing marked until the end, its clock, its review."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form
from rungwise.tutor.language.texts import Words, fill
from rungwise.tutor.phrases.skills import skill_parts
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.page import PageLines
from rungwise.tutor.screens.drill.summit import SummitScreen
from rungwise.tutor.screens.opening.rehearsing import begin
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.screens.rehearsal.choice import HandInScreen, LengthScreen
from rungwise.tutor.screens.rehearsal.review import ReviewScreen
from rungwise.tutor.screens.rehearsal.screen import RehearsalPhase, RehearsalScreen
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.rehearsals import latest
from textual.pilot import Pilot

from tests.tutor.store.climbing import wrong_text

from .clockwork import Clock, clockwork, tutor
from .stage import (
    LARGE,
    MEDIUM,
    SMALL,
    past_looks,
    past_their_page,
    settled,
    squeezed,
    text,
    type_in,
)


def say(key: str, **values: object) -> str:
    return fill("rehearsal", key, values.items())


@asynccontextmanager
async def rehearsing(
    home: Path,
    size: tuple[int, int] = SMALL,
    count: int = 2,
    minutes: int | None = 20,
    seed: int = 5,
    clock: Clock | None = None,
) -> AsyncIterator[tuple[Pilot[None], Clock]]:
    with clockwork(clock) as running:
        keeper = Keeper("", home)
        app = Rungwise(
            keeper=keeper,
            fresh=False,
            clock=running,
            then=lambda opening: begin(opening, count, minutes, seed),
        )
        async with app.run_test(size=size) as pilot:
            await settled(pilot)
            await past_looks(pilot)
            yield pilot, running
        app.let_go()


def exam_of(pilot: Pilot[None]) -> RehearsalScreen:
    screen = next(s for s in pilot.app.screen_stack if isinstance(s, RehearsalScreen))
    assert screen.going is not None
    return screen


async def give(pilot: Pilot[None], *, rightly: bool = True) -> None:
    """Answer the question on the screen by keyboard; a sketch as its pad submits it."""
    screen = exam_of(pilot)
    question = screen.body.asked
    assert question is not None
    words = right_text(question) if rightly else wrong_text(question)
    if question.form is Form.CHOICE:
        place = [choice.id for choice in question.choices].index(words)
        await pilot.press("abcdefghij"[place], "enter")
    elif question.form is Form.SKETCH:
        answering = screen.query_one(AnswerControls)
        answering.post_message(AnswerControls.Given(words, answering.serial))
        await pilot.pause()
    else:
        await type_in(pilot, words)


async def through(pilot: Pilot[None]) -> None:
    """Every question: right, wrong and left open by turns."""
    screen = exam_of(pilot)
    gone = sum(screen.going.rehearsal.reached)  # type: ignore[union-attr]
    while screen.phase is RehearsalPhase.ANSWER:
        turn = screen.going.rehearsal.at % 3  # type: ignore[union-attr]
        sketch = screen.body.asked is not None and screen.body.asked.form is Form.SKETCH
        if turn == 2 or (turn == 1 and sketch):
            await pilot.press("f4")
        else:
            await give(pilot, rightly=not turn)
        assert screen.going is not None
        gone += 1
        assert sum(screen.going.rehearsal.reached) == gone


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_no_mark_is_shown_until_it_is_handed_in(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    marks = [Words.load().ui(f"drill.{key}") for key in ("right", "wrong", "shown", "rough")]
    async with rehearsing(tmp_path, size) as (pilot, _):
        screen = exam_of(pilot)
        exam = screen.going.rehearsal  # type: ignore[union-attr]
        for rightly in (True, False, True):
            before = exam.at
            await give(pilot, rightly=rightly)
            shown = squeezed(pilot)
            assert exam.at == before + 1
            assert say("ask.taken") in shown and not any(mark in shown for mark in marks)
            assert "✓" not in shown and "✗" not in shown
        await pilot.press("f2", "f3", "question_mark")  # no hint, no answer
        assert exam.at == 3 and "Hint 1" not in squeezed(pilot)
        assert say("ask.no-hint")[:20] in squeezed(pilot)
        await through(pilot)
        said = say("ask.complete", given=len(exam.answers), count=len(exam.places))
        assert said.split(";")[0] in squeezed(pilot) and say("ask.onward") in text(pilot)
        assert not Keeper("", tmp_path).evidence()
        await pilot.press("enter")
        await settled(pilot)
        assert exam_of(pilot).phase is RehearsalPhase.HANDED
        await pilot.press("enter")
        await settled(pilot)
        await past_their_page(pilot)
        review = pilot.app.screen
        assert isinstance(review, ReviewScreen)
        assert len(review.result.items) == len(exam.places)
        assert {(i.number, i.at) for i in review.result.items if i.answered} == set(exam.answers)
        keeper = Keeper("", tmp_path)
        assert len(keeper.evidence()) == len(exam.places)


async def test_what_cannot_be_read_is_said_and_the_question_stays(tmp_path: Path) -> None:
    async with rehearsing(tmp_path, MEDIUM) as (pilot, _):
        screen = exam_of(pilot)
        while screen.body.asked is not None and screen.body.asked.form is not Form.COUNT:
            await pilot.press("f4")
        exam = screen.going.rehearsal  # type: ignore[union-attr]
        before = exam.at
        await type_in(pilot, "[b]2")
        assert exam.at == before and "Not understood:" in text(pilot)
        await pilot.press("escape")
        await give(pilot)
        assert exam.at == before + 1 and "Not understood:" not in text(pilot)


async def test_problems_are_turned_and_a_question_left_is_not_come_back_to(tmp_path: Path) -> None:
    async with rehearsing(tmp_path, count=3) as (pilot, _):
        exam = exam_of(pilot).going.rehearsal  # type: ignore[union-attr]
        await pilot.press("f4", "pagedown")
        assert exam.places[exam.at] == (1, 0) and "problem 2 of 3" in text(pilot)
        await pilot.press("pageup")
        assert exam.places[exam.at] == (0, 1) and "Question 2 of" in text(pilot)
        assert "○" in text(pilot)  # the one that was left open


async def test_when_the_time_is_up_what_is_there_is_marked(tmp_path: Path) -> None:
    async with rehearsing(tmp_path, minutes=2) as (pilot, clock):
        screen = exam_of(pilot)
        await give(pilot)
        assert "2:00 left" in text(pilot)
        for _ in range(3):
            clock.on(seconds=30)
            screen._tick()
        assert "0:30 left" in text(pilot)
        await pilot.press("f9")
        await settled(pilot)
        assert isinstance(pilot.app.screen, HandInScreen)
        clock.on(seconds=31)
        screen._tick()
        await settled(pilot)
        await pilot.pause(0.3)
        await settled(pilot)
        await past_their_page(pilot)
        review = pilot.app.screen
        assert isinstance(review, ReviewScreen)
        assert review.result.right == 1 and review.result.used == 120
        assert review.result.left_open == len(review.result.items) - 1
        assert latest(Keeper("", tmp_path)) is not None


async def test_an_answer_that_comes_too_late_is_not_taken(tmp_path: Path) -> None:
    async with rehearsing(tmp_path, minutes=2) as (pilot, clock):
        screen = exam_of(pilot)
        for _ in range(4):
            clock.on(seconds=29)
            screen.going.rehearsal.tick(clock())  # type: ignore[union-attr]
        clock.on(seconds=5)
        await give(pilot)
        await settled(pilot)
        await past_their_page(pilot)
        assert isinstance(pilot.app.screen, ReviewScreen)
        assert pilot.app.screen.result.right == 0


async def test_leaving_stops_the_clock_and_one_key_goes_on(tmp_path: Path) -> None:
    async with rehearsing(tmp_path, MEDIUM) as (pilot, clock):
        screen = exam_of(pilot)
        await give(pilot)
        while (asked := screen.body.asked) is not None and asked.form in (Form.CHOICE, Form.SKETCH):
            await pilot.press("f4")
        clock.on(seconds=50)
        screen._tick()
        at = screen.going.rehearsal.at  # type: ignore[union-attr]
        await pilot.press("7", "5")
        await pilot.app.run_action("screen.pause")  # Esc takes back what is typed first
        await settled(pilot)
        assert isinstance(pilot.app.screen, OpeningScreen)
        assert fill("opening", "about.rehearse-on", [("left", "20 min left")]) in squeezed(pilot)
        clock.on(minutes=55)
        await pilot.press("r")
        await settled(pilot)
        again = exam_of(pilot).going.rehearsal  # type: ignore[union-attr]
        assert again.at == at and "75" in text(pilot)
        assert again.left(clock()) == timedelta(minutes=20, seconds=-50)


async def test_another_tutor_goes_on_after_this_one_was_closed(tmp_path: Path) -> None:
    async with rehearsing(tmp_path) as (pilot, clock):
        exam = exam_of(pilot).going.rehearsal  # type: ignore[union-attr]
        await give(pilot)
        clock.on(seconds=40)
        pilot.app.exit()
    with clockwork(clock):
        clock.on(days=1)
        app = tutor(tmp_path, clock)
        async with app.run_test(size=MEDIUM) as pilot:
            await settled(pilot)
            assert "20 min left" in squeezed(pilot)
            await pilot.press("r")
            await settled(pilot)
            again = exam_of(pilot).going.rehearsal  # type: ignore[union-attr]
            assert (again.at, len(again.answers)) == (exam.at, 1)
            assert again.left(clock()) == timedelta(minutes=20, seconds=-40)
        app.let_go()


async def test_handing_in_early_is_asked_once_more(tmp_path: Path) -> None:
    async with rehearsing(tmp_path) as (pilot, _):
        exam = exam_of(pilot).going.rehearsal  # type: ignore[union-attr]
        await give(pilot)
        await pilot.press("f9")
        await settled(pilot)
        assert isinstance(pilot.app.screen, HandInScreen)
        assert f"1 of {len(exam.places)} questions" in squeezed(pilot)
        await pilot.press("escape")
        await settled(pilot)
        assert exam_of(pilot).phase is RehearsalPhase.ANSWER and pilot.app.screen is exam_of(pilot)
        await pilot.press("down", "7")
        typed = exam_of(pilot).body.controls.draft
        await pilot.press("f9", "enter")
        await settled(pilot)
        assert say("ask.handed")[:40] in squeezed(pilot)
        await pilot.press("escape")  # there is no clock to be stopped any more
        await pilot.press("u")  # an accident
        await settled(pilot)
        assert typed and exam_of(pilot).body.controls.draft == typed
        assert exam_of(pilot).phase is RehearsalPhase.ANSWER and exam.handed_in is None
        assert say("ask.taken-back") in squeezed(pilot)
        await pilot.press("f9", "enter")
        await settled(pilot)
        await pilot.press("enter", "u")
        await settled(pilot)
        await past_their_page(pilot)
        assert isinstance(pilot.app.screen, ReviewScreen)


async def test_the_length_is_chosen_and_the_last_review_is_there(tmp_path: Path) -> None:
    with clockwork() as clock:
        app = tutor(tmp_path, clock)
        async with app.run_test(size=SMALL) as pilot:
            await settled(pilot)
            await pilot.press("r")
            await settled(pilot)
            assert isinstance(pilot.app.screen, LengthScreen)
            assert say("choose.last") not in text(pilot)
            await pilot.press("up", "enter")
            await settled(pilot)
            await past_looks(pilot)
            going = exam_of(pilot).going
            assert going is not None and len(going.rehearsal.problems) == 3
            await give(pilot)
            await pilot.press("f9", "enter")
            await settled(pilot)
            await pilot.press("enter")
            await settled(pilot)
            await past_their_page(pilot)
            await pilot.press("escape")
            await settled(pilot)
            assert isinstance(pilot.app.screen, OpeningScreen)
            await pilot.press("r")
            await settled(pilot)
            assert say("choose.last") in text(pilot)
            await pilot.press("end", "enter")
            await settled(pilot)
            await settled(pilot)
            await past_their_page(pilot)
            assert isinstance(pilot.app.screen, ReviewScreen)
            assert pilot.app.screen.result.right == 1
        app.let_go()


# The review


@asynccontextmanager
async def reviewing(home: Path, size: tuple[int, int]) -> AsyncIterator[Pilot[None]]:
    async with rehearsing(home, size, seed=8) as (pilot, _):
        await through(pilot)
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        yield pilot


async def test_every_question_has_its_answers_slips_and_worked_solution(tmp_path: Path) -> None:
    async with reviewing(tmp_path, SMALL) as pilot:
        await past_their_page(pilot)
        review = pilot.app.screen
        assert isinstance(review, ReviewScreen)
        items = review.result.items
        assert review._spot == next(n for n, i in enumerate(items) if i.answered and not i.right)
        for size in (SMALL, LARGE):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            await all_read(pilot, review, size)
        await worked_solutions(pilot, review)


async def all_read(pilot: Pilot[None], review: ReviewScreen, size: tuple[int, int]) -> None:
    """Every question of a review, then its skills."""
    result, named = review.result, 0
    await pilot.press(*["up"] * review._spot)
    for item in result.items:
        assert review.item is item
        page = review.query_one("#review-item").query_one(PageLines)
        shown = " ".join(page.render().plain.split())
        assert say("review.given") in shown
        assert (say("review.none") in shown) == (not item.answered)
        assert (say("review.answer") in shown) == (not item.right)
        mark = item.state.last
        if mark is not None and mark.slips and size != SMALL:
            named += 1
            sentence = Words.load().slip(mark.slips[0])
            assert " ".join(sentence.split()[:4]) in shown
        await pilot.press("down")
    assert named or size == SMALL
    if not review.roomy:
        await pilot.press("tab")
    rung, _ = skill_parts(result.scores[0].skill)
    assert say("review.skills") in text(pilot) and rung in text(pilot)


async def worked_solutions(pilot: Pilot[None], review: ReviewScreen) -> None:
    """Enter opens the worked solution and leads on."""
    await pilot.press(*["up"] * len(review.result.items), "enter")
    await settled(pilot)
    assert isinstance(pilot.app.screen, SummitScreen)
    assert pilot.app.screen._climb is review.result.climbs[0]
    await pilot.press("enter")
    await settled(pilot)
    assert isinstance(pilot.app.screen, SummitScreen)
    assert pilot.app.screen._climb is review.result.climbs[1]
    await pilot.press("enter")
    await settled(pilot)
    assert pilot.app.screen is review and review.item.number == 1
    await pilot.press("left", "right", "tab", "tab", "pagedown", "escape")
    await settled(pilot)
    assert isinstance(pilot.app.screen, OpeningScreen)
