"""Scenes of sheets: the list of those in a folder, and one being filled in."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

from rungwise.problems.sheets.documents import sheet_document
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Sheet, Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.handins.filling import Filling
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.sheet.list import SheetsScreen
from rungwise.tutor.screens.sheet.screen import SheetScreen
from textual.pilot import Pilot

from tests.tutor.classroom.plans import example

from .stage import settled

ANN = Student(1, "Ann Tenna")


def sheet() -> Sheet:
    """A sheet of the example that the project ships."""
    return draft(plan_of(example()), ANN).variant.sheet


def filling() -> Rungwise:
    """A sheet in which something was answered already."""
    answers = {"1.1": "series", "1.2": "low-pass", "1.4": "2", "2.1": "shunt"}
    screen = SheetScreen(Filling(sheet(), "01", answers), lambda: None, "answers.json")
    return Rungwise(first=screen)


async def filled(pilot: Pilot[None]) -> None:
    """A figure is being typed."""
    await settled(pilot)
    await pilot.press("pagedown", "pagedown", "pagedown", "f4", *"4.7k")
    await settled(pilot)


async def listed(pilot: Pilot[None]) -> None:
    """The sheets of a folder."""
    await settled(pilot)
    with tempfile.TemporaryDirectory() as home:
        for name in ("01-ann-tenna", "02-bo-wire"):
            folder = Path(home) / "sheets" / "students" / name
            folder.mkdir(parents=True)
            (folder / "sheet.json").write_text(json.dumps(sheet_document(sheet())))
        pilot.app.push_screen(SheetsScreen(Path(home)))
        await settled(pilot)
        await pilot.pause(0.2)
        await settled(pilot)
