"""Rehearsals in the record.

Each problem of a rehearsal is a climb of its own, begun when the rehearsal began and over when
it was handed in.  Until then the climbs hold what was given to their questions, an event for
each that was left; the marks of all follow in one transaction, so that a rehearsal is either
still going on or marked as a whole.  What is typed, and how much of the time is used, lies
beside them as a draft.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..files import locks as claims
from ..learning.climb import Climb, Event, Listener
from ..learning.course import Move, MoveKind, Other
from ..learning.rehearsal import LeftQuestion, Rehearsal, RehearsalAnswer
from ..learning.rehearsal_result import RehearsalResult, result
from .events import (
    BadEvent,
    ClimbEvents,
    RehearsalPart,
    Start,
    new_uid,
    now,
    read_move,
    start_of,
    to_moment,
)
from .keeper import REHEARSAL, Keeper
from .record import Append, Record

if TYPE_CHECKING:
    from ..learning.request import ProblemRequest


@dataclass(frozen=True)
class RehearsalDraft:
    """What is lost without harm: seconds used, where the learner was, and what was typed."""

    used: float = 0.0
    at: int = 0
    typed: str = ""


@dataclass(frozen=True)
class KeptRehearsal:
    """A rehearsal as it lies in the record, with what was given to the questions left."""

    starts: tuple[Start, ...]
    left: tuple[LeftQuestion, ...]
    draft: RehearsalDraft

    @property
    def wishes(self) -> tuple[ProblemRequest, ...]:
        """What was wished for, in order."""
        return tuple(start.wish for start in self.starts)

    @property
    def seconds(self) -> int:
        """How long it may take."""
        part = self.starts[0].part
        assert part is not None
        return part.seconds

    @property
    def used(self) -> float:
        """Seconds used, as far as they were kept."""
        return max(self.draft.used, sum(left.seconds for left in self.left))


def uid_of(rehearsal: str, number: int) -> str:
    """The name of the climb of a ``number`` in a ``rehearsal``."""
    return f"{rehearsal[:-2]}{number:02x}"


class RehearsalRecord:
    """The hand of a ``keeper`` on one rehearsal that is going on; ``starts`` say how it began."""

    def __init__(self, keeper: Keeper, starts: Sequence[Start]) -> None:
        self._keeper = keeper
        self._starts = tuple(starts)
        if keeper.path is not None:
            claims.take(keeper.path, self._starts[0].uid)

    def give(self, left: LeftQuestion) -> None:
        """Keep what was given to a question that was left; on the disk when this returns."""
        start = self._starts[left.number]
        given = left.given or RehearsalAnswer("", "")
        rung = start.rungs[left.at][0]
        move = Move(
            MoveKind.GIVEN, rung, given.text, understood=given.understood, seconds=left.seconds
        )
        self._keeper._write(Append(start, now(), move))

    def draft(self, draft: RehearsalDraft) -> None:
        """Keep what is typed and how much time is used."""
        start = self._starts[0]
        body = json.dumps([round(draft.used, 1), draft.typed])
        self._keeper.change(lambda record: record.set_draft(start, now(), draft.at, body))

    def hand_in(self, rehearsal: Rehearsal) -> tuple[Climb, ...]:
        """Mark a rehearsal that was handed in, and keep all of its marks at once."""
        told: list[list[Event]] = []

        def listener(wish: ProblemRequest) -> Listener:
            told.append([])
            return told[-1].append

        climbs = rehearsal.marked(listener)
        at = now()
        entries: list[Append] = []
        for number, (start, events) in enumerate(zip(self._starts, told, strict=True)):
            course, seen = ClimbEvents(start), -1
            for move in events:
                if not isinstance(move, Move):
                    continue
                if course.position != seen:  # the first move on a question took its time
                    seen = course.position
                    seconds = round(rehearsal.spent.get((number, seen), 0.0), 3)
                    move = replace(move, seconds=seconds)
                evidence = course.take(move, at)
                entries.append(Append(start, at, move, evidence, course.done))
        self._keeper._write(*entries)
        self.let_go()
        return climbs

    def let_go(self) -> None:
        """Another tutor may take it up."""
        if self._keeper.path is not None:
            claims.let_go(self._keeper.path, self._starts[0].uid)


def begin(keeper: Keeper, rehearsal: Rehearsal) -> RehearsalRecord:
    """A ``rehearsal`` begins; ``keeper`` has it on the disk when this returns."""
    name, count = new_uid(), len(rehearsal.wishes)
    seconds = max(1, round(60 * rehearsal.minutes))
    starts = [
        start_of(uid_of(name, n), wish, problem, part=RehearsalPart(name, n, count, seconds))
        for n, (wish, problem) in enumerate(zip(rehearsal.wishes, rehearsal.problems, strict=True))
    ]
    keeper._write(*(Append(start, now(), Other.BEGAN) for start in starts))
    keeper.set(REHEARSAL, name)
    return RehearsalRecord(keeper, starts)


def unfinished(keeper: Keeper) -> KeptRehearsal | None:
    """The rehearsal to go on with: the latest not handed in that no other tutor is at."""
    if not keeper.setting(REHEARSAL):
        return None

    def find(record: Record) -> KeptRehearsal | None:
        for climb in record.open_climbs(parts=True):
            part = climb.start.part
            assert part is not None
            if claims.is_free(record.path, uid_of(part.uid, 0)):
                with suppress(BadEvent):
                    return _kept(record, part)
        return None

    return keeper.look(find, None)


def _kept(record: Record, part: RehearsalPart) -> KeptRehearsal | None:
    starts, left = list[Start](), list[LeftQuestion]()
    for number in range(part.count):
        found = record.climb(uid_of(part.uid, number))
        if found is None:
            return None
        start, rows = found
        starts.append(start)
        for at, (_, row) in enumerate(rows):
            if row.kind != MoveKind.GIVEN.value or at >= len(start.rungs):
                break
            move = read_move(row.kind, row.body)
            given = RehearsalAnswer(move.text, move.understood) if move.text else None
            left.append(LeftQuestion(number, at, given, move.seconds))
    position, body = record.draft(starts[0].uid)
    return KeptRehearsal(tuple(starts), tuple(left), _read_draft(position, body))


def _read_draft(position: int, body: str) -> RehearsalDraft:
    with suppress(ValueError, TypeError, RecursionError):
        used, typed = json.loads(body)
        if isinstance(typed, str) and 0 <= float(used) < 1e7:
            return RehearsalDraft(float(used), max(0, position), typed)
    return RehearsalDraft()


def leave(keeper: Keeper, kept: KeptRehearsal) -> None:
    """The learner of a ``keeper`` does not go on with what was ``kept``; it is not marked."""
    keeper._write(*(Append(start, now(), Other.LEFT) for start in kept.starts))


def latest(keeper: Keeper) -> RehearsalResult | None:
    """What the rehearsal begun last came to, if it was handed in.

    Makes its problems anew: not for the loop.
    """
    if not keeper.setting(REHEARSAL):
        return None

    def find(record: Record) -> tuple[list[tuple[Start, list[Move]]], int] | None:
        name = record.about(REHEARSAL)
        found = list[tuple[Start, list[Move]]]()
        at, count = 0, 1
        while name and len(found) < count:
            climb = record.climb(uid_of(name, len(found)))
            if climb is None or climb[0].part is None or not climb[1]:
                return None
            start, rows = climb
            moves = [
                read_move(row.kind, row.body) for _, row in rows if row.kind in tuple(MoveKind)
            ]
            found.append((start, [move for move in moves if move.kind is not MoveKind.GIVEN]))
            at, count = max(at, rows[-1][1].at), climb[0].part.count
        return (found, at) if found else None

    with suppress(BadEvent):
        known = keeper.look(find, None)
        return _result(*known) if known is not None else None
    return None


def _result(found: list[tuple[Start, list[Move]]], at: int) -> RehearsalResult | None:
    """A result from what was kept; ``None`` where it is not marked, or cannot be shown again."""
    climbs, spent = list[Climb](), dict[tuple[int, int], float]()
    for number, (start, moves) in enumerate(found):
        try:
            problem = start.wish.problem()
        except (ValueError, LookupError, ArithmeticError):
            return None
        if not start.fits(problem):
            return None
        climb = Climb(problem)
        for move in moves:
            place = number, climb.position
            spent[place] = spent.get(place, 0.0) + move.seconds
            climb.replay([move])
        if not climb.done:
            return None
        climbs.append(climb)
    part = found[0][0].part
    assert part is not None
    used = min(float(part.seconds), sum(spent.values()))
    return result(climbs, spent, to_moment(at), used, part.seconds)
