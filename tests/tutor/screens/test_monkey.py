"""Any key at any time, pastes and resize storms: nothing breaks, and the keyboard still works."""

from __future__ import annotations

import pytest
from rungwise.problems.chance import Chance
from rungwise.problems.questions.model import Form
from rungwise.tutor.screens.answers.answering import AnswerControls
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.answers.entry import TypingLine
from textual import events
from textual.pilot import Pilot

from tests.support.samples import sample

from .stage import SMALL, climb, drill, question, settled, stage

pytestmark = pytest.mark.usefixtures("painted")

KEYS = (
    *"abcdefgz0123456789.?*+-/()^%[]{}\\|~ ",
    *("enter", "escape", "tab", "shift+tab", "space", "backspace", "delete"),
    *("up", "down", "left", "right", "home", "end", "pageup", "pagedown"),
    *("f1", "f2", "f3", "f4", "f5", "f6", "f7", "ctrl+p", "ctrl+r", "ctrl+s", "ctrl+t"),
    *("ctrl+a", "ctrl+k", "ctrl+u", "ctrl+w", "n", "enter", "enter", "f4", "f3"),
)
PASTES = ("4.7 kHz\n", "[red]", "\x1b[2J", "9" * 5000, "√(L/C)", "−40 dB/decade", "\x00\u202e")


def keys(chance: Chance, count: int) -> list[str]:
    return [chance.pick(KEYS) for _ in range(count)]


async def burst(pilot: Pilot[None], pressed: list[str]) -> None:
    """Send keys as fast as a terminal can: without waiting for each to be handled."""
    driver = pilot.app._driver
    assert driver is not None
    for key in pressed:
        character = key if len(key) == 1 else " " if key == "space" else None
        name = {"?": "question_mark", " ": "space"}.get(key, key)
        driver.send_message(events.Key(name, character))
    await pilot.pause()


@pytest.mark.parametrize("seed", range(sample(2, 3)))
async def test_hundreds_of_random_keys(seed: int) -> None:
    """160 keys a seed; ``python -m tests.journeys.monkey 20000`` plays for long."""
    chance = Chance(seed, "monkey")
    async with stage(SMALL, level=1 + seed, seed=seed) as pilot:
        for _ in range(sample(8, 12)):
            await burst(pilot, keys(chance, 20))
            if chance.below(4) == 0 and pilot.app.screen.focused is not None:
                pilot.app.screen.focused.post_message(events.Paste(chance.pick(PASTES)))
            if chance.below(4) == 0:
                await pilot.resize_terminal(1 + chance.below(220), 1 + chance.below(70))
            assert pilot.app._exception is None
        await pilot.resize_terminal(*SMALL)
        await settled(pilot)
        for _ in range(5):  # whatever is open can be left
            if pilot.app.screen is drill(pilot):
                break
            await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is drill(pilot)
        for _ in range(40):  # and the climb goes on from where it is
            if climb(pilot).done:
                break
            await pilot.press("f4", "enter")
        assert climb(pilot).done


async def test_a_resize_storm() -> None:
    chance = Chance(1, "storm")
    async with stage(SMALL, level=4) as pilot:
        turns = sample(15, 25)
        for turn in range(turns):
            await pilot.resize_terminal(1 + chance.below(240), 1 + chance.below(80))
            if turn % 5 == 4:
                await pilot.press("f4")
        await pilot.resize_terminal(*SMALL)
        assert climb(pilot).position == turns // 5
        assert pilot.app._exception is None


async def test_a_late_choice_answers_no_typed_question() -> None:
    """A choice that was submitted twice in a burst comes when a number is asked for already."""
    async with stage(SMALL) as pilot:
        await pilot.press("f4")
        while question(pilot).form is Form.CHOICE:
            await pilot.press("f4")
        answering = drill(pilot).query_one(AnswerControls)
        choices, entry = answering.query_one(Choices), answering.query_one(TypingLine)
        before = climb(pilot).position
        choices.post_message(Choices.Submitted(7, choices.serial))
        await settled(pilot)
        assert pilot.app._exception is None
        assert climb(pilot).position == before and not climb(pilot).current.marks
        while question(pilot).form is not Form.CHOICE and not climb(pilot).done:
            await pilot.press("f4")
        if not climb(pilot).done:  # and the other way about
            before = climb(pilot).position
            entry.post_message(TypingLine.Submitted("4.7 kHz", entry.serial))
            await settled(pilot)
            assert climb(pilot).position == before and not climb(pilot).current.marks


def test_there_is_no_last_choice_among_none() -> None:
    """End, pressed before the first problem has been made."""
    choices = Choices()
    choices.action_pick(-1)
    choices.action_step(1)
    assert choices.picked is None
