"""A damaged record is set aside; what can be read of it, and the newest copy, take its place."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from ..files import locks as claims
from ..language.texts import fill
from . import backup
from .database import connect, identity, known_step
from .events import BadEvent, EventRow, now, read_at, to_moment
from .folder import SUFFIX
from .looks import BARE, begins, read_begin, read_step
from .record import HIGHEST, ForeignClimb, Record

Raw = tuple[object, object, object, object, object, object]
"""A row of the table of events, as it was found: id, climb, step, at, kind, body."""

_MOST_FAILURES = 20_000
"""So often a piece of a damaged table is asked for in vain before the rest is given up."""
_UNREADABLE = (sqlite3.Error, UnicodeDecodeError)


@dataclass(frozen=True)
class Rescued:
    """What was saved: events and climbs, and where the damaged file is now.

    ``copy`` is the day of the copy that helped, "" for none; ``missing`` is how many events
    are known to have been there and are not any more.
    """

    events: int
    climbs: int
    aside: Path
    copy: str = ""
    missing: int = 0

    @property
    def said(self) -> str:
        """What happened, for the learner."""
        what = "lost" if not self.climbs else "copied" if self.copy else "damaged"
        values = {
            "events": self.events, "climbs": self.climbs, "file": self.aside.name,
            "day": self.copy,
        }  # fmt: skip
        return fill("record", f"notice.{what}", values.items())


@dataclass(frozen=True)
class Salvage:
    """What can be read of a file: rows by their numbers, settings, the highest number known."""

    rows: dict[int, Raw]
    settings: dict[str, str]
    last: int = 0


def rescue(path: Path, met: tuple[int, int] | None = None) -> Rescued | None:
    """Set a damaged record aside and put what can be read of it in its place.

    Args:
        path: The record's file.
        met: Which file was found to be damaged (see ``identity``); None: whichever is there.

    Returns:
        None if another tutor has done so meanwhile.

    Raises:
        OSError: there is no room for the new record, or the folder cannot be written to; the
            damaged one stays where it is (also sqlite3.Error).
        Newer: a later release wrote it; it is left as it is.
    """
    before = met or identity(path)
    with claims.alone(path):
        if identity(path) != before:
            return None
        _spare_newer(path)
        with (
            tempfile.TemporaryDirectory(prefix=f".{path.name}-", dir=path.parent) as room,
            _held(path),
        ):
            copy = backup.newest(path)
            found, copied = salvage(path, copy), salvage(copy) if copy else Salvage({}, {})
            climbs = merged(found, copied)
            fresh = Path(room, f"fresh{SUFFIX}")
            with closing(Record.open_alone(fresh)) as record:
                record.take_in(climbs)
                for key, value in (copied.settings | found.settings).items():
                    record.set_about(key, value)
            aside = _aside(path)
            _move(path, aside)
            os.replace(fresh, path)
    events = sum(len(climb.rows) + 1 for climb in climbs)
    known = max(found.last, copied.last, len(found.rows.keys() | copied.rows.keys()))
    day = backup.day_of(copy) if copy else ""
    return Rescued(events, len(climbs), aside, day, max(0, known - events))


def _spare_newer(path: Path) -> None:
    """Refuse a record in which only a later release, which has come meanwhile, finds its way."""
    with suppress(*_UNREADABLE), closing(connect(path, "ro")) as connection:
        known_step(connection)


@contextmanager
def _held(path: Path) -> Iterator[None]:
    """Keep tutors that still write to the damaged file from doing so, where that is possible.

    They wait for the lock, and see then that another file has come into its place.
    """
    with ExitStack() as held:
        if os.name != "nt":  # there an open file cannot be replaced, also by others
            with suppress(*_UNREADABLE):
                connection = held.enter_context(closing(connect(path, "rw")))
                connection.execute("BEGIN IMMEDIATE")
        yield


def _beside(path: Path, end: str) -> Path:
    return path.with_name(path.name + end)


def _aside(path: Path) -> Path:
    """A name for the damaged file that no other has."""
    stamp = to_moment(now()).strftime("%Y%m%dT%H%M%SZ")
    stem = path.name.removesuffix(SUFFIX)
    for count in range(1000):
        more = f"-{count}" if count else ""
        aside = path.with_name(f"{stem}.damaged-{stamp}{more}{SUFFIX}")
        if not aside.exists():
            return aside
    raise FileExistsError(f"{aside} is there already")


def _move(path: Path, aside: Path) -> None:
    """Give the damaged file its second name, and its log; the first is about to be replaced.

    The log must be gone before another database stands at its name: SQLite would take the
    one's pages for the other's.
    """
    try:
        os.link(path, aside)
    except OSError:  # a file system without second names
        os.replace(path, aside)
    log = _beside(path, "-wal")
    with suppress(FileNotFoundError):
        os.replace(log, _beside(aside, "-wal"))
    _beside(path, "-shm").unlink(missing_ok=True)


# What can be read


def salvage(path: Path, pattern: Path | None = None) -> Salvage:
    """What can be read of a damaged file, with its log; the file stays as it is.

    SQLite reads a copy of it.  Where its first page, which says where the tables are, is
    broken, that of the pattern takes its place.

    Args:
        path: The damaged file.
        pattern: A sound copy of the same record; None: a new record.

    Raises:
        OSError: the file cannot be read at all, or there is no room for a copy.
    """
    with tempfile.TemporaryDirectory(prefix=f".{path.name}-", dir=path.parent) as room:
        copy = Path(room, f"copy{SUFFIX}")
        _copy_with_log(path, copy)
        found = _readable(copy)
        if found.rows:
            return found
        if pattern is None:
            pattern = Path(room, f"new{SUFFIX}")
            Record.open_alone(pattern).close()
        for end in ("-wal", "-shm"):  # SQLite may have folded them in, or found them wanting
            _beside(copy, end).unlink(missing_ok=True)
        _copy_with_log(path, copy)
        _graft(copy, pattern)
        return _readable(copy)


def _copy_with_log(source: Path, target: Path) -> None:
    _copy(source, target)
    with suppress(FileNotFoundError):
        _copy(_beside(source, "-wal"), _beside(target, "-wal"))


def _copy(source: Path, target: Path) -> None:
    with target.open("wb") as out:
        out.writelines(claims.raw_bytes(source))


def _graft(copy: Path, pattern: Path) -> None:
    """Put the first page of another record in the place of a broken one.

    Offsets of https://sqlite.org/fileformat2.html section 1.3.
    """
    with pattern.open("rb") as file:
        head = file.read(100)
        size = int.from_bytes(head[16:18], "big")
        size = 65536 if size == 1 else size
        page = bytearray(head + file.read(size - 100))
    page[24:28] = b"\x00\x00\x00\x01"  # with the next: how many pages there are, the file tells
    page[92:96] = bytes(4)
    page[32:40] = bytes(8)  # no free pages: they would be looked for in the wrong place
    page[18:20] = b"\x02\x02"  # there may be a log
    with copy.open("r+b") as file:
        file.write(page)


def _readable(path: Path) -> Salvage:
    rows: dict[int, Raw] = {}
    settings: dict[str, str] = {}
    last = 0
    with suppress(*_UNREADABLE), closing(connect(path, "rw")) as db:
        db.text_factory = lambda data: data.decode("utf-8", "replace")
        with suppress(*_UNREADABLE):
            settings = {
                key: value
                for key, value in db.execute("SELECT key, value FROM about")
                if isinstance(key, str) and isinstance(value, str) and key not in ("", "states")
            }
        high = path.stat().st_size // 16  # no row is shorter
        with suppress(*_UNREADABLE):
            told = db.execute("SELECT seq FROM sqlite_sequence WHERE name = 'events'").fetchone()
            last = told[0] if told else 0
        with suppress(*_UNREADABLE):
            (top,) = db.execute("SELECT max(id) FROM events").fetchone()
            high = max(high, top or 0)
        _read_between(db, 1, high, rows)
    return Salvage(rows, settings, last if isinstance(last, int) and last <= HIGHEST else 0)


def _read_between(db: sqlite3.Connection, low: int, high: int, found: dict[int, Raw]) -> None:
    """Read the rows of a range: from both ends up to what is broken, and then within that."""
    query = "SELECT id, climb, step, at, kind, body FROM events WHERE id BETWEEN ? AND ?"
    try:
        db.execute(f"{query} LIMIT 0", (low, high))
    except _UNREADABLE:  # there is no such table, or no database: no piece of it can be read
        return
    failures, left = 0, [(low, high)]
    while left and failures < _MOST_FAILURES:
        low, high = left.pop()
        for order in ("", " DESC"):
            try:
                for row in db.execute(f"{query} ORDER BY id{order}", (low, high)):
                    found[row[0]] = row
                    low, high = (low, row[0] - 1) if order else (row[0] + 1, high)
            except _UNREADABLE:
                failures += 1
                continue
            break  # all of it was read
        else:
            middle = (low + high) // 2
            left += [(middle + 1, high), (low, middle)] if low < high else []


def merged(found: Salvage, copied: Salvage) -> list[ForeignClimb]:
    """The climbs ``found`` in a damaged file or ``copied``, with the events that either has.

    Events never change, so that where they differ it is the sound copy that is right.
    """
    both = found.rows.keys() & copied.rows.keys()
    strange = sum(found.rows[number][1:4] != copied.rows[number][1:4] for number in both)
    if strange * 20 <= len(both):  # the same numbers mean the same events
        return sorted_out((found.rows | copied.rows).values())
    climbs = {climb.start.uid: climb for climb in sorted_out(copied.rows.values())}
    for climb in sorted_out(found.rows.values()):
        other = climbs.get(climb.start.uid)
        if other is not None:
            rows = {row.step: row for row in climb.rows} | {row.step: row for row in other.rows}
            climb.rows = [row for _, row in sorted(rows.items())]
        climbs[climb.start.uid] = climb
    return sorted(climbs.values(), key=lambda climb: climb.at)


def sorted_out(raw: Iterable[Sequence[object]]) -> list[ForeignClimb]:
    """The climbs whose beginning is among the rows, with the events that belong to them."""
    begun: dict[object, tuple[int, ForeignClimb]] = {}
    others: dict[object, dict[int, tuple[int, EventRow]]] = {}
    names: set[str] = set()
    for number, climb, step, at, kind, body in raw:
        with suppress(BadEvent, TypeError):
            if not isinstance(kind, str) or not isinstance(body, str) or type(step) is not int:
                continue
            if type(number) is not int:
                continue
            if step == 0 and begins(kind) and climb == number:
                start = read_begin(kind, body)
                if start.uid not in names:
                    names.add(start.uid)
                    begun[climb] = number, ForeignClimb(start, read_at(at), [])
            elif step > 0:
                if kind not in BARE:
                    read_step(None, kind, body)
                row = EventRow(step, read_at(at), kind, body)
                others.setdefault(climb, {})[step] = number, row
    for climb, rows in others.items():
        if climb in begun:
            begun[climb][1].rows.extend(row for _, (_, row) in sorted(rows.items()))
    return [found for _, found in sorted(begun.values(), key=lambda pair: pair[0])]
