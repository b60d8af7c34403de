"""Without what only some systems have, everything imports, and all but a full terminal works.

Each test runs a program that cannot import these modules and cannot fork, as on Windows.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from rungwise.problems.grading.grade import right_text
from rungwise.tutor.learning.full_circuit import spared
from rungwise.tutor.learning.request import ProblemRequest

from tests.studies.fill_a_class import fill

WITHOUT = """
import os, sys

ABSENT = {"fcntl", "termios", "tty", "pty", "resource", "pwd", "grp"}

class Absent:
    def find_spec(self, name, path=None, target=None):
        if name in ABSENT:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
        return None

sys.meta_path.insert(0, Absent())
for name in ABSENT:
    sys.modules.pop(name, None)
for name in ("fork", "forkpty"):
    if hasattr(os, name):
        delattr(os, name)
"""
COMMAND = """
from rungwise.tutor.cli.entry import main
main()
"""


def python(code: str, *words: str, typed: str = "", folder: Path | None = None) -> str:
    """What a program prints that is run without all that; it must not fail."""
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT + code, *words],
        input=typed,
        capture_output=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, "PYTHONUTF8": "1"},
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def rungwise(*words: str, typed: str = "", folder: Path | None = None) -> str:
    """What the command says."""
    return python(COMMAND, *words, typed=typed, folder=folder)


def test_what_is_taken_away_is_gone() -> None:
    out = python(
        "for name in sorted(ABSENT):\n"
        "    try: __import__(name)\n"
        "    except ImportError: print(name)\n"
        "print(hasattr(os, 'fork'))"
    )
    assert out.split() == ["fcntl", "grp", "pty", "pwd", "resource", "termios", "tty", "False"]


def test_every_module_imports() -> None:
    out = python(
        "import importlib, pkgutil\n"
        "import rungwise.content, rungwise.problems, rungwise.tutor\n"
        "for room in (rungwise.content, rungwise.problems, rungwise.tutor):\n"
        "    for found in pkgutil.walk_packages(room.__path__, room.__name__ + '.'):\n"
        "        if not found.name.endswith('.__main__'):\n"
        "            importlib.import_module(found.name)\n"
        "            print(found.name)\n"
    )
    names = set(out.split())
    assert len(names) > 300
    assert {"rungwise.tutor.files.locks", "rungwise.tutor.screens.compat.terminal_driver"} <= names


def test_solve() -> None:
    out = rungwise("solve", "-", typed="series R1 = 1 kΩ; shunt C1 = 100 nF\n")
    assert "Low-pass" in out and "1.59" in out


def test_the_plain_drill_and_the_record(home: Path) -> None:
    problem = ProblemRequest(1, None, 7).problem()
    ends = spared(problem)  # not asked, as the type is right
    asked = [question for question in problem.questions if question.rung not in ends]
    answers = "".join(f"{right_text(question)}\n" for question in asked)
    out = rungwise("drill", "--plain", "--seed", "7", typed=answers)
    assert out.count("Right:") == len(asked)
    assert str(home) in rungwise("record", "where")
    rows = rungwise("record", "export", "-").splitlines()
    assert len(rows) > len(problem.questions)
    assert rungwise("progress", "--json").startswith("{")


def test_the_screen_without_a_terminal() -> None:
    out = python(
        "import asyncio\n"
        "from rungwise.tutor.learning.request import ProblemRequest\n"
        "from rungwise.tutor.screens.app import Rungwise\n"
        "from rungwise.tutor.store.keeper import Keeper\n"
        "async def main():\n"
        "    app = Rungwise(ProblemRequest(1, None, 7), keeper=Keeper())\n"
        "    async with app.run_test(size=(80, 24)) as pilot:\n"
        "        await app.workers.wait_for_complete()\n"
        "        await pilot.pause()\n"
        "        await pilot.press('f2', 'f3', 'enter')\n"
        "        await pilot.pause()\n"
        "        print(app.screen.climb.position)\n"
        "    app.let_go()\n"
        "asyncio.run(main())\n"
    )
    assert out.split() == ["1"]


def test_the_screen_asks_for_a_terminal_that_can_be_read() -> None:
    """Where there is one, but nothing to read it key by key, the plain drill is what works."""
    if sys.platform == "win32":
        return  # Textual has a driver of its own there
    out = python(
        "sys.stdin.isatty = sys.stdout.isatty = lambda: True\n"
        "from rungwise.tutor.cli.tutor import check_terminal\n"
        "try: check_terminal()\n"
        "except SystemExit as stop: print(stop.code)\n"
    )
    assert out.split() == ["2"]


def test_sheets_are_made_filled_in_and_marked(tmp_path: Path) -> None:
    rungwise("sheet", "start", folder=tmp_path)
    made = ("--count", "3", "--formats", "json,text,html", "--workers", "1", "--out", "sheets")
    rungwise("sheet", "make", "plan.toml", *made, folder=tmp_path)
    assert fill(tmp_path / "sheets", tmp_path / "hand-ins") >= 2
    rungwise("sheet", "mark", "sheets", "hand-ins", "--workers", "1", folder=tmp_path)
    assert (tmp_path / "sheets" / "marks" / "marks.json").stat().st_size > 1000
