"""Damaged files, full disks, folders that cannot be written to, two tutors, odd clocks."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from rungwise.problems.grading.grade import right_text
from rungwise.tutor.coach.outlook import board_now
from rungwise.tutor.learning import skills
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store import events, folder, schema
from rungwise.tutor.store.derived import Derived
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import ForeignClimb, Record
from rungwise.tutor.store.rescue import salvage, sorted_out
from rungwise.tutor.store.trouble import Damaged

from tests.studies.damaged_records import run as damaged_records
from tests.support.children import limited
from tests.support.commands import run_here
from tests.support.samples import sample
from tests.tutor.cli.test_command import run

from .climbing import kept_once, problem, some_climbs, step

WISH = ProblemRequest(1, None, 7)


def answer_on(keeper: Keeper) -> Climb:
    """A climb on which one answer was given."""
    climb = Climb(problem(WISH), keeper.begin(WISH))
    assert climb.answer(right_text(climb.current.question)).passed
    return climb


def filled(seed: int = 3, climbs: int = 12) -> int:
    """A record of some climbs; how many events it holds."""

    def fill() -> None:
        keeper = Keeper("")
        some_climbs(keeper, climbs, seed, finish=False)
        keeper.set("exam", "2027-01-31")
        keeper.close()

    kept_once(f"faults {seed} {climbs}", record_file().parent, fill)
    with closing(sqlite3.connect(record_file())) as db:
        return int(db.execute("SELECT count(*) FROM events").fetchone()[0])


# --------------------------------------------------------------------------- damage


def garbage(data: bytearray, chance: Random) -> None:
    data[:] = chance.randbytes(len(data))


def cut_short(data: bytearray, chance: Random) -> None:
    del data[chance.randrange(200, len(data)) :]


def no_header(data: bytearray, chance: Random) -> None:
    data[:100] = bytes(100)


def first_page_gone(data: bytearray, chance: Random) -> None:
    data[:4096] = chance.randbytes(4096)


def one_page_gone(data: bytearray, chance: Random) -> None:
    page = chance.randrange(1, len(data) // 4096)
    data[4096 * page : 4096 * (page + 1)] = chance.randbytes(4096)


def half_the_pages_gone(data: bytearray, chance: Random) -> None:
    pages = range(1, len(data) // 4096)
    for page in chance.sample(pages, len(pages) // 2):
        data[4096 * page : 4096 * (page + 1)] = bytes(4096)


def bits_flipped(data: bytearray, chance: Random) -> None:
    for _ in range(40):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def text_in_front(data: bytearray, chance: Random) -> None:
    data[:0] = b"From: mail@example.org\r\n\r\n"


def another_file(data: bytearray, chance: Random) -> None:
    data[:] = b"\x89PNG\r\n\x1a\n" + chance.randbytes(500)


DAMAGES: list[Callable[[bytearray, Random], None]] = [
    garbage, cut_short, no_header, first_page_gone, one_page_gone, half_the_pages_gone,
    bits_flipped, text_in_front, another_file,
]  # fmt: skip


@pytest.mark.parametrize("seed", range(sample(2, 4)))
@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_damaged_record_never_stops_the_drill(
    damage: Callable[[bytearray, Random], None], seed: int, home: Path
) -> None:
    filled(seed, 6)
    path = record_file()
    data = bytearray(path.read_bytes())
    damage(data, Random(seed))
    path.write_bytes(data)
    keeper = Keeper("")
    place = keeper.place()
    keeper.states(), keeper.evidence(), keeper.recent(3)
    climb = answer_on(keeper)
    if place is not None and place.fits(problem(place.wish)):
        again = Climb(problem(place.wish), keeper.resume(place))
        again.replay(place.moves)
    keeper.close()
    asides = [p for p in home.iterdir() if ".damaged-" in p.name and p.suffix == ".sqlite3"]
    if keeper.notice:
        # The damaged file is all there, and what is kept now is whole.
        assert len(asides) == 1 and asides[0].name in keeper.notice
        assert asides[0].stat().st_size == len(data)
        with closing(sqlite3.connect(path)) as db:
            assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    else:
        assert not asides
    if not keeper.trouble:  # a flipped bit may say that the record is of a later release
        back = Keeper("")
        assert climb.rungs[0].question.rung in {e.rung for e in back.evidence()}
        assert not back.notice
        back.close()
    else:
        assert "untouched" in keeper.trouble and path.read_bytes() == bytes(data)


@pytest.mark.parametrize(
    ("damage", "least"), [(no_header, 0.99), (one_page_gone, 0.6), (half_the_pages_gone, 0.3)]
)
def test_what_can_be_read_is_saved(
    damage: Callable[[bytearray, Random], None], least: float, home: Path
) -> None:
    had = filled(climbs=40)
    path = record_file()
    data = bytearray(path.read_bytes())
    damage(data, Random(5))
    path.write_bytes(data)
    keeper = Keeper("")
    assert keeper.evidence()
    if not keeper.notice:  # it is met where the record is read whole
        keeper._do(lambda: list(keeper._writing().climbs()), [])
    assert path.stem in keeper.notice
    record = Record.open(path)
    climbs, events = record.counts()
    record.close()
    # A climb whose beginning is gone cannot be told from the others' answers: it is left out.
    assert climbs > 5 and events >= least * had, (events, had)
    if damage is no_header:
        assert keeper.setting("exam") == "2027-01-31"
    keeper.close()


def test_salvage_of_a_whole_file_is_all_of_it(home: Path) -> None:
    had = filled()
    whole = salvage(record_file())
    found = sorted_out(whole.rows.values())
    assert sum(len(climb.rows) + 1 for climb in found) == had == whole.last
    assert whole.settings == {"exam": "2027-01-31"}
    data = bytearray(record_file().read_bytes())
    data[:16] = bytes(16)  # SQLite opens it no more
    record_file().write_bytes(data)
    assert salvage(record_file()) == whole
    assert record_file().read_bytes() == data


def test_a_log_that_was_not_folded_in_is_saved_too(home: Path) -> None:
    keeper = Keeper("")
    some_climbs(keeper, 3, 1)
    path = record_file()
    kept = len(keeper.evidence())
    data = bytearray(path.read_bytes())
    log = path.with_name(path.name + "-wal").read_bytes()
    assert len(log) > 4096
    keeper.close()
    data[:16] = bytes(16)
    path.write_bytes(data)
    path.with_name(path.name + "-wal").write_bytes(log)
    back = Keeper("")
    assert len(back.evidence()) == kept and back.notice
    back.close()


def test_damage_met_in_the_middle_of_a_climb_loses_nothing_that_can_be_read(home: Path) -> None:
    filled()
    keeper = Keeper("")
    climb = answer_on(keeper)
    kept = len(keeper.evidence())
    path = record_file()
    with path.open("r+b") as file:  # as a failing disk would
        file.write(bytes(100))
    path.with_name(path.name + "-wal").write_bytes(b"")
    assert keeper._record is not None
    keeper._record.close()
    keeper._record = None
    climb.answer(right_text(climb.current.question))
    assert not keeper.trouble and "damaged" in keeper.notice
    assert len(keeper.evidence()) >= kept
    assert climb.rungs[1].question.rung == keeper.recent(1)[0].rung
    keeper.close()


CONTRADICTIONS = {
    "the numbers given are forgotten": ["DELETE FROM sqlite_sequence"],
    "they are no number": ["UPDATE sqlite_sequence SET seq = 'x'"],
    "they are used up": [f"UPDATE sqlite_sequence SET seq = {2**63 - 1}"],
    "they are given again": ["UPDATE sqlite_sequence SET seq = 7"],
    "a table is not there": ["DROP TABLE skills"],
    "a table has other columns": ["DROP TABLE evidence", "CREATE TABLE evidence (id)"],
}
"""What a sound record never says, in a file that SQLite finds nothing wrong with."""


@pytest.mark.parametrize("what", CONTRADICTIONS)
def test_a_record_that_contradicts_itself_is_set_aside_and_told(what: str, home: Path) -> None:
    had = filled(climbs=6)
    path = record_file()
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        for statement in CONTRADICTIONS[what]:
            db.execute(statement)
    keeper = Keeper("")
    climb = answer_on(keeper)
    assert not keeper.trouble and "The record was damaged." in keeper.notice
    assert keeper.recent(1)[0].rung == climb.rungs[0].question.rung
    keeper.close()
    assert len(list(home.glob("*.damaged-*.sqlite3"))) == 1
    with closing(Record.open_to_read(path)) as record:
        assert record.counts()[1] == had + 2 and not record.broken()


def test_a_beginning_that_is_missing_is_damage_once_its_climb_goes_on(home: Path) -> None:
    filled()
    keeper = Keeper("")
    climb = answer_on(keeper)
    with closing(sqlite3.connect(record_file(), isolation_level=None)) as db:
        db.execute("DELETE FROM events WHERE climb = (SELECT max(climb) FROM events)")
    assert keeper._climbing is not None
    again = ForeignClimb(keeper._climbing.start, 5, [])
    with closing(Record.open(record_file())) as record, pytest.raises(Damaged):
        record.take_in([again])
    climb.answer(right_text(climb.current.question))
    assert not keeper.trouble and "The record was damaged." in keeper.notice
    assert keeper.recent(1)[0].rung == climb.rungs[1].question.rung
    keeper.close()


def test_two_pages_swapped_so_that_numbers_are_given_again(tmp_path: Path) -> None:
    """That of the numbers given and one of the events: what an answer ran into, once."""
    told = damaged_records(119, Random(1), tmp_path, first=118)
    assert told["set aside"] == 1 and told["saved+copy"] >= 0.9 * told["had+copy"]


def test_what_a_later_release_made_of_an_open_record_is_no_damage(home: Path) -> None:
    filled()
    keeper = Keeper("")
    climb = answer_on(keeper)
    with closing(sqlite3.connect(record_file(), isolation_level=None)) as db:
        db.execute("ALTER TABLE evidence ADD COLUMN tide NOT NULL DEFAULT 0")
        db.execute(f"PRAGMA user_version = {schema.NEWEST + 1}")
    climb.answer(right_text(climb.current.question))
    assert "later release" in keeper.trouble and not keeper.notice
    keeper.close()
    assert not list(home.glob("*.damaged-*"))


def test_a_fault_of_ours_does_not_set_one_sound_record_aside_after_the_other(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    had = filled()

    def twice(derived: Derived, event: int, evidence: object) -> None:
        derived._db.execute("INSERT INTO events SELECT * FROM events LIMIT 1")

    monkeypatch.setattr(Derived, "add", twice)
    keeper = Keeper("")
    climb = answer_on(keeper)
    for _ in range(3):
        climb.answer(right_text(climb.current.question))
    assert "damaged" in keeper.trouble
    keeper.close()
    assert len(list(home.glob("*.damaged-*.sqlite3"))) == 1
    with closing(Record.open_to_read(record_file())) as record:
        assert record.counts()[1] == had


def test_rows_of_another_hand_are_passed_over(home: Path) -> None:
    filled(climbs=3)
    with closing(sqlite3.connect(record_file(), isolation_level=None)) as db:
        (climb,) = db.execute("SELECT max(climb) FROM events").fetchone()
        for step_, body in enumerate(["", "[]", '{"rung":"nosuch"}', "{" * 3000, "null"], 900):
            db.execute(
                "INSERT INTO events (climb, step, at, kind, body) VALUES (?, ?, 5, 'answered', ?)",
                (climb, step_, body),
            )
        db.execute(
            "INSERT INTO events (climb, step, at, kind, body) VALUES (0, 0, 5, 'began', 'x')"
        )
        db.execute("UPDATE skills SET state = 'x' WHERE skill = (SELECT min(skill) FROM skills)")
        db.execute("UPDATE evidence SET rung = 'x' WHERE id = (SELECT min(id) FROM evidence)")
    record = Record.open(record_file())
    assert list(record.open_climbs()) == []  # it cannot be climbed again
    record.derive()
    record.close()
    keeper = Keeper("")
    answer_on(keeper)
    assert not keeper.trouble and keeper.states() and keeper.evidence()
    keeper.close()


# ------------------------------------------------------------------------ no room


def small(pages: int) -> Callable[[Record], None]:
    """Let the record grow no further, as a full disk would."""

    def limit(record: Record) -> None:
        record._db.execute(f"PRAGMA max_page_count = {pages}")

    return limit


def test_a_full_disk_is_told_and_everything_is_kept_once_there_is_room(home: Path) -> None:
    keeper = Keeper("")
    climb = answer_on(keeper)
    record = keeper._record
    assert record is not None and not keeper.trouble
    small(1)(record)
    chance = Random(4)
    while not keeper.trouble:
        if climb.done:
            climb = answer_on(keeper)
        step(climb, chance)
    assert "full" in keeper.trouble and "nothing is being kept" in keeper.trouble
    acknowledged = len(keeper.evidence())
    for _ in range(5):
        if climb.done:
            climb = answer_on(keeper)
        step(climb, chance)
    assert len(keeper.evidence()) == acknowledged and "full" in keeper.trouble
    small(10**6)(record)
    climb = answer_on(keeper)
    assert not keeper.trouble
    keeper.close()
    back = Keeper("")
    assert len(back.evidence()) > acknowledged
    with closing(sqlite3.connect(record_file())) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    back.close()


FULL = """
import resource, signal, sys
from random import Random
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.store.keeper import Keeper
from tests.tutor.store.climbing import problem, step
from rungwise.tutor.learning.request import ProblemRequest
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
keeper, chance, said = Keeper(""), Random(1), 0
for i in range(12):
    wish = ProblemRequest(1, None, i % 8 + 1)
    climb = Climb(problem(wish), keeper.begin(wish))
    while not climb.done:
        step(climb, chance)
        if not keeper.trouble:
            said = i + 1
