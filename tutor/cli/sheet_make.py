"""What ``rungwise sheet start`` and ``rungwise sheet make`` do."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from importlib import resources
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from ...problems.sheets.model import (
    LEAST_SEED,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    SEEDS,
    SheetError,
    Student,
)
from ..classroom.roster import MOST_BYTES, RosterError, anonymous, read_roster
from ..language.ascii import ascii_form, carries_unicode
from ..language.texts import plain
from .sheet_plan import PlanError, read_plan, told

if TYPE_CHECKING:
    from ..classroom.making.make import MakingOutcome
    from ..classroom.making.workers import Workers

EXAMPLE = "plan-example.toml"
_NEEDS = {"pdf": ("typst",)}
_MOST_TOLD = 10
_BAR = 30
_PRELOAD = ("rungwise.tutor.classroom.making.jobs",)
_FAILED, _MISUSED, _INTERRUPTED = 1, 2, 130
_OLD = (
    "{file} is of the old form: it makes the same sheets as ever, and one key tells all others; "
    f'for a new sheet set format = "{PLAN_FORMAT}", and a seed that `rungwise sheet start` drew'
)


def start(file: str) -> None:
    """Write the example of a plan, with a seed of its own."""
    from secrets import randbelow

    text = resources.files("rungwise.content").joinpath(EXAMPLE).read_text(encoding="utf-8")
    # Of the seed everything follows: one that is in every copy would be no secret.
    text = re.sub(r"(?m)^seed = \d+", f"seed = {LEAST_SEED + randbelow(SEEDS - LEAST_SEED)}", text)
    if file == "-":
        click.echo(text, nl=False)
        return
    try:
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        _stop([f"{_file(file)} is there already; give another name"], _MISUSED)
    except (OSError, ValueError) as error:
        _stop([f"{_file(file)}: {_reason(error)}; give another name"], _FAILED)
    with open(handle, "w", encoding="utf-8", newline="\n") as out:
        out.write(text)
    _say(f"{_file(file)} holds a plan: read it, and change it. Then:")
    _say(f"    rungwise sheet make {_quoted(file)} --students roster.csv")


def make(
    file: str,
    roster: str | None,
    count: int | None,
    out: str | None,
    formats: Sequence[str],
    workers: int | None,
    cluster: str | None,
    again: bool,
) -> None:
    """Make sheets and keys."""
    _check_libraries(formats)
    with _politely(file):
        plan = read_plan(file)
    if plan.format == OLD_PLAN_FORMAT:
        _tell([_OLD.format(file=_file(file))])
    students = _students(roster, count)
    folder = Path(out) if out is not None else Path(f"{Path(file).stem}-sheets")
    from ...problems.sheets.lots import check
    from ..classroom.making.make import BATCH, MakingJob, make

    with _politely(file, folder):
        check(plan)
        size = BATCH if set(formats) <= {"json"} else 1
        crew = _workers(workers, cluster, -(-len(students) // size))
        with _progress() as tell:
            outcome = make(MakingJob(plan, students, folder, formats, again), crew, tell)
    _report(outcome, folder, len(students))
    if "pdf" in formats:
        _tell_letters(students)


def _check_libraries(formats: Sequence[str]) -> None:
    missing = [
        name for format_ in formats for name in _NEEDS.get(format_, ()) if find_spec(name) is None
    ]
    if missing:
        from ..files.installing import how_to_install

        libraries = " and ".join(f"`{name}`" for name in dict.fromkeys(missing))
        _stop(
            [
                f"drawings on paper need {libraries}; install with {how_to_install('paper')},"
                " or make `--formats text,json`"
            ],
            _MISUSED,
        )


def _students(roster: str | None, count: int | None) -> tuple[Student, ...]:
    if roster is None:
        if count is None:
            _stop(["say for whom: --students ROSTER.csv, or --count N without names"], _MISUSED)
        return anonymous(count)
    try:
        with Path(roster).open("rb") as source:
            data = source.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        _stop([f"{_file(roster)}: {_reason(error)}; give a CSV table of students"], _MISUSED)
    try:
        found = read_roster(data)
    except RosterError as error:
        _stop([f"{_file(roster)}: {line}" for line in error.lines], _MISUSED)
    _tell(f"{_file(roster)}: {note}" for note in found.notes)
    return found.students


def _workers(count: int | None, cluster: str | None, most: int) -> Workers:
    from ..classroom.making.workers import Here, Processes, processors

    if cluster is not None:
        from ..classroom.making.cluster import Cluster

        return Cluster(cluster)
    count = min(count or processors(), most)
    return Processes(count, _PRELOAD) if count > 1 else Here()


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """A line on standard error that says how far it is, where that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    began, painted = time.monotonic(), [0.0]

    def tell(done: int, of: int) -> None:
        now = time.monotonic()
        if of and (now - painted[0] > 0.1 or done == of):
            painted[0] = now
            _paint(done, of, now - began)

    try:
        yield tell
    finally:
        if painted[0]:
            click.echo(err=True)


