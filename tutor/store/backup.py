"""Copies of a record: one for each of the last seven days on which something was kept.

They lie in a folder beside the record, each a database whole in itself, and are made by
SQLite's own backup in a thread that waits until nobody is waiting for it.  A copy takes its
place only once it is complete and sound, so that a damaged record never drives out good ones.
"""

from __future__ import annotations

import os
import re
import sqlite3
import time
from contextlib import closing, suppress
from datetime import date
from pathlib import Path

from .database import connect
from .folder import SUFFIX
from .record import Record
from .trouble import Damaged

KEPT = 7
"""So many days' copies are kept."""
SMALL = 16 << 20
"""Bytes of a record that is copied faster than anybody notices: in less than 0.1 s."""
_STALE = 3600.0
"""Seconds after which half a copy is nobody's work any more."""
_DAY = re.compile(rf"(\d{{4}}-\d\d-\d\d){re.escape(SUFFIX)}")


def folder_of(record: Path) -> Path:
    """The folder of a record's copies; it need not exist."""
    return record.with_name(f"{record.name}-copies")


def copies(record: Path) -> list[Path]:
    """The copies that there are, the newest first."""
    with suppress(OSError):
        found = [p for p in folder_of(record).iterdir() if _DAY.fullmatch(p.name)]
        return sorted(found, reverse=True)
    return []


def day_of(copy: Path) -> str:
    """The day of which a copy is, as YYYY-MM-DD."""
    return copy.name.removesuffix(SUFFIX)


def is_due(record: Path, today: date) -> bool:
    """Whether ``today`` has no copy of the ``record`` yet."""
    return not (folder_of(record) / f"{today}{SUFFIX}").exists()


def make(record: Path, today: date, *, gently: bool = True) -> None:
    """Copy a ``record`` as that of ``today``, and forget copies that are too old.

    ``gently``: piece by piece, so that others get at the disk between.

    Raises:
        Damaged: the copy would not be sound; those that are there stay.
        OSError: it cannot be written, or would take up most of the room that is left.
        sqlite3.Error: the record cannot be read.
    """
    folder = folder_of(record)
    folder.mkdir(mode=0o700, exist_ok=True)
    _sweep(folder)
    _check_room(record)
    part = folder / f"{today}.part-{os.getpid()}-{time.monotonic_ns()}"
    try:
        with closing(Record.open_to_read(record)) as source:
            source.backup(part, gently=gently)
        if not is_sound(part):
            raise Damaged("damaged")
        os.replace(part, folder / f"{today}{SUFFIX}")
    finally:
        for leftover in folder.glob(f"{part.name}*"):
            leftover.unlink(missing_ok=True)
    for old in copies(record)[KEPT:]:
        old.unlink(missing_ok=True)


def is_sound(copy: Path) -> bool:
    """Whether a copy opens and is a whole database."""
    try:
        with closing(connect(copy, "ro&immutable=1")) as db:
            (said,) = db.execute("PRAGMA quick_check(1)").fetchone()
            db.execute("SELECT max(id), max(body) FROM events WHERE id < 2").fetchone()
            return bool(said == "ok")
    except (sqlite3.Error, UnicodeDecodeError, OSError):
        return False


def newest(record: Path) -> Path | None:
    """The newest copy that is sound; None where there is none."""
    return next((copy for copy in copies(record) if is_sound(copy)), None)


def _sweep(folder: Path) -> None:
    """Remove what a copy that was broken off has left."""
    for part in folder.glob("*.part-*"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > _STALE:
                part.unlink()


def _check_room(record: Path) -> None:
    from errno import ENOSPC
    from shutil import disk_usage

    if disk_usage(record.parent).free < 2 * record.stat().st_size:
        raise OSError(ENOSPC, os.strerror(ENOSPC))
