"""What ``rungwise sheet mark`` does, and what it says about it."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from ...problems.sheets.model import SheetError
from ..classroom.handins.cells import one_line
from ..classroom.handins.files import BadHandIn
from ..classroom.handins.table import BadTable
from ..classroom.making.workers import WorkersError
from ..classroom.marking.folder import hand_ins, read_plain
from ..classroom.marking.made_class import ClassMember, read_class
from ..classroom.marking.marks import HandInState
from ..classroom.marking.out import (
    APART_CSV,
    CHANGES_CSV,
    FEEDBACK,
    MARKS_CSV,
    UNCLEAR_CSV,
    NotOursError,
)
from ..classroom.marking.settled import KEPT
from ..classroom.marking.settled import MOST_BYTES as MOST_SETTLED
from ..classroom.marking.settled import NAME as SETTLED
from ..language.ascii import ascii_form, carries_unicode

if TYPE_CHECKING:
    from ..classroom.making.workers import Workers
    from ..classroom.marking.write import WritingOutcome

MOST_KEY = 16 * 1024 * 1024
"""Longest ``key.json`` that is read; one of fifty problems has a hundredth of it."""
MOST_SHEET = 64 * 1024 * 1024
"""Longest sheet that is held against one that came back."""
_SHEETS = ("sheet.pdf", "sheet.html", "sheet.txt")
ALONE = 100
"""A class this small is marked sooner than processes are started."""
_PRELOAD = ("rungwise.tutor.classroom.marking.jobs",)
_FAILED, _MISUSED, _INTERRUPTED = 1, 2, 130


def mark(
    sheets: str,
    handins: str,
    out: str | None,
    tolerance: Fraction | None,
    workers: int | None,
    cluster: str | None,
) -> None:
    """Mark what came back, and say what came of it.

    Raises:
        SystemExit: something is in the way; it is said on standard error.
    """
    made, back = Path(sheets), Path(handins)
    marks = Path(out) if out is not None else made / "marks"
    with _politely():
        if out is None and marks.is_symlink():  # somebody else's idea, perhaps
            _stop(f"{_shown(str(marks))} is a link: nothing is written where it leads", _FAILED)
        course, entries = read_class(made / "keys" / "class.json")
        if not back.is_dir():
            _stop(f"{_shown(handins)} is no folder; give the folder that the hand-ins are in", 2)
        from ..classroom.marking.run import Marking, mark

        marking = Marking(
            course,
            entries,
            hand_ins(back, leave=(marks, made / "keys")),
            lambda entry: _key(made, entry),
            marks,
            tolerance,
            _settled(marks),
            lambda entry, path: _is_given(
                made, entry, Path(os.fsdecode(os.fsencode(back) + b"/" + path))
            ),
        )
        with _progress(len(entries)) as tell:
            outcome = mark(marking, _workers(workers, cluster, len(entries)), tell)
    _report(outcome, marks)


def _key(made: Path, entry: ClassMember) -> bytes | None:
    try:
        return read_plain(made / "keys" / entry.folder / "key.json", MOST_KEY)
    except (OSError, BadHandIn):
        return None


def _is_given(made: Path, entry: ClassMember, file: Path) -> bool:
    """Whether a file is the sheet itself, as it was made."""
    if file.name not in _SHEETS:
        return False
    try:
        given = read_plain(made / "students" / entry.folder / file.name, MOST_SHEET)
        return read_plain(file, MOST_SHEET) == given
    except (OSError, BadHandIn):
        return False


def _settled(marks: Path) -> bytes | BadTable | None:
    try:
        return read_plain(marks / SETTLED, MOST_SETTLED)
    except FileNotFoundError:
        return None
    except OSError as error:
        return BadTable(f"it can't be opened ({error.strerror})", "see to it that you may open it")
    except BadTable as error:
        return error


def _workers(count: int | None, cluster: str | None, students: int) -> Workers:
    from ..classroom.making.workers import Here, Processes, processors

    if cluster is not None:
        from ..classroom.making.cluster import Cluster

        return Cluster(cluster)
    if count is None:
        count = processors() if students > ALONE else 1
    return Processes(count, _PRELOAD) if count > 1 else Here()


@contextmanager
def _progress(students: int) -> Iterator[Callable[[str, int], None]]:
    """A line on standard error that says how far it is, where that is a terminal."""
    if not sys.stderr.isatty():
        yield lambda what, done: None
        return
    doing = {"read": "Hand-ins read", "mark": "Students marked"}
    painted = 0.0

    def tell(what: str, done: int) -> None:
        nonlocal painted
        now = time.monotonic()
        if now - painted > 0.1 or (what == "mark" and done == students):
            painted = now
            click.echo(f"\r{doing[what]}: {done:,} (class of {students:,})   ", err=True, nl=False)

    try:
        yield tell
    finally:
        if painted:
            click.echo(err=True)


@contextmanager
def _politely() -> Iterator[None]:
    """What goes wrong is said on standard error, with what mends it."""
    from ..classroom.marking.run import MarkingBusyError

    try:
        yield
    except SheetError as error:
        _stop("\n".join(map(str, error.troubles)), _MISUSED)
    except MarkingBusyError as error:
        _stop(f"{error}; wait until it has ended, or give another --out", _FAILED)
    except WorkersError as error:
        _stop(str(error), _FAILED)
    except NotOursError as error:
        _stop(f"{error.filename} {error.strerror}; give another --out", _FAILED)
    except BrokenPipeError:
        raise  # nobody is there to be told
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        reason = (error.strerror or str(error)).lower()
        taken = isinstance(error, FileExistsError | NotADirectoryError)
        remedy = "give another --out" if taken else "run the same command to go on"
        _stop(f"{where}{reason}; {remedy}", _FAILED)
    except KeyboardInterrupt:
        _stop("stopped; run the same command again to mark them", _INTERRUPTED)


def _report(outcome: WritingOutcome, marks: Path) -> None:
    _say(_lines(outcome, marks))


def _lines(outcome: WritingOutcome, marks: Path) -> Iterator[str]:
    folder = _shown(str(marks))
    counts = outcome.students
    yield (
        f"{_many(counts[HandInState.MARKED], 'student')} marked, "
        f"{counts[HandInState.MISSING]} without a hand-in, "
        f"{counts[HandInState.APART]} to be looked at"
        + (f", {counts[HandInState.UNREAD]} unread" if counts[HandInState.UNREAD] else "")
    )
    for name, file in outcome.unread:
        yield f"    unread: {name}: {file}"
    more = counts[HandInState.UNREAD] - len(outcome.unread)
    if more > 0:
        yield f"    and {more} more"
    texts = f", and a text for each student in {folder}/{FEEDBACK}"
    yield f"    {folder}/{MARKS_CSV}{texts if counts[HandInState.MARKED] else ''}"
    if outcome.open:
        yield f"{_many(outcome.open, 'answer')} could not be read: {folder}/{UNCLEAR_CSV}"
        yield f"    fill in points or corrected, save it as {SETTLED} there, and mark again"
        yield f"    (what you decided before stays decided: {folder}/{KEPT} keeps it)"
    if outcome.apart:
        yield f"{_many(outcome.apart, 'thing')} set apart, each with a reason: {folder}/{APART_CSV}"
    if outcome.changes is not None:
        yield f"{_many(outcome.changes, 'change')} since the marks before: {folder}/{CHANGES_CSV}"
        for name, was, now in outcome.changed:
            yield f"    {name}: {was or 'no marks'} → {now or 'no marks'}"
    if outcome.deaths:
        yield f"Workers died {outcome.deaths} times; their work was done by others."


def _many(count: int, thing: str) -> str:
    return f"{count:,} {thing}" if count == 1 else f"{count:,} {thing}s"


def _say(lines: Iterable[str]) -> None:
    fit = str if carries_unicode(sys.stdout) else ascii_form
    for line in lines:
        click.echo(fit("    " * line.startswith("    ") + one_line(line)))


def _shown(path: str) -> str:
    return one_line(os.fsencode(path).decode("utf-8", "replace"))


def _stop(trouble: str, status: int) -> NoReturn:
    fit = str if carries_unicode(sys.stderr) else ascii_form
    for line in trouble.splitlines():
        click.echo(fit(f"rungwise: {one_line(line)}"), err=True)
    raise SystemExit(status)
