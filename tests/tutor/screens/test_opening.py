"""The opening screen, by keyboard: a first start, and coming back to it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager

import pytest
from rungwise.problems.analysis.response import facts
from rungwise.problems.circuits.text import read_circuit
from rungwise.tutor.coach import looking, outlook
from rungwise.tutor.coach.looking import Worth
from rungwise.tutor.language.texts import entry, fill
from rungwise.tutor.learning import session as review_sitting
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.plan import Mode
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.bench.screen import BenchScreen
from rungwise.tutor.screens.common.page import OpeningPage
from rungwise.tutor.screens.drill.chooser import ChooserScreen
from rungwise.tutor.screens.drill.screen import DrillScreen
from rungwise.tutor.screens.inspect.screen import InspectScreen
from rungwise.tutor.screens.lesson.screen import LessonScreen
from rungwise.tutor.screens.opening import example as opening_example
from rungwise.tutor.screens.opening import first as opening_first
from rungwise.tutor.screens.opening.ladder import OpeningLadder
from rungwise.tutor.screens.opening.screen import KEYS, OpeningScreen
from rungwise.tutor.screens.progress.exam import ExamScreen
from rungwise.tutor.screens.progress.screen import ProgressScreen
from rungwise.tutor.store.events import LeftOff, start_of
from textual.pilot import Pilot

from tests.studies import draw_example
from tests.studies.simulate_learners import shared_problems

from .learners import Memory, past, returning
from .stage import LARGE, MEDIUM, SIZES, SMALL, settled, squeezed, text

PAST = past(20, 3, ("radians-as-hertz", "two-pi-twice"))


@pytest.fixture(scope="module", autouse=True)
def _shared() -> Iterator[None]:
    """Every start plans ahead among the same problems."""
    with shared_problems(8):
        yield


@asynccontextmanager
async def opened(
    keeper: Memory | None = None, size: tuple[int, int] = SMALL
) -> AsyncIterator[Pilot[None]]:
    app = returning(keeper) if keeper is not None else Rungwise()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot


def opening(pilot: Pilot[None]) -> OpeningScreen:
    found = pilot.app.screen_stack[0]
    assert isinstance(found, OpeningScreen)
    return found


def picked(pilot: Pilot[None]) -> str:
    ladder = opening(pilot).query_one(OpeningLadder)
    return ladder.goals[ladder.picked].action


def drilled(pilot: Pilot[None]) -> Climb:
    screen = pilot.app.screen
    assert isinstance(screen, DrillScreen), screen
    assert screen.climb is not None
    return screen.climb


# A first start


@pytest.mark.parametrize("size", SIZES)
async def test_a_first_start_tells_three_sentences_and_an_example(size: tuple[int, int]) -> None:
    async with opened(None, size) as pilot:
        shown = squeezed(pilot).replace("│ ", "")
        said = fill("opening", "first.say")
        assert len([s for s in said.split(". ") if s]) == 3
        for word in said.split():
            assert word in shown
        assert "R1" in shown and "1 kΩ" in shown and "C1" in shown and "100 nF" in shown
        for number in range(1, opening_first.STEPS + 1):
            assert entry("opening", f"first.step-{number}.say").split()[-1] in shown
        assert fill("opening", "goal.go-on") + " " not in shown


async def test_the_example_is_read_step_by_step() -> None:
    async with opened() as pilot:
        assert "▸ 1 " in text(pilot) and "open" not in text(pilot).split("▸ 1")[0]
        await pilot.press("right")
        assert "▸ 2 " in text(pilot) and "○ C1" in text(pilot) and "open" in text(pilot)
        await pilot.press("right")
        assert "▸ 3 " in text(pilot) and "short" in text(pilot).split("▸ 3")[0]
        await pilot.press("right", "right", "right", "right")
        assert "▸ 5 " in text(pilot)
        assert text(pilot).count("1.59 kHz") == 2  # in the words and at the chart's corner
        await pilot.press("left")
        assert "▸ 4 " in text(pilot) and text(pilot).count("1.59 kHz") == 1


def test_the_example_is_true() -> None:
    """Its words against the exact facts of its circuit, and against 1/(2π·RC) by hand."""
    known = facts(read_circuit(opening_example.CIRCUIT))
    assert known.type is not None and known.type.value == "low-pass"
    assert known.transfer.order == 1 and known.slope_high == -20
    assert known.corner_hz == pytest.approx(1 / (2 * 3.14159265 * 1e3 * 100e-9))
    assert known.corner_hz == pytest.approx(1590, rel=2e-3)
    assert known.gain_low == 1 and known.gain_high == 0
    said = " ".join(
        entry("opening", f"first.step-{number}.{part}")
        for number in range(1, opening_first.STEPS + 1)
        for part in ("say", "why")
    )
    for fact in ("1.59 kHz", "−20 dB per decade", "low-pass", "10 kHz"):
        assert fact in said
    assert pytest.approx(10) == 1e-3 / (1e3 * 100e-9)  # kHz, the 2π left out


def test_the_example_is_drawn_as_the_figures_draw_it() -> None:
    assert draw_example.FILE.read_text(encoding="utf-8") == draw_example.source()


async def test_one_key_starts_and_escape_leads_back() -> None:
    async with opened() as pilot:
        assert picked(pilot) == "inspect"
        await pilot.press("n")
        await settled(pilot)
        climb = drilled(pilot)
        await pilot.press("f4", "f2", "escape")
        await settled(pilot)
        assert pilot.app.screen is opening(pilot)
        assert picked(pilot) == "inspect"
        assert f"level {climb.problem.level}, rung 2 of {len(climb.rungs)}" in squeezed(pilot)
        await pilot.press("down", "enter")
        await settled(pilot)
        assert drilled(pilot) is climb and climb.position == 1 and climb.current.hints == 1


async def test_what_is_typed_and_not_submitted_is_still_there() -> None:
    async with opened() as pilot:
        await pilot.press("n")
        await settled(pilot)
        climb = drilled(pilot)
        while climb.current.question.choices:
            await pilot.press("f4")
        await pilot.press("1", "2", "escape")  # takes back what was typed
        assert isinstance(pilot.app.screen, DrillScreen)
        await pilot.press("7", "escape", "escape")
        await settled(pilot)
        assert pilot.app.screen is opening(pilot)
        await pilot.press("g")
        await settled(pilot)
        assert drilled(pilot) is climb


async def test_enter_begins_to_look_and_escape_leads_back() -> None:
    for keeper in (None, Memory(PAST)):
        async with opened(keeper) as pilot:
            assert fill("opening", "goal.newcomer") in text(pilot) or keeper is not None
            await pilot.press("enter")
            await settled(pilot)
            screen = pilot.app.screen
            assert isinstance(screen, InspectScreen) and screen.look is not None
            assert "1 of 24" in text(pilot)
            await pilot.press("escape")
            await settled(pilot)
            assert pilot.app.screen is opening(pilot)


async def test_somebody_who_has_not_met_filters_reads_first_and_then_looks() -> None:
    """The first page of the lessons, one circuit read step by step, looks with two answers."""
    async with opened() as pilot:
        assert fill("opening", "about.newcomer") in squeezed(pilot)
        await pilot.press("f")
        await settled(pilot)
        page = pilot.app.screen
        assert isinstance(page, LessonScreen)
        while pilot.app.screen is page:
            await pilot.press("1")
            await pilot.press("enter")
            await settled(pilot)
        for number in range(1, opening_first.STEPS + 1):
            assert f"step {number} of {opening_first.STEPS}" in text(pilot)
            assert f"▸ {number} " in text(pilot)
            await pilot.press("enter")
            await pilot.pause()
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, InspectScreen) and screen.look is not None
        assert screen.look.kind.value == "type" and screen.look.truth in ("low-pass", "high-pass")
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is opening(pilot)
        await pilot.press("f", "escape", "right", "left", "left", "escape")
        await settled(pilot)
        assert pilot.app.screen is opening(pilot)


async def test_enter_begins_what_is_worth_most(monkeypatch: pytest.MonkeyPatch) -> None:
    for worth, action in ((Worth.ROUND, "inspect"), (Worth.CIRCUIT, "due")):
        monkeypatch.setattr(looking, "worth_most_now", lambda *_, worth=worth: worth)
        async with opened(Memory(PAST)) as pilot:
            assert picked(pilot) == action


# Every key


ROOMS = {
    "i": InspectScreen,
    "n": DrillScreen,
    "c": ChooserScreen,
    "l": LessonScreen,
    "b": BenchScreen,
    "p": ProgressScreen,
    "e": ExamScreen,
}


@pytest.mark.parametrize("fresh", [True, False], ids=["first", "later"])
async def test_one_key_for_each_room_and_escape_back(fresh: bool) -> None:
    async with opened(None if fresh else Memory(PAST), MEDIUM) as pilot:
        for key, screen in ROOMS.items():
            await pilot.press(key)
            await settled(pilot)
            assert isinstance(pilot.app.screen, screen), key
            await pilot.press("escape")
            await settled(pilot)
            assert pilot.app.screen is opening(pilot), key


async def test_the_arrows_reach_what_the_letters_reach() -> None:
    async with opened(Memory(PAST, exam="2026-12-14")) as pilot:
        seen = [picked(pilot)]
        there = [a for a in KEYS if a not in ("go_on", "newcomer")]  # nothing to go on with
        for _ in range(len(there) - 1):
            await pilot.press("down")
            seen.append(picked(pilot))
        assert seen == there
        await pilot.press("down")
        assert picked(pilot) == seen[0]
        await pilot.press("up", "up", "enter")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ExamScreen)
        await pilot.press("escape", "home")
        assert picked(pilot) == "inspect"
        await pilot.press("end", "up", "up", "space")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ProgressScreen)


async def test_a_click_goes_there_too() -> None:
    async with opened() as pilot:
        ladder = opening(pilot).query_one(OpeningLadder)
        row = next(y for y, line in enumerate(text(pilot).splitlines()) if "Bench" in line)
        await pilot.click(OpeningLadder, offset=(12, row - ladder.region.y))
        await settled(pilot)
        assert isinstance(pilot.app.screen, BenchScreen)


async def test_a_key_before_anything_is_known_is_kept() -> None:
    app = returning(Memory(PAST))
    async with app.run_test(size=SMALL) as pilot:
        screen = opening(pilot)
        screen.board = None
        await pilot.press("n")
        await settled(pilot)
        screen._look()
        await settled(pilot)
        assert isinstance(app.screen, DrillScreen)


async def test_control_q_quits_from_everywhere() -> None:
    for key in ("", "n", "c", "l", "b", "p", "e"):
        async with opened() as pilot:
            if key:
                await pilot.press(key)
                await settled(pilot)
            await pilot.press("ctrl+q")
            await pilot.pause()
            assert pilot.app._exit, key


async def test_the_palette_offers_every_rung() -> None:
    async with opened(Memory(PAST)) as pilot:
        offered = {c.title for c in pilot.app.get_system_commands(pilot.app.screen)}
        for action in KEYS:
            assert fill("screens", f"keys.{action.replace('_', '-')}") in offered, action


# Coming back


@pytest.mark.parametrize("size", SIZES)
async def test_what_is_worth_doing_now(size: tuple[int, int]) -> None:
    memory = Memory(PAST, exam="2026-12-14")
    async with opened(memory, size) as pilot:
        known = opening(pilot).board
        assert known is not None and not known.fresh
        shown = text(pilot)
        assert "Exam in 19 days" in shown and "Mon 14 Dec, in 19 days" in shown
        assert fill("opening", "stand.due") in shown and fill("opening", "stand.weak") in shown
        assert f"{known.ready * 100:.0f} %" in shown
        rows = sum("◆" in line for line in shown.splitlines())
        assert 1 <= rows <= len(known.due)


async def test_go_on_where_another_sitting_left_off() -> None:
    memory, wish = Memory(PAST), ProblemRequest(None, "rc-low-pass", 4)
    memory.left = LeftOff(start_of("0" * 32, wish, wish.problem()), position=0)
    memory.resume = lambda place: memory.events.append  # type: ignore[attr-defined]
    async with opened(memory) as pilot:
        assert picked(pilot) == "inspect"
        count = len(wish.problem().questions)
        assert f"level 1, rung 1 of {count}" in squeezed(pilot)
        await pilot.press("g")
        await settled(pilot)
        assert drilled(pilot).problem == wish.problem()


async def test_the_plan_leads_from_problem_to_problem(monkeypatch: pytest.MonkeyPatch) -> None:
    memory, asked = Memory(PAST), list[tuple[str, ...]]()
    wishes = iter(
        [
            ProblemRequest(1, "rl-low-pass", 2),
            ProblemRequest(1, "rc-low-pass", 3),
            ProblemRequest(1, "rl-high-pass", 4),
        ]
    )

    def what_next(states, now, exam, mode, recent, chance, **_):  # type: ignore[no-untyped-def]
        asked.append(tuple(wish.family or "" for wish in recent))
        return next(wishes)

    monkeypatch.setattr(review_sitting, "next_wish", what_next)
    monkeypatch.setattr(outlook, "standing", _without_weak(outlook.standing))
    async with opened(memory) as pilot:
        await pilot.press("n")
        await settled(pilot)
        climb = drilled(pilot)
        assert climb.problem.family == "rl-low-pass"
        while not climb.done:
            await pilot.press("f4")
        await settled(pilot)
        assert asked == [(), ("rl-low-pass",)]
        await pilot.press("enter")
        await settled(pilot)
        await pilot.press("enter")
        await settled(pilot)
        assert drilled(pilot).problem.family == "rc-low-pass"
        assert [wish.family for wish in memory.begun] == ["rl-low-pass", "rc-low-pass"]


def _without_weak(real):  # type: ignore[no-untyped-def]
    from dataclasses import replace

    return lambda *args: replace(real(*args), weak=())


async def test_weak_spots_have_a_plan_of_their_own() -> None:
    async with opened(Memory(PAST)) as pilot:
        await pilot.press("w")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen) and screen.plan is not None
        assert screen.plan.mode is Mode.WEAK_SPOTS


async def test_a_chosen_circuit_is_climbed_and_the_next_seed_follows() -> None:
    async with opened() as pilot:
        await pilot.press("c")
        await settled(pilot)
        await pilot.press("home", "down", "right", "down", "enter")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen) and screen.plan is None
        assert drilled(pilot).problem.level == 2
        assert screen.wish.family == "series-rlc-across-c"


async def test_in_a_record_that_cannot_be_kept_the_screen_says_so() -> None:
    memory = Memory(PAST)
    memory.trouble = "The disk is full."
    async with opened(memory, MEDIUM) as pilot:
        assert "The disk is full." in squeezed(pilot)


# Lessons


async def test_a_new_level_offers_its_lesson_once() -> None:
    memory = Memory()
    async with opened(memory) as pilot:
        await pilot.press("c")
        await settled(pilot)
        await pilot.press("home", "enter")
        await settled(pilot)
        level = drilled(pilot).problem.level
        offer = fill("screens", "drill.lesson", [("level", level)])
        assert offer in squeezed(pilot) and memory.settings["lessons"] == str(level)
        await pilot.press("f7")
        await settled(pilot)
        assert isinstance(pilot.app.screen, LessonScreen)
        await pilot.press("escape", "f4")
        await settled(pilot)
        assert offer not in squeezed(pilot)
        await pilot.press("escape", "n")
        await settled(pilot)
        if drilled(pilot).problem.level == level:
            assert offer not in squeezed(pilot)


async def test_nobody_who_knows_such_circuits_is_offered_a_lesson() -> None:
    memory = Memory(past(3))
    async with opened(memory) as pilot:
        await pilot.press("c")
        await settled(pilot)
        await pilot.press("home", "enter")
        await settled(pilot)
        assert memory.settings["lessons"] == "1"
        assert "F7" not in squeezed(pilot)


# Windows


async def test_a_small_window_scrolls_the_page() -> None:
    async with opened(Memory(PAST), (60, 20)) as pilot:
        page = opening(pilot).query_one(OpeningPage)
        before = text(pilot)
        assert page.overflows
        await pilot.press("pagedown")
        assert text(pilot) != before and page.scroll_y > 0
        await pilot.press("pageup", "pageup")
        assert text(pilot) == before


async def test_resizes_at_any_moment() -> None:
    async with opened(Memory(PAST, exam="2026-11-25"), LARGE) as pilot:
        for size in ((80, 24), (1, 1), (30, 10), (300, 90), (60, 20), (120, 40)):
            await pilot.resize_terminal(*size)
            await pilot.press("down")
            assert pilot.app._exception is None
        assert "Exam today" in text(pilot)
