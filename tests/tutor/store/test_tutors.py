"""Two tutors at one record: no handle of ours beside SQLite's, no lock but on our own file."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record
from rungwise.tutor.store.rescue import rescue

from tests.studies.two_tutors import run

from .climbing import some_climbs

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there locks go by handle")


def test_two_tutors_ended_in_both_orders_lose_nothing(home: Path) -> None:
    assert run(9, Random(3), home) > 50


WATCHED = """
import os, sys, sqlite3, time
from datetime import date
from rungwise.tutor.store import backup
from rungwise.tutor.store.check import check
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record
from tests.tutor.store.climbing import some_climbs

path = str(record_file(""))
files = {path, path + "-wal", path + "-shm"}
opened, locked = [], []

def watch(event, args):
    if event == "open" and str(args[0]) in files:
        opened.append(str(args[0]))
    if event in ("fcntl.lockf", "fcntl.flock", "fcntl.fcntl"):
        locked.append(os.readlink(f"/proc/self/fd/{args[0]}"))

sys.addaudithook(watch)
one = Keeper("")
some_climbs(one, 2, 1)
with sqlite3.connect(path) as db:
    db.execute("UPDATE about SET value = '0' WHERE key = 'states'")
db.close()
two = Keeper("")  # makes the states anew by a connection of its own
some_climbs(two, 2, 2)
two._copy()
Record.open_to_read(record_file("")).close()
assert check(record_file("")).well
two.close()
some_climbs(one, 1, 3)
one.close()
assert not opened, opened
assert locked and set(locked) == {path + "-lock"}, set(locked)
"""


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="needs to be told what is open")
def test_no_handle_of_ours_is_opened_on_a_record_and_no_lock_taken_on_it(home: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WATCHED],
        capture_output=True,
        encoding="utf-8",
        cwd=Path(__file__).parents[3],
        timeout=120,
    )
    assert done.returncode == 0, done.stderr


TAKER = """
import sqlite3, sys
db = sqlite3.connect(sys.argv[1], timeout=0.1, isolation_level=None)
db.execute("PRAGMA locking_mode = EXCLUSIVE")
try:
    db.execute("PRAGMA journal_mode = DELETE")
    print("alone")
except sqlite3.OperationalError as error:
    print("locked")
"""


def _taken(path: Path) -> str:
    """Whether another process can have the file to itself, as the last one to close it must."""
    done = subprocess.run(
        [sys.executable, "-c", TAKER, str(path)], capture_output=True, encoding="utf-8", timeout=60
    )
    return done.stdout.strip()


def test_looking_at_a_record_or_rescuing_it_drops_no_lock(home: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 2, 1)
    path = record_file()
    assert _taken(path) == "locked"
    for look in (Record.open, Record.open_to_read):
        look(path).close()
        assert _taken(path) == "locked"
    keeper._copy()
    assert _taken(path) == "locked"
    kept = len(keeper.evidence())
    saved = rescue(path)  # of which this keeper has not heard
    assert saved is not None and _taken(saved.aside) == "locked"
    some_climbs(keeper, 1, 2)
    assert not keeper.trouble and len(keeper.evidence()) > kept
    keeper.close()
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_an_answer_never_goes_into_a_file_that_was_set_aside(home: Path) -> None:
    """A writer that waited for the lock finds another file in the record's place."""
    keeper = Keeper("")
    some_climbs(keeper, 2, 1)
    record, path = keeper._record, record_file()
    assert record is not None
    displaced, once = type(record).displaced, [True]

    def look(self: Record) -> bool:
        if once:  # between the look before writing and the lock
            once.clear()
            rescue(path)
            return False
        return bool(displaced.__get__(self))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Record, "displaced", property(look))
        keeper.set("exam", "2027-01-31")
    assert not keeper.trouble
    keeper.close()
    back = Keeper("")
    assert back.setting("exam") == "2027-01-31"
    back.close()
