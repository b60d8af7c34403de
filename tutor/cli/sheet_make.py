"""``rungwise sheet start`` and ``rungwise sheet make``: a plan, and the sheets and keys of a class.

Each command imports what it needs when it runs.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from importlib import resources
from importlib.util import find_spec
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, NoReturn

import click

from ...problems.sheets.model import (
    LEAST_SEED,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    SEEDS,
    Plan,
    Student,
)
from ..classroom.roster import MOST_BYTES, RosterError, anonymous, read_roster
from ..language.texts import fill, plain, speaker
from .console import FAILED, fail, painted_over, reason, shown, warn, write
from .sheet_options import CLUSTER, PATH, crew, formats_option, out_option, politely

if TYPE_CHECKING:
    from ..classroom.making.enrolment import Enrolment
    from ..classroom.making.make import MakingOutcome

say = speaker("roster")

FORMATS = ("pdf", "html", "text", "json")
EXAMPLE = "plan-example.toml"
_NEEDS = {"pdf": ("typst", "pypdf")}
_MOST_TOLD = 10
_BAR = 30
_PRELOAD = "rungwise.tutor.classroom.making.jobs"
_OLD = (
    "{file} is of the old form: it makes the same sheets as ever, and one key tells all others; "
    f'for a new sheet set format = "{PLAN_FORMAT}", and a seed that `rungwise sheet start` drew'
)


@click.command()
@click.argument("file", type=PATH, default="plan.toml")
def start(file: str) -> None:
    """Write a commented plan to FILE (plan.toml), to be changed as you like."""
    from secrets import randbelow

    text = resources.files("rungwise.content").joinpath(EXAMPLE).read_text(encoding="utf-8")
    # Of the seed everything follows: one that is in every copy would be no secret.
    text = re.sub(r"(?m)^seed = \d+", f"seed = {LEAST_SEED + randbelow(SEEDS - LEAST_SEED)}", text)
    if file == "-":
        write(text, end="")
        return
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        fail(f"{shown(file)} is there already; give another name")
    except (OSError, ValueError) as error:
        fail(f"{shown(file)}: {reason(error)}; give another name", status=FAILED)
    with open(handle, "w", encoding="utf-8", newline="\n") as out:
        out.write(text)
    write(f"{shown(file)} holds a plan: read it, and change it. Then:")
    write(f"    rungwise sheet make {quote(shown(file))} --students roster.csv")


@click.command()
@click.argument("plan", type=PATH)
@click.option(
    "--students", type=PATH, metavar="ROSTER", help="Table with the students: CSV, XLSX or ODS."
)
@click.option(
    "--count", type=click.IntRange(1, 10_000), help="Sheets without names, instead of a roster."
)
@out_option("Folder to make them in.")
@formats_option(FORMATS, ",".join(FORMATS), "What to make")
@click.option(
    "--workers", type=click.IntRange(1, 256), help="Processes; by default one per processor."
)
@CLUSTER
@click.option("--again", is_flag=True, help="Make again what was made from another plan or roster.")
@click.option("--long-keys", is_flag=True, help="Keys with every circuit worked through, too.")
@click.option("--print", "together", is_flag=True, help="A file of each group's sheets, to print.")
@click.option(
    "--large",
    multiple=True,
    metavar="WHO",
    help="A copy in large print for this student (name, number or e-mail); may be repeated.",
)
def make(
    plan: str,
    students: str | None,
    count: int | None,
    out: str | None,
    formats: Sequence[str],
    workers: int | None,
    cluster: str | None,
    again: bool,
    long_keys: bool,
    together: bool,
    large: Sequence[str],
) -> None:
    """Make a sheet for each student of a PLAN, and the keys apart from them.

    An interrupted run is continued by the same command. Each key is a page of answers, limits and
    slips; --long-keys makes one beside it in which every circuit is worked through.
    """
    if students is not None and count is not None:
        raise click.UsageError("Give either --students or --count, not both.")
    if workers is not None and cluster is not None:
        raise click.UsageError("Give either --workers or --cluster, not both.")
    from .sheet_plan import read_plan, told

    _check_libraries(formats)
    with politely("to go on where it was", partial(told, name=shown(plan))):
        wanted = read_plan(plan)
        if wanted.format == OLD_PLAN_FORMAT:
            warn(_OLD.format(file=shown(plan)))
        whose = _students(students, count, wanted)
        folder = Path(out) if out is not None else Path(f"{Path(plan).stem}-sheets")
        from ...problems.sheets.lots import check
        from ..classroom.making.ledger import StaleError
        from ..classroom.making.make import BATCH, MakingJob, make
        from ..classroom.making.workers import processors

        check(wanted)
        size = BATCH if set(formats) <= {"json"} else 1
        workers = min(workers or processors(), -(-len(whose) // size))
        job = MakingJob(
            wanted,
            whose,
            folder,
            formats,
            again,
            long_keys,
            _in_large_print(large, whose),
            together,
        )
        try:
            with _progress() as (drawn, tell):
                outcome = make(
                    job, crew(workers, cluster, _PRELOAD), tell, drawn=drawn, found=_tell_found
                )
        except StaleError as error:
            _refuse(folder, error.differences)
    printed = together or wanted.printing.together
    _report(outcome, folder, len(whose), printed=printed)
    if "pdf" in formats:
        _tell_letters(whose)


def _refuse(out: Path, differences: Sequence[str]) -> NoReturn:
    fail(
        f"{shown(str(out))} holds sheets of something else:",
        *(f"  {line}" for line in _some(differences)),
        "give another --out, or --again to make them again",
        status=FAILED,
    )


def _check_libraries(formats: Sequence[str]) -> None:
    missing = [
        name for format_ in formats for name in _NEEDS.get(format_, ()) if find_spec(name) is None
    ]
    if missing:
        from ..files.installing import how_to_install

        libraries = " and ".join(f"`{name}`" for name in dict.fromkeys(missing))
        fail(
            f"drawings on paper need {libraries}; install with {how_to_install('paper')},"
            " or make `--formats text,json`"
        )


def _tell_found(enrolment: Enrolment) -> None:
    """What the roster changes for whom, before anything is made."""
    warn(*(f"{note}." for note in enrolment.notes))
    if enrolment.changes:
        write(say("edited.changes"))
        for line in enrolment.changes:
            write(f"  {shown(line)}")


def _students(roster: str | None, count: int | None, plan: Plan) -> tuple[Student, ...]:
    if roster is None:
        if count is None:
            fail("say for whom: --students ROSTER.csv, or --count N without names")
        return anonymous(count)
    try:
        with Path(roster).open("rb") as source:
            data = source.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        fail(f"{shown(roster)}: {reason(error)}; give a CSV table of students")
    try:
        found = read_roster(data, numbered=plan.is_numbered)
    except RosterError as error:
        fail(*(f"{shown(roster)}: {line}" for line in error.lines))
    warn(*(f"{shown(roster)}: {note}." for note in found.notes))
    if plan.is_numbered and any(one.group or one.variant or one.seat for one in found.students):
        warn(f"{shown(roster)}: {say('table.rows-count', form=PLAN_FORMAT)}.")
    return found.students


def _in_large_print(wanted: Sequence[str], students: Sequence[Student]) -> tuple[Student, ...]:
    found = []
    for text in wanted:
        key = text.strip().casefold()
        some = [one for one in students if key in _known_as(one)]
        if len(some) != 1:
            key = "make.nobody" if not some else "make.several"
            fail(fill("sheet", key, [("who", plain(text)[:60]), ("count", len(some))]))
        found += some
    return tuple(found)


def _known_as(student: Student) -> set[str]:
    return {text.casefold() for text in (student.name, student.id, student.email) if text}


@contextmanager
def _progress() -> Iterator[tuple[Callable[[int, int], None], Callable[[int, int], None]]]:
    """What is told how many students' problems are drawn, and then how many sheets are made."""
    with painted_over() as paint:
        yield _Bar("drawing", paint), _Bar("making", paint)


