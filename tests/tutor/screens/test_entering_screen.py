"""Papers entered on the full screen: every key of it, and what is seen."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from copy import copy
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from rungwise.problems.questions.model import Face, Form
from rungwise.tutor.classroom.entering.grid import CellState, EntryGrid, Way
from rungwise.tutor.classroom.handins.entered_file import EnteredFile
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.help import HelpScreen
from rungwise.tutor.screens.entering.cells import EntryCells
from rungwise.tutor.screens.entering.facing import CellFacing, _lines, say
from rungwise.tutor.screens.entering.screen import EnterScreen
from rungwise.tutor.screens.entering.typing import CellInput
from textual.content import Content
from textual.pilot import Pilot
from textual.widgets import Static

from tests.tutor.classroom.handed_in import Class
from tests.tutor.classroom.papers import FIGURES, grid_of

from .stage import SIZES


@pytest.fixture
def grid(tmp_path: Path) -> EntryGrid:
    return grid_of(Class(tmp_path, 8).out)


@asynccontextmanager
async def on_stage(grid: EntryGrid, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[None]]:
    async with Rungwise(first=EnterScreen("Quiz", grid)).run_test(size=size) as pilot:
        await pilot.pause()
        yield pilot


def shown(pilot: Pilot[None], widget: type) -> str:
    found = pilot.app.screen.query_one(widget).render()
    assert isinstance(found, Content)
    return found.plain


def said(pilot: Pilot[None]) -> str:
    return str(pilot.app.screen.query_one("#said", Static).content)


async def to(pilot: Pilot[None], grid: EntryGrid, *forms: Form) -> None:
    """Go to the first student's first question of one of these forms, by keys."""
    place = next(
        place
        for place, number in enumerate(grid.columns)
        if grid.rows[0].questions[number].question.form in forms
    )
    await pilot.press("home", *["right"] * place)
    assert (grid.row, grid.column) == (0, place)


