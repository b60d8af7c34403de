"""The SQLite file of a record: looked at, connected to, made durable.

Nothing here opens the file but SQLite.  Were a handle of ours on it closed, the system would drop
every lock that this process has on it (https://sqlite.org/howtocorrupt.html section 2.2).
"""

from __future__ import annotations

import sqlite3
import stat
import time
from contextlib import closing, suppress
from pathlib import Path

from ..files import locks as claims
from . import schema
from .trouble import Damaged, Foreign, Newer, Trouble, is_damage

PATIENCE = 3.0
"""Seconds a writer waits for another one."""
MANY = 10_000
"""So many events take about half a second to derive anew."""
_OURS = "-- the id of the event with which the climb began"
"""What the tables of a record hold, whatever has become of its header."""


def opens_slowly(path: Path) -> bool:
    """Whether a record takes longer than a moment to open: a long one, of an older form.

    Nothing is raised, nothing changed; events still in the log of an older release don't count.
    """
    with suppress(sqlite3.Error, UnicodeDecodeError, OSError):
        if path.is_file():
            with closing(connect(path, "ro&immutable=1")) as connection:
                if 0 < schema.step_of(connection) < schema.NEWEST:
                    query = "SELECT max(id) >= ? FROM events"
                    return bool(connection.execute(query, (MANY,)).fetchone()[0])
    return False


def identity(path: Path) -> tuple[int, int] | None:
    """Which file stands at a path; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def inspect(path: Path) -> None:
    """Look at a file's header, and refuse what is not ours without changing anything.

    A file that is not there, or is empty, is none to refuse.

    Raises:
        Newer: a later release wrote it.
        Foreign: it is a database of another program.
        Damaged: it is no database.
        OSError: it is no file but a folder, a pipe or a device, or cannot be looked at.
        sqlite3.Error: it cannot be read.
    """
    try:
        found = path.stat()
    except FileNotFoundError:
        return
    if not stat.S_ISREG(found.st_mode):  # a pipe would be waited for, a device read without end
        raise Trouble("no-file", file=path)
    if not found.st_size:
        return
    # Immutable: without locks and without a look at the log, of which nothing may be left behind.
    connection = connect(path, "ro&immutable=1")
    try:
        step = schema.step_of(connection)
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        if application != schema.APPLICATION and not (application == 0 and step == 0):
            query = "SELECT 1 FROM sqlite_schema WHERE instr(sql, ?)"
            ours = connection.execute(query, (_OURS,)).fetchone()
            raise Damaged("damaged") if ours else Foreign("foreign")
        known_step(connection)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        if not is_damage(error):
            raise
        raise (Foreign("foreign") if _looks_foreign(path) else Damaged("damaged")) from error
    finally:
        connection.close()


def _looks_foreign(path: Path) -> bool:
    """Whether a file that SQLite cannot read calls itself a database of another program.

    Offsets of the database file format, https://sqlite.org/fileformat2.html section 1.3.
    """
    start = b"".join(claims.raw_bytes(path, 4096))
    header = start[:100]
    if not header.startswith(b"SQLite format 3\x00") or len(header) < 100:
        return False
    told = int.from_bytes(header[68:72], "big")
    return told not in (0, schema.APPLICATION) and _OURS.encode() not in start


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """A connection to the file at a ``path`` that commits when it is told to.

    The ``mode`` is as SQLite's URIs have it, such as "ro"; only "rwc" makes a file.

    Raises:
        sqlite3.Error: the file cannot be opened.
    """
    # as_uri escapes what means something in a URI; a relative path has none.
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    connection = sqlite3.connect(
        uri, uri=True, timeout=PATIENCE, isolation_level=None, check_same_thread=False
    )
    with suppress(AttributeError, sqlite3.Error):  # what a hostile file can do, it may not
        connection.execute("PRAGMA trusted_schema = OFF")
    return connection


def known_step(connection: sqlite3.Connection) -> int:
    """The step a record is at.

    Raises:
        Newer: a later release took it.
    """
    step = schema.step_of(connection)
    if step > schema.NEWEST:
        raise Newer("newer", step=step, known=schema.NEWEST)
    return step


def refuse(connection: sqlite3.Connection) -> None:
    """Refuse what the log says that is not ours, as :func:`inspect` does the header.

    Raises:
        Newer: a later release wrote it.
        Foreign: it is a database of another program.
        Damaged: it has events, and nothing else of a record.
    """
    # In this order: a record that another tutor is just making has its step with its tables.
    tables = connection.execute("SELECT name FROM sqlite_schema").fetchall()
    if not known_step(connection) and tables:
        raise Damaged("damaged") if ("events",) in tables else Foreign("foreign")


def make_durable(connection: sqlite3.Connection) -> None:
    """Have everything that is written from now on durable once it is committed.

    Raises:
        sqlite3.Error: another program holds the file, or it cannot be written to.
    """
    # Turning the log on needs the file alone, and does not wait as other writers do.
    end = time.monotonic() + PATIENCE
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            break
        except sqlite3.OperationalError as error:
            busy = error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
            if not busy or time.monotonic() > end:
                raise
            time.sleep(0.01)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA secure_delete = ON")
