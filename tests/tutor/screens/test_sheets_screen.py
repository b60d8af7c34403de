"""The list of sheets in a folder, and the way from the opening screen to a hand-in."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from rungwise.problems.sheets.documents import sheet_document
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.common.served import SERVED
from rungwise.tutor.screens.opening.screen import OpeningScreen
from rungwise.tutor.screens.sheet.list import DEEPEST, SheetsScreen, sheets_below
from rungwise.tutor.screens.sheet.screen import SheetScreen
from textual.pilot import Pilot

from .sheet_scenes import sheet
from .stage import settled


def put(folder: Path) -> Path:
    """A sheet in a folder."""
    folder.mkdir(parents=True)
    (folder / "sheet.json").write_text(json.dumps(sheet_document(sheet())), encoding="utf-8")
    return folder / "sheet.json"


def test_sheets_are_found_and_keys_are_not(tmp_path: Path) -> None:
    here = [put(tmp_path / "b" / "02-bo"), put(tmp_path / "a")]
    put(tmp_path / "keys" / "01-ann")
    put(tmp_path / ".hidden")
    put(tmp_path.joinpath(*"x" * (DEEPEST + 1)))
    (tmp_path / "loop").symlink_to(tmp_path)
    assert sheets_below(tmp_path) == sorted(here)


async def opened(pilot: Pilot[None], kind: type) -> None:
    for _ in range(50):
        await settled(pilot)
        if isinstance(pilot.app.screen, kind):
            return
    raise AssertionError(pilot.app.screen)


async def test_from_the_opening_screen_to_a_hand_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path / "01-ann")
    monkeypatch.chdir(tmp_path)
    async with Rungwise().run_test(size=(80, 24)) as pilot:
        await opened(pilot, OpeningScreen)
        await pilot.press("s")
        await opened(pilot, SheetsScreen)
        for _ in range(50):
            if pilot.app.screen.query_one("#found").has_focus:
                break
            await settled(pilot)
        await pilot.press("enter")
        await opened(pilot, SheetScreen)
        await pilot.press("a", "enter")
        await settled(pilot)
        await pilot.press("escape")
        await opened(pilot, OpeningScreen)
    kept = json.loads((tmp_path / "01-ann" / "answers.json").read_text(encoding="utf-8"))
    assert kept["answers"]["1.1"] == "series"


async def test_what_is_no_sheet_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "01").mkdir()
    (tmp_path / "01" / "sheet.json").write_text("[bold]{", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    async with Rungwise().run_test(size=(80, 24)) as pilot:
        await opened(pilot, OpeningScreen)
        await pilot.press("s")
        await opened(pilot, SheetsScreen)
        await pilot.pause(0.3)
        await pilot.press("enter")
        await opened(pilot, OpeningScreen)
        assert any("not JSON" in note.message for note in pilot.app._notifications)


async def test_a_visitor_is_shown_no_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(tmp_path / "01-ann")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(SERVED, "1")
    async with Rungwise().run_test(size=(80, 24)) as pilot:
        await opened(pilot, OpeningScreen)
        await pilot.press("s")
        await settled(pilot)
        assert isinstance(pilot.app.screen, OpeningScreen)
        assert "Sheets" not in pilot.app.export_screenshot()
