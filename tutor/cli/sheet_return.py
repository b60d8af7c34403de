"""``rungwise sheet return``: solutions given back to students, when the teacher says so (thin)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..files.names import sheet_name
from ..language.texts import fill, plain
from .console import FAILED, fail, painted_over, shown, write
from .sheet_options import PATH, crew, formats_option, politely
from .sheet_report import read_marks

if TYPE_CHECKING:
    from ..classroom.marking.marks import StudentMarks
    from ..classroom.returning.release import ReturnOutcome

MOST_TOLD = 20
"""Students told of by name."""
FEW = 8
"""Pages that are made sooner than processes are started."""
_PRELOAD = "rungwise.tutor.classroom.returning.jobs"


@click.command("return")
@click.argument("marks", type=PATH)
@click.option("--to", type=PATH, metavar="DIR", help="Folder to put pages in; OUT/returned.")
@click.option("--sheets", type=PATH, metavar="OUT", help="Folder of the sheets; that of MARKS.")
@click.option("--students", metavar="LIST", help="Only these: numbers, student numbers or names.")
@formats_option(("html", "pdf", "text"), "html,pdf", "What pages are made as")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes that make pages.")
def give_back(
    marks: str,
    to: str | None,
    sheets: str | None,
    students: str | None,
    formats: tuple[str, ...],
    workers: int | None,
) -> None:
    """Give each student a page with their answers, marks, slips and worked solutions.

    MARKS is the folder that `rungwise sheet mark` wrote, OUT/marks. A folder for each student,
    named as that of their sheet. After marking again it replaces what has changed, and says whose.
    """
    from ..classroom.interchange.class_folder import open_folder
    from ..classroom.making.workers import processors
    from ..classroom.returning.release import Returning, chosen
    from ..classroom.returning.release import give_back as release
    from ..documents.pdf_compiler import PdfError

    place = Path(marks)
    place = place.parent if place.is_file() else place
    made = Path(sheets) if sheets is not None else _above(place)
    found = read_marks(place)
    if sheets is None and not (made / "keys").is_dir():
        fail(f"{shown(made)}: {fill('returning', 'command.no-class')}")
    with politely("to go on"):
        folder = open_folder(made)
        numbers: list[int] = []
        if students is not None:
            try:
                numbers = chosen(folder.students, students)
            except ValueError as error:
                fail(f"--students: {plain(error)}")
        target = Path(to) if to is not None else made / "returned"
        job = Returning(folder, found, place, target, numbers, formats)
        count = len(numbers) or len(found.students)
        processes = workers or (processors() if count > FEW else 1)
        with painted_over() as paint:
            try:
                outcome = release(
                    job,
                    crew(processes, None, _PRELOAD),
                    lambda done, of: paint(lambda: _progress(done, of), done == of),
                )
            except PdfError as error:
                fail(f"{error}; or leave it out with --formats html.", status=FAILED)
    for line in _lines(outcome, target):
        write(line)


def _above(place: Path) -> Path:
    """The folder that a folder lies in, by its own name where it has one."""
    return place.parent if place.name not in ("", "..") else place.resolve().parent


def _progress(done: int, count: int) -> str:
    return fill("returning", "command.progress", [("done", f"{done:,}"), ("count", f"{count:,}")])


def _lines(outcome: ReturnOutcome, target: Path) -> Iterator[str]:
    from ..classroom.returning.release import ReturnState

    def said(key: str, **values: object) -> str:
        return fill("returning", f"command.{key}", values.items())

    yield said("released", folder=shown(target), count=f"{len(outcome.students):,}")
    for state in ReturnState:
        found = outcome.in_state(state)
        if found:
            yield f"  {said(state.value, count=f'{len(found):,}')}"
        if state is ReturnState.REPLACED:
            yield from _named(found)
    if outcome.without:
        yield said("without", count=f"{len(outcome.without):,}")
        yield from _named(outcome.without)
    if outcome.open:
        yield said("open", count=f"{outcome.open:,}")
    for path, kept in outcome.aside:
        yield said("aside", path=path, kept=kept)


def _named(found: list[StudentMarks]) -> Iterator[str]:
    for marks in found[:MOST_TOLD]:
        name = plain(marks.name or marks.id) or sheet_name(marks.number)
        yield f"    {sheet_name(marks.number)} {name}"
    if len(found) > MOST_TOLD:
        yield "    " + fill("returning", "command.more", [("count", len(found) - MOST_TOLD)])
