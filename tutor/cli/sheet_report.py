"""``rungwise sheet report``: from a folder of marks to the class report and the plan after it."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from ...problems.sheets.model import SheetError
from ..classroom.marking.marks import ClassMarks, marks_of
from ..language.ascii import ascii_form, carries_unicode
from ..language.texts import fill, plain
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
        _stop(f"{_file(target)}: this lies among the students' files; give another --out.")
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
    _say(
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
    shown = _file(file)
    try:
        with file.open("rb") as source:
            data = source.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        _stop(f"{shown}: {reason}; give the folder that `rungwise sheet mark` wrote.")
    if len(data) > MOST_BYTES:
        _stop(f"{shown}: too long for marks; at most {MOST_BYTES >> 20} MiB are read.")
    try:
        return marks_of(json.loads(data))
    except SheetError as error:
        lines = [plain(f"{shown}: {trouble}") for trouble in error.troubles[:20]]
        _stop("\n".join(lines))
    except (ValueError, RecursionError) as error:
        line = getattr(error, "lineno", None)
        where = f", line {line}" if line else ""
        _stop(f"{shown}{where}: this is no whole JSON; run `rungwise sheet mark` again.")


def _plan(figures: Report, marks: ClassMarks) -> str:
    from ..classroom.report.plan import digest_of, follow_up

    style = {"symbols": marks.symbols, "paper": marks.paper}
    return follow_up(figures, digest_of(marks), style)


def _made(make: Callable[[], bytes]) -> bytes:
    from ..documents.pdf_compiler import PdfError

    try:
        return make()
    except PdfError as error:
        _stop(f"{error}; or leave it out with --formats html,json.", status=1)


def _write_all(folder: Path, files: dict[str, bytes]) -> None:
    for name, data in files.items():
        _write(folder, name, data)
        _say("command.wrote", file=_file(folder / name))


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
        reason = getattr(error, "strerror", None) or error
        _stop(f"{_file(folder / name)}: {reason}.", status=1)


def _write_plan(folder: Path, text: str) -> None:
    """Write the plan, unless there is another one: a teacher may have changed it."""
    file = folder / PLAN
    try:
        there = file.read_bytes()
    except FileNotFoundError:
        there = None
    except OSError as error:
        _stop(f"{_file(file)}: {error.strerror or error}.", status=1)
    if there is not None and there != text.encode():
        _say("command.left", file=_file(file))
        return
    _write(folder, PLAN, text.encode())
    _say("command.wrote", file=_file(file))


def _file(name: Path) -> str:
    """A file's name as it can be shown: it may be any bytes."""
    return plain(str(name).encode("utf-8", "replace").decode("utf-8"))


def _say(key: str, **values: object) -> None:
    text = fill("report", key, values.items())
    if not carries_unicode(sys.stdout):
        text = ascii_form(text)
    click.echo(text)


def _stop(message: str, status: int = 2) -> NoReturn:
    text = message if carries_unicode(sys.stderr) else ascii_form(message)
    click.echo(f"rungwise: {text}", err=True)
    raise SystemExit(status)
