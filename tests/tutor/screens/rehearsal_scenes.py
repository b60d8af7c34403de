"""Scenes of revision: a rehearsal going on, its end, its review; the end of a sitting."""

from __future__ import annotations

import math
from datetime import date

from rungwise.problems.grading.grade import right_text
from rungwise.problems.quantities.write import write_quantity
from rungwise.problems.questions.model import Form, Question, Rung
from rungwise.tutor.coach.outlook import board_now
from rungwise.tutor.coach.session_sum import SummingUp
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.phrases.skills import slip_words
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.drill.session_end import SummingUpScreen
from rungwise.tutor.screens.opening.rehearsing import begin
from rungwise.tutor.screens.rehearsal.review import ReviewScreen
from rungwise.tutor.screens.rehearsal.screen import RehearsalPhase, RehearsalScreen
from textual.pilot import Pilot

from tests.tutor.store.climbing import wrong_text

from .clockwork import Clock
from .learners import NOW, Memory, past
from .stage import past_looks, past_their_page, settled, type_in

SLIPS = ("radians-as-hertz", "two-pi-twice", "prefix-lost", "load-ignored")


def memory() -> Memory:
    """The record of somebody who has climbed for weeks."""
    return Memory(past(40, 1, SLIPS), exam="2026-12-14")


def rehearsing() -> Rungwise:
    """The tutor at a rehearsal that has just begun; its clock moves only with the scenes."""
    return Rungwise(
        keeper=memory(),  # type: ignore[arg-type]
        fresh=False,
        clock=Clock(),
        then=lambda opening: begin(opening, 4, None, 5),
    )


def screen_of(pilot: Pilot[None]) -> RehearsalScreen:
    """The rehearsal, under whatever lies on it."""
    return next(s for s in pilot.app.screen_stack if isinstance(s, RehearsalScreen))


def mistaken(question: Question) -> str:
    """A wrong answer that a learner might give."""
    match question.form:
        case Form.SLOPE:
            return f"{int(question.figure) - 20} dB/decade"
        case Form.ANGLE:
            return f"{int(question.figure) - 90}°"
        case Form.LEVEL:
            return write_quantity(question.figure - 50, question.unit)
        case Form.QUANTITY:
            if question.rung is Rung.CORNER:  # ω₀ given as f₀
                return f"{2 * math.pi * question.figure:.4g} Hz"
            return write_quantity(3 * question.figure, question.unit)
        case Form.RATIO | Form.GAIN:
            return write_quantity(question.figure / 2, "")
    return wrong_text(question)


async def give(pilot: Pilot[None], *, rightly: bool) -> None:
    """Answer the question in hand."""
    screen = screen_of(pilot)
    question = screen.body.asked
    assert question is not None
    words = right_text(question) if rightly else mistaken(question)
    if question.form is Form.CHOICE:
        place = [choice.id for choice in question.choices].index(words)
        await pilot.press("abcdefghij"[place], "enter")
    elif question.form is Form.SKETCH:
        answering = screen.query_one(AnswerControls)
        answering.post_message(AnswerControls.Given(words, answering.serial))
        await pilot.pause()
    else:
        await type_in(pilot, words)


async def some(pilot: Pilot[None], count: int) -> None:
    """So many questions: most right, every fourth wrong, every seventh left open."""
    await settled(pilot)
    await past_looks(pilot)
    screen, clock = screen_of(pilot), pilot.app.clock  # type: ignore[attr-defined]
    for number in range(1, count + 1):
        if screen.phase is not RehearsalPhase.ANSWER:
            break
        clock.on(seconds=17 + 5 * (number % 4))
        sketch = screen.body.asked is not None and screen.body.asked.form is Form.SKETCH
        if number % 7 == 0 or (sketch and number % 4 == 0):
            await pilot.press("f4")
        else:
            corner = screen.body.asked is not None and screen.body.asked.rung is Rung.CORNER
            await give(pilot, rightly=number % 4 != 0 and not corner)
    screen._tick()
    await settled(pilot)


async def asked(pilot: Pilot[None]) -> None:
    """In the middle: some answers taken, one question left open."""
    await some(pilot, 12)


async def handing_in(pilot: Pilot[None]) -> None:
    """Asked whether it is to be handed in."""
    await some(pilot, 12)
    await pilot.press("f9")
    await settled(pilot)


async def reviewed(pilot: Pilot[None]) -> None:
    """The review, at a wrong answer whose slip is named."""
    await some(pilot, 100)
    while isinstance(pilot.app.screen, RehearsalScreen):
        await pilot.press("enter")
        await settled(pilot)
    await past_their_page(pilot)
    review = pilot.app.screen
    assert isinstance(review, ReviewScreen)
    while not ((mark := review.item.state.last) and mark.slips):
        await pilot.press("down")
    await settled(pilot)


async def scored(pilot: Pilot[None]) -> None:
    """The review's other page; in a large window it is the same."""
    await reviewed(pilot)
    await other_page(pilot)


async def other_page(pilot: Pilot[None]) -> None:
    """From one page of the review to the other."""
    await pilot.press("tab")
    await settled(pilot)


def summing_up() -> Rungwise:
    """The tutor of somebody who has just sat for ten minutes."""
    return Rungwise(keeper=memory(), fresh=False, clock=lambda: NOW)  # type: ignore[arg-type]


def a_sitting() -> SummingUp:
    """Ten minutes that are over."""
    return SummingUp(
        Mode.TEN_MINUTES,
        642.0,
        3,
        31,
        24,
        5,
        (("Frequency f₀", "L-sections"), ("Zeros", "One pole")),
        (("Q", "R-L-C taps"),),
        ((slip_words("load-ignored"), 2), (slip_words("radians-as-hertz"), 1)),
        (date(2026, 11, 26), 7),
        board_now(memory(), NOW),  # type: ignore[arg-type]
    )


async def summed(pilot: Pilot[None]) -> None:
    """What they came to."""
    await settled(pilot)
    pilot.app.push_screen(SummingUpScreen(a_sitting()))
    await settled(pilot)


async def length(pilot: Pilot[None]) -> None:
    """How long a rehearsal is to be."""
    await settled(pilot)
    await pilot.press("r")
    await settled(pilot)
