"""What ``rungwise sheet mark`` does, and what it says about it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from ...problems.sheets.model import SheetError
from ..classroom.handins.cells import one_line
from ..classroom.handins.files import BadHandIn
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
from ..classroom.marking.settled import NAME as SETTLED
from .console import FAILED, INTERRUPTED, fail, many, painted_over, shown, write

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
            fail(f"{shown(str(marks))} is a link: nothing is written where it leads", status=FAILED)
        course, entries = read_class(made / "keys" / "class.json")
        if not back.is_dir():
            fail(f"{shown(handins)} is no folder; give the folder that the hand-ins are in")
        from ..classroom.marking.run import Marking, mark

        marking = Marking(
            course,
            entries,
            hand_ins(back, leave=(marks, made / "keys")),
            lambda entry: _key(made, entry),
            marks,
            tolerance,
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
    """A line that says how far it is."""
    doing = {"read": "Hand-ins read", "mark": "Students marked"}
    with painted_over() as paint:
        yield lambda what, done: paint(
            lambda: f"{doing[what]}: {done:,} (class of {students:,})   ",
            what == "mark" and done == students,
        )


@contextmanager
def _politely() -> Iterator[None]:
    """What goes wrong is said on standard error, with what mends it."""
    from ..classroom.marking.run import MarkingBusyError

    try:
        yield
    except SheetError as error:
        fail(*(one_line(str(trouble)) for trouble in error.troubles))
    except MarkingBusyError as error:
        fail(f"{error}; wait until it has ended, or give another --out", status=FAILED)
    except WorkersError as error:
        fail(str(error), status=FAILED)
    except NotOursError as error:
        fail(f"{error.filename} {error.strerror}; give another --out", status=FAILED)
    except BrokenPipeError:
        raise  # nobody is there to be told
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        reason = (error.strerror or str(error)).lower()
        taken = isinstance(error, FileExistsError | NotADirectoryError)
        remedy = "give another --out" if taken else "run the same command to go on"
        fail(f"{where}{reason}; {remedy}", status=FAILED)
    except KeyboardInterrupt:
        fail("stopped; run the same command again to mark them", status=INTERRUPTED)


def _report(outcome: WritingOutcome, marks: Path) -> None:
    for line in _lines(outcome, marks):
        write("    " * line.startswith("    ") + one_line(line))


def _lines(outcome: WritingOutcome, marks: Path) -> Iterator[str]:
    folder = shown(str(marks))
    counts = outcome.students
    yield (
        f"{many(counts[HandInState.MARKED], 'student')} marked, "
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
        yield f"{many(outcome.open, 'answer')} could not be read: {folder}/{UNCLEAR_CSV}"
        yield f"    fill in points or corrected, save it as {SETTLED} there, and mark again"
        yield f"    (what you decided before stays decided: {folder}/{KEPT} keeps it)"
    if outcome.apart:
        yield f"{many(outcome.apart, 'thing')} set apart, each with a reason: {folder}/{APART_CSV}"
    if outcome.changes is not None:
        yield f"{many(outcome.changes, 'change')} since the marks before: {folder}/{CHANGES_CSV}"
        for name, was, now in outcome.changed:
            yield f"    {name}: {was or 'no marks'} → {now or 'no marks'}"
    if outcome.deaths:
        yield f"Workers died {outcome.deaths} times; their work was done by others."
