"""``rungwise record``: where it lies, out, in, a copy, and gone."""

from __future__ import annotations

import io
import re
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, TextIO

import click

from ..files import locks as claims
from ..files.streams import NOT_WRITTEN
from ..files.tree import whole_file
from ..language.texts import UNPRINTABLE, fill, plain
from ..store import backup as daily
from ..store import folder
from ..store.database import inspect, opens_slowly
from ..store.record import Record
from ..store.trouble import Damaged, Foreign, Newer, Older, Trouble, is_damage, trouble_of
from .console import FAILED, fail, read_bytes, reason, say, shown, warn, write

if TYPE_CHECKING:
    from ..store import exchange
    from ..store.exchange import ReadRecord

MOST_FILE = 1 << 30
"""Largest file that is imported, in bytes."""
_ENDINGS = {".jsonl": "jsonl", ".csv": "csv", ".json": "xapi"}


def _say(key: str, **values: object) -> None:
    say("record", f"command.{key}", **values)


def _whose(name: str = "") -> str:
    """A learner as a sentence names them."""
    return plain(name) or fill("record", "command.nobody")


@contextmanager
def _politely() -> Iterator[None]:
    """What befalls a record is said on standard error; the exit status is then 1."""
    try:
        yield
    except (Trouble, sqlite3.Error, UnicodeDecodeError) as error:
        _stop(str(trouble_of(error)).replace(": nothing is being kept", ""))
    except BrokenPipeError:
        raise  # nobody is there to be told
    except FileExistsError as error:
        _stop(f"{shown(str(error.filename))} is there already: give another name.")
    except OSError as error:
        if error.filename is None and error.errno in NOT_WRITTEN:
            raise  # the disk is full: what mends it is said in one place
        where = f"{shown(str(error.filename))}: " if error.filename else ""
        _stop(f"{where}{reason(error)}.")


def _stop(message: str) -> NoReturn:
    fail(message, status=FAILED)


def _mine() -> tuple[str, Path]:
    """The learner asked for, and the file of the record."""
    try:
        name = folder.display_name(folder.learner())
        return name, folder.record_file(name)
    except (folder.BadName, RuntimeError) as error:
        fail(f"{error}.")


def _opened(path: Path) -> Record:
    """The record, to be read; one of an older form is brought up to date, as by a tutor.

    Raises:
        Trouble: as ``Record.open_to_read`` (also OSError, sqlite3.Error).
    """
    with suppress(Older):
        return Record.open_to_read(path)
    if opens_slowly(path):
        warn(fill("record", "notice.slow"))
    return Record.open_as_can_be(path)


def _counts(path: Path) -> tuple[int, int]:
    with closing(_opened(path)) as record:
        return record.counts()


def _asides(path: Path) -> list[Path]:
    """The damaged files of this record that were set aside."""
    stem = path.name.removesuffix(folder.SUFFIX)
    return [
        found
        for found in sorted(path.parent.glob(f"*.damaged-*{folder.SUFFIX}"))
        if found.name.startswith(f"{stem}.damaged-")
    ]


