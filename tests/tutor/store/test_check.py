"""``rungwise record check``: what is missing is told, and what can be mended is."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from rungwise.tutor.store import backup
from rungwise.tutor.store.check import check
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper

from tests.support.commands import run_here

from .climbing import kept_once, some_climbs


@pytest.fixture
def filled(home: Path) -> Path:
    kept_once("check", home, fill)
    return record_file()


def fill() -> None:
    keeper = Keeper("")
    some_climbs(keeper, 10, 4, finish=False)
    keeper.close()


def without_copies(path: Path) -> None:
    shutil.rmtree(backup.folder_of(path))


def execute(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db:
        for statement in statements:
            db.execute(statement)
        db.commit()


def dump(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as db:
        return list(db.iterdump())


def test_a_record_in_which_all_is_well(filled: Path) -> None:
    before = dump(filled)
    done = run_here("record", "check")
    assert done.returncode == 0 and done.stderr == ""
    looking, said = done.stdout.splitlines()
    assert looking.startswith("Checking") and said.startswith("All is well. Climbs: 10.")
    assert dump(filled) == before


def test_where_there_is_no_record(home: Path) -> None:
    done = run_here("record", "check")
    assert done.returncode == 1 and "no record" in done.stderr
    assert not home.exists()


def test_what_is_worked_out_is_worked_out_anew(filled: Path) -> None:
    before = dump(filled)
    execute(
        filled,
        "DELETE FROM skills WHERE skill = (SELECT min(skill) FROM skills)",
        "UPDATE evidence SET outcome = 'shown' WHERE id = (SELECT min(id) FROM evidence)",
        "DELETE FROM climbs WHERE id = (SELECT max(id) FROM climbs)",
    )
    done = run_here("record", "check")
    assert done.returncode == 0 and "worked out again" in done.stdout
    assert dump(filled) == before
    assert run_here("record", "check").stdout.count("\n") == 2


def test_broken_indexes_are_made_anew(filled: Path) -> None:
    before = dump(filled)
    with closing(sqlite3.connect(filled)) as db:
        (sql,) = db.execute("SELECT sql FROM sqlite_schema WHERE name = 'evidence_at'").fetchone()
    execute(filled, "DROP INDEX evidence_at", "CREATE INDEX evidence_at ON evidence (id)")
    execute(
        filled,
        "PRAGMA writable_schema = ON",
        f"UPDATE sqlite_schema SET sql = '{sql}' WHERE name = 'evidence_at'",
    )
    with closing(sqlite3.connect(filled)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() != ("ok",)
    done = run_here("record", "check")
    assert done.returncode == 0 and "Indexes were broken" in done.stdout
    with closing(sqlite3.connect(filled)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert sorted(dump(filled)) == sorted(before)


def test_missing_events_are_put_back_from_a_copy_or_told(filled: Path) -> None:
    before = dump(filled)
    lose = "DELETE FROM events WHERE id IN (7, 8, (SELECT max(id) FROM events))"
    execute(filled, lose)
    done = run_here("record", "check")
    assert done.returncode == 0 and "restored from the copies of the last days: 3." in done.stdout
    assert dump(filled) == before
    execute(filled, lose)
    without_copies(filled)
    done = run_here("record", "check")
    assert done.returncode == 1 and "missing, and no copy has them: 3." in done.stdout
    assert "Climbs with a gap" in done.stdout and "All is well" not in done.stdout


def test_a_number_as_high_as_can_be_is_told_and_takes_no_memory(filled: Path) -> None:
    (before,) = (line for line in dump(filled) if "sqlite_sequence" in line and "VALUES" in line)
    last = int(before.rsplit(",", 1)[1].rstrip(");"))
    execute(filled, f"UPDATE sqlite_sequence SET seq = {2**47}")
    report = check(filled)
    assert not report.well and any(str(2**47 - last) in line for line in report.lines)
    execute(filled, f"UPDATE sqlite_sequence SET seq = {2**62}")
    report = check(filled)
    assert report.well and ".damaged-" in report.lines[0]


def test_copies_of_before_a_rescue_are_not_taken_for_the_same_events(filled: Path) -> None:
    execute(filled, "UPDATE events SET at = at + 1", "DELETE FROM events WHERE id = 7")
    report = check(filled)
    assert not report.well and not any("restored" in line for line in report.lines)


def test_events_that_cannot_be_read_are_counted(filled: Path) -> None:
    execute(filled, "UPDATE events SET body = '{' WHERE id IN (3, 5)")
    done = run_here("record", "check")
    assert done.returncode == 1 and "cannot be read: 2." in done.stdout


def test_a_damaged_record_is_set_aside_and_told(filled: Path) -> None:
    data = bytearray(filled.read_bytes())
    data[:100] = bytes(100)
    filled.write_bytes(data)
    done = run_here("record", "check")
    assert done.returncode == 0, done.stdout
    assert ".damaged-" in done.stdout and "All is well" in done.stdout
    without_copies(filled)
    filled.write_bytes(bytes(data[:12288]))
    done = run_here("record", "check")
    assert done.returncode == 1 and ".damaged-" in done.stdout


@pytest.mark.parametrize("words", ["where", "check", "learners", "export x.csv", "import x.csv"])
def test_a_byte_in_the_schema_that_is_no_text_is_damage_and_no_traceback(
    words: str, filled: Path, tmp_path: Path
) -> None:
    data = filled.read_bytes()
    at = data.index(b"CREATE TABLE climbs") + len("CREATE TABLE cl")
    filled.write_bytes(data[:at] + b"\xff" + data[at + 1 :])
    (tmp_path / "x.csv").write_text("climb,step,at,kind,rung\r\n")
    done = run_here("record", *words.replace("x.csv", str(tmp_path / "x.csv")).split())
    assert "Traceback" not in done.stderr and done.returncode in (0, 1, 2)


@pytest.mark.parametrize("spot", ["CREATE TABLE cl", "tableev", "CREATE INDEX climbs_op"])
def test_a_record_with_such_a_byte_is_rescued(spot: str, filled: Path) -> None:
    without_copies(filled)
    data = filled.read_bytes()
    at = data.index(spot.encode()) + len(spot)
    filled.write_bytes(data[:at] + b"\xff" + data[at + 1 :])
    keeper = Keeper("")
    some_climbs(keeper, 1, 1)
    assert not keeper.trouble and "climbs: 10" in keeper.notice
    keeper.close()
