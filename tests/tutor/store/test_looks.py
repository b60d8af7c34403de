"""Looks in the record: on the disk before they are marked, and whole wherever they are carried."""

from __future__ import annotations

import io
import json
import sqlite3
import sys
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.questions.looks import LookKind
from rungwise.tutor.coach.looking import begin_round, recognition_of
from rungwise.tutor.language.dates import local_now
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.store import backup, exchange, importing
from rungwise.tutor.store.check import check
from rungwise.tutor.store.events import BadEvent, new_uid
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.looks import RoundStart, read_begin, read_look, write_begin, write_look
from rungwise.tutor.store.record import Record
from rungwise.tutor.store.rescue import rescue

from tests.studies.kill_the_rounds import kill_the_rounds
from tests.tutor.cli.test_command import run

from .climbing import some_climbs

FORMS = {"jsonl": "out.jsonl", "csv": "out.csv", "xapi": "out.json"}


def looked(keeper: Keeper, rounds: int, seed: int, length: int = 8) -> list[LookEvent]:
    """Rounds of looks, kept by a keeper: right, wrong, hinted and shown."""
    chance, events = Random(seed), []
    for _ in range(rounds):
        round_ = begin_round(keeper, local_now(), seed=chance.randrange(2**40), length=length)
        while round_.step is not None:
            if chance.random() < 0.2:
                round_.hint()
            if chance.random() < 0.1:
                round_.show(1.5)
            else:
                round_.answer(chance.choice(round_.step.look.answers), chance.random() * 9)
            round_.next()
        events += round_.events
    return [replace(event, seconds=round(event.seconds, 3)) for event in events]


def kept(keeper: Keeper) -> list[LookEvent]:
    return [seen.look for seen in keeper.looks()]


def test_a_look_is_in_the_file_when_it_is_marked(home: Path) -> None:
    keeper = Keeper("")
    round_ = begin_round(keeper, local_now(), seed=1)
    assert not record_file().exists()  # looking at the first circuit keeps nothing
    for number in range(1, 4):
        assert round_.step is not None
        round_.answer(round_.step.look.truth, 1.0)
        with closing(sqlite3.connect(record_file())) as db:
            query = "SELECT count(*) FROM events WHERE kind = 'looked'"
            assert db.execute(query).fetchone() == (number,)
        round_.next()
    keeper.close()


def test_looks_and_climbs_lie_side_by_side(home: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 2, 1, finish=False)
    events = looked(keeper, 2, 3)
    assert kept(keeper) == events
    keeper.close()
    again = Keeper("")
    assert again.place() is not None  # the climb can be gone on with
    some_climbs(again, 1, 2)
    events += looked(again, 1, 4)
    assert kept(again) == events and not again.trouble + again.notice
    known = recognition_of(again, local_now())
    assert known.looks == sum(not event.scaffold for event in events)
    again.close()
    report = check(record_file())
    assert report.well and "Climbs: 3." in report.lines[-1], report.lines


def test_two_tutors_keep_a_round_each(home: Path) -> None:
    one, two = Keeper(""), Keeper("")
    rounds = [begin_round(keeper, local_now(), seed=seed) for seed, keeper in ((1, one), (2, two))]
    for _ in range(5):
        for round_ in rounds:
            assert round_.step is not None
            round_.answer(round_.step.look.truth)
            round_.next()
    assert len(kept(one)) == len(kept(two)) == 10
    assert {look.round for look in kept(one)} == {round_.uid for round_ in rounds}
    one.close()
    two.close()


def test_a_look_that_could_not_be_kept_is_kept_with_the_next(home: Path) -> None:
    keeper = Keeper("")
    round_ = begin_round(keeper, local_now(), seed=1)
    assert round_.step is not None
    home.mkdir()
    record_file().mkdir()  # nothing can be kept there
    round_.answer(round_.step.look.truth)
    assert keeper.trouble
    record_file().rmdir()
    round_.next()
    round_.answer(round_.step.look.truth)
    assert not keeper.trouble and [look.number for look in kept(keeper)] == [0, 1]
    keeper.close()


