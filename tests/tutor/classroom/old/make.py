"""``python -m tests.tutor.classroom.old.make FOLDER``: a class, its hand-ins and their marks.

``first/`` is what a release left on teachers' disks: it is never made anew, since those sheets
and keys are out in the world.  A later form of the documents gets a folder of its own.

``out/`` holds sheets and keys, ``back/`` the hand-ins, and ``marks.json`` what marking made of
them.  ``readings.json`` holds how each answer of the hand-ins is read where a sheet is filled in.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from click.testing import CliRunner
from rungwise.problems.questions.model import Rung, Task
from rungwise.problems.sheets.documents import sheet_document
from rungwise.problems.sheets.lots import draft
from rungwise.problems.sheets.model import Plan, PlanSection
from rungwise.tutor.classroom.handins.fill_in import read_sheet
from rungwise.tutor.classroom.handins.filling import FilledAnswer, Filling
from rungwise.tutor.classroom.making.jobs import json_bytes
from rungwise.tutor.cli.sheet import sheet

from tests.tutor.classroom.handed_in import (
    folder_of,
    hand_in_all,
    make_class,
    student,
    typed,
)

FIRST = Path(__file__).parent / "first"
COUNT = 4
ASKED = "type", "type-reason", "transfer", "corner", "corner-reason", "q"
PLAN = Plan(
    "Filters, week 4",
    11,
    (
        PlanSection(
            "By eye",
            levels=(2,),
            count=1,
            ask=(
                Rung.TYPE,
                Rung.TYPE_REASON,
                Rung.TRANSFER,
                Rung.CORNER,
                Rung.CORNER_REASON,
                Rung.Q,
            ),
        ),
        PlanSection("By hand", task=Task.SKETCH, levels=(2,), count=1),
        PlanSection("Back", task=Task.REVERSE, levels=(1, 2, 3, 4), count=4, same_families=False),
    ),
    course="EE 201",
    date="2026-11-30",
    format="rungwise.plan/1",
)
"""A plan whose sheets hold a question of every form, and circuits to choose from."""
ODD = {
    "choice": "A", "count": "two", "quantity": "1/(2π·R1·C1)", "ratio": "1/√2", "gain": "-3 dB",
    "slope": "-6 dB/octave", "angle": "-π/2", "formula": "1/(1 + s·R1·C1)",
    "sketch": "-20 to 1 kHz, -40; level 0 dB",
}  # fmt: skip
"""Answers in other spellings, and formulas: how these are read is kept as well."""


def readings(folder: Path, number: int) -> list[dict[str, str]]:
    """How answers to every question of a sheet are read where it is filled in."""
    made = read_sheet(folder / "out" / folder_of(number) / "sheet.json")
    filling = Filling(made, "x")
    found = []
    for place, (_, asked) in enumerate(filling.places):
        for text in (
            typed(number, 1, plan=PLAN)[asked.number],
            ODD[asked.form.value],
            "ω0/2 + 1",
            "no idea",
        ):
            filling = Filling(made, "x")
            filling.go(place)
            given: FilledAnswer = filling.give(text)
            found.append(
                {
                    "question": asked.number,
                    "text": given.text,
                    "understood": given.understood,
                    "trouble": given.trouble,
                }
            )
    return found


def make(folder: Path) -> None:
    """Make it all."""
    make_class(folder / "out", COUNT, PLAN)
    for number in range(1, COUNT + 1):
        own = folder / "out" / folder_of(number)
        own.mkdir()
        made = draft(PLAN, student(number)).variant.sheet
        (own / "sheet.json").write_bytes(json_bytes(sheet_document(made)))
    back = folder / "back"
    back.mkdir()
    hand_in_all(back, COUNT, plan=PLAN)
    done = CliRunner().invoke(sheet, ["mark", str(folder / "out"), str(back)])
    assert done.exit_code == 0, done.output
    marks = folder / "out" / "marks"
    (folder / "marks.json").write_bytes((marks / "marks.json").read_bytes())
    read = {str(number): readings(folder, number) for number in range(1, COUNT + 1)}
    text = json.dumps(read, ensure_ascii=False, indent=1) + "\n"
    (folder / "readings.json").write_text(text, "utf-8")


if __name__ == "__main__":
    make(Path(sys.argv[1]))