keeper.close()
print(said, keeper.trouble)
"""


@pytest.mark.parametrize("room", [0, 1000, 40_000, 120_000])
def test_a_file_that_may_not_grow(room: int, home: Path) -> None:
    """The system itself refuses to write more (EFBIG), wherever it happens."""
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(room)],
        capture_output=True,
        encoding="utf-8",
        cwd=Path(__file__).parents[3],
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    said, _, trouble = done.stdout.strip().partition(" ")
    assert trouble and "Traceback" not in done.stderr
    back = Keeper("")
    found = back.evidence()
    if int(said):
        assert len(found) > 0
    with_room = answer_on(back)
    assert with_room.position == 1 and not back.trouble
    back.close()


def test_a_folder_that_cannot_be_made(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    for place in (tmp_path / "file" / "records", Path("/proc/rungwise")):
        monkeypatch.setenv(folder.HOME, str(place))
        keeper = Keeper("")
        climb = answer_on(keeper)
        assert "nothing is being kept" in keeper.trouble
        assert keeper.place() is None and keeper.states() == {}
        climb.hint()
        keeper.close()


READ_ONLY = """
import os, sys, sqlite3
from rungwise.tutor.files import locks as claims
from rungwise.tutor.store import record, states, trouble
from rungwise.tutor.store.keeper import Keeper
from tests.tutor.store.climbing import *
practice = Climb(problem(ProblemRequest(1, None, 7)))
practice.answer(right_text(practice.current.question))  # imports what the next one needs
from rungwise.tutor.learning import memory as review_memory, skills
str(trouble.Trouble("closed"))
if os.getuid() == 0:  # nothing is read-only for root, and not everybody may read his modules
    os.setgid(65534); os.setuid(65534)
