"""Starting up: what is imported, and a real terminal from the first frame to the exit."""

from __future__ import annotations

import os
import pty
import re
import select
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable

import pytest
from rungwise.problems.generate.analyse import generate
from rungwise.problems.questions.model import Problem
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.screens.answers.choices import Choices
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.drill.screen import DrillScreen

from tests.support import idle
from tests.tutor.cli.test_command import modules

from .stage import settled

pytestmark = pytest.mark.usefixtures("painted")

NEVER = {"sympy", "numpy", "scipy", "mpmath", "typst", "dask", "fsrs"}


def test_nothing_heavy_before_the_first_frame() -> None:
    loaded = modules(
        "from rungwise.tutor.screens.app import Rungwise\n"
        "from rungwise.tutor.learning.request import ProblemRequest\n"
        "Rungwise(ProblemRequest(1, None, 7))"
    )
    assert "textual" in loaded and not loaded & (NEVER | {"flint", "click"})


def test_nothing_forbidden_after_a_whole_climb() -> None:
    loaded = modules(
        "import asyncio, sys\n"
        f"sys.path.insert(0, {os.getcwd()!r})\n"
        "from tests.tutor.screens.stage import *\n"
        "async def main():\n"
        "    async with stage((120, 40), level=4) as pilot:\n"
        "        await pilot.press('f2', 'f2', 'f2', 'f3', 'enter')\n"
        "        while not climb(pilot).done: await pilot.press('f4')\n"
        "        await pilot.press('enter')\n"
        "        await settled(pilot)\n"
        "asyncio.run(main())"
    )
    assert "flint" in loaded and not loaded & NEVER


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """No problem is made before this is set, and no pilot waits for the thread that would."""
    made, real = threading.Event(), ProblemRequest.problem

    def slow(self: ProblemRequest) -> Problem:
        assert made.wait(30)
        return real(self)

    monkeypatch.setattr(ProblemRequest, "problem", slow)
    monkeypatch.setattr(idle, "_at_work", lambda loop: False)
    return made


async def test_keys_pressed_before_the_problem_is_there_reach_its_question(
    made: threading.Event,
) -> None:
    app = Rungwise(ProblemRequest(1, None, 7))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen) and screen.climb is None
        await pilot.press("b", "f2", "x", "down")
        assert screen.climb is None
        made.set()
        await settled(pilot)
        assert screen.climb is not None and screen.climb.position == 0
        choices = screen.climb.current.question.choices
        # The second by its letter, then one down.
        assert screen.query_one(Choices).picked == 2 % len(choices)
        await pilot.press("f2")
        assert screen.climb.current.hints == 1


async def test_keys_meant_for_another_screen_do_not_come_back(made: threading.Event) -> None:
    app = Rungwise(ProblemRequest(1, None, 7))
    async with app.run_test(size=(80, 24)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, DrillScreen)
        await pilot.press("b", "f1", "escape")
        made.set()
        await settled(pilot)
        assert pilot.app.screen is screen
        assert screen.climb is not None and screen.query_one(Choices).picked is None


def test_a_real_terminal_from_the_first_frame_to_the_exit() -> None:
    controller, terminal = pty.openpty()
    termios.tcsetwinsize(terminal, (24, 80))
    before = termios.tcgetattr(terminal)
    names = [element.name for element in generate(7, level=1).ladder.elements()]
    with subprocess.Popen(
        [sys.executable, "-m", "rungwise.tutor", "drill", "--seed", "7"],
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
        env={**os.environ, "TERM": "xterm-256color"},
        start_new_session=True,
    ) as process:
        seen = read_until(controller, lambda text: all(name in text for name in names))
        assert all(name in seen for name in names), seen
        os.write(controller, b"\x11")  # Ctrl+Q
        rest = read_until(controller, lambda text: process.poll() is not None)
        assert process.wait(10) == 0
    assert "\x1b[?1049l" in rest  # the terminal's own screen is back
    assert termios.tcgetattr(terminal)[3] == before[3]
    os.close(controller)
    os.close(terminal)


def read_until(controller: int, enough: Callable[[str], bool], seconds: float = 30) -> str:
    """What the terminal was sent, until there is enough of it."""
    seen, end = b"", time.monotonic() + seconds
    while time.monotonic() < end:
        if select.select([controller], [], [], 0.1)[0]:
            try:
                seen += os.read(controller, 65536)
            except OSError:
                break
        elif enough(plain(seen)):
            break
    return plain(seen)


def plain(data: bytes) -> str:
    """The text, colours taken out."""
    return re.sub(r"\x1b\[[0-9;]*m", "", data.decode("utf-8", "replace"))
