"""What the screen tests share: the tutor on a stage of given size, its text, its climb."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Form, Question, Rung, Task
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.full_circuit import ENDS
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.drill.screen import DrillScreen
from rungwise.tutor.screens.opening.exam_looks import ExamLooksPage, ExamLooksScreen
from textual import events
from textual.pilot import Pilot

SMALL, MEDIUM, LARGE = (80, 24), (120, 40), (200, 60)
SIZES = (SMALL, MEDIUM, LARGE)


@asynccontextmanager
async def stage(
    size: tuple[int, int] = SMALL,
    *,
    level: int = 1,
    family: str | None = None,
    seed: int = 7,
    task: Task | None = Task.ANALYSE,
) -> AsyncIterator[Pilot[None]]:
    """The tutor with its first problem on the screen."""
    app = Rungwise(ProblemRequest(None if family else level, family, seed, task))
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot


async def settled(pilot: Pilot[None]) -> None:
    """Wait until nothing is being prepared any more."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def past_looks(pilot: Pilot[None]) -> None:
    """Answer every look that a rehearsal begins with, by the first key."""
    screen = pilot.app.screen
    if isinstance(screen, ExamLooksScreen):
        screen.UNSEEN = 0.0  # type: ignore[misc]
        while pilot.app.screen is screen:
            await pilot.press("1")
            await pilot.pause()
        await settled(pilot)


async def past_their_page(pilot: Pilot[None]) -> None:
    """Go on from the page that says what those looks came to."""
    if isinstance(pilot.app.screen, ExamLooksPage):
        await pilot.press("enter")
        await settled(pilot)


def drill(pilot: Pilot[None]) -> DrillScreen:
    """The drill's screen, on top or not."""
    screen = pilot.app.screen_stack[0]
    assert isinstance(screen, DrillScreen)
    return screen


def climb(pilot: Pilot[None]) -> Climb:
    """The climb on the screen."""
    found = drill(pilot).climb
    assert found is not None
    return found


def question(pilot: Pilot[None]) -> Question:
    """The question being asked."""
    return climb(pilot).current.question


def text(pilot: Pilot[None]) -> str:
    """Everything on the screen, as text."""
    screen = pilot.app.screen
    lines = screen._compositor.render_strips(screen.size)
    return "\n".join("".join(segment.text for segment in line) for line in lines)


def squeezed(pilot: Pilot[None]) -> str:
    """The screen's text with every run of blanks and line breaks as one blank."""
    return " ".join(text(pilot).split())


async def type_in(pilot: Pilot[None], words: str) -> None:
    """Type and submit; what is long or not ASCII is pasted (the pilot waits at each key)."""
    if words.isascii() and len(words) < 8:
        await pilot.press(*(KEYS.get(c, c) for c in words), "enter")
        return
    focused = pilot.app.screen.focused
    assert focused is not None
    focused.post_message(events.Paste(words))
    await pilot.pause()
    await pilot.press("enter")


KEYS = {" ": "space"}


async def answer(pilot: Pilot[None], words: str) -> None:
    """Give an answer by keyboard: a choice by its id, anything else by typing it."""
    asked = question(pilot)
    if asked.form is Form.CHOICE:
        place = [choice.id for choice in asked.choices].index(words)
        await pilot.press("abcdefghij"[place], "enter")
    else:
        await pilot.press("escape")
        await type_in(pilot, words)


async def answer_rightly(pilot: Pilot[None]) -> None:
    """Give the right answer, which must be taken as right, and lead to the next question asked."""
    before, asked = climb(pilot).position, question(pilot)
    await answer(pilot, right_text(asked))
    if asked.form is Form.SKETCH:  # the right picture is looked at first
        await pilot.press("enter")
    left, *passed_over = climb(pilot).rungs[before : climb(pilot).position]
    assert left.question is asked and left.outcome in (Outcome.CLEAN, Outcome.RIGHT), left
    # The ends alone are passed over, and only where the type was right at once.
    assert all(state.outcome is Outcome.SPARED for state in passed_over), passed_over
    if passed_over:
        assert asked.rung is Rung.TYPE and left.outcome is Outcome.CLEAN
        assert {state.question.rung for state in passed_over} <= {*ENDS}
