"""``rungwise sheet export``: sheets and results for course systems."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..files.names import sheet_name
from ..language.texts import fill
from .console import FAILED, fail, reason, say, shown
from .sheet_options import documents_told

if TYPE_CHECKING:
    from ..classroom.interchange.xapi_results import Accounts
    from ..classroom.marking.marks import StudentMarks

STUDENTS, MARKS = "students", "marks"
_HERE = "."


@click.command()
@click.argument("sheets", metavar="OUT", type=click.Path())
@click.option("--to", "target", required=True, type=click.Path(), help="Folder or file to write.")
@click.option("--qti", is_flag=True, help="A QTI 2.1 package (the default).")
@click.option(
    "--xapi",
    metavar="[MARKS]",
    is_flag=False,
    flag_value=_HERE,
    help="Results as xAPI statements instead, of the folder MARKS (OUT/marks).",
)
@click.option("--each", is_flag=True, help="QTI: a test for each student, not one with pools.")
@click.option("--png", is_flag=True, help="QTI: items show PNG pictures; SVG ones lie beside them.")
@click.option(
    "--emails", is_flag=True, help="xAPI: whom it is about by a hash of the e-mail, not by id."
)
@click.option("--only", metavar="N", type=click.IntRange(1), multiple=True, help="Sheet number.")
@click.option("--force", is_flag=True, help="Overwrite what exists.")
def export(
    sheets: str,
    target: str,
    qti: bool,
    xapi: str | None,
    each: bool,
    png: bool,
    emails: bool,
    only: tuple[int, ...],
    force: bool,
) -> None:
    """Export the sheets in OUT for a course system.

    Writes a QTI 2.1 package, a ZIP file if the name ends so and a folder otherwise: one test that
    draws each problem from those of all the sheets, or with --each a test for each student. It
    holds the key. With --xapi it writes what was marked as statements of the Experience API 2.0,
    one a line, for a learning record store; students are accounts of the plan's home_page.
    """
    if qti and xapi is not None:
        raise click.UsageError("Give either --qti or --xapi, not both.")
    if xapi is not None and (each or png):
        raise click.UsageError("--each and --png are of QTI packages; leave them out with --xapi.")
    if xapi is None and emails:
        raise click.UsageError("--emails is of statements; give --xapi with it.")
    out, where = Path(sheets), Path(target)
    _keep_apart(out, where)
    if xapi is None:
        _export_qti(out, where, only, force, each=each, png=png)
    else:
        marks = out / MARKS if xapi == _HERE else Path(xapi)
        _export_xapi(out, marks, where, only, force, emails=emails)


def _keep_apart(out: Path, where: Path) -> None:
    """Refuse to put what holds the key, or somebody's points, among the students' files."""
    from ..files.tree import among_students

    if among_students(where) or where.resolve().is_relative_to((out / STUDENTS).resolve()):
        fail(f"{shown(where)}: this would lie among the students' files; give another place.")


def _export_qti(
    out: Path, where: Path, only: tuple[int, ...], force: bool, *, each: bool, png: bool
) -> None:
    from ...problems.sheets.addressed import is_personal
    from ..classroom.interchange.archive import write_folder, write_zip
    from ..classroom.interchange.class_folder import given, open_folder
    from ..classroom.interchange.qti_package import Counts, PackageForm, package
    from ..documents.pdf_compiler import PdfError, available

    counts = Counts()
    try:
        with documents_told():
            if png:
                available()
            folder = open_folder(out)
            each = each or is_personal(folder.plan)  # such sheets have no problems in common
            form = PackageForm(each, "png" if png else "svg")
            _check_numbers(only, {entry.number for entry in folder.students})
            write = write_zip if where.suffix.lower() == ".zip" else write_folder
            write(where, package(given(folder, only), counts, form), over=force)
    except PdfError as error:
        fail(str(error), status=FAILED)
    except (OSError, ValueError) as error:
        fail(f"{shown(where)}: {reason(error)}.", status=FAILED)
    say(
        "interchange",
        "command.qti-each" if each else "command.qti-pool",
        file=shown(where),
        sheets=counts.sheets,
        items=counts.items,
        hand=counts.by_hand,
    )


def _export_xapi(
    out: Path, marks: Path, where: Path, only: tuple[int, ...], force: bool, *, emails: bool
) -> None:
    from dataclasses import replace

    from ..classroom.interchange.archive import write_lines
    from ..classroom.interchange.xapi_results import statements
    from .sheet_report import read_marks

    found = read_marks(marks)
    _check_numbers(only, {student.number for student in found.students})
    if only:
        chosen = tuple(student for student in found.students if student.number in only)
        found = replace(found, students=chosen)
    known = _accounts(out, found.students, emails=emails)
    file = where / "statements.jsonl" if where.is_dir() else where
    count = 0

    def lines() -> Iterator[str]:
        nonlocal count
        for line in statements(found, known):
            count += 1
            yield line

    try:
        write_lines(file, lines(), over=force)
    except (OSError, ValueError) as error:
        fail(f"{shown(file)}: {reason(error)}.", status=FAILED)
    students = sum(bool(s.problems) for s in found.students)
    say("interchange", "command.xapi", file=shown(file), statements=count, students=students)


def _accounts(out: Path, students: Iterable[StudentMarks], *, emails: bool) -> Accounts:
    """How the students of a class are known: by the home page of its plan, or their e-mails."""
    from ..classroom.interchange.class_folder import CLASS, KEYS
    from ..classroom.interchange.xapi_results import OURS, Accounts
    from ..classroom.marking.made_class import read_class

    path = out / KEYS / CLASS
    if not emails and not path.exists():  # marks alone
        return OURS
    with documents_told():
        course, members = read_class(path)
    addresses = {one.number: one.email for one in members if one.email} if emails else {}
    by_number = {one.number: one for one in members}
    for marks in students if emails else ():
        member = by_number.get(marks.number)
        if member is not None and not marks.belongs_to(member):  # never another's address
            values = [("sheet", sheet_name(marks.number)), ("folder", shown(out))]
            fail(fill("interchange", "command.other-sheets", values))
    if emails and not addresses:
        fail(f"{shown(path)}: the roster has no e-mail addresses; leave --emails out.")
    return Accounts(course.home_page or OURS.home_page, addresses)


def _check_numbers(only: tuple[int, ...], there: set[int]) -> None:
    lacking = [str(number) for number in only if number not in there]
    if lacking:
        fail(f"--only: there is no sheet {', '.join(lacking)} here; there are 1 to {max(there)}.")
