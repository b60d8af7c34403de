"""A record of a million answers beside an empty and a short one.

The first screen and what comes next are held against an empty record's.  Most of a plan's time
goes into the problems that it weighs, and those of a tank take longer to make than those of
an RC: so what comes next is also held against a short record in which the same skills were met,
which weighs the same problems.  Each plan draws problems of its own; none is kept from before.

``python -m tests.studies.benchmarks record [ANSWERS]`` makes the long record first, which takes a
minute or two; most of that is deriving every skill's state anew from all its events.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from random import Random

from rungwise.problems.grading.grade import right_text
from rungwise.problems.questions.model import Problem, Verdict
from rungwise.tutor.learning.climb import Climb
from rungwise.tutor.learning.course import Move, MoveKind
from rungwise.tutor.learning.request import ProblemRequest
from rungwise.tutor.store.events import EventRow, new_uid, start_of, write_move
from rungwise.tutor.store.folder import record_file
from rungwise.tutor.store.keeper import Keeper
from rungwise.tutor.store.record import ForeignClimb, Record

from .startup import FIRST, LATER, _until, rungwise
from .timing import once, paired

ANSWERS, SHORT = 1_000_000, 5_000
_DAY = 86_400_000_000
_FIRST = 1_600_000_000_000_000  # September 2020, in microseconds


def record() -> None:
    """The opening screen, ``what_next`` and one more answer, with a long record and without."""
    answers = int(sys.argv[-1]) if sys.argv[-1].isdigit() else ANSWERS
    folder = Path(tempfile.mkdtemp(prefix="rungwise-"))
    try:
        empty, short, long = folder / "empty", folder / "short", folder / "long"
        _make(empty, 0)
        _make(short, SHORT)
        _make(long, answers)
        _report(record_file("", long))
        paired(
            "First screen painted",
            (
                f"with {answers:,} answers",
                lambda: _until([rungwise()], LATER, str(long)),
            ),
            ("with an empty record", lambda: _until([rungwise()], FIRST, str(empty))),
            15,
            "at most 1.5 times",
        )
        with (
            closing(Keeper(home=long)) as full,
            closing(Keeper(home=short)) as few,
            closing(Keeper(home=empty)) as none,
        ):
            print(f"\nskills met: {len(full.states())} and {len(few.states())}")
            paired(
                "What next, of an open record",
                (f"with {answers:,} answers", lambda: once(lambda: _next(full))),
                ("with an empty record", lambda: once(lambda: _next(none))),
                60,
                "at most 1.2 times",
            )
            paired(
                "What next, of an open record",
                (f"with {answers:,} answers", lambda: once(lambda: _next(full))),
                (f"with {SHORT:,} answers", lambda: once(lambda: _next(few))),
                40,
                "at most 1.2 times",
            )
            paired(
                "One answer, durable",
                (f"with {answers:,} answers", lambda: _answer(full)),
                (f"with {SHORT:,} answers", lambda: _answer(few)),
                40,
                "the same",
            )
    finally:
        shutil.rmtree(folder)


def _make(home: Path, answers: int) -> None:
    """A record of so many answers: a learner who gets better over the years."""
    path = record_file("", home)
    began = time.perf_counter()
    with closing(Record.open(path)) as made:
        if answers:
            made.take_in(_climbs(answers))
            print(f"\n{answers:,} answers made and derived in {time.perf_counter() - began:.0f} s")


def _climbs(answers: int) -> Iterator[ForeignClimb]:
    chance, at, made = Random(1), _FIRST, 0
    wishes = [ProblemRequest(level, None, seed) for level in range(1, 7) for seed in range(8)]
    problems: list[tuple[ProblemRequest, Problem]] = [(wish, wish.problem()) for wish in wishes]
    while made < answers:
        wish, problem = chance.choice(problems)
        start, rows = start_of(new_uid(), wish, problem), list[EventRow]()
        for question in problem.questions:
            while True:
                at += chance.randrange(5_000_000, 60_000_000)
                right = chance.random() < 0.6 + 0.35 * made / answers
                verdict = Verdict.RIGHT if right else Verdict.WRONG
                move = Move(
                    MoveKind.ANSWERED, question.rung, "1.59 kHz", verdict, "1.59 kHz", seconds=20.0
                )
                rows.append(EventRow(len(rows) + 1, at, move.kind.value, write_move(move)))
                made += 1
                if right:
                    break
        yield ForeignClimb(start, at, rows)
        at += chance.randrange(_DAY // 50)


def _report(path: Path) -> None:
    with closing(Record.open(path)) as made:
        climbs, events = made.counts()
    size = path.stat().st_size / 2**20
    print(f"  {climbs:,} climbs, {events:,} events, {size:.0f} MiB")


_drawn = count(1)


def _next(keeper: Keeper) -> object:
    """All that the opening screen asks of the record and of the plan, and the problem itself."""
    from rungwise.problems.chance import Chance
    from rungwise.tutor.coach.outlook import board_now
    from rungwise.tutor.coach.planner import SessionPlan
    from rungwise.tutor.learning.choice import made
    from rungwise.tutor.learning.plan import Mode

    now = datetime.now(UTC)
    board_now(keeper, now)
    keeper.recent(12)
    return made(SessionPlan(keeper, Mode.UNTIL_DONE, Chance(next(_drawn), "plan")).next(now))


def _answer(keeper: Keeper) -> float:
    wish = ProblemRequest(1, None, 7)
    climb = Climb(wish.problem(), keeper.begin(wish))
    text = right_text(climb.current.question)
    climb.answer(text)
    text = right_text(climb.current.question)
    seconds = once(lambda: climb.answer(text))
    assert not keeper.trouble, keeper.trouble
    return seconds
