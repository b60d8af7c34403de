"""Lessons on the screen: foretold, then changed, told why; changed freely; two looks; kept."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

import pytest
from rungwise.tutor.drafting.lesson_pages import LessonPage, pages_of
from rungwise.tutor.phrases import lessons as saying
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.drill.screen import DrillScreen
from rungwise.tutor.screens.lesson.screen import LessonPhase, LessonScreen
from textual.pilot import Pilot

from tests.support.lessons import keys
from tests.support.samples import covering

from .learners import Memory
from .stage import SIZES, SMALL, question, settled, squeezed, stage, text


@asynccontextmanager
async def opened(
    level: int, size: tuple[int, int] = SMALL, memory: Memory | None = None
) -> AsyncIterator[tuple[Pilot[None], LessonScreen]]:
    """A level's lesson over the opening screen."""
    app = Rungwise(keeper=memory)  # type: ignore[arg-type]
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        screen = LessonScreen(level)
        await app.push_screen(screen)
        await settled(pilot)
        yield pilot, screen


async def work(pilot: Pilot[None], screen: LessonScreen, *, wrong: bool = False) -> None:
    """Work the page that is open, and stop where it has been worked."""
    assert screen.work is not None
    page = screen.work.page
    while screen.work.page is page and pilot.app.screen is screen:
        if screen.phase in (LessonPhase.ASKED, LessonPhase.LOOK):
            right, others = keys(screen.work)
            await pilot.press(others[0] if wrong else right)
        else:
            await pilot.press("enter")
        await pilot.pause()
        if screen.work.done:
            return


def pressed(said: str) -> str:
    """As `squeezed` has it."""
    return " ".join(said.split())


@pytest.mark.parametrize(
    ("page", "size"),
    covering([pages_of(2)[0], pages_of(6)[1]], SIZES),
    ids=lambda one: getattr(one, "key", None),
)
async def test_nothing_moves_before_it_is_foretold(page: LessonPage, size: tuple[int, int]) -> None:
    async with opened(page.level, size) as (pilot, screen):
        screen.open(page)
        await settled(pilot)
        assert screen.work is not None
        assert pressed(saying.text(page))[:60] in squeezed(pilot)
        for number, move in enumerate(page.moves):
            asked = screen.work.prediction
            assert asked is not None and asked.asked is move.asked
            assert pressed(saying.change(page, number)) in squeezed(pilot)
            before = screen.work.bench.version.ladder
            await pilot.press("x", "enter", "space", "t", "right")  # no key but a choice moves it
            assert screen.work.bench.version.ladder == before and screen.work.at == number
            await pilot.press(keys(screen.work)[number % 2][0])
            await settled(pilot)
            assert screen.work.at == number + 1
            assert pressed(saying.why(asked))[:40] in squeezed(pilot) or number % 2
            await pilot.press("enter")
            await settled(pilot)
        assert screen.phase is LessonPhase.FREE


@pytest.mark.parametrize("wrong", [False, True])
async def test_a_whole_page_by_keyboard(wrong: bool) -> None:
    memory = Memory()
    page, following = pages_of(4)[:2]
    async with opened(4, memory=memory) as (pilot, screen):
        await work(pilot, screen, wrong=wrong)
        assert memory.settings["lesson-pages"] == f"{page.key}:1"
        assert ("✗" in text(pilot)) is wrong and "✓" in text(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert screen.work is not None and screen.work.page is following
        assert saying.title(following) in squeezed(pilot)
        await pilot.press("p")
        assert screen.work.page is page
        await pilot.press("n", "escape")
        await settled(pilot)
        assert pilot.app.screen is not screen


async def test_leaving_loses_nothing() -> None:
    memory = Memory()
    async with opened(2, memory=memory) as (pilot, _):
        await pilot.press("2", "enter", "1", "escape")
        await settled(pilot)
        again = LessonScreen(2)
        await pilot.app.push_screen(again)
        await settled(pilot)
        assert again.work is not None and again.work.at == 2
        assert again.work.bench.version.ladder == pages_of(2)[0].moments[2].version.ladder
        assert pressed(saying.change(pages_of(2)[0], 1)) in squeezed(pilot)  # what was changed last


async def test_the_circuit_is_changed_freely() -> None:
    page = pages_of(2)[0]
    async with opened(2) as (pilot, screen):
        for _ in page.moves:
            assert screen.work is not None
            await pilot.press(keys(screen.work)[0], "enter")
        settled_ladder = screen.work.bench.version.ladder  # type: ignore[union-attr]
        await pilot.press("right", "right")
        await settled(pilot)
        assert "R1 ◂ 330 Ω ▸" in text(pilot)
        await pilot.press("t")
        await settled(pilot)
        assert screen.work is not None
        assert screen.work.bench.version.tap != page.moments[-1].version.tap
        await pilot.press("u", "u", "u", "u")
        assert screen.work.bench.version.ladder == settled_ladder
        assert "nothing to undo" in squeezed(pilot)
        assert screen.work.at == len(page.moves)


@pytest.mark.parametrize("key", ["f7", "ctrl+l", "escape"])
async def test_it_lies_over_the_drill_and_several_keys_close_it(key: str) -> None:
    async with stage() as pilot:
        asked = question(pilot)
        await pilot.press("f7")
        await settled(pilot)
        assert isinstance(pilot.app.screen, LessonScreen)
        await pilot.press(key)
        await settled(pilot)
        assert isinstance(pilot.app.screen, DrillScreen) and question(pilot) == asked


async def test_windows_of_any_size() -> None:
    async with opened(5, (200, 60)) as (pilot, screen):
        for size in ((80, 24), (1, 1), (60, 20), (30, 10)):
            await pilot.resize_terminal(*size)
            await pilot.press("1", "enter")
            await settled(pilot)
        assert screen.work is not None and screen.work.at == 4


async def test_the_smallest_window_comes_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    laid_out: list[None] = []
    lay_out = LessonScreen._refresh_layout

    def counted(screen: LessonScreen, *args: Any, **named: Any) -> None:
        laid_out.append(None)
        lay_out(screen, *args, **named)

    async with opened(1) as (pilot, _):
        await pilot.resize_terminal(5, 3)
        await settled(pilot)
        monkeypatch.setattr(LessonScreen, "_refresh_layout", counted)
        await asyncio.sleep(0.2)
    assert len(laid_out) <= 1
