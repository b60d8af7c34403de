"""``rungwise sheet mark``: hand-ins in, marks out, and what is said of it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ...problems.sheets.model import PlanTrouble
from ..classroom.handins.cells import one_line
from ..classroom.handins.table import BadTable
from ..classroom.marking.folder import hand_ins, read_plain
from ..classroom.marking.made_class import ClassMember, read_class
from ..classroom.marking.marks import HandInState
from ..classroom.marking.out import APART_CSV, CHANGES_CSV, FEEDBACK, MARKS_CSV, UNCLEAR_CSV
from ..classroom.marking.papers import papers_in
from ..classroom.marking.settled import KEPT
from ..classroom.marking.settled import NAME as SETTLED
from ..language.errors import worded
from .console import FAILED, fail, many, painted_over, shown, write
from .sheet_options import CLUSTER, PATH, crew, out_option, politely

if TYPE_CHECKING:
    from ..classroom.marking.write import WritingOutcome

MOST_KEY = 16 * 1024 * 1024
"""Longest ``key.json`` that is read; one of fifty problems has a hundredth of it."""
MOST_SHEET = 64 * 1024 * 1024
"""Longest sheet that is held against one that came back."""
_SHEETS = ("sheet.pdf", "sheet.html", "sheet.txt")
ALONE = 100
"""A class this small is marked sooner than processes are started."""
_PRELOAD = "rungwise.tutor.classroom.marking.jobs"


def _tolerance(
    context: click.Context, option: click.Parameter, text: str | None
) -> Fraction | None:
    from ..classroom.marking.mark import read_tolerance

    try:
        return None if text is None else read_tolerance(text)
    except ValueError as error:
        raise click.BadParameter(f"{error}.") from None


@click.command()
@click.argument("sheets", metavar="OUT", type=PATH)
@click.argument("handins", metavar="HANDINS", type=PATH)
@out_option("Folder for marks; OUT/marks.")
@click.option(
    "--tolerance",
    metavar="SHARE",
    callback=_tolerance,
    help="Instead of the tolerances of the plan, such as 5%.",
)
@click.option("--workers", type=click.IntRange(1, 256), help="Processes that mark.")
@CLUSTER
def mark(
    sheets: str,
    handins: str,
    out: str | None,
    tolerance: Fraction | None,
    workers: int | None,
    cluster: str | None,
) -> None:
    """Mark the HANDINS (answers.csv, answers.json) of the sheets that were made in OUT.

    Again with another --tolerance, or with what was unclear settled in settled.csv, it says what
    has changed for whom. After an interrupted run the same command marks them all.
    """
    if workers is not None and cluster is not None:
        raise click.UsageError("Give either --workers or --cluster, not both.")
    made, back = Path(sheets), Path(handins)
    marks = Path(out) if out is not None else made / "marks"
    with politely(_told, "again to mark them"):
        if out is None and marks.is_symlink():  # somebody else's idea, perhaps
            fail(f"{shown(str(marks))} is a link: nothing is written where it leads", status=FAILED)
        course, entries = read_class(made / "keys" / "class.json")
        if not back.is_dir():
            fail(f"{shown(handins)} is no folder; give the folder that the hand-ins are in")
        from ..classroom.making.workers import processors
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
            papers_in(made / "keys", entries),
        )
        count = workers or (processors() if len(entries) > ALONE else 1)
        with _progress(len(entries)) as tell:
            outcome = mark(marking, crew(count, cluster, _PRELOAD), tell)
    for line in _lines(outcome, marks):
        write("    " * line.startswith("    ") + one_line(line))


def _told(troubles: Iterable[PlanTrouble]) -> Iterator[str]:
    return (one_line(worded(trouble.wording)) for trouble in troubles)


def _key(made: Path, entry: ClassMember) -> bytes | None:
    try:
        return read_plain(made / "keys" / entry.folder / "key.json", MOST_KEY)
    except (OSError, BadTable):
        return None


def _is_given(made: Path, entry: ClassMember, file: Path) -> bool:
    """Whether a file is the sheet itself, as it was made."""
    if file.name not in _SHEETS:
        return False
    try:
        given = read_plain(made / "students" / entry.folder / file.name, MOST_SHEET)
        return read_plain(file, MOST_SHEET) == given
    except (OSError, BadTable):
        return False


@contextmanager
def _progress(students: int) -> Iterator[Callable[[str, int], None]]:
    doing = {"read": "Hand-ins read", "mark": "Students marked"}
    with painted_over() as paint:
        yield lambda what, done: paint(
            lambda: f"{doing[what]}: {done:,} (class of {students:,})   ",
            what == "mark" and done == students,
        )


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