class _Bar:
    """How far it is with one part of the work, and how long that will still take."""

    def __init__(self, what: str, paint: Callable[[Callable[[], str], bool], None]) -> None:
        self._what, self._paint = what, paint
        self._began: float | None = None

    def __call__(self, done: int, of: int) -> None:
        now = time.monotonic()
        began = self._began = now if self._began is None else self._began
        what = say(f"progress.{self._what}")
        self._paint(lambda: _bar(what, done, of, now - began), done in (0, of))


def _bar(what: str, done: int, of: int, seconds: float) -> str:
    filled = _BAR * done // max(of, 1)
    bar = "#" * filled + "-" * (_BAR - filled)
    left = ""
    if 0 < done < of:
        minutes, rest = divmod(round(seconds * (of - done) / done), 60)
        left = f"  {minutes}:{rest:02d} left"
    return f"{what}  [{bar}]  {done}/{of}{left:<20}"


def _report(outcome: MakingOutcome, out: Path, students: int, *, printed: bool) -> None:
    folder = shown(str(out))
    if outcome.deaths:
        warn(f"workers died {outcome.deaths} times; others did their work.")
    left = [
        f"{shown(path)} changed since it was made, and is left as it is." for path in outcome.left
    ]
    aside = [f"{shown(old)} was not made here, and is put aside." for old, _ in outcome.aside]
    warn(*_some(left, "."), *_some(aside, "."))
    if outcome.missing:
        warn(fill("sheet", "make.unprinted", [("count", len(outcome.missing))]))
    if outcome.made:
        write(f"Made sheets for {_students_of(outcome.made)}: {folder}{os.sep}students")
    else:
        write(f"All sheets for {_students_of(students)} are there: {folder}{os.sep}students")
    write(f"Keys, for your eyes only: {folder}{os.sep}keys")
    if printed:
        write(fill("sheet", "make.print", [("folder", f"{folder}{os.sep}print")]))


def _tell_letters(students: Sequence[Student]) -> None:
    """Say which scripts of the names the PDFs have no letters of, and which fonts drew the others.

    A name without its letters is left out there.
    """
    from ..documents.pdf_compiler import FONTS
    from ..documents.pdf_scripts import fonts_of, lacking_scripts

    texts = [
        text for one in students for text in (one.name, one.id, one.group, one.variant) if text
    ]
    lacking = lacking_scripts(texts)
    for one in lacking:
        name = plain(one.sample)[:60]
        values = {"name": name, "script": one.script, "font": one.font, "folder": FONTS}
        warn(fill("sheet", "make.lacking", values.items()))
    if lacking:
        warn(fill("sheet", "make.again"))
    if fonts := fonts_of(texts):
        write(fill("sheet", "make.fonts", [("fonts", ", ".join(fonts)), ("folder", FONTS)]))


def _students_of(count: int) -> str:
    return "one student" if count == 1 else f"{count} students"


def _some(lines: Sequence[str], end: str = "") -> list[str]:
    more = len(lines) - _MOST_TOLD
    return [*lines[:_MOST_TOLD], *([f"and {more} more{end}"] if more > 0 else [])]
