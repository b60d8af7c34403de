"""A rehearsal that is going on, with its record: begun, taken up again, answered, handed in.

What the full screen and the plain lines have in common.  Making the problems takes a moment:
not for the loop.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING

from ...problems.chance import Chance
from ..learning.rehearsal import Rehearsal, RehearsalAnswer, known, minutes_for, mixed
from ..learning.rehearsal_result import RehearsalResult, result
from ..learning.request import UNMAKEABLE
from .planner import new_chance

if TYPE_CHECKING:
    from ...problems.questions.model import Problem
    from ..learning.request import ProblemRequest
    from ..store.keeper import Keeper
    from ..store.rehearsals import KeptRehearsal, RehearsalRecord

_TRIES = 20


class RehearsalRun:
    """One rehearsal and, where a record is kept, its place in it.

    Args:
        rehearsal: The rehearsal.
        keeping: Keeps what is given; ``None`` where nothing is kept.
        typed: What was typed and not submitted when it was left.
    """

    def __init__(
        self, rehearsal: Rehearsal, keeping: RehearsalRecord | None, typed: str = ""
    ) -> None:
        self.rehearsal, self.typed = rehearsal, typed
        self._keeping = keeping
        self._drafted: object = None

    def give(self, text: str, now: datetime) -> RehearsalAnswer | None:
        """Answer the question being asked and leave it; durable when this returns.

        Args:
            text: the answer, as it is typed.
            now: the moment.

        Returns:
            How it was read; with its ``trouble`` if it could not be, and then the question is
            still asked.  ``None`` where it came too late.
        """
        given = self.rehearsal.answer(text, now)
        if given is not None and not given.trouble:
            self._leave(now)
        return given

    def awake(self, now: datetime) -> None:
        """Somebody sat there since the last look, though nobody looked at the clock."""
        self.rehearsal.tick(now, awake=True)

    def leave_open(self, now: datetime) -> None:
        """Leave the question being asked without an answer."""
        if not self.rehearsal.over(now):
            self.rehearsal.answer("", now)
            self._leave(now)

    def _leave(self, now: datetime) -> None:
        self.rehearsal.tick(now)
        left = self.rehearsal.leave()
        if self._keeping is not None:
            self._keeping.give(left)

    def draft(self, typed: str, now: datetime) -> None:
        """Keep what is ``typed``, and how much of the time is used ``now``."""
        if self._keeping is None or self.rehearsal.handed_in is not None:
            return
        from ..store.rehearsals import RehearsalDraft

        draft = RehearsalDraft(round(self.rehearsal.used(now)), self.rehearsal.at, typed)
        if draft != self._drafted:
            self._drafted = draft
            self._keeping.draft(draft)

    def hand_in(self, now: datetime) -> RehearsalResult:
        """Mark what is there, and keep it; takes a moment: not for the loop."""
        rehearsal = self.rehearsal
        rehearsal.tick(now)
        rehearsal.hand_in(now)
        keeping = self._keeping
        climbs = keeping.hand_in(rehearsal) if keeping is not None else rehearsal.marked()
        used, allowed = rehearsal.used(now), 60.0 * rehearsal.minutes
        return result(climbs, rehearsal.spent, rehearsal.handed_in or now, used, allowed)

    def let_go(self) -> None:
        """Leave it as it is, to be taken up again."""
        if self._keeping is not None:
            self._keeping.let_go()


def _made(wish: ProblemRequest) -> tuple[ProblemRequest, Problem]:
    """The problem of a wish or, where that seed gives none, of one of the next seeds."""
    for _ in range(_TRIES):
        with suppress(*UNMAKEABLE):
            asked = wish.without_ends()
            return asked, asked.problem()
        wish = wish.next()
    return wish, wish.problem()


def begin(
    keeper: Keeper | None,
    now: datetime,
    count: int,
    minutes: int | None = None,
    seed: int | None = None,
) -> RehearsalRun:
    """A rehearsal begins.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        now: aware, in the learner's time zone.
        count: problems.
        minutes: how long it may take; ``None``: as its questions need.
        seed: which problems, of those that suit the learner.

    Raises:
        ValueError: no problems can be made (also LookupError, ArithmeticError).
    """
    chance = new_chance() if seed is None else Chance(seed, "rehearsal")
    pairs = [_made(wish) for wish in mixed(count, chance)]
    wishes, problems = [wish for wish, _ in pairs], [problem for _, problem in pairs]
    allowed = minutes_for(problems) if minutes is None else minutes
    rehearsal = Rehearsal(wishes, problems, now, allowed)
    _warm(rehearsal)
    if keeper is None:
        return RehearsalRun(rehearsal, None)
    from ..store import rehearsals

    return RehearsalRun(rehearsal, rehearsals.begin(keeper, rehearsal))


def take_up(keeper: Keeper, kept: KeptRehearsal, now: datetime) -> RehearsalRun | None:
    """A rehearsal goes on, with the time that was left; ``None`` if its problems are others now.

    Args:
        keeper: who keeps the record.
        kept: the rehearsal, as it was left.
        now: the moment.
    """
    from ..store.rehearsals import RehearsalRecord, leave

    problems = []
    for start in kept.starts:
        try:
            problem = start.wish.problem()
        except UNMAKEABLE:
            problem = None
        if problem is None or not start.fits(problem):
            leave(keeper, kept)  # a later release makes other problems of its seeds
            return None
        problems.append(problem)
    rehearsal = Rehearsal(kept.wishes, problems, now, kept.seconds / 60, kept.used)
    for left in kept.left:
        rehearsal.put_back(left)
    rehearsal.go(kept.draft.at)
    number, at = rehearsal.places[rehearsal.at]
    typed = kept.draft.typed
    if rehearsal.reached[number] != at:
        typed = ""
        rehearsal.come_to(number)
    _warm(rehearsal)
    return RehearsalRun(rehearsal, RehearsalRecord(keeper, kept.starts), typed)


def _warm(rehearsal: Rehearsal) -> None:
    """Import and compute what the first answer needs, before it is given."""
    from ...problems.grading import grade as grader  # noqa: F401

    known(rehearsal.problem)