@click.command()
def where() -> None:
    """Say where the record is, and how much it holds."""
    name, path = _mine()
    if not path.exists():
        _say("where-none", learner=_whose(name))
        write(shown(path))
        return
    _say("where", learner=_whose(name))
    write(shown(path))
    with _politely():
        climbs, events = _counts(path)
        _say("size", climbs=climbs, events=events, kib=-(-path.stat().st_size // 1024))
        if copies := daily.copies(path):
            where = shown(str(daily.folder_of(path)))
            _say("copies", count=len(copies), day=daily.day_of(copies[0]), file=where)
        for aside in _asides(path):
            _say("aside", file=shown(aside.name))


@click.command()
def check() -> None:
    """Check that nothing is missing, and repair what can be repaired.

    Whatever is worked out from the answers is worked out again, and what is missing is looked
    for in the copies of the last days. The exit status is 0 when all is well or was repaired, 1
    otherwise.
    """
    name, path = _mine()
    _must_exist(name, path)
    from ..store.check import check

    write(fill("record", "check.looking", [("learner", _whose(name))]))
    with _politely():
        report = check(path)
    for line in report.lines:
        write(line)
    raise SystemExit(0 if report.well else 1)


@click.command()
def learners() -> None:
    """List the learners who have a record here."""
    with _politely():
        found = folder.record_files()
    if not found:
        _say("learners-none")
    for path in found:
        try:
            with closing(_opened(path)) as record:
                climbs, events = record.counts()
                name = record.about("learner")
            _say("learner", learner=_whose(name), climbs=climbs, events=events)
        except (Trouble, sqlite3.Error, OSError, UnicodeDecodeError) as error:
            # One that cannot be read does not hide the others.
            write(f"{shown(path.name)}: {trouble_of(error)}")


def _must_exist(name: str, path: Path) -> None:
    if not path.exists():
        _stop(f"there is no record of {_whose(name)} yet.")


@click.command()
@click.argument("file")
@click.option(
    "--form", type=click.Choice(["jsonl", "csv", "xapi"]), help="The format, whatever the name."
)
@click.option("--force", is_flag=True, help="Overwrite a file that exists.")
def export(file: str, form: str | None, force: bool) -> None:
    """Write the record to FILE (or - for standard output) for other programs.

    The ending of the name sets the format: .jsonl for JSON lines, .csv for a table, .json for
    statements of the Experience API. Each of them holds all of it, and can be imported.
    """
    from ..store import exchange
    from ..store.xapi import write_xapi

    name, path = _mine()
    target = Path(file)
    form = form or ("jsonl" if file == "-" else _ENDINGS.get(target.suffix.lower()))
    if form is None:
        fail(f"{shown(file)}: end the name with .jsonl, .csv or .json, or give --form.")
    _must_exist(name, path)
    if file != "-" and target.exists():
        if not force:
            fail(f"{shown(file)} is there already: give another name, or --force.")
        if not target.is_file():
            fail(fill("record", "command.no-such-file", [("file", shown(file))]))
    counted = [0, 0]

    def export_to(out: exchange.Out) -> None:
        with closing(_opened(path)) as record:

            def counting() -> Iterator[exchange.ExchangeItem]:
                for item in exchange.items(record.climbs(), record.began_at):
                    counted[0] += 1
                    counted[1] += item.row.step == 0
                    yield item

            match form:
                case "csv":
                    exchange.write_csv(counting(), out)
                case "xapi":
                    write_xapi(counting(), name, folder.slug(name), out)
                case _:
                    exchange.write_jsonl(counting(), record.settings(), out)

    with _politely():
        if file == "-":
            # A table's lines end as RFC 4180 has it, whatever the system's do.
            with open(sys.stdout.fileno(), "w", encoding="utf-8", newline="", closefd=False) as out:
                export_to(_Harmless(out, form) if out.isatty() else out)
            return
        with whole_file(target) as whole:
            text = io.TextIOWrapper(whole, encoding="utf-8", newline="")
            export_to(text)
            text.detach()
    _say("exported", events=counted[0], climbs=counted[1], file=shown(file))


class _Harmless:
    """A terminal that is sent no control characters of anybody's, nor marks that hide text.

    In JSON they are escaped, which means the same; in a table a mark stands for each.
    """

    def __init__(self, out: TextIO, form: str) -> None:
        self._out, self._csv = out, form == "csv"

    def write(self, text: str) -> int:
        """Write a text; only the ends of lines are left of what steers a terminal."""
        return self._out.write(UNPRINTABLE.sub(self._neutral, text))

    def _neutral(self, found: re.Match[str]) -> str:
        if found[0] in "\r\n":
            return found[0]
        return "\ufffd" if self._csv else f"\\u{ord(found[0]):04x}"


@click.command("import")
@click.argument("file")
@click.option("--skip-bad", is_flag=True, help="Import what can be read of a file with faults.")
def take_in(file: str, skip_bad: bool) -> None:
    """Add what FILE holds to the record: an export, or a copy made by `record backup`."""
    name, path = _mine()
    incoming = _read(file)
    for complaint in incoming.complaints:
        warn(f"{shown(file)}: {plain(complaint)}")
    more = incoming.passed_over - len(incoming.complaints)
    if more > 0:
        warn(f"{shown(file)}: and {more} more.")
    if incoming.passed_over and not skip_bad:
        _stop(fill("record", "command.refused"))
    held = sum(len(climb.rows) + 1 for climb in incoming.climbs)
    with _politely():
        with closing(Record.open(path)) as record:
            if name and not record.about("learner"):
                record.set_about("learner", name)
            added = record.take_in(incoming.climbs)
            for key, value in incoming.settings.items():
                if key != "learner" and not record.about(key):
                    record.set_about(key, value)
        _say("imported", learner=_whose(name), added=added, had=held - added)


def _read(file: str) -> ReadRecord:
    """What a file holds.

    Raises:
        SystemExit: it cannot be read at all (status 1).
    """
    from ..store.exchange import BadFile
    from ..store.importing import read

    try:
        data = read_bytes(file, MOST_FILE)
    except OSError as error:
        _stop(f"{shown(file)}: {reason(error)}.")
    if len(data) > MOST_FILE:
        _stop(f"{shown(file)} is too long: at most {MOST_FILE} bytes are read.")
    try:
        return _of_copy(data) if data.startswith(b"SQLite format 3\0") else read(data)
    except BadFile as error:
        _stop(f"{shown(file)}: {plain(error)}.")
    except Newer:
        _stop(f"{shown(file)}: a later release of Rungwise wrote this copy.")
    except Foreign:
        _stop(f"{shown(file)} is a database of another program.")
    except (Trouble, OSError, sqlite3.Error) as error:
        _stop(f"{shown(file)} cannot be read: {plain(error)}.")


def _of_copy(data: bytes) -> ReadRecord:
    """What a copy of a record holds; a copy of that copy is read, which may be changed.

    Raises:
        Trouble: it is none, or of a later release (also OSError, sqlite3.Error).
    """
    from ..store.exchange import ReadRecord
    from ..store.record import ForeignClimb
    from ..store.rescue import salvage, sorted_out

    with tempfile.TemporaryDirectory(prefix="rungwise-") as folder_:
        path = Path(folder_, f"copy{folder.SUFFIX}")
        path.write_bytes(data)
        try:
            inspect(path)
            with closing(Record.open(path)) as record:
                climbs = [
                    ForeignClimb(start, record.began_at(number), [row for _, row in rows])
                    for number, start, rows in record.climbs()
                ]
                return ReadRecord(climbs, record.settings())
        except (Damaged, sqlite3.Error, UnicodeDecodeError) as error:
            if not is_damage(error):
                raise
        saved = salvage(path)
        found = ReadRecord(sorted_out(saved.rows.values()), saved.settings)
        found.complain("the copy is damaged, and some of it may be missing")
        return found


@click.command()
@click.argument("file")
def backup(file: str) -> None:
    """Copy the whole record to FILE, even while the tutor is open."""
    name, path = _mine()
    _must_exist(name, path)
    with _politely():
        with closing(_opened(path)) as record:
            record.backup(Path(file))
        _say("backed-up", learner=_whose(name), file=shown(file))


@click.command()
@click.option("--yes", is_flag=True, help="Do not ask.")
def erase(yes: bool) -> None:
    """Erase the record for good."""
    name, path = _mine()
    _must_exist(name, path)
    if claims.others(path):
        _stop(f"a tutor has the record of {_whose(name)} open: leave it first.")
    climbs = events = 0
    with suppress(Trouble, sqlite3.Error, OSError):  # it can be erased without being read
        climbs, events = _counts(path)
    _say("erase", learner=_whose(name), climbs=climbs, events=events)
    if not yes:
        try:
            sure = click.confirm(fill("record", "command.sure"), default=False)
        except click.Abort:  # the input has ended, or Ctrl+C
            write()
            sure = False
        if not sure:
            _say("kept")
            raise SystemExit(1)
    with _politely():
        for aside in _asides(path):
            _remove(aside)
        _remove(path)
        # Its copies, and what a rescue that was broken off has left.
        for room in (daily.folder_of(path), *path.parent.glob(f".{path.name}-*")):
            if room.is_dir():
                shutil.rmtree(room)
        claims.lock_file(path).unlink(missing_ok=True)
        _say("erased", learner=_whose(name))


def _remove(path: Path) -> None:
    for end in ("", "-wal", "-shm", "-journal"):
        path.with_name(path.name + end).unlink(missing_ok=True)
