"""Whether all that was acknowledged is in a record; what can be mended is.

Events are numbered without gaps and are never taken back, and so are the steps of a climb:
what is missing shows.  Indexes and everything derived can be made anew of the events; events
that are missing may be in one of the copies of the last days.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

from ..language.texts import fill
from . import backup
from .events import BadEvent, read_at
from .looks import BARE, begins, read_begin, read_step
from .record import Record
from .rescue import rescue, salvage
from .trouble import Damaged, is_damage


@dataclass
class CheckReport:
    """What was found and done, in lines; ``well``: all is well, or was mended."""

    lines: list[str] = field(default_factory=list)
    well: bool = True

    def say(self, key: str, **values: object) -> None:
        """The line ``key`` of ``[check]`` in ``content/record.toml``, filled with ``values``."""
        self.lines.append(fill("record", f"check.{key}", values.items()))

    def fail(self, key: str, **values: object) -> None:
        """A line, by ``key`` and ``values`` as in `say`, on what cannot be mended."""
        self.well = False
        self.say(key, **values)


def check(path: Path) -> CheckReport:
    """Check a record, and mend it.

    Raises:
        Trouble: it is not ours to be checked, or cannot be opened (also OSError, sqlite3.Error).
    """
    report = CheckReport()
    try:
        _check(path, report, mended=False)
    except (Damaged, sqlite3.Error, UnicodeDecodeError) as error:
        if not is_damage(error):
            raise
        saved = rescue(path)
        if saved is not None:
            report.lines.append(saved.said)
            if saved.missing or not saved.climbs:
                report.fail("lost", count=saved.missing)
        _check(path, report, mended=True)
    return report


def _check(path: Path, report: CheckReport, *, mended: bool) -> None:
    with closing(Record.open_as_can_be(path)) as record:
        if not record.writable:
            report.say("closed")
        if record.broken():
            _mend_indexes(record, report, mended=mended)
        missing = _missing(record)
        if missing and record.writable:
            found = _put_back(record, path)
            if found:
                report.say("put-back", count=found)
                missing = _missing(record)
        if missing:
            report.fail("missing", count=missing)
        gaps, unread = _look_through(record)
        if gaps:
            report.fail("gaps", count=gaps)
        if unread:
            report.fail("unread", count=unread)
        if record.writable and record.derive():
            report.say("derived")
        climbs, events = record.counts()
        report.say("well" if report.well else "ill", climbs=climbs, events=events)


def _mend_indexes(record: Record, report: CheckReport, *, mended: bool) -> None:
    """Make the indexes anew; where that does not help, the file is damaged.

    Raises:
        Damaged: it is.
    """
    if record.writable:
        with suppress(sqlite3.Error):
            record.reindex()
        if not record.broken():
            report.say("indexes")
            return
    if record.writable and not mended:
        raise Damaged("damaged")
    report.fail("broken")


def _missing(record: Record) -> int:
    """How many of the events that were kept are not there."""
    count, highest = 0, record.last()  # not their numbers: a damaged one may be as high as can be
    for number, *_ in record.rows():
        count, highest = count + (number > 0), max(highest, number)
    return highest - count


def _put_back(record: Record, path: Path) -> int:
    """Put back what copies of the last days have of the missing events; how many."""
    here = {row[0]: row for row in record.rows()}
    back: set[int] = set()
    count, highest = 0, max(record.last(), max(here, default=0))
    for copy in backup.copies(path):
        if not backup.is_sound(copy):
            continue
        kept = salvage(copy).rows
        both = here.keys() & kept.keys()
        if any(here[number][1:4] != kept[number][1:4] for number in both):
            continue  # numbers that mean other events: the record was rescued since
        lost = {number for number in kept if 0 < number <= highest} - here.keys() - back
        count += record.put_back(kept[number] for number in lost)
        back |= lost
    return count


def _look_through(record: Record) -> tuple[int, int]:
    """How many climbs have gaps, and how many events cannot be read."""
    steps: dict[int, tuple[int, int]] = {}  # of each climb: events, and the highest step
    unread = 0
    for number, climb, step, at, kind, body in record.rows():
        try:
            count, highest = steps.get(climb, (0, 0))
            steps[climb] = count + 1, max(highest, int(step))
            read_at(at)
            if step == 0:
                read_begin(kind, body)
                if climb != number:
                    raise BadEvent("a beginning of nothing")
            elif begins(kind):
                raise BadEvent("a beginning in the middle")
            elif kind not in BARE:
                read_step(None, kind, body)
        except (BadEvent, TypeError, ValueError, OverflowError):
            unread += 1
    return sum(highest != count - 1 for count, highest in steps.values()), unread
