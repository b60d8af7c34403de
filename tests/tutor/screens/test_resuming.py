"""Leaving and coming back: the same screen, whatever was on it; and being told to go."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import termios
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from random import Random

import pytest
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import Form
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.unsaved import Unsaved
from rungwise.tutor.screens.drill.screen import DrillPhase, DrillScreen
from rungwise.tutor.store.keeper import Keeper
from textual.pilot import Pilot

from tests.support.samples import sample
from tests.tutor.store.climbing import problem, wrong_text

from .stage import answer, answer_rightly, climb, drill, question, settled, squeezed, text, type_in

SIZE = (100, 36)


@asynccontextmanager
async def kept(wish: ProblemRequest | None = None) -> AsyncIterator[Pilot[None]]:
    """The drill with a record: a new climb, or the one that was left."""
    keeper = Keeper("")
    if wish and not keeper.recent(1):  # somebody to whom no level is new: no lesson is offered
        for level in range(1, 5):
            before = ProblemRequest(level, None, 1)
            Climb(problem(before), keeper.begin(before)).skip()
    place = None if wish else keeper.place()
    app = Rungwise(wish or (place and place.wish), keeper=keeper)
    if place is not None:
        app._first = DrillScreen(place.wish, place=place)
    async with app.run_test(size=SIZE) as pilot:
        await settled(pilot)
        await pilot.pause()
        yield pilot
    app.let_go()
    assert not keeper.trouble


async def hint_twice_wrong_and_pick(pilot: Pilot[None]) -> None:
    await answer_rightly(pilot)
    await pilot.press("f2", "f2")
    await answer(pilot, wrong_text(question(pilot)))
    await pilot.press("b")


async def wrong_twice(pilot: Pilot[None]) -> None:
    choices = [c.id for c in question(pilot).choices if c.id != question(pilot).truth]
    for name in choices[:2]:
        await answer(pilot, name)


async def half_typed(pilot: Pilot[None]) -> None:
    while question(pilot).form is not Form.QUANTITY:
        await answer_rightly(pilot)
    await type_in(pilot, "bananas")
    await pilot.press("f2")
    await pilot.press("escape", "4", ".", "7", "space", "k")


async def shown_and_being_read(pilot: Pilot[None]) -> None:
    await answer_rightly(pilot)
    await answer(pilot, wrong_text(question(pilot)))
    await pilot.press("f3")


async def shown_and_gone_on(pilot: Pilot[None]) -> None:
    await pilot.press("f3", "enter")


async def skipped(pilot: Pilot[None]) -> None:
    await pilot.press("f4")


async def nothing(pilot: Pilot[None]) -> None:
    await pilot.pause()


async def all_hints(pilot: Pilot[None]) -> None:
    await pilot.press("f4", "f2", "f2", "f2")


STORIES: list[Callable[[Pilot[None]], object]] = [
    nothing, skipped, all_hints, wrong_twice, hint_twice_wrong_and_pick, half_typed,
    shown_and_being_read, shown_and_gone_on,
]  # fmt: skip


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.__name__)
async def test_the_screen_is_as_it_was_left(story: Callable[[Pilot[None]], object]) -> None:
    async with kept(ProblemRequest(2, None, 11)) as pilot:
        await story(pilot)  # type: ignore[misc]
        await settled(pilot)
        before = text(pilot)
        state = climb(pilot).position, climb(pilot).rungs, drill(pilot).phase
        crossed = pilot.app.screen.query_one(Choices)._tried
    async with kept() as pilot:
        assert (climb(pilot).position, climb(pilot).rungs, drill(pilot).phase) == state
        assert pilot.app.screen.query_one(Choices)._tried == crossed
        assert text(pilot) == before
        if drill(pilot).phase is DrillPhase.ANSWER:  # and it goes on from there
            await answer_rightly(pilot)
        else:
            await pilot.press("enter")
            assert drill(pilot).phase is DrillPhase.ANSWER


@pytest.mark.parametrize("seed", range(sample(2, 3)))
async def test_leaving_after_every_few_keys_is_the_same_climb(seed: int) -> None:
    chance, keys = Random(seed), ["a", "b", "c", "1", "enter", "enter", "f2", "f3", "f4", "escape"]
    async with kept(ProblemRequest(3, None, seed + 1)) as pilot:
        await pilot.press("f2")
    for _ in range(5):
        async with kept() as pilot:
            await pilot.press(*chance.choices(keys, k=8))
            await settled(pilot)
            if climb(pilot).done:
                return
            before, state = text(pilot), climb(pilot).rungs
        async with kept() as pilot:
            assert climb(pilot).rungs == state
            assert squeezed(pilot) == " ".join(before.split())


async def test_a_problem_that_is_another_now_is_not_gone_on_with(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    async with kept(ProblemRequest(1, None, 7)) as pilot:
        await answer_rightly(pilot)
    other = generate(3, level=2)
    monkeypatch.setattr(ProblemRequest, "problem", lambda wish: other)
    keeper = Keeper("")
    place = keeper.place()
    assert place is not None
    app = Rungwise(place.wish, keeper=keeper)
    app._first = DrillScreen(place.wish, place=place)
    async with app.run_test(size=SIZE) as pilot:
        await settled(pilot)
        assert climb(pilot).position == 0 and climb(pilot).problem is other
        await pilot.press("f4")
    app.let_go()
    left = Keeper("").place()
    assert left is not None and left.start.uid != place.start.uid


async def test_the_screen_says_when_nothing_is_kept(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("RUNGWISE_HOME", "/dev/null/records")
    app = Rungwise(ProblemRequest(1, None, 7), keeper=Keeper(""))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await answer_rightly(pilot)
        await pilot.pause(0.7)
        assert pilot.app.screen.query_one(Unsaved).display
        said = " ".join(str(pilot.app.screen.query_one(Unsaved).render()).split())
        assert said.startswith("! ") and "nothing is being kept" in said
        await answer_rightly(pilot)  # the drill goes on
    app.let_go()


# ------------------------------------------------------------------ a real terminal


def until(controller: int, wanted: str, seconds: float = 30) -> None:
    """Read a terminal until something was painted."""
    seen, end = b"", time.monotonic() + seconds
    while wanted.encode() not in seen:
        assert time.monotonic() < end, seen[-2000:].decode("utf-8", "replace")
        if select.select([controller], [], [], 0.1)[0]:
            seen += os.read(controller, 1 << 16)


@pytest.mark.parametrize("how", ["SIGTERM", "SIGHUP", "closed"])
def test_being_told_to_end_keeps_what_is_typed(how: str) -> None:
    controller, terminal = pty.openpty()
    termios.tcsetwinsize(terminal, (30, 90))
    with subprocess.Popen(
        [sys.executable, "-m", "rungwise.tutor", "drill", "--seed", "7"],
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
        env={**os.environ, "TERM": "xterm-256color"},
        start_new_session=True,
        preexec_fn=_own_terminal,
    ) as process:
        os.close(terminal)
        until(controller, "Question 1 of")
        os.write(controller, b"a\x1bOS")  # whatever it is, then skip
        until(controller, "Question 2 of")
        os.write(controller, b"b")
        time.sleep(0.3)
        if how == "closed":
            os.close(controller)
        else:
            process.send_signal(getattr(signal, how))
        end = time.monotonic() + 20
        while process.poll() is None and time.monotonic() < end:
            # What is painted has to go somewhere, or the tutor waits for room.
            if how != "closed" and select.select([controller], [], [], 0.05)[0]:
                with suppress(OSError):
                    os.read(controller, 1 << 16)
        status = process.poll()
        process.kill()
    if how != "closed":
        os.close(controller)
    assert status == (128 + signal.SIGTERM if how == "SIGTERM" else -signal.SIGHUP)
    place = Keeper("").place()
    assert place is not None and place.reached == 1
    asked = place.wish.problem().questions[1]
    assert place.position == 1 and place.draft == asked.choices[1].id


def _own_terminal() -> None:
    """Make the terminal the new session's own, so that closing it says so."""
    import fcntl

    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