async def test_a_choice_is_one_key_and_the_next_student_comes(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await to(pilot, grid, Form.CHOICE)
        await pilot.press("a", "b", "a")
        assert grid.row == 3
        assert grid.done == 3
        assert "03" in said(pilot)
        text = shown(pilot, EntryCells)
        assert "1.1" in text and "a" in text


async def test_a_figure_is_typed_and_enter_goes_on(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await to(pilot, grid, *FIGURES)
        column = grid.column
        await pilot.press(*"17.3 kHz", "enter", "space", "semicolon", "1", "enter", "equals_sign")
        await pilot.press("1", "enter")
        states = [read.state for row in range(5) if (read := grid.told(row, column))]
        assert states == [
            CellState.WRONG, CellState.RIGHT, CellState.WRONG, CellState.BLANK, CellState.POINTS,
        ]  # fmt: skip
        await pilot.press("ctrl+z")
        assert grid.row == 4
        assert grid.entered() is None


async def test_what_is_typed_is_judged_before_it_is_taken(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await to(pilot, grid, *FIGURES)
        asked = grid.asked
        assert asked is not None
        assert asked.right in shown(pilot, CellFacing)
        assert asked.slips[0].typed in shown(pilot, CellFacing)
        await pilot.press(*asked.slips[0].typed.replace("µ", "u").replace("Ω", "ohm"))
        await pilot.pause()
        echo = str(pilot.app.screen.query_one("CellLine Static", Static).content)
        assert asked.slips[0].names[0] in echo
        assert grid.done == 0
        await pilot.press("escape")
        assert pilot.app.screen.query_one(CellInput).value == ""


async def test_what_can_not_be_read_stays_on_the_line(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await to(pilot, grid, *FIGURES)
        await pilot.press(*"zzz", "enter")
        assert pilot.app.screen.query_one(CellInput).value == "zzz"
        assert "zzz" in said(pilot)
        assert grid.done == 0
        await pilot.press("enter")
        assert grid.done == 1
        assert grid.row == 1


async def test_keys_lead_through_the_grid(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await pilot.press("f2")
        assert grid.way is Way.STUDENT
        await pilot.press("space", "space")
        assert (grid.row, grid.column) == (0, 2)
        await pilot.press("down", "left", "tab", "shift+tab")
        assert (grid.row, grid.column) == (1, 1)
        await pilot.press("f3", *"e004", "enter")
        await pilot.pause()
        assert grid.row == 3
        await pilot.press("end")
        assert grid.row == len(grid.rows) - 1
        await pilot.press("pageup", "home", "f4")
        assert grid.entered() is None
        await pilot.click(EntryCells, offset=(30, 3))
        await pilot.pause()
        assert grid.row == 1
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)


async def test_leaving_a_cell_takes_what_is_typed_in_it(grid: EntryGrid) -> None:
    async with on_stage(grid) as pilot:
        await to(pilot, grid, *FIGURES)
        await pilot.press(*"17.3 kHz", "down")
        assert grid.done == 1
        assert grid.row == 1
        await pilot.press(*"zzz", "down")  # not read: it stays
        assert grid.row == 1


async def test_what_can_not_be_kept_is_told_and_nothing_goes_on(
    grid: EntryGrid, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with on_stage(grid) as pilot:

        def put(*words: object) -> bool:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(grid.file, "put", put)
        await pilot.press("a")
        assert "No space left" in said(pilot)
        assert (grid.row, grid.column) == (0, 0)
        assert pilot.app.screen.query_one(CellInput).value == "a"
        monkeypatch.undo()
        await pilot.press("enter")
        assert grid.row == 1


@pytest.mark.parametrize("size", SIZES)
async def test_question_answer_and_slips_are_in_sight(
    grid: EntryGrid, size: tuple[int, int]
) -> None:
    async with on_stage(grid, size) as pilot:
        await to(pilot, grid, *FIGURES)
        facing, asked = shown(pilot, CellFacing), grid.asked
        assert asked is not None
        assert asked.right in facing
        for slip in asked.slips[:4]:
            assert slip.typed in facing
        lines = pilot.app.screen.query_one(CellFacing).size.height
        assert len(facing.splitlines()) <= lines
        cells = pilot.app.screen.query_one(EntryCells)
        assert all(len(line) <= cells.size.width for line in shown(pilot, EntryCells).splitlines())


def test_a_circuit_that_is_on_no_sheet_is_not_shown(grid: EntryGrid) -> None:
    sheet, asked = grid.sheet, grid.asked
    assert asked is not None
    hidden = copy(asked)
    hidden.item = replace(asked.item, problem=replace(asked.problem, face=Face.NONE))
    texts = ["\n".join(map(str, _lines(grid, sheet, one, 80, 20))) for one in (asked, hidden)]
    assert [say("cell.circuit") in text for text in texts] == [True, False]


async def test_hostile_names_stay_text(grid: EntryGrid) -> None:
    async with on_stage(grid, (120, 40)) as pilot:
        assert "<b>Bob</b>" in shown(pilot, EntryCells)
        await pilot.press("f3", *"[red]", "enter")
        await pilot.pause()
        assert "[red]" in said(pilot)


@pytest.mark.usefixtures("painted")
async def test_any_keys_leave_papers_that_can_be_read(grid: EntryGrid) -> None:
    """A monkey at the grid: whatever it presses, what is on the disk is what the grid shows."""
    chance = Random(7)
    keys = (
        *"abcd0159;=' .-kz", "enter", "space", "up", "down", "left", "right", "tab", "shift+tab",
        "f2", "f4", "ctrl+z", "pageup", "pagedown", "home", "end", "backspace", "escape",
    )  # fmt: skip
    async with on_stage(grid) as pilot:
        for _ in range(80):
            key = chance.choice(keys)
            if key == "escape" and not pilot.app.screen.query_one(CellInput).value:
                continue
            await pilot.press({";": "semicolon", "=": "equals_sign", " ": "space"}.get(key, key))
            if chance.random() < 0.04:
                await pilot.resize_terminal(*chance.choice(((60, 20), (40, 10), *SIZES)))
    again = EntryGrid(grid.rows, EnteredFile(grid.file.path.parent))
    assert again.done == grid.done > 2
    assert again.file.cells == grid.file.cells
    assert again.file.troubles == 0
