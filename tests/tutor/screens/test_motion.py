"""Nothing moves that need not: no cursor blinks, and nothing slides where that is asked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common import motion
from rungwise.tutor.store.keeper import Keeper
from textual.widgets import Input, TextArea

from .stage import MEDIUM, SMALL, answer_rightly, climb, question, settled, stage

pytestmark = pytest.mark.usefixtures("painted")


@pytest.mark.parametrize(
    ("told", "still"), [("", False), ("0", False), ("off", False), ("1", True), ("yes", True)]
)
async def test_the_environment_can_ask_for_stillness(
    told: str, still: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert motion.still({"RUNGWISE_STILL": told}) is still
    monkeypatch.setenv("RUNGWISE_STILL", told)
    async with stage(SMALL) as pilot:
        assert (pilot.app.animation_level == "none") is still


async def test_the_palette_asks_for_it_and_it_is_remembered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", str(tmp_path))
    keeper = Keeper()
    app = Rungwise(ProblemRequest(1, None, 7), keeper=keeper)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        assert app.animation_level == "full"
        for expected, kept in (("none", "1"), ("full", ""), ("none", "1")):
            commands = {c.title: c for c in app.get_system_commands(app.screen)}
            (title,) = [title for title in commands if title.startswith("Motion")]
            commands[title].callback()
            assert app.animation_level == expected
            assert keeper.setting(motion.SETTING) == kept
    keeper.close()
    again = Keeper()
    app = Rungwise(ProblemRequest(1, None, 7), keeper=again)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        assert app.animation_level == "none"
    again.close()


async def test_no_cursor_blinks_anywhere() -> None:
    async with stage(MEDIUM, family="rc-low-pass") as pilot:
        while question(pilot).choices:
            await answer_rightly(pilot)
        seen = 0

        def check() -> None:
            nonlocal seen
            focused = pilot.app.screen.focused
            assert isinstance(focused, Input | TextArea), focused
            assert not focused.cursor_blink
            seen += 1

        check()
        await pilot.press("ctrl+p")
        await settled(pilot)
        check()
        await pilot.press("escape")
        while not climb(pilot).done:
            await pilot.press("f4")
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("b")
        await settled(pilot)
        for key in ("c", "f"):
            await pilot.press(key)
            await settled(pilot)
            check()
            await pilot.press("escape")
            await settled(pilot)
        assert seen == 4


async def test_the_palette_changes_colours_while_it_is_open() -> None:
    async with stage(SMALL) as pilot:
        await pilot.press("ctrl+p")
        await settled(pilot)
        palette = pilot.app.screen

        def grounds() -> set[str]:
            return {widget.styles.background.hex for widget in palette.walk_children()}

        before = grounds()
        await pilot.press("f6")
        await settled(pilot)
        assert pilot.app.screen is palette
        during = grounds()
        assert during != before
        await pilot.press("escape", "ctrl+p")
        await settled(pilot)
        palette = pilot.app.screen
        assert grounds() == during  # as one opened in these colours
