"""Thirty sheets of paper entered by keyboard in a real terminal, killed again and again.

``python -m tests.studies.enter_by_keyboard [SHEETS] [KILLS] [SEED]`` writes a class (30 sheets),
first with problems of every kind, then with a page of twelve small circuits and boxes to tick.  It
makes up what stands on the papers: right answers in words and figures, wrong ones, slips and
blanks.  A script enters them in the grid, key by key, in tmux; so many times (10) the program is
killed with -9 on its way, in the middle of a cell too, and begun again.  Whatever the screen had
counted as entered must be there, as it was typed, and nothing else.  Keys are counted: those of a
cell beyond its text.  At the end the class is marked, and the marks are held against those of the
same answers handed in as files.
"""

from __future__ import annotations

import os
import re
import signal
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from rungwise.problems.sheets.model import Plan
from rungwise.tutor.classroom.entering.grid import EntryGrid

from tests.support.tmux_stage import Terminal
from tests.tutor.classroom.handed_in import PLAN, Class, as_csv
from tests.tutor.classroom.papers import QUIZ, cells, grid_of, keys_for, on_paper

MOST_EXTRA = 3
"""Keys that an answer may take beyond its text."""
AT_A_TIME = 12
"""Cells typed before the screen is read again."""
_DONE = re.compile(r"([\d,]+) of ([\d,]+) entered")


class EnteredLostError(AssertionError):
    """Something that was acknowledged is gone, or is not as it was typed."""


@dataclass
class Tally:
    """Keys that were pressed.

    Attributes:
        cells: answers entered, those lost to a kill before they were acknowledged again.
        keys: all keys; ``text`` those that are the answers' own text.
        extra: how many answers took how many keys beyond their text.
        kills: times the program was killed.
    """

    cells: int = 0
    keys: int = 0
    text: int = 0
    extra: Counter[int] = field(default_factory=Counter)
    kills: int = 0

    def take(self, text: str, keys: list[str]) -> None:
        """Count a cell's ``keys``, of which some are the ``text`` that stands on the paper."""
        typed = "".join(key for key in keys if key != "\n")
        own = len(typed) if typed == text else 0
        self.cells += 1
        self.keys += len(keys)
        self.text += own
        self.extra[len(keys) - own] += 1

    def told(self) -> str:
        """The figures in a line."""
        extra = ", ".join(f"{count} took {n}" for n, count in sorted(self.extra.items()))
        return (
            f"{self.cells} answers, {self.keys} keys, {self.text} of them text; beyond it: {extra};"
            f" killed {self.kills} times"
        )


def check(grid: EntryGrid, acknowledged: int) -> None:
    """Hold what is on the disk against what stands on the papers.

    Raises:
        EnteredLostError: less is there than was ``acknowledged``, or something else.
    """
    if grid.done < acknowledged:
        raise EnteredLostError(f"{acknowledged} cells were acknowledged, and {grid.done} are there")
    for sheet, asked in cells(grid):
        found = grid.file.cells.get((sheet.number, asked.number))
        text = on_paper(sheet, asked)[0]
        if found is not None and found.typed != (text or "-"):
            raise EnteredLostError(f"{sheet.number} {asked.number}: {found.typed!r}, not {text!r}")


def shown(terminal: Terminal) -> int:
    """How many cells the screen says are entered; −1 while it says nothing."""
    match = _DONE.search(terminal.screen())
    return int(match[1].replace(",", "")) if match else -1


def wait(terminal: Terminal, count: int, seconds: float = 60.0) -> int:
    """Wait until so many cells are entered; how many are.

    Raises:
        AssertionError: they are not, in so many seconds.
    """
    end = time.monotonic() + seconds
    while (found := shown(terminal)) < count:
        assert time.monotonic() < end, f"{count} cells are not entered:\n{terminal.screen()}"
        time.sleep(0.01)
    return found


