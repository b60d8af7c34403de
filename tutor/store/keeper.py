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
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ..learning.climb import Began, Event, Listener, Move, Other
from ..learning.request import ProblemRequest
from . import folder
from .events import ClimbEvents, Start, new_uid, now, start_of, to_micros

if TYPE_CHECKING:
    from ...problems.questions.model import Problem, Rung
    from ..learning.evidence import Evidence
    from ..learning.skills import SkillState
    from .record import Append, Record

_T = TypeVar("_T")

REHEARSAL = "rehearsal"
"""The setting that names the rehearsal begun last; see ``rehearsals.py``."""

PAUSE = 0.4
"""Seconds after which what is typed, and that a climb began, is written."""
QUIET = 3.0
"""Seconds after the first thing was kept until the day's copy is made."""


@dataclass(frozen=True)
class LeftOff:
    """Where a learner left off: an unfinished climb.

    ``moves`` lead from its beginning to the rung that was being asked (see ``Climb.replay``).
    ``draft`` is what was typed and not submitted on the rung at ``position``; −1: nothing.
    """

    wish: ProblemRequest
    moves: tuple[Move, ...]
    draft: str
    position: int
    start: Start
    took_over: bool = False

    @property
    def worked(self) -> frozenset[Rung]:
        """The rungs that are still to be shown worked instead of asked."""
        return frozenset() if self.took_over else self.start.worked

    @property
    def reached(self) -> int:
        """How many rungs have been left: the place, from 0, of the one being asked."""
        course = ClimbEvents(self.start)
        for move in self.moves:
            course.take(move, 0)
        return course.position

    def fits(self, problem: Problem) -> bool:
        """Whether this is the problem that was being climbed, question by question."""
        start = self.start
        asked = tuple((q.rung, len(q.choices)) for q in problem.questions)
        return (start.format, start.family, start.rungs) == (problem.format, problem.family, asked)


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


