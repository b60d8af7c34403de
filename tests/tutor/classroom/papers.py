"""Papers of a class as a teacher enters them: what stands on them, and the keys that takes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

from rungwise.problems.questions.model import Form, Rung
from rungwise.problems.sheets.model import Plan, PlanSection
from rungwise.tutor.classroom.entering.grid import EntryGrid, PaperSheet
from rungwise.tutor.classroom.entering.open_class import open_class
from rungwise.tutor.classroom.entering.recognised import PaperQuestion

from .handed_in import WRONG

QUIZ = Plan(
    "Filters, week 3",
    2**60 + 4711,
    (
        PlanSection("At sight", by_inspection=12, count=12),
        PlanSection("By hand", levels=(3,), count=1, ask=(Rung.GAIN, Rung.CORNER, Rung.Q)),
    ),
)
"""A quiz on paper: a page of small circuits with boxes to tick, and one circuit worked out."""
FIGURES = (Form.QUANTITY, Form.RATIO, Form.GAIN)


def grid_of(out: Path) -> EntryGrid:
    """The grid of the class in a folder."""
    return open_class(out)[1]


def on_paper(sheet: PaperSheet, asked: PaperQuestion, seed: int = 1) -> tuple[str, str]:
    """What stands on a paper, and what a teacher types for it: text, Space, a slip, or nothing."""
    chance = Random(f"{sheet.number} {asked.number} {seed}")
    luck = chance.random()
    if asked.choices:
        letter = chance.choice(asked.choices).letter
        return letter, letter
    wrong = WRONG[asked.question.form.value]
    if asked.question.form is Form.QUANTITY:
        wrong = f"17.3 {asked.question.unit}"
    if luck < 0.08:
        return "", ""
    if luck < 0.2 and asked.choices:
        return asked.right, " "
    if luck < 0.35:
        return asked.right, " "
    if luck < 0.6 or asked.question.form is Form.SKETCH:
        return asked.right, asked.right
    if luck < 0.8 and asked.slips:
        place = chance.randrange(len(asked.slips))
        return asked.slips[place].typed, f";{place + 1}"
    return wrong, wrong


def keys_for(grid: EntryGrid, typed: str) -> list[str]:
    """The keys that a text takes in the present cell: one a character, and Enter where it must."""
    return [*typed] if grid.at_once(typed) else [*typed, "\n"]


def cells(grid: EntryGrid) -> Iterator[tuple[PaperSheet, PaperQuestion]]:
    """Every cell in the order of the sheets."""
    for sheet in grid.rows:
        for asked in sheet.questions.values():
            yield sheet, asked
