"""The progress screen and the exam's date, by keyboard."""

from __future__ import annotations

import pytest
from rungwise.problems.questions.model import Task
from rungwise.tutor.coach.progress import progress_now
from rungwise.tutor.documents.progress import map as progress_map
from rungwise.tutor.language.dates import read_day
from rungwise.tutor.language.texts import fill
from rungwise.tutor.learning.skill_map import RULES, TASK_OF, parts_of, skills
from rungwise.tutor.phrases.skills import skill_parts
from rungwise.tutor.screens.common.page import OpeningPage
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.screens.progress.exam import ExamScreen
from rungwise.tutor.screens.progress.screen import ProgressScreen
from textual import events
from textual.pilot import Pilot

from .learners import NOW, Memory, past, returning
from .stage import LARGE, MEDIUM, SIZES, SMALL, settled, squeezed, text

PAST = past(20, 3, ("radians-as-hertz", "two-pi-twice"))


async def at_progress(pilot: Pilot[None]) -> ProgressScreen:
    await settled(pilot)
    await pilot.press("p")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, ProgressScreen)
    return screen


@pytest.mark.parametrize("size", SIZES)
async def test_the_map_tells_of_the_skill_picked(size: tuple[int, int]) -> None:
    async with returning(Memory(PAST)).run_test(size=size) as pilot:
        screen = await at_progress(pilot)
        assert screen.progress is not None
        for keys in ((), ("up",), ("left", "left"), ("down", "down", "right")):
            await pilot.press(*keys)
            from rungwise.tutor.documents.progress.map import skill_at

            skill = skill_at(screen._spot)
            assert skill is not None
            rung, group = skill_parts(skill)
            line = screen.progress.line(skill)
            shown = squeezed(pilot)
            assert f"{rung} {group}" in shown and "▾" in shown
            if line.asked:
                assert f"{line.right} of {line.asked} right first time" in shown
            else:
                assert fill("opening", "map.unasked") in shown


@pytest.mark.parametrize("width", [56, 58, 76, 118])
def test_every_column_of_the_map_is_seen_however_narrow_the_window(width: int) -> None:
    found = progress_now(None, NOW)
    *lines, _legend = [line.plain.rstrip() for line in progress_map.lines(found, None, width)]
    assert max(map(len, lines)) <= width
    predicted = [skill for skill in skills() if TASK_OF[parts_of(skill)[1]] is Task.PREDICT]
    rules = sum(map(len, RULES.values()))  # one for all circuits, each
    assert sum(line.count("·") for line in lines) == len(skills()) - len(predicted) + rules


async def test_pages_turn_in_a_small_window_and_all_are_there_in_a_large_one() -> None:
    heads = [
        fill("opening", "map.title"),
        fill("opening", "progress.skills"),
        fill("opening", "progress.weeks", [("weeks", 8)]),
    ]
    async with returning(Memory(PAST)).run_test(size=SMALL) as pilot:
        await at_progress(pilot)
        for head in (*heads, heads[0]):
            assert head in text(pilot)
            await pilot.press("tab")
        await pilot.press("shift+tab")
        assert heads[0] in text(pilot)
        await pilot.resize_terminal(*LARGE)
        await pilot.pause()
        assert all(head in text(pilot) for head in heads)


async def test_the_table_scrolls_and_is_put_in_another_order() -> None:
    async with returning(Memory(PAST)).run_test(size=SMALL) as pilot:
        await at_progress(pilot)
        await pilot.press("tab")
        first = text(pilot)
        page = pilot.app.screen.query_one(OpeningPage)
        assert fill("opening", "progress.order-weakest") in first and page.overflows
        await pilot.press("down", "pagedown")
        assert text(pilot) != first and page.scroll_y > 1
        await pilot.press("s")
        assert fill("opening", "progress.order-slowest") in text(pilot)
        rows = [line.split() for line in text(pilot).splitlines() if line.rstrip().endswith(" s")]
        times = [int(row[-2]) for row in rows]
        assert times == sorted(times, reverse=True) and len(times) > 5


async def test_without_a_record_it_says_so() -> None:
    async with returning(Memory()).run_test(size=MEDIUM) as pilot:
        await at_progress(pilot)
        assert "No circuit has been answered in full yet" in squeezed(pilot)
        await pilot.press("up", "down", "left", "right", "s", "pagedown", "escape")
        await settled(pilot)
        assert isinstance(pilot.app.screen, OpeningScreen)


# The exam's date


async def type_day(pilot: Pilot[None], typed: str) -> None:
    focused = pilot.app.screen.focused
    assert focused is not None
    focused.post_message(events.Paste(typed))
    await pilot.pause()


async def test_the_day_is_set_changed_and_forgotten() -> None:
    memory = Memory(PAST)
    async with returning(memory).run_test(size=SMALL) as pilot:
        await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ExamScreen)
        assert fill("opening", "exam.empty").split(":")[0] in squeezed(pilot)
        await type_day(pilot, "14 Dec")
        assert "Monday 14 December 2026, in 19 days." in squeezed(pilot)
        assert not memory.setting("exam")
        await pilot.press("enter")
        await settled(pilot)
        assert memory.setting("exam") == "2026-12-14" and "Exam in 19 days" in squeezed(pilot)
        await pilot.press("p")
        await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        assert "2026-12-14" in squeezed(pilot)
        await pilot.press("ctrl+u")
        await type_day(pilot, "tomorrow")
        await pilot.press("enter")
        await settled(pilot)
        assert memory.setting("exam") == read_day("tomorrow", NOW.date()).isoformat()
        assert isinstance(pilot.app.screen, ProgressScreen) and "Exam tomorrow" in text(pilot)
        await pilot.press("escape")
        await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        await pilot.press("ctrl+n")
        await settled(pilot)
        assert memory.setting("exam") == "" and "Exam tomorrow" not in text(pilot)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("soon", "That is not a date."),
        ("31 Feb", "has no day 31"),
        ("2020-01-01", "is in the past"),
        ("[b]14[/b]", "That is not a date."),
    ],
)
async def test_what_is_no_day_is_refused_in_words_and_not_kept(typed: str, why: str) -> None:
    memory = Memory(PAST, exam="2026-12-14")
    async with returning(memory).run_test(size=SMALL) as pilot:
        await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        await pilot.press("ctrl+u")
        await type_day(pilot, typed)
        assert why in squeezed(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ExamScreen)
        await pilot.press("escape")
        await settled(pilot)
        assert memory.setting("exam") == "2026-12-14"


async def test_a_day_that_cannot_be_kept_is_not_said_to_be() -> None:
    memory = Memory(PAST)
    memory.trouble = "The disk is full."
    async with returning(memory).run_test(size=SMALL) as pilot:
        await settled(pilot)
        await pilot.press("e")
        await settled(pilot)
        await type_day(pilot, "14 Dec")
        await pilot.press("enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ExamScreen) and "disk is full" in squeezed(pilot)
