"""The tutor's hand on one learner's record.

Screens hold a :class:`Keeper`, never a database.  Nothing it does fails the screen: what
keeps the record from being kept is said in :attr:`Keeper.trouble`, and what could not be
written is tried again with the next event, until it is kept.

An answer is on the disk when ``Climb.answer`` returns, so that no mark is painted before.
What is typed and not submitted, and that a climb began, is written a moment later by a
thread of the keeper's; :meth:`Keeper.settle` and :meth:`Keeper.close` write it at once.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from ..files import locks as claims
from ..learning.climb import Began, Event, Listener
from ..learning.course import Move, Other
from ..learning.request import ProblemRequest
from . import states
from .events import ClimbEvents, Start, new_uid, now, start_of, to_micros
from .events import LeftOff as LeftOff
from .held import HeldRecord
from .looks import RoundLeft, RoundStart, SeenLook
from .record import Append, Record

if TYPE_CHECKING:
    from ...problems.questions.model import Problem, Rung
    from ..learning.evidence import Evidence
    from ..learning.looks import LookEvent, LookListener
    from ..learning.skills import SkillState

REHEARSAL = "rehearsal"
"""The setting that names the rehearsal begun last; see ``rehearsals.py``."""

PAUSE = 0.4
"""Seconds after which what is typed, and that a climb began, is written."""


class _Climbing:
    """A climb that this tutor is at."""

    def __init__(self, wish: ProblemRequest, start: Start | None = None) -> None:
        self.wish = wish
        self.problem: Problem | None = None
        self.worked: frozenset[Rung] = frozenset()
        self.spare: frozenset[Rung] = frozenset()
        self.began = now()
        self.kept = start is not None
        self.done = False
        self._start = start
        self._course: ClimbEvents | None = None
        self._moved = time.monotonic()

    @property
    def start(self) -> Start:
        """How it began; the circuit is written out only once something is kept."""
        if self._start is None:
            assert self.problem is not None
            self._start = start_of(
                new_uid(), self.wish, self.problem, self.worked, spare=self.spare
            )
        return self._start

    @property
    def course(self) -> ClimbEvents:
        """What its moves add up to."""
        if self._course is None:
            self._course = ClimbEvents(self.start)
        return self._course

    def seconds(self) -> float:
        """Seconds since the last move, as kept; the clock on the wall may go backwards."""
        before, self._moved = self._moved, time.monotonic()
        return round(self._moved - before, 3)


class Keeper(HeldRecord):
    """One learner's record.

    Args:
        learner: The name, as typed; None: what RUNGWISE_LEARNER says.
        home: The folder of the records; None: what RUNGWISE_HOME or the system says.
    """

    def __init__(self, learner: str | None = None, home: Path | None = None) -> None:
        super().__init__(learner, home)
        self.drafting: Callable[[], tuple[str, int] | None] | None = None
        """Says what is typed and on which rung, when the record is about to be closed."""
        self.parting: Callable[[], None] | None = None
        """Called before the record is closed, by whoever has something else to keep."""
        self._waiting: list[Append] = []
        self._climbing: _Climbing | None = None
        self._draft: tuple[int, str] | None = None  # not yet written
        self._drafted: tuple[int, str] | None = None
        self._known: tuple[tuple[Record, int, int], dict[str, SkillState]] | None = None
        self._looked: tuple[Record, int, list[SeenLook]] | None = None
        self._timer: threading.Timer | None = None
        self._looking = ""  # the round that this tutor is at

    # Climbing

    def begin(self, wish: ProblemRequest) -> Listener:
        """A new climb begins; what is told to the listener is kept.

        The climb that this tutor was at is left, if it was not finished.
        """
        with self._lock:
            self._leave()
            self._climbing = climbing = _Climbing(wish)
        self._soon()
        return partial(self._told, climbing)

    def resume(self, place: LeftOff) -> Listener:
        """The climb of a place goes on, as the same climb."""
        with self._lock:
            self._leave()
            self._climbing = climbing = _Climbing(place.wish, place.start)
            for move in place.moves:
                climbing.course.take(move, 0)
            self._claim(place.start)
        return partial(self._told, climbing)

    def leave(self, place: LeftOff) -> None:
        """The learner does not want to go on at a place any more."""
        self._write(Append(place.start, now(), Other.LEFT))

    def _leave(self) -> None:
        climbing, self._climbing = self._climbing, None
        self._draft = self._drafted = None
        if climbing is None or climbing.problem is None:
            return
        if climbing.kept and not climbing.done:
            self._write(Append(climbing.start, now(), Other.LEFT))
        self._let_go(climbing)

    def _told(self, climbing: _Climbing, event: Event) -> None:
        """Keep what has happened, with the beginning if that was not kept yet."""
        if isinstance(event, Began):
            climbing.problem = event.problem
            climbing.worked, climbing.spare = event.worked, event.spare
            climbing.seconds()
            return
        at, evidence = now(), None
        entries: list[Append] = []
        with self._lock:
            if isinstance(event, Move):
                event = replace(event, seconds=climbing.seconds())
                evidence = climbing.course.take(event, at)
                climbing.done = climbing.course.done
            if not climbing.kept:
                entries.append(Append(climbing.start, climbing.began, Other.BEGAN))
                climbing.kept = True
            entries.append(Append(climbing.start, at, event, evidence, climbing.done))
            self._write(*entries)
            if climbing.done:
                self._let_go(climbing)

    # Looks

    def begin_round(self, length: int = 0) -> tuple[str, LookListener]:
        """A new round begins: its uid, and the listener that keeps each look of it.

        A look is on the disk when the listener returns.  A climb that is going on goes on.

        Args:
            length: how many looks it has, if it can be gone on with where it is left.
        """
        start = RoundStart(new_uid(), length)
        return start.uid, self.resume_round(start)

    def resume_round(self, start: RoundStart) -> LookListener:
        """A round goes on, as the same round: the listener that keeps each look of it."""

        def told(look: LookEvent) -> None:
            self._write(Append(start, now(), look))
            self._look_at(start)

        return told

    def _look_at(self, start: RoundStart) -> None:
        """Claim the round that this tutor is at, and give back the one before."""
        with self._lock:
            if self.path is not None and start.uid != self._looking:
                self._look_away()
                claims.take(self.path, start.uid)
                self._looking = start.uid

    def _look_away(self) -> None:
        if self.path is not None and self._looking:
            claims.let_go(self.path, self._looking)
        self._looking = ""

    def round_left(self) -> RoundLeft | None:
        """The latest round, if looks of it are left and no other tutor is at it."""
        looks = self.looks()
        uid = looks[-1].look.round if looks else ""

        def find(record: Record) -> RoundStart | None:
            free = uid == self._looking or claims.is_free(record.path, uid)
            return record.round_start(uid) if free else None

        start = self.look(find, None) if uid else None
        mine = tuple(seen for seen in looks if seen.look.round == uid)
        if start is None or sum(not seen.look.scaffold for seen in mine) >= start.length:
            return None
        return RoundLeft(start, mine)

    def looks(self) -> list[SeenLook]:
        """Every look that was left, in the order of time."""

        def find(record: Record) -> list[SeenLook]:
            if self._looked is None or self._looked[0] is not record:
                self._looked = record, 0, []
            _, last, found = self._looked
            more = list(record.looks(last))
            if more:
                last, late = more[-1][0], found[-1].when if found else None
                found = [*found, *(seen for _, seen in more)]
                if late is not None and any(seen.when < late for _, seen in more):
                    found.sort(key=lambda seen: seen.when)  # some came from elsewhere
                self._looked = record, last, found
            return list(found)

        return self.look(find, [])

    def draft(self, text: str, position: int) -> None:
        """``text`` is typed and not yet submitted on the rung at ``position``, counted from 0.

        Costs nothing; it is written a moment later.
        """
        with self._lock:
            if (position, text) == self._drafted:
                return
            self._draft = self._drafted = (position, text)
        self._soon()

    # Coming back

    def place(self) -> LeftOff | None:
        """The latest climb that is unfinished and that no other tutor is at."""

        def find(record: Record) -> LeftOff | None:
            for found in record.open_climbs():
                if claims.is_free(record.path, found.start.uid):
                    return found
            return None

        return self.look(find, None)

    # What is known

    def states(self) -> dict[str, SkillState]:
        """What is known of each skill that was ever asked."""

        def find(record: Record) -> dict[str, SkillState]:
            version = (record, *record.version())
            if self._known is None or self._known[0] != version:
                found: dict[str, SkillState] = {}
                for skill, row in record.derived.states().items():
                    with suppress(ValueError, TypeError, LookupError):
                        found[skill] = states.read(row)
                self._known = version, found
            return dict(self._known[1])

        return self.look(find, {})

    def evidence(self, since: datetime | None = None) -> list[Evidence]:
        """What every rung that was left has shown, in the order of time."""
        start = to_micros(since) if since else None
        return self.look(lambda record: list(record.derived.evidence(start)), [])

    def recent(self, count: int) -> list[Evidence]:
        """The latest evidence, no more than so many pieces, in the order of time."""
        return self.look(lambda record: list(record.derived.evidence(latest=count)), [])

    def setting(self, key: str) -> str:
        """A setting of the learner's, as text; "" where there is none."""
        return self.look(lambda record: record.about(key), "")

    def set(self, key: str, value: str) -> None:
        """Keep the setting ``key``; a ``value`` of "" forgets it."""
        self.change(lambda record: record.set_about(key, value))

    # Keeping

    def settle(self) -> None:
        """Write what still waits to be written."""
        with self._lock:
            self._timer = None
            if self._closed:
                return
            climbing = self._climbing
            entries = []
            if climbing is not None and climbing.problem is not None and not climbing.kept:
                entries.append(Append(climbing.start, climbing.began, Other.BEGAN))
                climbing.kept = True
            if entries or self._waiting:
                self._write(*entries)
            draft, self._draft = self._draft, None
            if draft is None or climbing is None or climbing.problem is None or climbing.done:
                return
            start, began = climbing.start, climbing.began
            self.change(lambda record: record.set_draft(start, began, *draft))

    def close(self) -> None:
        """Write what still waits, and close the record; nothing is kept afterwards."""
        if self._closed:
            return
        if self.parting is not None:
            self.parting()
        typed = self.drafting() if self.drafting is not None else None
        if typed is not None:
            self.draft(*typed)
        timer = self._timer
        if timer is not None:
            timer.cancel()
        self.settle()
        if self._climbing is not None:
            self._let_go(self._climbing)
        self._look_away()
        self._close_file()

    def _soon(self) -> None:
        with self._lock:
            if self._timer is None and not self._closed:
                self._timer = threading.Timer(PAUSE, self.settle)
                self._timer.daemon = True
                self._timer.start()

    def _write(self, *entries: Append) -> None:
        with self._lock:
            self._waiting += entries

            def append(record: Record) -> None:
                record.append(self._waiting)
                self._waiting = []

            self.change(append)
            if not self._waiting and self._climbing is not None and self._climbing.kept:
                self._claim(self._climbing.start)

    def _claim(self, start: Start) -> None:
        if self.path is not None:
            claims.take(self.path, start.uid)

    def _let_go(self, climbing: _Climbing) -> None:
        if self.path is not None and climbing.kept:
            claims.let_go(self.path, climbing.start.uid)