def _paint(done: int, of: int, seconds: float) -> None:
    filled = _BAR * done // of
    bar = "#" * filled + "-" * (_BAR - filled)
    left = ""
    if 0 < done < of:
        minutes, rest = divmod(round(seconds * (of - done) / done), 60)
        left = f"  {minutes}:{rest:02d} left"
    click.echo(f"\rMaking sheets  [{bar}]  {done}/{of}{left:<14}", err=True, nl=False)


@contextmanager
def _politely(file: str, out: Path | None = None) -> Iterator[None]:
    """What goes wrong is said on standard error, with what mends it."""
    from ..classroom.making.ledger import StaleError
    from ..classroom.making.make import MakingBusyError
    from ..classroom.making.workers import WorkersError
    from ..documents.pdf_compiler import PdfError
    from ..files.tree import OutsideError

    try:
        yield
    except PlanError as error:
        _stop(error.lines, _MISUSED)
    except SheetError as error:
        _stop(told(error.troubles, _file(file)), _MISUSED)
    except StaleError as error:
        more = len(error.differences) - _MOST_TOLD
        _stop(
            [
                f"{_file(str(out))} holds sheets of something else:",
                *(f"  {plain(line)}" for line in error.differences[:_MOST_TOLD]),
                *([f"  and {more} more"] if more > 0 else []),
                "give another --out, or --again to make them anew",
            ],
            _FAILED,
        )
    except MakingBusyError as error:
        _stop([f"{plain(error)}; wait until it has ended, or give another --out"], _FAILED)
    except (WorkersError, OutsideError, PdfError) as error:
        _stop([plain(error)], _FAILED)
    except BrokenPipeError:
        raise  # nobody is there to be told
    except OSError as error:
        where = f"{_file(str(error.filename))}: " if error.filename else ""
        taken = isinstance(error, FileExistsError | NotADirectoryError)
        remedy = "give another --out" if taken else "run the same command to go on"
        _stop([f"{where}{_reason(error)}; {remedy}"], _FAILED)
    except KeyboardInterrupt:
        _stop(["stopped; run the same command to go on where it was"], _INTERRUPTED)


def _report(outcome: MakingOutcome, out: Path, students: int) -> None:
    folder = _file(str(out))
    if outcome.deaths:
        _tell([f"workers died {outcome.deaths} times; others did their work"])
    _tell_some(outcome.left, "changed since it was made, and is left as it is")
    _tell_some([old for old, _ in outcome.aside], "was not made here, and is put aside")
    if outcome.made:
        _say(f"Made sheets for {_students_of(outcome.made)}: {folder}{os.sep}students")
    else:
        _say(f"All sheets for {_students_of(students)} are there: {folder}{os.sep}students")
    _say(f"Keys, for your eyes only: {folder}{os.sep}keys")


def _tell_letters(students: Sequence[Student]) -> None:
    """Say it where a name stands on the PDF with a sign in place of its letters."""
    from ..documents.pdf_compiler import FONTS
    from ..documents.pdf_letters import lacking

    name = lacking(text for student in students for text in (student.name, student.id))
    if name:
        _tell(
            [
                f"the PDFs have no letters for names such as “{plain(name)[:60]}”: set {FONTS} to "
                "a folder with a font for them and make them in another --out, or use the HTML"
            ]
        )


def _students_of(count: int) -> str:
    return "one student" if count == 1 else f"{count} students"


def _tell_some(paths: Sequence[str], what: str) -> None:
    more = len(paths) - _MOST_TOLD
    _tell([*(f"{_file(path)} {what}" for path in paths[:_MOST_TOLD])])
    if more > 0:
        _tell([f"and {more} more"])


def _tell(lines: Iterable[str]) -> None:
    for line in lines:
        _print(f"rungwise: {line}.", err=True)


def _stop(lines: Iterable[str], status: int) -> NoReturn:
    for line in lines:
        _print(f"rungwise: {line}", err=True)
    raise SystemExit(status)


def _say(line: str) -> None:
    _print(line)


def _print(text: str, *, err: bool = False) -> None:
    """A line, in letters that the terminal has."""
    if not carries_unicode(sys.stderr if err else sys.stdout):
        text = ascii_form(text).encode("ascii", "replace").decode("ascii")
    click.echo(text, err=err)


def _file(name: str) -> str:
    """A file's name as it can be shown: it may be any bytes."""
    return plain(name.encode("utf-8", "replace").decode("utf-8"))


def _quoted(name: str) -> str:
    from shlex import quote

    return quote(_file(name))


def _reason(error: Exception) -> str:
    return plain(getattr(error, "strerror", None) or error)
