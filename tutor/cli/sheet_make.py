"""What ``rungwise sheet start`` and ``rungwise sheet make`` do."""

from __future__ import annotations

import os
import re
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib import resources
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from ...problems.sheets.model import (
    LEAST_SEED,
    OLD_PLAN_FORMAT,
    PLAN_FORMAT,
    SEEDS,
    SheetError,
    Student,
)
from ..classroom.roster import MOST_BYTES, RosterError, anonymous, read_roster
from ..language.texts import plain
from .console import (
    FAILED,
    INTERRUPTED,
    fail,
    painted_over,
    reason,
    shown,
    warn,
    write,
)
from .sheet_plan import PlanError, read_plan, told

if TYPE_CHECKING:
    from ..classroom.making.make import MakingOutcome
    from ..classroom.making.workers import Workers

EXAMPLE = "plan-example.toml"
_NEEDS = {"pdf": ("typst",)}
_MOST_TOLD = 10
_BAR = 30
_PRELOAD = ("rungwise.tutor.classroom.making.jobs",)
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
    write(f"    rungwise sheet make {_quoted(file)} --students roster.csv")


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
        warn(_OLD.format(file=shown(file)))
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
        fail(
            f"drawings on paper need {libraries}; install with {how_to_install('paper')},"
            " or make `--formats text,json`"
        )


def _students(roster: str | None, count: int | None) -> tuple[Student, ...]:
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
        found = read_roster(data)
    except RosterError as error:
        fail(*(f"{shown(roster)}: {line}" for line in error.lines))
    warn(*(f"{shown(roster)}: {note}." for note in found.notes))
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
    """A line that says how far it is."""
    began = time.monotonic()
    with painted_over() as paint:
        yield lambda done, of: paint(lambda: _bar(done, of, time.monotonic() - began), done == of)


def _bar(done: int, of: int, seconds: float) -> str:
    filled = _BAR * done // max(of, 1)
    bar = "#" * filled + "-" * (_BAR - filled)
    left = ""
    if 0 < done < of:
        minutes, rest = divmod(round(seconds * (of - done) / done), 60)
        left = f"  {minutes}:{rest:02d} left"
    return f"Making sheets  [{bar}]  {done}/{of}{left:<14}"


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
        fail(*error.lines)
    except SheetError as error:
        fail(*told(error.troubles, shown(file)))
    except StaleError as error:
        more = len(error.differences) - _MOST_TOLD
        fail(
            f"{shown(str(out))} holds sheets of something else:",
            *(f"  {line}" for line in error.differences[:_MOST_TOLD]),
            *([f"  and {more} more"] if more > 0 else []),
            "give another --out, or --again to make them anew",
            status=FAILED,
        )
    except MakingBusyError as error:
        fail(f"{error}; wait until it has ended, or give another --out", status=FAILED)
    except (WorkersError, OutsideError, PdfError) as error:
        fail(str(error), status=FAILED)
    except BrokenPipeError:
        raise  # nobody is there to be told
    except OSError as error:
        where = f"{shown(str(error.filename))}: " if error.filename else ""
        taken = isinstance(error, FileExistsError | NotADirectoryError)
        remedy = "give another --out" if taken else "run the same command to go on"
        fail(f"{where}{reason(error)}; {remedy}", status=FAILED)
    except KeyboardInterrupt:
        fail("stopped; run the same command to go on where it was", status=INTERRUPTED)


def _report(outcome: MakingOutcome, out: Path, students: int) -> None:
    folder = shown(str(out))
    if outcome.deaths:
        warn(f"workers died {outcome.deaths} times; others did their work.")
    _tell_some(outcome.left, "changed since it was made, and is left as it is")
    _tell_some([old for old, _ in outcome.aside], "was not made here, and is put aside")
    if outcome.made:
        write(f"Made sheets for {_students_of(outcome.made)}: {folder}{os.sep}students")
    else:
        write(f"All sheets for {_students_of(students)} are there: {folder}{os.sep}students")
    write(f"Keys, for your eyes only: {folder}{os.sep}keys")


def _tell_letters(students: Sequence[Student]) -> None:
    """Say it where a name stands on the PDF with a sign in place of its letters."""
    from ..documents.pdf_compiler import FONTS
    from ..documents.pdf_letters import lacking

    name = lacking(text for student in students for text in (student.name, student.id))
    if name:
        warn(
            f"the PDFs have no letters for names such as “{plain(name)[:60]}”: set {FONTS} to "
            "a folder with a font for them and make them in another --out, or use the HTML."
        )


def _students_of(count: int) -> str:
    return "one student" if count == 1 else f"{count} students"


def _tell_some(paths: Sequence[str], what: str) -> None:
    more = len(paths) - _MOST_TOLD
    warn(*(f"{shown(path)} {what}." for path in paths[:_MOST_TOLD]))
    if more > 0:
        warn(f"and {more} more.")


def _quoted(name: str) -> str:
    from shlex import quote

    return quote(shown(name))
