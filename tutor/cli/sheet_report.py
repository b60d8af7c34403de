"""``rungwise sheet report``: from a folder of marks to the class report and the plan after it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..classroom.marking.marks import ClassMarks, marks_of
from ..files.records import in_file, json_file
from .console import FAILED, fail, reason, say, shown
from .sheet_options import PATH, documents_told, formats_option, out_option

if TYPE_CHECKING:
    from ..classroom.report.figures_of_class import Report

MARKS = "marks.json"
MOST_BYTES = 1 << 30
"""Longest marks file that is read: a hundred thousand students need less."""
FORMATS = {"html": "html", "pdf": "pdf", "text": "txt", "json": "json"}
"""What can be written, and how the names of such files end."""
PLAN, EACH = "follow-up.toml", "follow-up-each.toml"


@click.command()
@click.argument("marks", type=PATH)
@out_option("Folder to write to; else MARKS.")
@click.option(
    "--anonymous",
    is_flag=True,
    help="Without names or anybody's answers, to be shown to the class.",
)
@click.option(
    "--follow-up",
    "each",
    is_flag=True,
    help=f"Write {EACH} as well: a plan of sheets from each student's own slips.",
)
@formats_option(tuple(FORMATS), "html,pdf,json", "What to write")
def report(
    marks: str, out: str | None, anonymous: bool, each: bool, formats: tuple[str, ...]
) -> None:
    """Report on a class from the folder MARKS that `rungwise sheet mark` wrote.

    Writes report.html, report.pdf and report.json, report.txt if --formats has text, and
    follow-up.toml, the plan of a sheet about what the class knew least. With --anonymous the
    names begin with report-anonymous, and there is no plan, which holds a seed.
    """
    from ..classroom.report.blocks import report_page
    from ..classroom.report.document import document
    from ..classroom.report.figures_of_class import report as figures_of
    from ..classroom.report.first_page import shown_slips
    from ..classroom.report.plan import digest_of, follow_up
    from ..documents.pdf_compiler import PdfError
    from ..documents.rendered import rendered
    from ..files.tree import among_students

    folder = Path(marks)
    found = read_marks(folder)
    target = Path(out) if out is not None else folder.parent if folder.is_file() else folder
    if not anonymous and among_students(target):
        fail(f"{shown(target)}: this lies among the students' files; give another --out.")
    if each and anonymous:
        fail("--follow-up writes names: leave --anonymous out.")
    figures = figures_of(found, anonymous=anonymous)
    stem, plan = "report-anonymous", ""
    style = {"symbols": found.symbols, "paper": found.paper}
    if not anonymous:
        stem, plan = "report", follow_up(figures, digest_of(found), style)
    boards = shown_slips(figures)
    page = report_page(figures, PLAN if plan else "", boards)
    files = {}
    for form in formats:
        try:
            if form == "json":
                text = json.dumps(
                    document(figures, boards), ensure_ascii=False, indent=1, allow_nan=False
                )
                data = f"{text}\n".encode()
            else:
                data = rendered(page, form)
        except PdfError as error:
            fail(f"{error}; or leave it out with --formats html,json.", status=FAILED)
        files[f"{stem}.{FORMATS[form]}"] = data
    for name, data in files.items():
        _write(target, name, data)
    if plan:
        _write_plan(target, PLAN, plan.encode())
    if each:
        _write_each(target, found, figures, style)
    say(
        "report",
        "command.read",
        count=figures.count,
        expected=figures.expected,
        weak=len(figures.reteach),
    )


def read_marks(folder: Path) -> ClassMarks:
    """The marks in a folder, or in the file itself.

    Raises:
        SystemExit: they can't be read (status 2).
    """
    file = folder if folder.is_file() else folder / MARKS
    with documents_told():
        document = json_file(file, MOST_BYTES, "give the folder that `rungwise sheet mark` wrote")
        with in_file(file):
            return marks_of(document)


def _write(folder: Path, name: str, data: bytes) -> None:
    """Write a file that is there whole or not at all, for its owner's eyes, and say so.

    Raises:
        SystemExit: it can't be written (status 1).
    """
    from ..files.tree import whole_file

    try:
        folder.mkdir(parents=True, exist_ok=True)
        with whole_file(folder / name) as out:
            out.write(data)
    except (OSError, ValueError) as error:
        fail(f"{shown(folder / name)}: {reason(error)}.", status=FAILED)
    say("report", "command.wrote", file=shown(folder / name))


def _write_each(folder: Path, marks: ClassMarks, figures: Report, style: dict[str, str]) -> None:
    """Write the plan of sheets from each student's own slips, and say how to make them."""
    from ..classroom.report.personal import personal

    plan = personal(marks, figures, style)
    if plan is None:
        say("report", "command.none-each")
        return
    _write_plan(folder, EACH, plan.text.encode())
    say(
        "report",
        "command.each",
        own=plan.own,
        harder=plan.harder,
        file=shown(folder / EACH),
    )


def _write_plan(folder: Path, name: str, data: bytes) -> None:
    """Write a plan, unless there is another one: a teacher may have changed it."""
    file = folder / name
    try:
        there = file.read_bytes()
    except FileNotFoundError:
        there = data
    except OSError as error:
        fail(f"{shown(file)}: {reason(error)}.", status=FAILED)
    if there != data:
        say("report", "command.left", file=shown(file))
        return
    _write(folder, name, data)
