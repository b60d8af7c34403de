"""Old records open as new ones; a newer one, or another program's, is left as it is."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Outcome
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store import schema
from rungwise.tutor.store.database import MANY, opens_slowly
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record
from rungwise.tutor.store.trouble import Foreign, Newer

from tests.tutor.cli.test_command import run
from tests.tutor.store.records.make import LOOKS, UIDS, WISHES, file_of, moves

from .climbing import problem, some_climbs, without_time

STEPS = range(1, schema.NEWEST + 1)


def test_there_is_a_record_of_each_step() -> None:
    for step in STEPS:
        with closing(sqlite3.connect(f"{file_of(step).as_uri()}?immutable=1", uri=True)) as db:
            assert schema.step_of(db) == step
            assert [row[0] for row in db.execute("SELECT step FROM steps")] == [*STEPS[:step]]


@pytest.mark.parametrize("step", STEPS)
def test_an_old_record_opens_with_all_it_holds(step: int, home: Path) -> None:
    home.mkdir()
    shutil.copy(file_of(step), record_file())
    keeper = Keeper("")
    place = keeper.place()
    assert not keeper.trouble and place is not None
    assert place.wish == WISHES[1] and place.start.uid == UIDS[1]
    assert without_time(place.moves) == without_time(tuple(moves(1)))
    climb = Climb(problem(place.wish), keeper.resume(place))
    assert climb.replay(place.moves) == len(place.moves)
    assert climb.position == 1 and climb.rungs[0].outcome is Outcome.RIGHT
    first = problem(WISHES[0])
    found = keeper.evidence()
    assert [e.rung for e in found] == [q.rung for q in first.questions] + [
        climb.rungs[0].question.rung
    ]
    assert found[-1].slips == ("roles-swapped",) and found[0].seconds == 2.5
    assert sum(state.asked for state in keeper.states().values()) == len(found)
    assert keeper.setting("exam") == "2027-01-31"
    assert [seen.look for seen in keeper.looks()] == [*(LOOKS if step > 3 else ())]
    climb.answer(right_text(climb.current.question))
    assert not keeper.trouble and len(keeper.evidence()) == len(found) + 1
    keeper.close()
    with closing(sqlite3.connect(record_file())) as db:
        assert schema.step_of(db) == schema.NEWEST
        assert [row[0] for row in db.execute("SELECT step FROM steps")] == [*STEPS]


def test_a_step_is_taken_whole_or_not_at_all(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home.mkdir()
    shutil.copy(file_of(1), record_file())
    broken = (*schema.STEPS[:2], schema.STEPS[2] + "INSERT INTO nowhere VALUES (1);")
    monkeypatch.setattr(schema, "STEPS", broken)
    with pytest.raises(Exception, match="damaged"):
        Record.open(record_file())
    with closing(sqlite3.connect(record_file())) as db:
        assert schema.step_of(db) == 1
        assert db.execute("SELECT count(*) FROM steps").fetchone() == (1,)
        assert not db.execute("SELECT 1 FROM sqlite_schema WHERE name = 'climbs'").fetchall()


SLOW = "The record is being brought up to date; with very many answers this takes a moment."


@pytest.mark.parametrize("words", ["progress --json", "drill --plain --level 1 --seed 7"])
def test_a_long_record_of_an_older_form_says_first_that_it_takes_a_moment(
    words: str, home: Path
) -> None:
    home.mkdir()
    shutil.copy(file_of(1), record_file())
    with closing(sqlite3.connect(record_file(), isolation_level=None)) as db:
        (climb,) = db.execute("SELECT max(climb) FROM events").fetchone()
        query = "INSERT INTO events (climb, step, at, kind, body) SELECT ?, ?, at, kind, body"
        with_hints = f"{query} FROM events WHERE kind = 'hinted' LIMIT 1"
        db.execute("BEGIN")
        db.executemany(with_hints, ((climb, step) for step in range(100, MANY + 100)))
        db.execute("COMMIT")
    first, again = run(*words.split()), run(*words.split())
    assert first.stderr.splitlines() == [SLOW] and SLOW not in first.stdout
    assert first.returncode == again.returncode == 0 and again.stderr == ""


@pytest.mark.parametrize("step", STEPS)
def test_a_short_record_of_an_older_form_says_nothing(step: int, home: Path) -> None:
    home.mkdir()
    shutil.copy(file_of(step), record_file())
    before = record_file().read_bytes()
    assert not opens_slowly(record_file()) and record_file().read_bytes() == before
    assert [p.name for p in home.iterdir()] == [record_file().name]
    assert run("progress").stderr == ""


def test_what_cannot_be_opened_does_not_open_slowly(home: Path) -> None:
    assert not opens_slowly(home) and not opens_slowly(record_file())
    home.mkdir()
    assert not opens_slowly(home)
    for data in (b"", b"SQLite format 3\0", b"x" * 9000):
        record_file().write_bytes(data)
        assert not opens_slowly(record_file())


def later(path: Path) -> bytes:
    """A record as a later release might leave it; its bytes."""
    keeper = Keeper("")
    some_climbs(keeper, 1, 1)
    keeper.close()
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE tides (height)")
        db.execute(f"INSERT INTO steps VALUES ({schema.NEWEST + 1}, 1, '9.0')")
        db.commit()
        db.execute(f"PRAGMA user_version = {schema.NEWEST + 1}")
    return path.read_bytes()


def test_a_newer_record_is_refused_politely_and_left_untouched(home: Path) -> None:
    path = record_file()
    before = later(path)
    for opening in (Record.open, Record.open_to_read):
        with pytest.raises(Newer, match=f"step {schema.NEWEST + 1}"):
            opening(path)
    keeper = Keeper("")
    climb = Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)))
    assert climb.answer(right_text(climb.current.question)).passed
    assert "later release" in keeper.trouble and "untouched" in keeper.trouble
    assert keeper.place() is None and keeper.states() == {}
    keeper.close()
    assert path.read_bytes() == before
    beside = {f"{path.name}-lock", f"{path.name}-copies"}
    assert {p.name for p in home.iterdir()} == {path.name, *beside}


def test_a_step_still_in_the_log_of_a_newer_record_is_seen(home: Path) -> None:
    path = record_file()
    keeper = Keeper("")
    some_climbs(keeper, 1, 1)
    keeper.close()
    with closing(sqlite3.connect(path)) as other:  # open, so that its log is not folded in
        other.execute(f"PRAGMA user_version = {schema.NEWEST + 1}")
        other.commit()
        with pytest.raises(Newer):
            Record.open(path)


def test_another_programs_database_is_left_untouched(home: Path) -> None:
    home.mkdir()
    path = record_file()
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE songs (name)")
        db.commit()
    before = path.read_bytes()
    with pytest.raises(Foreign):
        Record.open(path)
    keeper = Keeper("")
    some_climbs(keeper, 1, 1)
    assert "another program" in keeper.trouble
    keeper.close()
    assert path.read_bytes() == before
    assert {p.name for p in home.iterdir()} <= {path.name, f"{path.name}-lock"}


@pytest.mark.parametrize("step", STEPS)
def test_the_commands_bring_an_old_record_up_to_date(step: int, home: Path) -> None:
    home.mkdir()
    shutil.copy(file_of(step), record_file())
    with closing(sqlite3.connect(f"{file_of(step).as_uri()}?immutable=1", uri=True)) as db:
        (events,) = db.execute("SELECT count(*) FROM events").fetchone()
    where, exported = run("record", "where"), run("record", "export", "-", "--form", "jsonl")
    assert f"Events: {events}." in where.stdout and len(exported.stdout.splitlines()) == events + 1
    assert where.returncode == exported.returncode == 0
    assert where.stderr == exported.stderr == ""
    with closing(sqlite3.connect(record_file())) as db:
        assert schema.step_of(db) == schema.NEWEST


@pytest.mark.parametrize("step", [*STEPS][:-1])
def test_an_old_record_that_cannot_be_written_to_is_told_as_such(
    step: int, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir()
    shutil.copy(file_of(step), record_file())

    def refused(path: Path) -> Record:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))

    monkeypatch.setattr(Record, "open_alone", refused)
    keeper = Keeper("")
    assert keeper.place() is None
    assert keeper.trouble == (
        "The record is of an older form, and its folder cannot be written to: it cannot be"
        " brought up to date, and nothing is being kept."
    )
    keeper.close()
    assert record_file().read_bytes() == file_of(step).read_bytes()
