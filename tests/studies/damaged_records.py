"""Records damaged at random: each is outlived, with what can be read or the newest copy.

``python -m tests.studies.damaged_records [COUNT] [SEED] [FIRST]`` (1,000) damages a record of
some climbs in one way after the other, half of them with a copy of the day before beside it, and
opens it as a tutor does: it reads all of it and keeps an answer.  The tutor may not fail, the
answer must be kept in a sound record (at the latest once ``rungwise record check`` was there),
the damaged file must be set aside with a word said, byte by byte where nothing was added to it
before, and of what a copy holds nothing may be missing.  With FIRST it goes on from the damage
of that number, up to the one before COUNT.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from random import Random

from rungwise.problems.grading.grade import right_text
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store import backup
from rungwise.tutor.store.check import check
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import Record

from tests.tutor.store.climbing import problem, some_climbs

WISH = ProblemRequest(1, None, 7)
Damage = Callable[[bytearray, Random], None]


class LostError(AssertionError):
    """A damaged record was not outlived as it should be."""


def garbage(data: bytearray, chance: Random) -> None:
    data[:] = chance.randbytes(len(data))


def cut_short(data: bytearray, chance: Random) -> None:
    del data[chance.randrange(1, len(data)) :]


def no_header(data: bytearray, chance: Random) -> None:
    data[:100] = bytes(100)


def header_byte(data: bytearray, chance: Random) -> None:
    data[chance.randrange(100)] = chance.randrange(256)


def schema_byte(data: bytearray, chance: Random) -> None:
    data[chance.randrange(100, 4096)] = chance.choice([0xFF, 0x80, 0, 0x1B, 0x27])


def schema_text(data: bytearray, chance: Random) -> None:
    """A byte that is no text, in the names and statements of the tables."""
    spots = [i for i in range(100, 4096) if chr(data[i]).isalpha()]
    data[chance.choice(spots)] = 0xFF


def page_gone(data: bytearray, chance: Random) -> None:
    page = chance.randrange(len(data) // 4096)
    fill = chance.choice([bytes(4096), chance.randbytes(4096)])
    data[4096 * page : 4096 * (page + 1)] = fill


def half_the_pages_gone(data: bytearray, chance: Random) -> None:
    pages = range(len(data) // 4096)
    for page in chance.sample(pages, len(pages) // 2):
        data[4096 * page : 4096 * (page + 1)] = bytes(4096)


def pages_swapped(data: bytearray, chance: Random) -> None:
    one, two = (4096 * n for n in chance.sample(range(len(data) // 4096), 2))
    data[one : one + 4096], data[two : two + 4096] = (
        data[two : two + 4096],
        data[one : one + 4096],
    )


def bits_flipped(data: bytearray, chance: Random) -> None:
    for _ in range(chance.choice([1, 5, 40])):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def shifted(data: bytearray, chance: Random) -> None:
    at = chance.randrange(len(data))
    data[at:at] = chance.randbytes(chance.randrange(1, 600))


DAMAGES: tuple[Damage, ...] = (
    garbage, cut_short, no_header, header_byte, schema_byte, schema_text, page_gone,
    half_the_pages_gone, pages_swapped, bits_flipped, shifted,
)  # fmt: skip


def run(count: int, chance: Random, room: Path, first: int = 0) -> dict[str, int]:
    """Damage records: those with the numbers from ``first`` up to the one before ``count``.

    Returns:
        How many were set aside, left untouched and told of, and how many needed neither (some
        of them had their indexes mended); and the events that were in those set aside, with
        and without a copy, and those saved.

    Raises:
        LostError: see there.
    """
    told = dict.fromkeys(
        ("set aside", "untouched", "unharmed", "mended", "had", "saved", "had+copy", "saved+copy"),
        0,
    )
    pattern = _pattern(room / "pattern", chance.randrange(1000))
    for number in range(count):
        damage = DAMAGES[number % len(DAMAGES)]
        if number < first:  # draws what it would have drawn, so that the others stay the same
            damage(bytearray(record_file("", pattern).read_bytes()), chance)
            continue
        home = room / f"{number}"
        shutil.copytree(pattern, home)
        with_copy = number // len(DAMAGES) % 2 == 0
        if not with_copy:
            shutil.rmtree(backup.folder_of(record_file("", home)))
        try:
            _one(damage, chance, home, with_copy, told)
        except Exception as error:
            raise LostError(f"number {number}, {damage.__name__}: {error!r}") from error
        shutil.rmtree(home)
    return told


def _pattern(home: Path, seed: int) -> Path:
    """A record with a copy of yesterday, which lacks the last climbs."""
    keeper, path = Keeper("", home), record_file("", home)
    some_climbs(keeper, 20, seed)
    backup.make(path, date.today() - timedelta(1))
    some_climbs(keeper, 4, seed + 1, finish=False)
    keeper.close()
    today = backup.folder_of(path) / f"{date.today()}.sqlite3"
    today.unlink(missing_ok=True)
    return home


def _one(damage: Damage, chance: Random, home: Path, with_copy: bool, told: dict[str, int]) -> None:
    path = record_file("", home)
    had = _count(path)
    copied = _count(backup.copies(path)[0]) if with_copy else 0
    data = bytearray(path.read_bytes())
    damage(data, chance)
    path.write_bytes(data)
    keeper = Keeper("", home)
    place = keeper.place()
    untouched = bool(keeper.notice)  # else an answer may have been added before it was met
    keeper.states(), keeper.evidence(), keeper.recent(3), keeper.setting("exam")
    keeper._do(lambda: list(keeper._writing().climbs()), [])
    climb = Climb(problem(WISH), keeper.begin(WISH))
    climb.answer(right_text(climb.current.question))
    assert keeper._climbing is not None
    begun = keeper._climbing.start.uid
    if place is not None and place.fits(problem(place.wish)):
        Climb(problem(place.wish), keeper.resume(place)).replay(place.moves)
    trouble, notice = keeper.trouble, keeper.notice
    keeper.close()
    asides = _asides(home)
    if trouble:  # it seems to be another program's, or of a later release
        if "untouched" not in trouble or path.read_bytes() != bytes(data) or asides:
            raise LostError(trouble)
        told["untouched"] += 1
        return
    if not asides and not _is_sound(path):  # in places that nothing above has needed
        report = check(path)
        if not report.lines:
            raise LostError("nothing is said")
        notice = " ".join(report.lines)
        asides = _asides(home)
        told["mended"] += not asides
    if not _is_sound(path):
        raise LostError("what is kept now is not sound")
    with closing(sqlite3.connect(path)) as db:
        found = db.execute(
            "SELECT count(*) FROM evidence WHERE id > (SELECT max(id) FROM events) - 2"
        ).fetchone()
    if not found[0]:
        raise LostError("the answer that was given is not there")
    if not asides:
        told["unharmed"] += 1
        return
    if not notice or asides[0].name not in notice or len(asides) != 1:
        raise LostError(f"{notice} {asides}")
    if untouched and asides[0].read_bytes() != bytes(data):
        raise LostError("the file that was set aside is not the damaged one")
    with closing(sqlite3.connect(path)) as db:  # without the climb that was just begun
        (saved,) = db.execute(
            "SELECT count(*) FROM events WHERE climb <> (SELECT id FROM climbs WHERE uid = ?)",
            (begun,),
        ).fetchone()
    if saved < copied:
        raise LostError(f"{saved} events saved, {copied} were in the copy")
    told["set aside"] += 1
    told["had+copy" if with_copy else "had"] += had
    told["saved+copy" if with_copy else "saved"] += saved


def _asides(home: Path) -> list[Path]:
    return [p for p in home.iterdir() if ".damaged-" in p.name and p.suffix == ".sqlite3"]


def _is_sound(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as db:
            return bool(db.execute("PRAGMA integrity_check").fetchone() == ("ok",))
    except sqlite3.Error:
        return False


def _count(path: Path) -> int:
    with closing(Record.open_to_read(path)) as record:
        return record.counts()[1]


def main() -> None:
    """Damage them, and say what came of it."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    chance = Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    room = Path(tempfile.mkdtemp(prefix="rungwise-"))
    os.environ["RUNGWISE_HOME"] = str(room)
    try:
        for what, number in run(count, chance, room, first).items():
            print(f"{what}: {number}")
    finally:
        shutil.rmtree(room, ignore_errors=True)


if __name__ == "__main__":
    main()