class Keeper:
    """One learner's record.

    Args:
        learner: The name, as typed; None: what RUNGWISE_LEARNER says.
        home: The folder of the records; None: what RUNGWISE_HOME or the system says.
    """

    def __init__(self, learner: str | None = None, home: Path | None = None) -> None:
        self.trouble = ""
        """Why nothing is being kept, as a sentence; "" while everything is."""
        self.notice = ""
        """What happened to the record when it was opened, to be said once; "" if nothing."""
        self.drafting: Callable[[], tuple[str, int] | None] | None = None
        """Says what is typed and on which rung, when the record is about to be closed."""
        self.parting: Callable[[], None] | None = None
        """Called before the record is closed, by whoever has something else to keep."""
        self.learner = ""
        self.path: Path | None = None
        self._lock = threading.RLock()
        self._record: Record | None = None
        self._made: tuple[int, int] | None = None  # the file that a rescue of ours has made
        self._waiting: list[Append] = []
        self._climbing: _Climbing | None = None
        self._draft: tuple[int, str] | None = None  # not yet written
        self._drafted: tuple[int, str] | None = None
        self._known: tuple[tuple[Record, int, int], dict[str, SkillState]] | None = None
        self._timer: threading.Timer | None = None
        self._copying: threading.Timer | None = None
        self._closed = False
        try:
            self.learner = folder.display_name(folder.learner() if learner is None else learner)
            self.path = folder.record_file(self.learner, home)
        except (folder.BadName, OSError, RuntimeError) as error:  # no home to be found
            self.trouble = str(error)

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
        self._write(self._entry(place.start, Other.LEFT))

    def _leave(self) -> None:
        climbing, self._climbing = self._climbing, None
        self._draft = self._drafted = None
        if climbing is None or climbing.problem is None:
            return
        if climbing.kept and not climbing.done:
            self._write(self._entry(climbing.start, Other.LEFT))
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
                entries.append(self._entry(climbing.start, Other.BEGAN, climbing.began))
                climbing.kept = True
            entries.append(self._entry(climbing.start, event, at, evidence, climbing.done))
            self._write(*entries)
            if climbing.done:
                self._let_go(climbing)

    @staticmethod
    def _entry(
        start: Start,
        what: Move | Other,
        at: int | None = None,
        evidence: Evidence | None = None,
        done: bool = False,
    ) -> Append:
        from .record import Append

        return Append(start, now() if at is None else at, what, evidence, done)

    def draft(self, text: str, position: int) -> None:
        """What is typed and not yet submitted on the rung at ``position``, counted from 0.

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

        def find() -> LeftOff | None:
            from ..files import locks as claims

            record = self._reading()
            for found in record.open_climbs() if record else ():
                if self.path is not None and claims.is_free(self.path, found.start.uid):
                    return LeftOff(
                        found.start.wish,
                        found.moves,
                        found.draft,
                        found.position,
                        found.start,
                        found.took_over,
                    )
            return None

        return self._do(find, None)

    def last_wish(self) -> ProblemRequest | None:
        """What was wished for last; its next ones are problems not yet seen."""

        def find() -> ProblemRequest | None:
            record = self._reading()
            start = record.last_start() if record else None
            return start.wish if start else None

        return self._do(find, None)

    # What is known

    def states(self) -> dict[str, SkillState]:
        """What is known of each skill that was ever asked."""
        from . import states

        def find() -> dict[str, SkillState]:
            record = self._reading()
            if record is None:
                return {}
            version = (record, *record.version())
            if self._known is None or self._known[0] != version:
                found: dict[str, SkillState] = {}
                for skill, row in record.states().items():
                    with suppress(ValueError, TypeError, LookupError):
                        found[skill] = states.read(row)
                self._known = version, found
            return dict(self._known[1])

        return self._do(find, {})

    def evidence(self, since: datetime | None = None) -> list[Evidence]:
        """What every rung that was left has shown, in the order of time."""
        start = to_micros(since) if since else None

        def find() -> list[Evidence]:
            record = self._reading()
            return list(record.evidence(start)) if record else []

        return self._do(find, [])

    def recent(self, count: int) -> list[Evidence]:
        """The latest evidence, no more than so many pieces, in the order of time."""

        def find() -> list[Evidence]:
            record = self._reading()
            return list(record.evidence(latest=count)) if record else []

        return self._do(find, [])

    def setting(self, key: str) -> str:
        """A setting of the learner's, as text; "" where there is none."""

        def find() -> str:
            record = self._reading()
            return record.about(key) if record else ""

        return self._do(find, "")

    def set(self, key: str, value: str) -> None:
        """Keep a setting; "" forgets it."""
        self._do(lambda: self._writing().set_about(key, value), None, writing=True)

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
                entries.append(self._entry(climbing.start, Other.BEGAN, climbing.began))
                climbing.kept = True
            if entries or self._waiting:
                self._write(*entries)
            draft, self._draft = self._draft, None
            if draft is None or climbing is None or climbing.problem is None or climbing.done:
                return
            start, began = climbing.start, climbing.began
            self._do(lambda: self._writing().set_draft(start, began, *draft), None, writing=True)

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
        if self._copying is not None:
            self._copying.cancel()
            self._copy(small=True)
        with self._lock:
            self._closed = True
            if self._climbing is not None:
                self._let_go(self._climbing)
            if self._record is not None:
                self._do(self._record.close, None)
                self._record = None

    def _soon(self) -> None:
        with self._lock:
            if self._timer is None and not self._closed:
                self._timer = threading.Timer(PAUSE, self.settle)
                self._timer.daemon = True
                self._timer.start()

    def _write(self, *entries: Append) -> None:
        with self._lock:
            self._waiting += entries

            def append() -> None:
                self._writing().append(self._waiting)
                self._waiting = []

            self._do(append, None, writing=True)
            if not self._waiting and self._climbing is not None and self._climbing.kept:
                self._claim(self._climbing.start)

    def _claim(self, start: Start) -> None:
        from ..files import locks as claims

        if self.path is not None:
            claims.take(self.path, start.uid)

    def _let_go(self, climbing: _Climbing) -> None:
        from ..files import locks as claims

        if self.path is not None and climbing.kept:
            claims.let_go(self.path, climbing.start.uid)

    # The file

    def _do(self, job: Callable[[], _T], otherwise: _T, *, writing: bool = False) -> _T:
        """Do something with the record; what befalls it becomes our trouble.

        A damaged record is set aside and the job done once more, with what could be saved.
        Only what was written shows that trouble is over.
        """
        with self._lock:
            for tried in (False, True):
                try:
                    done = job()
                except Exception as error:
                    from .trouble import Moved, befalls, trouble_of

                    if not befalls(error):
                        raise
                    if not tried and (isinstance(error, Moved) or self._rescued(error)):
                        continue
                    self.trouble = str(trouble_of(error))
                    return otherwise
                if writing:
                    self.trouble = ""
                    self._copy_later()
                return done
        raise AssertionError("not reached")

    def _rescued(self, error: Exception) -> bool:
        """Put what can be read of a damaged record in its place.

        Returns:
            False if the record is not damaged, or that can't be.
        """
        import sqlite3

        from .trouble import Newer, is_contradiction, is_damage

        if self.path is None or not is_damage(error):
            return False
        if is_contradiction(error) and self._record and self._record.identity == self._made:
            return False  # what a rescue has made contradicts us: the fault is the program's
        from .rescue import rescue

        met = None
        if self._record is not None:
            met = self._record.identity
            with suppress(sqlite3.Error):
                self._record.close()
            self._record = None
        try:
            saved = rescue(self.path, met)
        except (OSError, sqlite3.Error):
            return False
        except Newer:
            return True  # opened once more, it says so
        if saved is not None:
            from .record import identity

            self.notice, self._made = saved.said, identity(self.path)
        return True

    # A copy a day

    def _copy_later(self) -> None:
        """Have the day's copy made in a while, beside the screen."""
        if self._copying is None and self.path is not None and not self._closed:
            self._copying = threading.Timer(QUIET, self._copy)
            self._copying.daemon = True
            self._copying.start()

    def _copy(self, *, small: bool = False) -> None:
        """Make the day's copy, if there is none yet; ``small``: only if nobody would notice."""
        from datetime import date

        from . import backup
        from .trouble import befalls

        path, today = self.path, date.today()
        if path is None or not backup.is_due(path, today):
            return
        try:
            if not small or path.stat().st_size <= backup.SMALL:
                backup.make(path, today, gently=not small)
        except Exception as error:
            if not befalls(error):
                raise
            # The record is kept, and another day has another copy; but if it is damaged in
            # places that were not needed yet, and somebody is there to be told, it is mended.
            if not small:
                with self._lock:
                    self._rescued(error)

    def _reading(self) -> Record | None:
        """The record, if there is one; a record is not made to be read."""
        record = self._standing()
        if record is not None or self.path is None or not self.path.exists():
            return record
        import sqlite3

        from .record import Record
        from .trouble import is_damage

        try:
            self._record = Record.open(self.path)
            self._renew(self._record)
        except (OSError, sqlite3.Error) as error:
            if is_damage(error):
                raise
            # It cannot be written to; perhaps it can still be read.
            self._record = Record.open_to_read(self.path)
        return self._record

    def _writing(self) -> Record:
        """The record, made if there is none."""
        from .record import Record
        from .trouble import Trouble

        record = self._standing()
        if record is not None and record.writable:
            return record
        if self._closed or self.path is None:
            raise Trouble("unreachable", why="")
        found = Record.open(self.path)
        if record is not None:
            record.close()
        self._record = found
        self._renew(found)
        if self.learner and not found.about("learner"):
            found.set_about("learner", self.learner)
        return found

    def _renew(self, record: Record) -> None:
        """Have states that another release made otherwise made anew, beside the screen."""
        if not record.outdated:
            return

        def renew() -> None:
            import sqlite3

            from .record import Record
            from .trouble import Trouble

            with suppress(OSError, sqlite3.Error, Trouble):  # else the next time
                own = Record.open(record.path)
                try:
                    own.renew_states()
                finally:
                    own.close()

        threading.Thread(target=renew, name="renew-states", daemon=True).start()

    def _standing(self) -> Record | None:
        """The open record, unless another file has come into its place."""
        if self._record is not None and self._record.displaced:
            self._record.close()
            self._record = None
        return self._record
