"""A copy a day, and what comes of it when a record is damaged."""

from __future__ import annotations

import os
import sqlite3
import time
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest
from rungwise.tutor.store import backup
from rungwise.tutor.store.database import connect
from rungwise.tutor.store.folder import record_file, record_files
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.trouble import Damaged

from tests.studies.damaged_records import run as damage
from tests.support.commands import run_here
from tests.support.samples import sample
from tests.tutor.cli.test_command import run

from .climbing import kept_once, some_climbs

TODAY = date(2026, 11, 30)


def filled(climbs: int = 3) -> Path:
    def fill() -> None:
        keeper = Keeper("")
        some_climbs(keeper, climbs, 2)
        keeper.close()

    kept_once(f"backup {climbs}", record_file().parent, fill)
    return record_file()


def events(path: Path) -> int:
    with closing(connect(path, "ro&immutable=1")) as db:
        return int(db.execute("SELECT count(*) FROM events").fetchone()[0])


def test_damaged_records_are_outlived(tmp_path: Path) -> None:
    count = sample(20, 60)
    told = damage(count, Random(5), tmp_path)
    assert told["set aside"] > count // 2
    # Of what a copy lacks some is read of the damaged file, and without a copy most of it.
    assert told["saved+copy"] > 0.9 * told["had+copy"] and told["saved"] > 0.3 * told["had"]


def test_a_day_on_which_something_was_kept_has_a_copy(home: Path) -> None:
    path = filled()
    (copy,) = backup.copies(path)
    assert backup.day_of(copy) == str(date.today()) and events(copy) == events(path)
    before = copy.stat()
    filled()  # the same day has no second one
    assert copy.stat() == before and not backup.is_due(path, date.today())
    assert [p.name for p in backup.folder_of(path).iterdir()] == [copy.name]
    assert record_files(home) == [path]
    if os.name != "nt":
        assert copy.stat().st_mode & 0o077 == 0
        assert backup.folder_of(path).stat().st_mode & 0o077 == 0


def test_who_only_looks_makes_no_copy(home: Path) -> None:
    path = filled()
    (copy,) = backup.copies(path)
    copy.unlink()
    keeper = Keeper("")
    assert keeper.evidence()
    keeper.close()
    assert not backup.copies(path)


def test_a_copy_is_made_beside_the_tutor(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rungwise.tutor.store.held.QUIET", 0.05)
    keeper = Keeper("")
    some_climbs(keeper, 1, 1)
    end = time.monotonic() + 30
    while not backup.copies(record_file()) and time.monotonic() < end:
        time.sleep(0.02)
    assert backup.copies(record_file()) and not keeper.trouble
    keeper.close()


def test_the_last_seven_days_are_kept(home: Path) -> None:
    path = filled()
    for copy in backup.copies(path):
        copy.unlink()
    for days in range(0, 27, 3):
        backup.make(path, TODAY + timedelta(days))
    kept = [backup.day_of(copy) for copy in backup.copies(path)]
    assert kept == [str(TODAY + timedelta(days)) for days in range(24, 5, -3)]


def test_a_damaged_record_drives_out_no_copy(home: Path) -> None:
    path = filled(12)
    backup.make(path, TODAY)
    data = bytearray(path.read_bytes())
    with closing(sqlite3.connect(path)) as db:
        query = "SELECT rootpage FROM sqlite_schema WHERE name = 'evidence_at'"
        (page,) = db.execute(query).fetchone()
    data[4096 * (page - 1) : 4096 * page] = bytes(4096)
    path.write_bytes(data)
    before = backup.copies(path)
    with pytest.raises(Damaged):
        backup.make(path, TODAY + timedelta(99))
    assert backup.copies(path) == before
    assert {p.name for p in backup.folder_of(path).iterdir()} == {p.name for p in before}


def test_a_full_disk_is_left_to_the_record(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = filled()
    monkeypatch.setattr("shutil.disk_usage", lambda _: type("Usage", (), {"free": 1000}))
    with pytest.raises(OSError, match="No space"):
        backup.make(path, TODAY)


def test_a_copy_broken_off_is_swept_away_and_never_used(home: Path) -> None:
    path = filled()
    part = backup.folder_of(path) / "2026-11-01.part-7-7"
    part.write_bytes(b"half")
    os.utime(part, (0, 0))
    assert part not in backup.copies(path)
    backup.make(path, TODAY)
    assert not part.exists()


def test_the_newest_copy_that_opens_comes_in(home: Path) -> None:
    path = filled(12)
    had = events(path)
    for copy in backup.copies(path):
        copy.unlink()
    backup.make(path, TODAY)
    (backup.folder_of(path) / "2026-12-01.sqlite3").write_bytes(path.read_bytes()[:9000])
    path.write_bytes(b"nothing of it")
    keeper = Keeper("")
    keeper.evidence()
    assert "2026-11-30" in keeper.notice and ".damaged-" in keeper.notice
    keeper.close()
    assert events(path) == had


def test_the_plain_drill_tells_of_a_damaged_record(home: Path) -> None:
    path = filled(12)
    path.write_bytes(path.read_bytes()[4096:])
    done = run("drill", "--plain", "--seed", "3", stdin="xyz\n")
    said = " ".join(done.stdout.split())
    assert "The record was damaged." in said and "is still there as record.damaged-" in said
    assert said.count("damaged.") == 1 and "Traceback" not in done.stderr
    path.write_bytes(path.read_bytes()[4096:])
    done = run_here("progress")
    assert done.returncode == 0 and ".damaged-" in done.stderr
    assert len(list(home.glob("*.damaged-*.sqlite3"))) == 2
    path.write_bytes(path.read_bytes()[4096:])
    done = run("rehearse", "--plain", "--problems", "1", "--seed", "3", stdin="xyz\n")
    assert ".damaged-" in done.stdout and "Traceback" not in done.stderr


def test_where_tells_of_the_copies_and_erase_removes_them(home: Path) -> None:
    path = filled()
    said = run_here("record", "where").stdout
    assert str(date.today()) in said and f"{path.name}-copies" in said
    assert run_here("record", "erase", "--yes").returncode == 0
    assert not backup.folder_of(path).exists()
