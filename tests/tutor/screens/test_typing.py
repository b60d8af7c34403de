"""Typing an answer: what is echoed, undone, done again, and never lost."""

from __future__ import annotations

import pytest
from rungwise.problems.questions.model import Form, Rung
from rungwise.tutor.screens.answers.entry import MAX_TYPED, AnswerInput, TypingLine
from textual import events
from textual.pilot import Pilot

from .stage import answer_rightly, climb, drill, question, squeezed, stage


async def to(pilot: Pilot[None], rung: Rung) -> AnswerInput:
    """Answer until this question is asked; its line of typing."""
    while question(pilot).rung is not rung:
        await answer_rightly(pilot)
    return drill(pilot).query_one(TypingLine).line


async def press(pilot: Pilot[None], text: str) -> None:
    names = {" ": "space", ".": "full_stop", "-": "minus", "/": "slash"}
    await pilot.press(*(names.get(c, c) for c in text))


async def test_the_related_unit_is_told_while_typing() -> None:
    async with stage(family="rc-low-pass") as pilot:
        await to(pilot, Rung.CORNER)
        await press(pilot, "4.7k")
        assert "read as 4.7 kHz = 29.53 krad/s" in squeezed(pilot)
        await press(pilot, "x")
        assert "read as" not in squeezed(pilot)


async def test_undo_and_redo_of_what_is_not_submitted() -> None:
    async with stage(family="rc-low-pass") as pilot:
        line = await to(pilot, Rung.CORNER)
        await press(pilot, "4.7 kHz")
        await pilot.press("escape")
        assert line.value == ""
        await pilot.press("ctrl+z")
        assert line.value == "4.7 kHz" and line.cursor_position == 7
        assert "read as 4.7 kHz" in squeezed(pilot)
        await pilot.press("ctrl+z")
        assert line.value == "4.7 "
        await pilot.press("ctrl+z", "ctrl+z", "ctrl+z")
        assert line.value == ""
        await pilot.press("ctrl+y", "ctrl+y")
        assert line.value == "4.7 kHz"
        await pilot.press("ctrl+y", "ctrl+y")
        assert line.value == ""  # cleared once more
        await pilot.press("ctrl+z")
        line.post_message(events.Paste("100 nF and more\nof it"))
        await pilot.pause()
        assert line.value == "4.7 kHz100 nF and more"
        await pilot.press("ctrl+z")
        assert line.value == "4.7 kHz"


async def test_a_wrong_answer_can_be_had_back_and_a_right_one_is_not_carried_on() -> None:
    async with stage(family="rc-low-pass") as pilot:
        line = await to(pilot, Rung.CORNER)
        await press(pilot, "7 Hz")
        await pilot.press("enter")
        await press(pilot, "8")  # the next try replaces it
        assert line.value == "8"
        await pilot.press("ctrl+z")
        assert line.value == "7 Hz"
        await pilot.press("escape")
        await answer_rightly(pilot)
        if not climb(pilot).done and question(pilot).form is not Form.CHOICE:
            await pilot.press("ctrl+z")
            assert line.value == ""


@pytest.mark.parametrize("key", ["f2", "f7", "f6", "f1", "ctrl+p", "f5"])
async def test_nothing_typed_is_lost_by_looking_elsewhere(key: str) -> None:
    async with stage(family="rc-low-pass") as pilot:
        line = await to(pilot, Rung.CORNER)
        before = climb(pilot)
        await press(pilot, "4.7 k")
        await pilot.press(key)
        await pilot.pause()
        if pilot.app.screen is not drill(pilot):
            await pilot.press("escape")
            await pilot.pause()
        await pilot.resize_terminal(40, 10)
        await pilot.pause()
        await pilot.resize_terminal(100, 30)
        await pilot.pause()
        assert line.value == "4.7 k" and line.has_focus
        assert climb(pilot) is before
        await press(pilot, "Hz")
        assert line.value == "4.7 kHz"
        assert "29.53 krad/s" in squeezed(pilot)


async def test_a_megabyte_pasted_is_cut_to_an_answer() -> None:
    async with stage(family="rc-low-pass") as pilot:
        line = await to(pilot, Rung.CORNER)
        line.post_message(events.Paste("9" * 1_000_000))
        await pilot.pause()
        assert line.value == "9" * MAX_TYPED
        echo = pilot.app.screen.query_one(TypingLine).query_one("Static")
        assert f"at most {MAX_TYPED} characters" in str(echo.render())
        await pilot.press("enter")
        await pilot.pause()
        line.post_message(events.Paste("\x1b]0;title\x07\x00" * 100_000))
        await pilot.pause()
        assert line.value.isprintable() and len(line.value) <= MAX_TYPED


async def test_keys_that_come_all_at_once_are_taken_in_order() -> None:
    async with stage(family="rc-low-pass") as pilot:
        line = await to(pilot, Rung.CORNER)
        driver = pilot.app._driver
        assert driver is not None
        for key in [*"123", *["backspace"] * 3, *"47", "left", "5", "home", "9", "end", "k"]:
            driver.send_message(events.Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        assert line.value == "9457k"


async def test_keys_that_come_faster_than_a_window_opens_open_it_once() -> None:
    async with stage((120, 40), level=1, seed=3) as pilot:
        below = drill(pilot)
        assert await pilot.app.run_action("choose", below)
        assert not await pilot.app.run_action("choose", below)
        assert not await pilot.app.run_action("lesson", below)
        await pilot.pause()  # the window is there before the app ends
        assert len(pilot.app.screen_stack) == 2