@pytest.mark.parametrize("form", FORMS)
def test_out_of_a_record_and_back(form: str, home: Path, tmp_path: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 1, 5)
    events = looked(keeper, 2, 6)
    keeper.close()
    file = tmp_path / FORMS[form]
    assert run("record", "export", str(file)).returncode == 0
    assert run("--learner", "Ann", "record", "import", str(file)).returncode == 0
    ann = Keeper("Ann")
    assert kept(ann) == events and len(ann.evidence()) > 3
    ann.close()
    again = run("--learner", "Ann", "record", "import", str(file))
    assert again.returncode == 0 and "New events: 0." in again.stdout


def test_what_two_machines_have_of_a_round_is_put_together(home: Path) -> None:
    keeper = Keeper("")
    round_ = begin_round(keeper, local_now(), seed=1)
    found = []
    for number in range(6):
        assert round_.step is not None
        round_.answer(round_.step.look.truth)
        round_.next()
        if number == 2:
            with closing(Record.open_to_read(record_file())) as record:
                out = io.StringIO()
                exchange.write_jsonl(exchange.items(record.climbs(), record.began_at), {}, out)
                found.append(out.getvalue())
    events = kept(keeper)
    keeper.close()
    with closing(Record.open(record_file("Ann"))) as record:
        for text in found:
            assert record.take_in(importing.read(text.encode()).climbs) == 4
        with closing(Record.open_to_read(record_file())) as whole:
            out = io.StringIO()
            exchange.write_jsonl(exchange.items(whole.climbs(), whole.began_at), {}, out)
        assert record.take_in(importing.read(out.getvalue().encode()).climbs) == 3
        assert [seen.look for _, seen in record.looks()] == events


def test_a_damaged_record_keeps_its_looks(home: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 3, 7)
    events = looked(keeper, 3, 8)
    keeper.close()
    data = bytearray(record_file().read_bytes())
    data[:100] = bytes(100)
    record_file().write_bytes(data)
    saved = rescue(record_file())
    assert saved is not None and not saved.missing
    keeper = Keeper("")
    assert kept(keeper) == events
    keeper.close()


def test_a_look_that_is_missing_comes_back_from_a_copy(home: Path) -> None:
    keeper = Keeper("")
    events = looked(keeper, 2, 9)
    keeper.close()
    assert backup.copies(record_file())
    with closing(sqlite3.connect(record_file())) as db:
        db.execute("DELETE FROM events WHERE kind = 'looked' AND step = 3")
        db.commit()
    report = check(record_file())
    assert report.well and any("2" in line for line in report.lines)
    keeper = Keeper("")
    assert kept(keeper) == events
    keeper.close()


LOOK = LookEvent(
    "ab", 3, LookKind.LOW_SLOPE, 7, SkillGroup.TAPS, "series R; shunt C", "series R1\nshunt C1",
    "+20", "0", True, seconds=2.5,
)  # fmt: skip


def test_a_look_is_read_as_it_was_written() -> None:
    assert read_look("ab", write_look(LOOK)) == LOOK
    other = replace(LOOK, cold=False, scaffold=True, hints=3, answered="", seconds=0.0)
    assert read_look("ab", write_look(other)) == other
    start = RoundStart(new_uid())
    assert read_begin("round", write_begin(start)) == start


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("asks", "colour"), ("number", -1), ("number", True), ("seed", "7"), ("group", "none"),
        ("structure", 4), ("truth", "+25"), ("answered", "up"), ("cold", 1), ("hints", 4),
        ("seconds", float("nan")), ("seconds", "2"), ("circuit", ["x"]), ("truth", ["+20"]),
    ],
)  # fmt: skip
def test_what_is_no_look_is_refused(key: str, value: object) -> None:
    body = json.loads(write_look(LOOK)) | {key: value}
    with pytest.raises(BadEvent):
        read_look("ab", json.dumps(body))


def test_a_row_that_is_no_look_hides_no_other(home: Path) -> None:
    keeper = Keeper("")
    events = looked(keeper, 1, 3)
    keeper.close()
    with closing(sqlite3.connect(record_file())) as db:
        db.execute("UPDATE events SET body = '{}' WHERE kind = 'looked' AND step = 2")
        db.commit()
    keeper = Keeper("")
    assert kept(keeper) == [events[0], *events[2:]]
    keeper.close()


@pytest.mark.skipif(sys.platform == "win32", reason="nothing is killed there as here")
def test_every_look_that_was_acknowledged_is_kept(home: Path) -> None:
    assert kill_the_rounds(6, Random(5), home) > 5
