"""Starting up: what is imported, and a real terminal from the first frame to the exit."""

from __future__ import annotations

import os
import pickle
import pty
import re
import select
import subprocess
import sys
import termios
import time
from collections.abc import Callable

from rungwise.problems.generate.analyse import generate

from tests.tutor.cli.test_command import modules

NEVER = {"sympy", "numpy", "scipy", "mpmath", "typst", "dask", "fsrs"}


def test_nothing_heavy_before_the_first_frame() -> None:
    loaded = modules(
        "from rungwise.tutor.screens.app import Rungwise\n"
        "from rungwise.tutor.learning.request import Wish\n"
        "Rungwise(Wish(1, None, 7))"
    )
    assert "textual" in loaded and not loaded & (NEVER | {"flint", "click"})


def test_the_first_question_is_asked_without_the_exact_core() -> None:
    loaded = modules(
        "import asyncio, pickle, sys\n"
        f"sys.path.insert(0, {os.getcwd()!r})\n"
        "from rungwise.tutor.screens.app import Rungwise\n"
        "from rungwise.tutor.screens.drill.screen import DrillScreen\n"
        "from rungwise.tutor.learning.request import Wish\n"
        "problem = pickle.loads(bytes.fromhex(sys.stdin.read()))\n"
        "class Start:\n"
        "    wish, ready = Wish(1, None, 7), True\n"
        "    def problem(self): return problem\n"
        "DrillScreen._warm = DrillScreen.prepare = lambda self, *_: None\n"
        "async def main():\n"
        "    app = Rungwise(Start.wish, Start())\n"
        "    async with app.run_test() as pilot:\n"
        "        await pilot.pause()\n"
        "        assert app.screen.climb.problem is problem\n"
        "asyncio.run(main())",
        pickle.dumps(generate(7, level=1)).hex(),
    )
    assert "textual" in loaded and "flint" not in loaded


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