keeper = Keeper("")
place = keeper.place()
climb = Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7)))
climb.answer(right_text(climb.current.question))
print(len(keeper.evidence()), place is not None, climb.position, keeper.trouble)
keeper.close()
"""


def test_a_read_only_record_is_read_and_the_drill_goes_on(tmp_path: Path) -> None:
    home = Path("/tmp") / f"rungwise-test-{os.getpid()}"
    home.mkdir()
    os.environ[folder.HOME] = str(home)
    try:
        filled()
        had = len(Keeper("").evidence())
        before = record_file().read_bytes()
        record_file().chmod(0o444)
        home.chmod(0o555)
        done = subprocess.run(
            [sys.executable, "-c", READ_ONLY],
            capture_output=True,
            encoding="utf-8",
            cwd=Path(__file__).parents[3],
            timeout=60,
        )
        assert done.returncode == 0, done.stderr
        assert done.stdout.startswith(f"{had} True 1 "), done.stdout
        assert "nothing is being kept" in done.stdout
        assert record_file().read_bytes() == before
    finally:
        home.chmod(0o755)
        shutil.rmtree(home)


# ---------------------------------------------------------------------- two tutors

WRITER = """
import sys
from random import Random
from rungwise.tutor.store.keeper import Keeper
from tests.tutor.store.climbing import some_climbs
keeper = Keeper("")
climbs = some_climbs(keeper, 6, int(sys.argv[1]))
assert not keeper.trouble, keeper.trouble
print(sum(len(c.rungs) for c in climbs))
keeper.close()
"""


def test_tutors_open_at_once_lose_nothing(home: Path) -> None:
    tutors = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(i)],
            stdout=subprocess.PIPE,
            encoding="utf-8",
            cwd=Path(__file__).parents[3],
        )
        for i in range(3)
    ]
    left = sum(int(tutor.communicate(timeout=120)[0]) for tutor in tutors)
    assert all(tutor.returncode == 0 for tutor in tutors)
    keeper = Keeper("")
    assert len(keeper.evidence()) == left
    shown = sum(skills.showing(found) is not skills.Showing.NOTHING for found in keeper.evidence())
    states = keeper.states()
    assert sum(state.asked for state in states.values()) == shown > left / 2
    keeper.close()
    record = Record.open(record_file())
    record.derive()
    record.close()
    assert sum(state.asked for state in Keeper("").states().values()) == shown


HOLDER = """
import sys
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.learning.climb import Climb
from tests.tutor.store.climbing import problem
from rungwise.tutor.learning.request import ProblemRequest
keeper = Keeper("")
Climb(problem(ProblemRequest(1, None, 7)), keeper.begin(ProblemRequest(1, None, 7))).hint()
print("ready", flush=True)
sys.stdin.read()
"""


def test_a_climb_that_another_tutor_is_at_is_left_alone(home: Path) -> None:
    with (
        subprocess.Popen(
            [sys.executable, "-c", HOLDER],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            encoding="utf-8",
            cwd=Path(__file__).parents[3],
        ) as other,
        limited(other),
    ):
        assert other.stdout is not None and other.stdout.readline() == "ready\n"
        keeper = Keeper("")
        assert keeper.place() is None
        answer_on(keeper)  # and has a climb of its own meanwhile
        keeper.close()
        other.kill()  # the system lets go of what it held
        other.wait(60)
        back = Keeper("")
        places = []
        while (place := back.place()) is not None:
            places.append(place)
            back.leave(place)
        back.close()
    assert sorted(len(place.moves) for place in places) == [1, 1]


def test_a_busy_record_is_told_and_then_kept(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rungwise.tutor.store.database.PATIENCE", 0.05)
    keeper = Keeper("")
    climb = answer_on(keeper)
    with closing(sqlite3.connect(record_file(), isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        climb.answer(right_text(climb.current.question))
        assert "in use" in keeper.trouble
        other.execute("ROLLBACK")
    climb.answer(right_text(climb.current.question))
    assert not keeper.trouble and len(keeper.evidence()) == 3
    keeper.close()


def test_a_record_removed_under_the_tutor_is_begun_anew(home: Path) -> None:
    keeper = Keeper("")
    climb = answer_on(keeper)
    for path in home.iterdir():
        path.unlink()
    climb.answer(right_text(climb.current.question))
    assert not keeper.trouble
    keeper.close()
    back = Keeper("")
    assert [e.rung for e in back.evidence()] == [climb.rungs[1].question.rung]
    assert back.place() is not None
    back.close()


# ------------------------------------------------------------------------- clocks


def test_a_clock_that_goes_backwards(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    times = iter([*range(10**15 + 10**9, 10**15, -(10**7)), *([0] * 500)])
    monkeypatch.setattr("rungwise.tutor.store.keeper.now", lambda: next(times))
    keeper = Keeper("")
    climb = answer_on(keeper)
    while climb.position < 4:
        climb.answer(right_text(climb.current.question))
    keeper.close()
    back = Keeper("")
    found = back.evidence()
    assert len(found) == 4 and all(0 <= e.seconds < 60 for e in found)
    assert [e.when for e in found] == sorted(e.when for e in found)
    place = back.place()
    assert place is not None and len(place.moves) == 4
    assert sum(state.asked for state in back.states().values()) == 4
    again = Climb(problem(place.wish), back.resume(place))
    assert again.replay(place.moves) == 4 and again.position == 4
    back.close()


def test_times_are_exact() -> None:
    for at in (0, 1, 1_790_000_000_123_456, events._LATEST):
        assert events.to_micros(events.to_moment(at)) == at


# ------------------------------------------------------------ no file, and no number


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _socket(path: Path) -> None:
    import socket

    with closing(socket.socket(socket.AF_UNIX)) as made:
        made.bind(str(path))


def _device(path: Path) -> None:
    path.symlink_to("/dev/zero")


@pytest.mark.skipif(sys.platform == "win32", reason="there are none")
@pytest.mark.parametrize("make", [_pipe, _socket, _device, Path.mkdir])
def test_what_is_no_file_is_refused_and_not_waited_for(
    make: Callable[[Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = Path("/tmp") / f"rw-{os.getpid()}"  # a socket's name may not be long
    home.mkdir()
    monkeypatch.setenv(folder.HOME, str(home))
    try:
        make(record_file())
        keeper = Keeper("")
        climb = answer_on(keeper)
        assert climb.position == 1 and "is not a file" in keeper.trouble
        assert keeper.evidence() == [] and keeper.place() is None
        keeper.close()
        target = str(tmp_path / "out.csv")
        for words in ("where", "check", "learners", f"export {target}", f"backup {target}"):
            done = run_here("record", *words.split())
            assert "not a file but a folder, a pipe or a device" in done.stderr + done.stdout, words
            assert "Traceback" not in done.stderr
        done = run_here("progress")
        assert done.returncode == 2 and "is not a file" in done.stderr
        done = run("drill", "--plain", "--seed", "3", stdin="xyz\n")
        assert done.returncode == 0 and "is not a file" in " ".join(done.stdout.split())
        assert not Path(target).exists()
    finally:
        shutil.rmtree(home)


def test_an_export_never_takes_the_place_of_a_device(home: Path) -> None:
    filled()
    if sys.platform != "win32":
        link = home / "out.csv"
        _pipe(link)
        done = run("record", "export", str(link), "--force")
        assert done.returncode == 2 and "is not a file" in done.stderr
        assert not link.is_file()


def test_whoever_misses_a_skill_for_ever_is_told_where_they_stand(home: Path) -> None:
    state = skills.SkillState("pole count/poles", 0.02)
    p = 0.02
    for _ in range(400):
        p = skills.traced(p, False, 0.25, 0.0)
    assert p == skills.FAINTEST
    filled(climbs=4)
    with closing(sqlite3.connect(record_file())) as db:
        # As older releases have left it.
        for skill, text in db.execute("SELECT skill, state FROM skills").fetchall():
            row = json.loads(text)
            row[1] = 0.0
            db.execute("UPDATE skills SET state = ? WHERE skill = ?", (json.dumps(row), skill))
        db.commit()
    keeper = Keeper("")
    for state in keeper.states().values():
        assert state.p > 0 and skills.needed(state, state.skill) > 0
    keeper.close()
    for words in (["progress"], ["progress", "--json"], ["drill", "--plain", "--seed", "3"]):
        done = run(*words)
        assert done.returncode == 0 and "Traceback" not in done.stderr, done.stderr


@pytest.mark.parametrize("at", [-5, 2**62, "'soon'", "x'00'", 1.5])
def test_a_moment_that_is_none_fails_nothing(at: object, home: Path, tmp_path: Path) -> None:
    filled(climbs=4)
    with closing(sqlite3.connect(record_file())) as db:
        db.execute(f"UPDATE events SET at = {at} WHERE id IN (1, 3, 9)")
        db.execute("UPDATE events SET body = x'00' WHERE id IN (4, 15)")
        db.execute("UPDATE about SET value = x'00'")
        db.execute("UPDATE drafts SET body = 7")
        db.commit()
    for words in (
        "check",
        "where",
        f"export {tmp_path / 'x.jsonl'}",
        f"export {tmp_path / 'x.csv'}",
    ):
        done = run_here("record", *words.split())
        assert "Traceback" not in done.stderr, done.stderr
    keeper = Keeper("")
    answer_on(keeper)
    assert keeper.evidence() and keeper.states() and not keeper.trouble
    keeper.close()


@pytest.mark.parametrize("odd", ["NaN", "Infinity", "-Infinity", "1e999", '"x"', "null", "-1", "7"])
def test_a_state_with_a_number_that_is_none_fails_nothing(odd: str, home: Path) -> None:
    filled(climbs=4)
    with closing(sqlite3.connect(record_file())) as db:
        for place, (skill, text) in enumerate(
            db.execute("SELECT skill, state FROM skills").fetchall()
        ):
            row = json.loads(text)
            row[(1, 7, 8, 9, 10, 12)[place % 6]] = "here"
            text = json.dumps(row).replace('"here"', odd)
            db.execute("UPDATE skills SET state = ? WHERE skill = ?", (text, skill))
        db.commit()
    keeper = Keeper("")
    board_now(keeper, events.to_moment(events.now()))
    answer_on(keeper)
    assert not keeper.trouble
    keeper.close()
