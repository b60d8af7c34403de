"""Scenes of papers being entered."""

from __future__ import annotations

from pathlib import Path

from rungwise.problems.questions.model import Form
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Student
from rungwise.problems.sheets.plan import plan_of
from rungwise.tutor.classroom.entering.grid import EntryGrid, PaperSheet
from rungwise.tutor.classroom.handins.entered import EnteredAnswer, newest
from rungwise.tutor.classroom.handins.entered_file import EnteredFile
from rungwise.tutor.classroom.marking.made_class import ClassMember
from rungwise.tutor.screens.app import Rungwise
from rungwise.tutor.screens.entering.screen import EnterScreen
from textual.pilot import Pilot

from tests.tutor.classroom.plans import example

from .stage import settled

NAMES = (
    "Ann Tenna", "Bo Wire", "Cas Code", "Dee Coupling", "Ed Current", "Fay Nor", "Gil Bert",
    "Hal Effect", "Ira Mho", "Jo Ule",
)  # fmt: skip


class Nowhere(EnteredFile):
    """Papers that are kept in memory alone."""

    def __init__(self) -> None:
        super().__init__(Path("/nowhere"))
        self._kept: list[EnteredAnswer] = []

    def put(self, entered: EnteredAnswer, seen: EnteredAnswer | None) -> bool:
        """Keep a cell."""
        self._kept.append(entered)
        self.cells = newest(self._kept)
        return False


def papers() -> Rungwise:
    """A class of ten with the example that the project ships."""
    plan, sheets = plan_of(example()), []
    for number, name in enumerate(NAMES, 1):
        key = draft(plan, Student(number, name)).variant.key
        sheets.append(PaperSheet(ClassMember(number, f"{number:02d}-x", name), key))
    return Rungwise(first=EnterScreen(plan.title, EntryGrid(sheets, Nowhere())))


async def half_entered(pilot: Pilot[None]) -> None:
    """Some papers are entered; a figure that a slip explains is being typed."""
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, EnterScreen)
    grid = screen.grid
    await pilot.press(*"abaab", "space", "enter", "tab", "home", *"abcdabc", "space")
    place = next(
        place
        for place, number in enumerate(grid.columns)
        if grid.rows[0].questions[number].question.form is Form.QUANTITY
    )
    await pilot.press("home", *["right"] * (place - grid.column))
    asked = grid.asked
    assert asked is not None
    await pilot.press("space", "semicolon", "2", "equals_sign", "1", "enter", "enter")
    asked = grid.asked
    assert asked is not None
    await pilot.press(*asked.slips[0].typed)
    await settled(pilot)
