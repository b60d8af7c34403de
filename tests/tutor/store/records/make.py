"""``python -m tests.tutor.store.records.make``: add the record of a new step.

The others stay as they are.

Each file is what a tutor of that step leaves behind: two climbs, the second unfinished, and
from step 4 on a round of looks (``LOOKS``).
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from rungwise.problems.catalogue.groups import SkillGroup
from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.looks import LookKind
from rungwise.problems.questions.model import Verdict
from rungwise.tutor.learning.course import Move, MoveKind
from rungwise.tutor.learning.looks import LookEvent
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store import schema
from rungwise.tutor.store.events import start_of, write_move, write_start
from rungwise.tutor.store.looks import LOOKED, ROUND, RoundStart, write_begin, write_look

from tests.tutor.store.climbing import wrong_text

FOLDER = Path(__file__).parent
FIRST_AT = 1_790_000_000_000_000  # 2026-09-21
UIDS = ("0f" * 6 + "4f" + "8f" * 9, "1e" * 6 + "4e" + "9e" * 9)
WISHES = (ProblemRequest(1, None, 7, format=1), ProblemRequest(2, None, 11, format=1))
"""Of the first meaning of seeds, which the records that are kept here were made under."""

ROUND_UID = "2d" * 6 + "4d" + "ad" * 9
_RC = "series R1 = 1 kΩ\nshunt C1 = 100 nF"
_LOOK = (LookKind.TYPE, 7, SkillGroup.ONE_POLE, "s:R p:C", _RC, "low-pass")
LOOKS = (
    LookEvent(ROUND_UID, 0, *_LOOK, "low-pass", True, seconds=2.5),
    LookEvent(ROUND_UID, 1, *_LOOK, "high-pass", True, seconds=1.25),
    LookEvent(
        ROUND_UID, 2, LookKind.LOW_END, *_LOOK[1:-1], "passes", "passes", False, True, seconds=1.0
    ),
    LookEvent(ROUND_UID, 2, *_LOOK, "", False, hints=2, seconds=9.0),
)


def file_of(step: int) -> Path:
    """The record of a step."""
    return FOLDER / f"step-{step}.sqlite3"


def moves(number: int) -> list[Move]:
    """The moves of the first climb (all of it) or of the second (three of them)."""
    questions = WISHES[number].whole().questions
    made = [
        Move(MoveKind.ANSWERED, q.rung, right_text(q), Verdict.RIGHT, seconds=2.5)
        for q in questions
    ]
    if number == 0:
        return made
    first = questions[0]
    return [
        Move(
            MoveKind.ANSWERED, first.rung, wrong_text(first), Verdict.WRONG, seconds=4.0,
            slips=("roles-swapped",),
        ),
        Move(MoveKind.HINTED, first.rung, level=1, seconds=1.0),
        made[0],
        Move(MoveKind.HINTED, questions[1].rung, level=1, seconds=3.25),
    ]  # fmt: skip


def make(step: int) -> None:
    """Write the record of a step."""
    path = file_of(step)
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA page_size = 1024")
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("BEGIN IMMEDIATE")
        schema.take_steps(db, FIRST_AT, "0.1.0", step)
        at = FIRST_AT
        for number, (uid, wish) in enumerate(zip(UIDS, WISHES, strict=True)):
            start = start_of(uid, wish, wish.whole())
            climb = db.execute("SELECT coalesce(max(id), 0) + 1 FROM events").fetchone()[0]
            rows = [("began", write_start(start))]
            rows += [(move.kind.value, write_move(move)) for move in moves(number)]
            for place, (kind, body) in enumerate(rows):
                at += 1_000_000
                db.execute(
                    "INSERT INTO events (climb, step, at, kind, body) VALUES (?, ?, ?, ?, ?)",
                    (climb, place, at, kind, body),
                )
        if step > 3:
            climb = db.execute("SELECT max(id) + 1 FROM events").fetchone()[0]
            rows = [(ROUND, write_begin(RoundStart(ROUND_UID)))]
            rows += [(LOOKED, write_look(look)) for look in LOOKS]
            for place, (kind, body) in enumerate(rows):
                db.execute(
                    "INSERT INTO events (climb, step, at, kind, body) VALUES (?, ?, ?, ?, ?)",
                    (climb, place, at + place * 1_000_000, kind, body),
                )
        db.execute("INSERT INTO about VALUES ('exam', '2027-01-31')")
        db.execute("COMMIT")
        db.execute("VACUUM")
    if step > 1:
        _derive(path)


def _derive(path: Path) -> None:
    """What the tutor of a later step derived; only the newest step's is at hand."""
    from rungwise.tutor.store.database import connect
    from rungwise.tutor.store.record import Record

    step = schema.NEWEST
    record = Record(path, connect(path, "rw"), writable=True)
    try:
        if schema.step_of(record._db) == step:
            record.derive()
    finally:
        record.close()


if __name__ == "__main__":
    for step in range(1, schema.NEWEST + 1):
        if not file_of(step).exists():
            make(step)
            print(f"made {file_of(step).name}")
