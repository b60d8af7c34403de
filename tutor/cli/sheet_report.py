"""``rungwise sheet report``: from a folder of marks to the class report and the plan after it."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ...problems.sheets.model import SheetError
from ..classroom.marking.marks import ClassMarks, marks_of
from ..files.records import in_file, json_file
from ..language.texts import plain
from .console import FAILED, fail, reason, say, shown
from .sheet import read_out

if TYPE_CHECKING:
    from ..classroom.report.figures_of_class import Report

MARKS = "marks.json"
MOST_BYTES = 1 << 30
"""Longest marks file that is read: a hundred thousand students need less."""
FORMATS = {"html": "html", "pdf": "pdf", "text": "txt", "json": "json"}
"""What can be written, and how the names of such files end."""
PLAN = "follow-up.toml"


def _formats(context: click.Context, option: click.Parameter, text: str) -> tuple[str, ...]:
    named = tuple(dict.fromkeys(w.strip().lower() for w in text.split(",") if w.strip()))
    wrong = [word for word in named if word not in FORMATS]
    if wrong or not named:
        told = f"there is no format {wrong[0]!r}; " if wrong else ""
        raise click.BadParameter(f"{told}choose from {', '.join(FORMATS)}.")
    return named


@click.command()
@click.argument("marks", type=click.Path())
@click.option(
    "--out",
    type=click.Path(),
    metavar="DIR",
    callback=read_out,
    help="Folder to write to; else MARKS.",
)
@click.option("--anonymous", is_flag=True, help="Without names or anybody's answers, to be shown.")
@click.option(
    "--formats",
    callback=_formats,
    default="html,pdf,json",
    show_default=True,
    help="What to write, with commas between.",
)
def report(marks: str, out: str | None, anonymous: bool, formats: tuple[str, ...]) -> None:
    """Report on a class from the folder MARKS that `rungwise sheet mark` wrote.

    Writes report.html, report.pdf and report.json, report.txt if --formats has text, and
    follow-up.toml, the plan of a sheet about what the class knew least. With --anonymous the
    names begin with report-anonymous, and there is no plan, which holds a seed.
    """
    from ..classroom.report.blocks import report_page
    from ..classroom.report.figures_of_class import document
    from ..classroom.report.figures_of_class import report as figures_of
    from ..files.tree import among_students

    folder = Path(marks)
    found = read_marks(folder)
    target = Path(out) if out is not None else folder.parent if folder.is_file() else folder
    if not anonymous and among_students(target):
        fail(f"{shown(target)}: this lies among the students' files; give another --out.")
    figures = figures_of(found, anonymous=anonymous)
    stem = "report-anonymous" if anonymous else "report"
    plan = "" if anonymous else _plan(figures, found)
    name = PLAN if plan else ""

    def html() -> bytes:
        from ..documents.html import page_html

        return page_html(report_page(figures, name)).encode()

    def pdf() -> bytes:
        from ..documents.pdf import page_pdf

        return page_pdf(report_page(figures, name))

    def as_json() -> bytes:
        text = json.dumps(document(figures), ensure_ascii=False, indent=1, allow_nan=False)
        return f"{text}\n".encode()

    def text() -> bytes:
        from ..documents.text import page_text

        return page_text(report_page(figures, name)).encode()

    makers: dict[str, Callable[[], bytes]] = {
        "html": html, "pdf": pdf, "text": text, "json": as_json
    }  # fmt: skip
    _write_all(target, {f"{stem}.{FORMATS[form]}": _made(makers[form]) for form in formats})
    if plan:
        _write_plan(target, plan)
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
    try:
        document = json_file(file, MOST_BYTES, "give the folder that `rungwise sheet mark` wrote")
        with in_file(file):
            return marks_of(document)
    except SheetError as error:
        fail("\n".join(plain(trouble) for trouble in error.troubles[:20]))


def _plan(figures: Report, marks: ClassMarks) -> str:
    from ..classroom.report.plan import digest_of, follow_up

    style = {"symbols": marks.symbols, "paper": marks.paper}
    return follow_up(figures, digest_of(marks), style)


def _made(make: Callable[[], bytes]) -> bytes:
    from ..documents.pdf_compiler import PdfError

    try:
        return make()
    except PdfError as error:
        fail(f"{error}; or leave it out with --formats html,json.", status=FAILED)


def _write_all(folder: Path, files: dict[str, bytes]) -> None:
    for name, data in files.items():
        _write(folder, name, data)
        say("report", "command.wrote", file=shown(folder / name))


def _write(folder: Path, name: str, data: bytes) -> None:
    """Write a file that is there whole or not at all, for its owner's eyes.

    Raises:
        SystemExit: it can't be written (status 1).
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(prefix=".rungwise-", dir=folder)
        try:
            with open(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            os.replace(beside, folder / name)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
    except (OSError, ValueError) as error:
        fail(f"{shown(folder / name)}: {reason(error)}.", status=FAILED)


def _write_plan(folder: Path, text: str) -> None:
    """Write the plan, unless there is another one: a teacher may have changed it."""
    file = folder / PLAN
    try:
        there = file.read_bytes()
    except FileNotFoundError:
        there = None
    except OSError as error:
        fail(f"{shown(file)}: {reason(error)}.", status=FAILED)
    if there is not None and there != text.encode():
        say("report", "command.left", file=shown(file))
        return
    _write(folder, PLAN, text.encode())
    say("report", "command.wrote", file=shown(file))
