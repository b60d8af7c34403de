"""One learner's record: an SQLite file that events are appended to.

Write-ahead log, and every transaction is on the disk before it counts as done
(``synchronous=FULL``).  Writers take the file with ``BEGIN IMMEDIATE`` and wait for each
other, so that two tutors can be open at once.  What is derived from the events is carried on
in the transaction that appends them; :meth:`Record.derive` makes it anew.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..files import locks as claims
from ..learning.course import Move, Other
from ..learning.evidence import Evidence
from ..learning.looks import LookEvent
from ..version import VERSION
from . import schema, states
from .database import connect, identity, inspect, known_step, make_durable, refuse
from .derived import ROUND_OVER, STATES_FORM, Derived
from .events import (
    BadEvent,
    EventRow,
    LeftOff,
    Start,
    now,
    read_at,
    read_move,
    read_start,
    to_moment,
    write_move,
)
from .looks import (
    LOOKED,
    Begin,
    RoundStart,
    SeenLook,
    begin_kind,
    read_begin,
    read_look,
    write_begin,
    write_look,
)
from .trouble import Damaged, Moved, Older, Trouble, is_damage

if TYPE_CHECKING:
    from ..learning.skills import SkillState

HIGHEST = 2**48
"""No event has a higher number, whatever a damaged file says."""
_BATCH = 2000
_PIECE, _BREATH = 256, 0.005
"""Pages that are copied in one go, and seconds between."""


class _Same(Exception):  # noqa: N818 - no error
    """What was to be written is there already."""


@dataclass(frozen=True, slots=True)
class Append:
    """Something to append: a climb's next event, and what the rung it left has shown.

    Or the next look of a round.
    """

    start: Begin
    at: int
    what: Move | Other | LookEvent
    evidence: Evidence | None = None
    done: bool = False


@dataclass
class ForeignClimb:
    """A climb (or a round) from elsewhere: how and when it began, its other events in order."""

    start: Begin
    at: int
    rows: list[EventRow]


class Record:
    """An open record; made by :meth:`open`.  Not to be used by two threads at once."""

    def __init__(self, path: Path, connection: sqlite3.Connection, *, writable: bool) -> None:
        self.path, self.writable = path, writable
        self._db = connection
        self.identity = identity(path)
        self.derived = Derived(connection)

    # Opening and closing

    @classmethod
    def open(cls, path: Path) -> Record:
        """Open a record, made if there is none, and brought to the newest step.

        Raises:
            Newer: a later release wrote it; not a byte of it was changed.
            Foreign: it is a database, but no record; not a byte of it was changed.
            Damaged: it is no database.
            OSError: its folder cannot be made, or it is no file but a device or the like.
            sqlite3.Error: it cannot be opened or brought to the newest step.
        """
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with claims.alone(path):  # nobody may put another file there meanwhile
            return cls.open_alone(path)

    @classmethod
    def open_alone(cls, path: Path) -> Record:
        """As :meth:`open`, for whoever keeps the others away from the path already."""
        inspect(path)
        fresh = not path.exists()
        connection = connect(path, "rwc" if fresh else "rw")
        if fresh:
            with suppress(OSError):  # a record is its learner's own
                path.chmod(0o600)
        try:
            refuse(connection)
            make_durable(connection)
            record = cls(path, connection, writable=True)
            record._bring_up()
        except BaseException as error:
            connection.close()
            if isinstance(error, Exception) and is_damage(error):
                raise Damaged("damaged") from error
            raise
        return record

    @classmethod
    def open_to_read(cls, path: Path) -> Record:
        """Open a record that cannot be written to, or must not be.

        Raises:
            Newer: a later release wrote it.
            Foreign: it is a database, but no record.
            Damaged: it is no database.
            Older: it would have to be written to, to bring it to the newest step.
            OSError: it is no file but a device or the like.
            sqlite3.Error: it cannot be opened.
        """
        with claims.alone(path):
            return cls._open_to_read(path)

    @classmethod
    def _open_to_read(cls, path: Path) -> Record:
        inspect(path)
        failure: sqlite3.Error | None = None
        # A log beside a record that cannot be written to is skipped in the second try.
        for how in ("ro", "ro&immutable=1"):
            connection = connect(path, how)
            try:
                step = known_step(connection)
                connection.execute("SELECT max(id) FROM events").fetchone()
                if step < schema.NEWEST:
                    raise Older("older")
                return cls(path, connection, writable=False)
            except sqlite3.Error as error:
                connection.close()
                failure = error
            except (Trouble, UnicodeDecodeError) as error:
                connection.close()
                if is_damage(error):
                    raise Damaged("damaged") from error
                raise
        assert failure is not None
        raise failure

    @classmethod
    def open_as_can_be(cls, path: Path) -> Record:
        """Open a record; one that cannot be written to perhaps can still be read.

        Raises:
            Trouble: as :meth:`open` and :meth:`open_to_read` (also OSError, sqlite3.Error).
        """
        try:
            return cls.open(path)
        except (OSError, sqlite3.Error) as error:
            if is_damage(error):
                raise
            return cls.open_to_read(path)

    def close(self) -> None:
        """Close the file; the log is folded into it."""
        self._db.close()

    @property
    def displaced(self) -> bool:
        """Whether the file that was opened is no longer the one that stands at its path."""
        return identity(self.path) != self.identity

    def _bring_up(self) -> None:
        if schema.step_of(self._db) == schema.NEWEST:
            return
        with self.writing():
            known_step(self._db)
            if schema.take_steps(self._db, now(), VERSION):
                self._derive()

    @contextmanager
    def writing(self) -> Iterator[None]:
        """A transaction: everything in it is kept, durably, or nothing.

        Raises:
            Moved: another file has come into the record's place; nothing was kept.
        """
        self._db.execute("BEGIN IMMEDIATE")
        try:
            if self.displaced:  # while we waited; whoever did it held the lock that is ours now
                raise Moved("moved")
            yield
            self._db.execute("COMMIT")
        except BaseException:
            with suppress(sqlite3.Error):  # a failed COMMIT may have undone itself
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
            raise

    # Appending

    def append(self, entries: Sequence[Append]) -> None:
        """Append events and carry on what is derived from them: all or nothing, durably.

        Raises:
            sqlite3.Error: nothing was kept.
        """
        with self.writing():
            for entry in entries:
                self._append(entry)

    def _append(self, entry: Append) -> None:
        climb = self._climb(entry.start, entry.at)
        if entry.what is Other.BEGAN:
            return
        if isinstance(entry.what, Move):
            kind, body = entry.what.kind.value, write_move(entry.what)
        elif isinstance(entry.what, LookEvent):
            kind, body = LOOKED, write_look(entry.what)
        else:
            kind, body = entry.what.value, "{}"
        added = self._insert(climb, entry.at, kind, body)
        over = entry.done or entry.what is Other.LEFT
        self._db.execute(
            "UPDATE climbs SET last = ?, over = max(over, ?) WHERE id = ?", (added, over, climb)
        )
        if over:
            self._db.execute("DELETE FROM drafts WHERE uid = ?", (entry.start.uid,))
        if entry.evidence is not None:
            self.derived.add(added, entry.evidence)

    def take_in(self, found: Iterable[ForeignClimb]) -> int:
        """Append climbs from elsewhere with their events, in one transaction; derive anew.

        Of a climb that is here already only the events that come after ours are taken.

        Returns:
            How many events were appended.

        Raises:
            Damaged: a climb that is here lacks its beginning; nothing was kept.
            sqlite3.Error: nothing was kept.
        """
        added = 0
        with self.writing():
            (before,) = self._db.execute("SELECT coalesce(max(id), 0) FROM events").fetchone()
            for climb in found:
                number = self._climb(climb.start, climb.at)
                (have,) = self._db.execute(
                    "SELECT max(step) FROM events WHERE climb = ?", (number,)
                ).fetchone()
                highest = _number(have)
                for row in climb.rows:
                    if row.step > highest:
                        self._insert(number, row.at, row.kind, row.body)
            (added,) = self._db.execute(
                "SELECT count(*) FROM events WHERE id > ?", (before,)
            ).fetchone()
            if added:
                self._derive()
        return int(added)

    def _climb(self, start: Begin, at: int) -> int:
        """The number of a climb (or a round) in this file; one that is not there yet begins."""
        row = self._db.execute("SELECT id FROM climbs WHERE uid = ?", (start.uid,)).fetchone()
        if row is not None:
            return _number(row[0])
        climb = self.last() + 1
        self._db.execute(
            "INSERT INTO events VALUES (?1, ?1, 0, ?2, ?3, ?4)",
            (climb, at, begin_kind(start), write_begin(start)),
        )
        over = ROUND_OVER if isinstance(start, RoundStart) else 0
        self._db.execute("INSERT INTO climbs VALUES (?, ?, ?, ?)", (climb, start.uid, climb, over))
        return climb

    def _insert(self, climb: int, at: int, kind: str, body: str) -> int:
        number = self.last() + 1
        self._db.execute(
            "INSERT INTO events SELECT ?1, ?2,"
            " (SELECT max(step) FROM events WHERE climb = ?2) + 1, ?3, ?4, ?5",
            (number, climb, at, kind, body),
        )
        return number

    # What is derived

    def derive(self) -> bool:
        """Make everything derived anew from the events, in the order of time.

        Returns:
            Whether anything of it was otherwise before; if not, nothing was written.

        Raises:
            sqlite3.Error: nothing was changed.
        """
        with suppress(_Same), self.writing():
            before = self.derived.check_sum()
            self._derive()
            if self.derived.check_sum() == before:
                raise _Same
            return True
        return False

    def _derive(self) -> None:
        if schema.step_of(self._db) == schema.NEWEST:  # not while steps are being taken
            self.derived.anew(self.climbs())

    def renew_states(self) -> None:
        """Make every skill's state anew, without keeping other writers waiting for long.

        A long record takes a minute; what is added meanwhile is carried on at the end.

        Raises:
            sqlite3.Error: nothing was changed.
        """
        (last,) = self._db.execute("SELECT coalesce(max(id), 0) FROM evidence").fetchone()
        found: dict[str, SkillState] = {}
        states.fold(found, self.derived.evidence(up_to=last))
        with self.writing():
            states.fold(found, self.derived.evidence(after=last))
            self.derived.put_states(found)

    # Reading

    def climbs(self) -> Iterator[tuple[int, Begin, list[tuple[int, EventRow]]]]:
        """Every climb and round that can be read: its number, how it began, its other events.

        In the order in which they began; the events with their numbers.
        """
        begun = self._db.execute("SELECT id, kind, body FROM events WHERE step = 0 ORDER BY id")
        while batch := begun.fetchmany(_BATCH):
            for climb, kind, body in batch:
                try:
                    start = read_begin(kind, body)
                except BadEvent:
                    continue
                yield climb, start, self._events(climb)

    def _events(self, climb: int) -> list[tuple[int, EventRow]]:
        rows = self._db.execute(
            "SELECT id, step, at, kind, body FROM events WHERE climb = ? AND step > 0"
            " ORDER BY step",
            (climb,),
        )
        return [(row[0], EventRow(*row[1:])) for row in rows]

    def open_climbs(self, *, parts: bool = False) -> Iterator[LeftOff]:
        """The climbs that are not over, the latest first; either parts of rehearsals or others."""
        found = self._db.execute(
            "SELECT climbs.id, climbs.uid, events.body FROM climbs JOIN events USING (id)"
            " WHERE over = 0 ORDER BY last DESC LIMIT 50"
        ).fetchall()
        for climb, uid, body in found:
            try:
                start = read_start(body)
                if (start.part is not None) is not parts:
                    continue
                rows = self._events(climb)
                took_over = any(row.kind == Other.TOOK_OVER.value for _, row in rows)
                moves = tuple(
                    read_move(row.kind, row.body)
                    for _, row in rows
                    if row.kind != Other.TOOK_OVER.value
                )
            except BadEvent:
                continue
            position, text = self.draft(uid)
            yield LeftOff(start, moves, text, position, took_over)

    def draft(self, uid: str) -> tuple[int, str]:
        """What was typed on which rung of a climb and not submitted; (−1, "") for nothing."""
        row = self._db.execute("SELECT position, body FROM drafts WHERE uid = ?", (uid,)).fetchone()
        return _draft(*row) if row else (-1, "")

    def climb(self, uid: str) -> tuple[Start, list[tuple[int, EventRow]]] | None:
        """How a climb began, and its other events with their numbers; None if it is not here."""
        row = self._db.execute(
            "SELECT climbs.id, events.body FROM climbs JOIN events USING (id) WHERE uid = ?", (uid,)
        ).fetchone()
        with suppress(BadEvent):
            return (read_start(row[1]), self._events(row[0])) if row else None
        return None

    def round_start(self, uid: str) -> RoundStart | None:
        """How a round began; None if it is not here."""
        row = self._db.execute(
            "SELECT events.kind, events.body FROM climbs JOIN events USING (id) WHERE uid = ?",
            (uid,),
        ).fetchone()
        with suppress(BadEvent):
            found = read_begin(*row) if row else None
            return found if isinstance(found, RoundStart) else None
        return None

    def began_at(self, climb: int) -> int:
        """When a climb began, in microseconds since 1970; 0 if it is not here, or says nothing."""
        row = self._db.execute("SELECT at FROM events WHERE id = ?", (climb,)).fetchone()
        with suppress(BadEvent):
            return read_at(row[0]) if row else 0
        return 0

    def version(self) -> tuple[int, int]:
        """Changes whenever anything in the file has, whoever wrote it."""
        (others,) = self._db.execute("PRAGMA data_version").fetchone()
        return int(others), self._db.total_changes

    def looks(self, after: int = 0) -> Iterator[tuple[int, SeenLook]]:
        """The looks that can be read, each with the number of its event, in that order.

        Args:
            after: Nothing of this event or those before it.
        """
        rows = self._db.execute(
            "SELECT events.id, at, uid, body FROM climbs JOIN events ON climb = climbs.id"
            " WHERE over = ? AND step > 0 AND events.id > ? ORDER BY events.id",
            (ROUND_OVER, after),
        )
        while batch := rows.fetchmany(_BATCH):
            for number, at, uid, body in batch:
                with suppress(BadEvent):
                    yield number, SeenLook(to_moment(read_at(at)), read_look(uid, body))

    def rows(self) -> Iterator[tuple[int, int, int, int, str, str]]:
        """Every event as it lies there: its number, climb, step, moment, kind and body."""
        yield from self._db.execute(
            "SELECT id, climb, step, at, kind, body FROM events ORDER BY id"
        )

    def last(self) -> int:
        """The number of the latest event ever kept: none is taken back, so all up to it are.

        Raises:
            Damaged: it is no number.
        """
        query = "SELECT seq FROM sqlite_sequence WHERE name = 'events'"
        row = self._db.execute(query).fetchone()
        return _number(row[0]) if row else 0

    def broken(self) -> list[str]:
        """What SQLite finds wrong with the file; none where all is well."""
        said = [str(row[0]) for row in self._db.execute("PRAGMA integrity_check")]
        said += [f"foreign key of {row[0]}" for row in self._db.execute("PRAGMA foreign_key_check")]
        return [line for line in said if line != "ok"]

    def reindex(self) -> None:
        """Make every index anew from its table.

        Raises:
            sqlite3.Error: nothing was changed.
        """
        with self.writing():
            self._db.execute("REINDEX")

    def put_back(self, rows: Iterable[Sequence[object]]) -> int:
        """Events that are missing, as they lay there (see :meth:`rows`); how many were put back.

        Raises:
            sqlite3.Error: nothing was changed.
        """
        before = self._db.total_changes
        with self.writing():
            self._db.executemany("INSERT OR IGNORE INTO events VALUES (?, ?, ?, ?, ?, ?)", rows)
        return self._db.total_changes - before

    def counts(self) -> tuple[int, int]:
        """How many climbs and how many events there are."""
        row = self._db.execute(
            "SELECT count(*), (SELECT count(*) FROM events) FROM climbs WHERE over < ?",
            (ROUND_OVER,),
        )
        climbs, events = row.fetchone()
        return int(climbs), int(events)

    # What is not an event

    def about(self, key: str) -> str:
        """A setting of the learner's; "" where there is none."""
        row = self._db.execute("SELECT value FROM about WHERE key = ?", (key,)).fetchone()
        return str(row[0]) if row else ""

    def set_about(self, key: str, value: str) -> None:
        """Keep the setting ``key``; a ``value`` of "" forgets it.

        Raises:
            sqlite3.Error: it was not kept.
        """
        with self.writing():
            if value:
                self._db.execute("INSERT OR REPLACE INTO about VALUES (?, ?)", (key, value))
            else:
                self._db.execute("DELETE FROM about WHERE key = ?", (key,))

    def settings(self) -> dict[str, str]:
        """Every setting."""
        rows = self._db.execute(
            "SELECT key, value FROM about WHERE key <> ? ORDER BY key", (STATES_FORM,)
        )
        return {str(key): str(value) for key, value in rows}

    def set_draft(self, start: Start, at: int, position: int, text: str) -> None:
        """Keep what is typed and not submitted, with the climb it belongs to.

        Args:
            start: how the climb began.
            at: when, in microseconds since 1970.
            position: the rung it is typed on, counted from 0.
            text: what is typed.

        Raises:
            sqlite3.Error: it was not kept.
        """
        with self.writing():
            self._climb(start, at)
            self._db.execute(
                "INSERT OR REPLACE INTO drafts VALUES (?, ?, ?)",
                (start.uid, position, json.dumps({"text": text})),
            )

    def backup(self, target: Path, *, gently: bool = False) -> None:
        """Copy the record, as it is at one moment, into a new file, the ``target``.

        ``gently``: piece by piece, so that others get at the disk between.

        Raises:
            FileExistsError: there is a file of that name.
            OSError: it cannot be written (also sqlite3.Error).
        """
        os.close(os.open(target, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        try:
            copy = connect(target, "rw")
            try:
                self._db.execute("BEGIN")  # the pieces are of one moment
                try:
                    self._db.execute("SELECT count(*) FROM steps").fetchone()
                    if gently:
                        self._db.backup(copy, pages=_PIECE, sleep=_BREATH)
                    else:
                        self._db.backup(copy)
                finally:
                    self._db.execute("COMMIT")
                # One file, whole in itself: nothing of it may stay behind in a log.
                copy.execute("PRAGMA journal_mode = DELETE")
            finally:
                copy.close()
        except BaseException:
            target.unlink(missing_ok=True)
            raise


def _number(value: object) -> int:
    """The number of an event, as it stands in the file.

    Raises:
        Damaged: it is none.
    """
    if type(value) is not int or not 0 <= value <= HIGHEST:
        raise Damaged("damaged")
    return value


def _draft(position: int, body: str) -> tuple[int, str]:
    with suppress(ValueError, TypeError, OverflowError, RecursionError):
        found = json.loads(body)
        if isinstance(found, dict) and isinstance(found.get("text"), str):
            return int(position), found["text"]
    return -1, ""
