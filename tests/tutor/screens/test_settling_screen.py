"""Answers settled on the full screen: every key of it, what is seen, and what is kept."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from fractions import Fraction
from pathlib import Path

import pytest
from rungwise.tutor.classroom.marking.decided import KEPT
from rungwise.tutor.classroom.marking.settling import open_settling
from rungwise.tutor.screens.answers.entry import AnswerInput
from rungwise.tutor.screens.common.help import HelpScreen
from rungwise.tutor.screens.settle.groups import GroupsScreen
from rungwise.tutor.screens.settle.screen import SettleScreen
from rungwise.tutor.screens.settle_app import SettleApp
from textual.content import Content
from textual.pilot import Pilot
from textual.widgets import Static

from tests.tutor.classroom.alike_class import AlikeClass, right_of

from .stage import SIZES


@pytest.fixture
def room(tmp_path: Path) -> AlikeClass:
    return AlikeClass.waiting(tmp_path)


@asynccontextmanager
async def on_stage(
    room: AlikeClass, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Pilot[bool]]:
    app = SettleApp(open_settling(room.out, room.marks))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield pilot


def shown(pilot: Pilot[bool], name: str) -> str:
    found = pilot.app.screen.query_one(name, Static).render()
    assert isinstance(found, Content)
    return found.plain


def kept(room: AlikeClass) -> list[dict[str, object]]:
    path = room.marks / KEPT
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


@pytest.mark.parametrize("size", SIZES)
async def test_all_about_a_group_is_in_sight(room: AlikeClass, size: tuple[int, int]) -> None:
    async with on_stage(room, size) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, SettleScreen)
        assert "Q1.2" in shown(pilot, "#prompt")
        for piece in ("Right", "one or two", "sheet 01, 02", "Why"):
            assert piece in shown(pilot, "#lines")
        assert "1 read one: 1, right: 1 of 1" in shown(pilot, "#ways")
        about = screen.query_one("#about")
        assert about.size.height >= 8 and screen.query_one("#circuit").size.height > 4
        assert screen.query_one("#strip").display is (size[0] >= 110)


async def test_every_decision_is_kept_before_the_next_is_shown(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("enter")
        assert [line["corrected"] for line in kept(room)] == ["one"]
        assert "Q1.3" in shown(pilot, "#prompt") and "“one or two”" in shown(pilot, "#said")
        await pilot.press("h")
        assert [line["points"] for line in kept(room)] == ["", "1/2"]
        await pilot.press("p", *"0,25", "enter")
        assert kept(room)[-1]["points"] == "1/4"
        assert "Nothing is open any more" in shown(pilot, "#said")
        await pilot.press("m")
    assert pilot.app.return_value is True
    room.mark()
    assert not room.rows()
    assert room.total(1) == 6 - Fraction(1, 2) and room.total(2) == 6 - Fraction(3, 4)


async def test_a_reading_is_judged_while_it_is_typed(room: AlikeClass) -> None:
    right = right_of(1)["1.3"]
    async with on_stage(room) as pilot:
        await pilot.press("n", "r", *right)
        assert isinstance(pilot.app.focused, AnswerInput)
        echo = pilot.app.screen.query_one("TypingLine Static", Static).render()
        assert isinstance(echo, Content) and "right: 1 of 1" in echo.plain
        await pilot.press("enter")
        assert kept(room)[-1] | {"corrected": right, "every": True} == kept(room)[-1]
        assert pilot.app.focused is None


async def test_what_cannot_be_read_is_not_taken(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("r", *"over there", "enter")
        assert "can't be read either" in shown(pilot, "#said") and not kept(room)
        await pilot.press("escape", "escape")
        assert pilot.app.focused is None and pilot.app.is_running
        await pilot.press("p", *"7", "enter")
        assert "from 0 to 1" in shown(pilot, "#said") and not kept(room)


async def test_undo_and_open_again(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("u")
        assert "nothing to undo" in shown(pilot, "#said")
        await pilot.press("f", "u")
        assert "Q1.2" in shown(pilot, "#prompt") and kept(room)[-1]["open"] is True
        await pilot.press("f", "b", "o")
        assert "open again" in shown(pilot, "#said") and len(kept(room)) == 4
        await pilot.press("escape")
    assert pilot.app.return_value is False


async def test_points_for_all_right_answers(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("n", "a")
        assert "whatever the right answer is" in shown(pilot, "#ways")
        await pilot.press("0")
        assert kept(room)[-1]["every"] is True
        assert pilot.app.screen.settling.open == 1  # type: ignore[attr-defined]


async def test_the_list_is_narrowed_by_words(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("l")
        assert isinstance(pilot.app.screen, GroupsScreen)
        await pilot.press(*"2k6", "down", "enter")
        await pilot.pause()
        assert "Q1.3" in shown(pilot, "#prompt") and right_of(2)["1.3"] in shown(pilot, "#lines")


async def test_help_tells_of_every_key(room: AlikeClass) -> None:
    async with on_stage(room) as pilot:
        await pilot.press("f1")
        assert isinstance(pilot.app.screen, HelpScreen)
        keys = shown(pilot, "#keys")
        for told in ("Half", "None", "Full", "Mark", "Open again", "List"):
            assert told in keys


async def test_where_it_cannot_be_kept_nothing_goes_on(
    room: AlikeClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with on_stage(room) as pilot:
        (room.marks / KEPT).mkdir()
        await pilot.press("f")
        assert "Not decided" in shown(pilot, "#said") and "Q1.2" in shown(pilot, "#prompt")
        (room.marks / KEPT).rmdir()
        await pilot.press("f")
        assert len(kept(room)) == 1


async def test_nothing_waits(tmp_path: Path) -> None:
    room = AlikeClass(tmp_path, 1)
    room.hand_in(1)
    room.mark()
    async with on_stage(room) as pilot:
        assert "No answer waits" in shown(pilot, "#said")
        await pilot.press("enter", "r", "0", "n", "b", "u", "a", "o", "l", "escape", "m")
    assert pilot.app.return_value is True
