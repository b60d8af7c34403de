"""``rungwise sheet mark``: hand-ins in, marks out, and what is said of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from datetime import datetime
from fractions import Fraction
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

import click

from ..classroom.handins.cells import one_line
from ..classroom.handins.table import BadTable
from ..classroom.marking.decided import KEPT
from ..classroom.marking.folder import hand_ins, read_plain
from ..classroom.marking.hand_in import FileFate
from ..classroom.marking.made_class import MOST_KEY, ClassMember, read_class_file
from ..classroom.marking.marks import HandInState
from ..classroom.marking.out import (
    APART_CSV,
    CHANGES_CSV,
    FEEDBACK,
    FILES_CSV,
    MARKS_CSV,
    MARKS_JSON,
    UNCLEAR_CSV,
    WIDENED_CSV,
)
from ..classroom.marking.papers import papers_in
from ..language.texts import speaker
from .console import FAILED, fail, many, painted_over, shown, write
from .kept_command import KeptCommand, keep_command
from .sheet_options import CLUSTER, PATH, crew, out_option, politely

if TYPE_CHECKING:
    from ..classroom.marking.write import WritingOutcome

MOST_SHEET = 64 * 1024 * 1024
"""Longest sheet that is held against one that came back."""
_INSET = "    "
"""Before what belongs to the line above."""
_tally = speaker("handins")
ALONE = 100
"""A class this small is marked sooner than processes are started."""
_settle = speaker("settling", "mark.")
_say = speaker("marking", "screen.")
_PRELOAD = "rungwise.tutor.classroom.marking.jobs"


def _tolerance(
    context: click.Context, option: click.Parameter, text: str | None
) -> Fraction | None:
    from ..classroom.marking.mark import read_tolerance

    try:
        return None if text is None else read_tolerance(text)
    except ValueError as error:
        raise click.BadParameter(f"{error}.") from None


@click.command(cls=KeptCommand)
@click.argument("sheets", metavar="OUT", type=PATH)
@click.argument("handins", metavar="HANDINS", type=PATH)
@out_option("Folder for marks; OUT/marks.")
@click.option(
    "--tolerance",
    metavar="SHARE",
    callback=_tolerance,
    help="Instead of the tolerances of the plan, such as 5%.",
)
@click.option(
    "--decided-before",
    "before",
    metavar="PLACE",
    type=PATH,
    multiple=True,
    help="Another class, whose decisions are suggested.",
)
@click.option(
    "--counts",
    type=click.Choice(("ask", "newest")),
    help="Of hand-ins that differ: none until you say which, or the newest. Instead of the plan's.",
)
@click.option(
    "--due",
    metavar="TIME",
    type=click.DateTime(("%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M")),
    help="When hand-ins are due, such as 2026-12-03T12:00. Instead of the plan's.",
)
@click.option(
    "--late",
    type=click.Choice(("count", "note", "apart")),
    help="What happens to later ones. Instead of the plan's.",
)
@click.option(
    "--credit-slips",
    is_flag=True,
    help="With a wider --tolerance: credit also what a known mistake gives.",
)
@click.option(
    "--preview",
    is_flag=True,
    help="Write nothing; say whose marks would change, and why.",
)
@click.option("--workers", type=click.IntRange(1, 256), help="Processes that mark.")
@CLUSTER
def mark(
    sheets: str,
    handins: str,
    out: str | None,
    tolerance: Fraction | None,
    before: tuple[str, ...],
    counts: str | None,
    due: datetime | None,
    late: str | None,
    credit_slips: bool,
    preview: bool,
    workers: int | None,
    cluster: str | None,
) -> None:
    """Mark the HANDINS of the sheets that were made in OUT.

    They are tables of answers (CSV, JSON, XLSX, ODS) and ZIP archives of those. Every file among
    them is accounted for in files.csv.

    Marked again, with another --tolerance or after you have settled what was unclear, it says what
    has changed for whom, and why; with --preview it says so before anything is written. After an
    interrupted run the same command marks them all.

    Answers that are right only by a --tolerance wider than the plan's are listed in widened.csv.
    One that a known mistake leads to is not credited, unless you fill in points for it there and
    mark again, or give --credit-slips.
    """
    if workers is not None and cluster is not None:
        raise click.UsageError("Give either --workers or --cluster, not both.")
    made, back = Path(sheets), Path(handins)
    marks = Path(out) if out is not None else made / "marks"
    with politely("again to mark them"):
        if out is None and marks.is_symlink():  # somebody else's idea, perhaps
            fail(f"{shown(str(marks))} is a link: nothing is written where it leads", status=FAILED)
        known = read_class_file(made / "keys" / "class.json")
        course, entries = known.plan, known.students
        rules = course.marking
        if not back.is_dir():
            fail(f"{shown(handins)} is no folder; give the folder that the hand-ins are in")
        from ..classroom.making.workers import processors
        from ..classroom.marking.changes import copied
        from ..classroom.marking.graded import Leniency
        from ..classroom.marking.keeping import decided_before
        from ..classroom.marking.run import Marking, mark
        from ..classroom.marking.which_counts import CountingRules

        with copied(marks) if preview else nullcontext(marks) as place:
            marking = Marking(
                course,
                entries,
                hand_ins(back, leave=(marks, made / "keys", made / "returned")),
                lambda entry: _key(made, entry),
                place,
                Leniency(tolerance, credit_slips),
                lambda entry, name, digest: _is_given(made, entry, name, digest),
                CountingRules(
                    counts or rules.counts.value, due or rules.due_at, late or rules.late.value
                ),
                papers_in(made / "keys", entries),
                decided_before(map(Path, before)),
                known.left,
            )
            count = workers or (processors() if len(entries) > ALONE else 1)
            with _progress(len(entries)) as tell:
                outcome = mark(marking, crew(count, cluster, _PRELOAD), tell)
            if not preview:
                keep_command(marks, made)
            told = list(_previewed(outcome, marks, place) if preview else _lines(outcome, marks))
    for line in told:
        write(_INSET * line.startswith(_INSET) + one_line(line))


def _key(made: Path, entry: ClassMember) -> bytes | None:
    try:
        return read_plain(made / "keys" / entry.folder / "key.json", MOST_KEY)
    except (OSError, BadTable):
        return None


def _is_given(made: Path, entry: ClassMember, name: str, digest: str) -> bool:
    """Whether a file is the sheet itself, as it was made."""
    try:
        given = read_plain(made / "students" / entry.folder / name, MOST_SHEET)
    except (OSError, BadTable):
        return False
    return sha256(given).hexdigest() == digest


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
    if outcome.files:
        fates = ", ".join(
            _tally(f"tally.{fate.value}", count=f"{outcome.fates[fate]:,}")
            for fate in FileFate
            if outcome.fates[fate]
        )
        yield _tally("tally.line", files=f"{outcome.files:,}", fates=fates)
        yield f"    {folder}/{FILES_CSV}"
    for name, file in outcome.unread:
        yield f"    unread: {name}: {file}"
    more = counts[HandInState.UNREAD] - len(outcome.unread)
    if more > 0:
        yield f"    and {more} more"
    texts = f", and a text for each student in {folder}/{FEEDBACK}"
    yield f"    {folder}/{MARKS_CSV}{texts if counts[HandInState.MARKED] else ''}"
    if outcome.open:
        yield f"{many(outcome.open, 'answer')} could not be read: {folder}/{UNCLEAR_CSV}"
        yield f"    {_settle('how', folder=folder, table=UNCLEAR_CSV)}"
        yield f"    {_settle('kept', file=f'{folder}/{KEPT}')}"
    if outcome.on_paper:
        yield _counted("paper", outcome.on_paper)
    if outcome.apart:
        yield f"{many(outcome.apart, 'thing')} set apart, each with a reason: {folder}/{APART_CSV}"
    if outcome.changes is not None:
        yield f"{many(outcome.changes, 'change')} since the marks before: {folder}/{CHANGES_CSV}"
        for name, was, now in outcome.changed:
            yield f"    {name}: {was or 'no marks'} → {now or 'no marks'}"
    yield from _widened(outcome, folder)
    if outcome.deaths:
        yield f"Workers died {outcome.deaths} times; their work was done by others."


def _widened(outcome: WritingOutcome, folder: str) -> Iterator[str]:
    """What a wider tolerance takes for right, and whose answers are those of known mistakes."""
    if not outcome.wider:
        return
    yield _counted("wider", outcome.wider, path=f"{folder}/{WIDENED_CSV}")
    if not outcome.mistakes:
        return
    fate = "credited" if outcome.credited else "held"
    yield _INSET + _counted(fate, outcome.mistakes)
    for answer in outcome.held:
        yield _INSET + _say(fate, **answer._asdict())
    if outcome.mistakes > len(outcome.held):
        yield _INSET + _say("held-more", count=outcome.mistakes - len(outcome.held))
    if not outcome.credited:
        yield _INSET + _say("held-how")


def _counted(key: str, count: int, **values: object) -> str:
    return _say(f"{key}-{'one' if count == 1 else 'many'}", count=count, **values)


def _previewed(outcome: WritingOutcome, marks: Path, copy: Path) -> Iterator[str]:
    """Whose marks would change: by student, with every question."""
    from ..classroom.marking.changes import would_change

    nothing, last = _say("no-marks"), ""
    for change in would_change(copy):
        name = change.name or change.id or change.number
        sides = {"before": change.before or nothing, "after": change.after or nothing}
        if change.question == "total":
            yield _say("preview-total", name=name, **sides)
        elif change.number != last:
            yield _say("preview-student", name=name)
        last = change.number
        if change.question != "total":
            yield _INSET + _say(
                "preview-question", question=change.question, why=change.why, **sides
            )
    if not (marks / MARKS_JSON).exists():
        yield _say("preview-first")
    elif not outcome.changes:
        yield _say("preview-none")
    yield from _widened(outcome, shown(str(marks)))
    yield _say("preview-done")
