"""A damaged record is set aside, and what can be read of it is saved into a new one."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path

from ..files import locks as claims
from . import carving
from .events import BadEvent, EventRow, Other, now, read_at, read_move, read_start, to_moment
from .folder import SUFFIX
from .record import ForeignClimb, Record, connect, identity

Raw = tuple[object, object, object, object, object, object]
"""A row of the table of events, as it was found: id, climb, step, at, kind, body."""


@dataclass(frozen=True)
class Rescued:
    """What was saved: events and climbs, and where the damaged file is now."""

    events: int
    climbs: int
    aside: Path


def rescue(path: Path) -> Rescued | None:
    """Set a damaged record aside and put what can be read of it in its place.

    Returns:
        None if another tutor has done so meanwhile.

    Raises:
        OSError: there is no room for the new record, or the folder cannot be written to; the
            damaged one stays where it is (also sqlite3.Error).
    """
    before = identity(path)
    with claims.alone(path):
        if identity(path) != before:
            return None
        raw, settings = salvage(path)
        climbs = sorted_out(raw)
        fresh = path.with_name(f"{path.name}.new-{os.getpid()}")
        try:
            with closing(Record.open(fresh)) as record:
                record.take_in(climbs)
                for key, value in settings.items():
                    record.set_about(key, value)
            aside = _aside(path)
            _move(path, aside)
            os.replace(fresh, path)
        finally:
            for leftover in (fresh, _beside(fresh, "-wal"), _beside(fresh, "-shm")):
                leftover.unlink(missing_ok=True)
    return Rescued(sum(len(c.rows) + 1 for c in climbs), len(climbs), aside)


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


def salvage(path: Path) -> tuple[list[Raw], dict[str, str]]:
    """The rows of events, and the settings, that can be read of a damaged file.

    Raises:
        OSError: the file cannot be read at all.
    """
    raw: list[Raw] = []
    settings: dict[str, str] = {}
    whole = False
    with suppress(sqlite3.Error), closing(connect(path, "ro")) as db:
        db.text_factory = lambda data: data.decode("utf-8", "replace")
        with suppress(sqlite3.Error):
            settings.update(_settings(db.execute("SELECT key, value FROM about")))
        with suppress(sqlite3.Error):
            raw.extend(db.execute("SELECT id, climb, step, at, kind, body FROM events"))
            whole = True
    if whole:
        return raw, settings
    known = {row[0] for row in raw}
    carved: dict[int, Raw] = {}
    for number, columns in carving.rows(path):
        if number > 0 and len(columns) == 6 and columns[0] is None and number not in known:
            _, climb, step, at, kind, body = columns
            carved[number] = (number, climb, step, at, kind, body)
        elif number == -1 and len(columns) == 2 and columns[0] not in settings:
            settings.update(_settings([columns]))
    return [*raw, *carved.values()], settings


def _settings(rows: Iterable[Sequence[object]]) -> dict[str, str]:
    """Settings among rows of two texts; the rows of skills look alike but for their names."""
    found = {}
    for row in rows:
        key, value = row
        if isinstance(key, str) and isinstance(value, str) and "/" not in key:
            found[key] = value
    for derived in ("", "states"):
        found.pop(derived, None)
    return found


def sorted_out(raw: Iterable[Raw]) -> list[ForeignClimb]:
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
            if step == 0 and kind == Other.BEGAN.value and climb == number:
                start = read_start(body)
                if start.uid not in names:
                    names.add(start.uid)
                    begun[climb] = number, ForeignClimb(start, read_at(at), [])
            elif step > 0:
                if kind not in (Other.LEFT.value, Other.TOOK_OVER.value):
                    read_move(kind, body)
                row = EventRow(step, read_at(at), kind, body)
                others.setdefault(climb, {})[step] = number, row
    for climb, rows in others.items():
        if climb in begun:
            begun[climb][1].rows.extend(row for _, (_, row) in sorted(rows.items()))
    return [found for _, found in sorted(begun.values(), key=lambda pair: pair[0])]
