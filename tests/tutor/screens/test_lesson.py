"""A level's lesson over the drill."""

from __future__ import annotations

import pytest
from rungwise.tutor.language.texts import Words
from rungwise.tutor.screens.drill.lesson import LessonScreen
from rungwise.tutor.screens.drill.screen import DrillScreen

from .stage import SIZES, question, squeezed, stage


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("level", [1, 4, 6])
async def test_the_lesson_comes_and_goes(size: tuple[int, int], level: int) -> None:
    title, text = Words.load().lesson(level)
    async with stage(size, level=level) as pilot:
        asked = question(pilot)
        await pilot.press("f7")
        await pilot.pause()
        assert isinstance(pilot.app.screen, LessonScreen)
        shown = squeezed(pilot)
        assert title in shown
        assert " ".join(text.split()[:8]) in shown.replace("│ ", "").replace(" │", "")
        for _ in range(30):
            await pilot.press("down")
        await pilot.pause()
        assert text.split()[-1] in squeezed(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, DrillScreen)
        assert question(pilot) == asked


@pytest.mark.parametrize("key", ["f7", "ctrl+l", "enter"])
async def test_several_keys_close_it(key: str) -> None:
    async with stage() as pilot:
        await pilot.press("ctrl+l")
        await pilot.pause()
        assert isinstance(pilot.app.screen, LessonScreen)
        await pilot.press(key)
        await pilot.pause()
        assert isinstance(pilot.app.screen, DrillScreen)
