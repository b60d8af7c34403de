"""A sitting: what it is for, and when it has done its work."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from ...problems.questions.model import Rung, Task
from .plan import Mode, Standing, standing, what_next
from .skill_map import TASK_OF, group_of, parts_of, skills
from .skills import SkillState

if TYPE_CHECKING:
    from ...problems.chance import Chance
    from .request import ProblemRequest

MINUTES = 10
"""How long "ten minutes" is."""

A_DAY = 4
"""Problems a day without an exam to prepare for, when nothing is due or weak."""
MOST_A_DAY = 12
"""Problems a day at most, however near the exam."""


class SessionUnit(StrEnum):
    """What is left of a sitting is counted in."""

    MINUTES = "minutes"
    SKILLS = "skills"  # to be refreshed, or weak and not practised yet today
    PROBLEMS = "problems"  # of what is new


@dataclass(frozen=True, slots=True)
class Remaining:
    """What is left of a sitting; it is done when that is nothing."""

    unit: SessionUnit
    count: int


@dataclass(frozen=True, slots=True)
class Session:
    """One sitting: its mode, and when it began (aware, in the learner's time zone)."""

    mode: Mode
    began: datetime

    def left(self, now: datetime) -> timedelta | None:
        """The time left; ``None`` where it is not time that ends the sitting."""
        if self.mode is not Mode.TEN_MINUTES:
            return None
        return max(self.began + timedelta(minutes=MINUTES) - now, timedelta(0))

    def done(
        self,
        states: Mapping[str, SkillState],
        now: datetime,
        exam: date | None,
        climbed: int,
    ) -> bool:
        """Whether the sitting may end here; asked after every climb.

        Args:
            states: by skill.
            now: aware, in the learner's time zone.
            exam: the day of the exam there, or ``None``.
            climbed: problems climbed today.
        """
        return self.remaining(states, now, exam, climbed).count == 0

    def remaining(
        self,
        states: Mapping[str, SkillState],
        now: datetime,
        exam: date | None,
        climbed: int,
    ) -> Remaining:
        """What is left of it; minutes that have begun count whole.

        Args:
            states: what is known of each skill.
            now: the moment.
            exam: the day of the exam, if it is known.
            climbed: how many problems have been climbed in it.
        """
        left = self.left(now)
        if left is not None:
            return Remaining(SessionUnit.MINUTES, math.ceil(left / timedelta(minutes=1)))
        at = standing(states, now, exam)
        skills = len(wanted(states, now, exam, self.mode))
        if skills or self.mode is Mode.WEAK_SPOTS:
            return Remaining(SessionUnit.SKILLS, skills)
        return Remaining(SessionUnit.PROBLEMS, 0 if at.complete else max(0, quota(at) - climbed))


def wanted(
    states: Mapping[str, SkillState], now: datetime, exam: date | None, mode: Mode
) -> frozenset[str]:
    """The skills a sitting is to come to: those due, and the weak ones not practised today.

    Args:
        states: by skill.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``.
        mode: what the sitting is for.
    """
    at = standing(states, now, exam)
    due = at.due if mode is Mode.UNTIL_DONE else ()
    return frozenset((*due, *_waiting(states, at.weak, now)))


PREDICTED = 6
"""One question in so many is about reading and predicting, once filters are known at sight."""
LATEST = 30
"""So many of the latest questions say whether one is due."""
_HALF = 2
"""Half of what such a problem asks: the share is met on average, not before it."""


def prediction_due(asked: Sequence[Rung]) -> bool:
    """Whether something to read or predict comes next, by the kinds of the latest questions.

    Args:
        asked: the kinds of the questions before, the latest last.
    """
    latest = asked[-LATEST:]
    predicted = sum(TASK_OF[rung] is Task.PREDICT for rung in latest)
    return PREDICTED * (predicted + _HALF) <= len(latest)


def next_wish(
    states: Mapping[str, SkillState],
    now: datetime,
    exam: date | None,
    mode: Mode,
    recent: Sequence[ProblemRequest],
    chance: Chance,
    tasks: Sequence[Task] = tuple(Task),
    asked: Sequence[Rung] | None = None,
) -> ProblemRequest:
    """The next problem of a sitting.

    As ``plan.what_next``, but until all is done what the sitting is to come to goes before
    anything new: it would not end otherwise.  And an example is followed by a problem of its
    own family, to fill in the first steps, before another example.  What there is to read and
    to predict comes by turns, of circuits that are known at sight.

    Args:
        states: what is known of each skill.
        now: the moment.
        exam: the day of the exam, if it is known.
        mode: what the sitting is for.
        recent: the problems before, the latest last.
        chance: chooses among equals.
        tasks: what may be asked.
        asked: the kinds of the latest questions, the latest last; ``None``: those of ``recent``.
    """
    from . import choice

    if asked is None:
        asked = choice.asked_in(recent)
    others = tuple(task for task in tasks if task is not Task.PREDICT) or tasks
    predicting = others != tasks and mode is not Mode.WEAK_SPOTS
    if predicting and (prediction_due(asked) or _nothing_else(states)):
        known = choice.at_sight(states)
        rows = [row for row in choice.allowed(recent) if group_of(row.name) in known]
        if any(choice.expected(row.name, Task.PREDICT) for row in rows):
            worth = choice.QuestionWorth(states, standing(states, now, exam).due)
            return choice.choose(worth, rows, (Task.PREDICT,), chance)
    if mode in (Mode.UNTIL_DONE, Mode.WEAK_SPOTS):
        only = wanted(states, now, exam, mode)
        worth = choice.QuestionWorth(states, only, only)
        groups = {parts_of(skill)[0] for skill in only}
        rows = [row for row in choice.allowed(recent) if group_of(row.name) in groups]
        for some in (others, tasks):  # the second where nothing else is left to come to
            if any(worth.expected(row.name, task) for row in rows for task in some):
                return choice.choose(worth, rows, some, chance)
    tasks = others
    wish = what_next(states, now, exam, mode, recent, chance, tasks)
    return _after_example(states, recent, wish, chance) or wish


def _after_example(
    states: Mapping[str, SkillState],
    recent: Sequence[ProblemRequest],
    wish: ProblemRequest,
    chance: Chance,
) -> ProblemRequest | None:
    """A problem of the family whose example came last, where another example would follow."""
    from ...problems.catalogue.families import find
    from . import choice
    from .worked_examples import FADES, filled

    last = recent[-1] if recent else None
    if last is None or last.family is None or last.task is None or wish.family is None:
        return None
    if choice.fluency(states) >= choice.FLUENT or wish.task is None:
        return None  # then no example is shown
    if filled(states, wish.family, wish.task) or filled(states, last.family, last.task) > 1 / FADES:
        return None
    before = recent[-2].family if len(recent) > 1 else None
    if before is not None and find(before).type is find(last.family).type:
        return None  # the third of one type in a row
    return replace(last, seed=chance.below(choice.SEEDS), asked=())


def _nothing_else(states: Mapping[str, SkillState]) -> bool:
    """Whether all is mastered but what there is to read and predict."""
    mastered = (skill in states and states[skill].mastered for skill in skills(_OTHERS))
    return all(mastered) and not all(s in states and states[s].mastered for s in skills())


_OTHERS = tuple(task for task in Task if task is not Task.PREDICT)


def quota(at: Standing) -> int:
    """How many problems are enough for today when nothing is due or weak."""
    a_day = at.forecast.a_day
    return A_DAY if a_day is None else min(MOST_A_DAY, max(1, math.ceil(a_day)))


def _waiting(states: Mapping[str, SkillState], weak: tuple[str, ...], now: datetime) -> list[str]:
    """The weak skills not practised yet today: once a day is enough to come back tomorrow."""
    today = now.date()
    return [
        skill
        for skill in weak
        if datetime.fromtimestamp(states[skill].last, now.tzinfo).date() < today
    ]