def press(terminal: Terminal, keys: str) -> None:
    """Press ``keys``; a line break is Enter."""
    *lines, last = keys.split("\n")
    for line in lines:
        if line:
            terminal.type(line)
        terminal.press("enter")
    if last:
        terminal.type(last)


def sitting(out: Path, home: Path, tally: Tally, chance: Random | None) -> bool:
    """Enter until all is entered, or with ``chance`` until killed; whether all is.

    Args:
        out: the class.
        home: where records go.
        tally: is told of every key.
        chance: when to kill; ``None``: never.
    """
    grid = grid_of(out)
    before = grid.done
    left = 1 + chance.randrange(min(60, 1 + (grid.count - before) // 2)) if chance else grid.count
    with Terminal((100, 30), home) as terminal:
        terminal.start("sheet", "enter", str(out))
        wait(terminal, before)
        entered = before
        while entered < grid.count:
            written = ""
            for _ in range(min(AT_A_TIME, left, grid.count - entered)):
                asked = grid.asked
                assert asked is not None
                text, typed = on_paper(grid.sheet, asked)
                keys = keys_for(grid, typed)
                tally.take(text, keys)
                written += "".join(keys)
                grid.step(1)
                entered += 1
                left -= 1
            press(terminal, written)
            if chance and left <= 0:
                terminal.type("'1.5")  # the next cell is being typed
                time.sleep(chance.random() * 0.3)
                acknowledged = max(shown(terminal), before)
                os.kill(terminal.shell(), signal.SIGKILL)
                tally.kills += 1
                check(grid_of(out), acknowledged)
                return False
            wait(terminal, entered)
        terminal.press("escape")
        terminal.wait_for_end()
    check(grid_of(out), grid.count)
    return True


def enter(folder: Path, sheets: int, kills: int, chance: Random, plan: Plan = PLAN) -> Tally:
    """Enter a class; what it took.

    Args:
        folder: an empty one.
        sheets: how many papers there are.
        kills: how often the program is killed on the way.
        chance: when.
        plan: of the class's sheets.

    Raises:
        EnteredLostError: something was lost, or marks are not those of the same hand-ins.
    """
    for name in ("paper", "files", "home"):
        (folder / name).mkdir()
    paper, files = (Class(folder / name, sheets, plan) for name in ("paper", "files"))
    tally = Tally()
    for _ in range(kills):
        if sitting(paper.out, folder / "home", tally, chance):
            break
    else:
        sitting(paper.out, folder / "home", tally, None)
    if max(tally.extra) > MOST_EXTRA:
        raise EnteredLostError(f"an answer took {max(tally.extra)} keys beyond its text")
    texts: dict[int, dict[str, str]] = {}
    for sheet, asked in cells(grid_of(paper.out)):
        texts.setdefault(sheet.number, {})[asked.number] = on_paper(sheet, asked)[0]
    for number, answers in texts.items():
        (files.back / f"{number}.csv").write_bytes(as_csv(number, answers, plan))
    paper.mark()
    files.mark()
    for ours, theirs in zip(paper.found().students, files.found().students, strict=True):
        if ours.problems != theirs.problems:
            raise EnteredLostError(f"the marks of sheet {ours.number} are others")
    return tally


def main() -> None:
    """Enter a class and say what it took."""
    numbers = [int(word) for word in sys.argv[1:]]
    sheets, kills, seed = (*numbers, *(30, 10, 1)[len(numbers) :])
    for name, plan in ("every kind", PLAN), ("a page of boxes", QUIZ):
        with tempfile.TemporaryDirectory() as folder:
            start = time.monotonic()
            tally = enter(Path(folder), sheets, kills, Random(seed), plan)
            seconds = time.monotonic() - start
        print(f"{sheets} sheets, {name}: {tally.told()}; nothing lost, marks as of files")
        print(f"    {seconds:.0f} s")


if __name__ == "__main__":
    main()
