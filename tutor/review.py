"""Where a learner stands, and what is worth asking next.

Everything here is pure: the states come from a record, the time and the chance from whoever
asks.  ``now`` is aware and in the learner's own time zone: it says which day it is there, and
``exam`` is a day of the same calendar.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from .review_dates import due_day
from .skills import SkillState, skills
from .wish import Wish

if TYPE_CHECKING:
    from ..problems.chance import Chance


class Mode(StrEnum):
    """What a sitting is for."""

    TEN_MINUTES = "ten-minutes"
    UNTIL_DONE = "until-done"
    WEAK_SPOTS = "weak-spots"
    REHEARSAL = "rehearsal"


@dataclass(frozen=True, slots=True)
class SlipTarget:
    """A slip that recurs: how often it was made, and with which skills, the latest last."""

    slip: str
    times: int
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """What can be expected of the exam.

    ``days`` are those left (``None`` without a date).  ``ready`` is the share of all skills
    expected to be known on the day of the exam (today, without a date) if nothing more were
    done.  ``problems`` is how many it takes, about, until everything is mastered, and
    ``a_day`` how many that is a day (``None`` without a date or on the day itself).
    ``calendar`` counts the reviews by the day they fall due, from today (with everything
    overdue) on.
    """

    days: int | None
    ready: float
    problems: int
    a_day: float | None
    calendar: tuple[tuple[date, int], ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """All skills, each in the order of teaching.

    Every skill is in exactly one of ``mastered``, ``weak`` (begun, and missed or helped),
    ``begun`` (without a miss so far) and ``new``.  ``due`` are those of the mastered ones
    whose review is due today.  ``slips`` recur.
    """

    mastered: tuple[str, ...]
    due: tuple[str, ...]
    weak: tuple[str, ...]
    begun: tuple[str, ...]
    new: tuple[str, ...]
    slips: tuple[SlipTarget, ...]
    forecast: Forecast

    @property
    def complete(self) -> bool:
        """Whether everything is mastered and nothing is due."""
        return not (self.due or self.weak or self.begun or self.new)


def standing(states: Mapping[str, SkillState], now: datetime, exam: date | None) -> Standing:
    """Where a learner stands.

    Args:
        states: by skill.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``.
    """
    today = now.date()
    mastered: list[str] = []
    due: list[str] = []
    weak: list[str] = []
    begun: list[str] = []
    new: list[str] = []
    for skill in skills():
        state = states.get(skill)
        if state is None or not state.asked:
            new.append(skill)
        elif state.mastered:
            mastered.append(skill)
            day = due_day(state, now, exam)
            if day is not None and day <= today:
                due.append(skill)
        elif state.wrong or state.aided:
            weak.append(skill)
        else:
            begun.append(skill)
    forecast = Forecast((exam - today).days if exam else None, 0.0, 0, None, ())
    return Standing(
        tuple(mastered), tuple(due), tuple(weak), tuple(begun), tuple(new), (), forecast
    )


def what_next(
    states: Mapping[str, SkillState],
    now: datetime,
    exam: date | None,
    mode: Mode,
    recent: Sequence[Wish],
    chance: Chance,
) -> Wish:
    """The next problem: the one most worth asking.

    Args:
        states: by skill.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``.
        mode: what the sitting is for.
        recent: the problems before, each with its family, the latest last.
        chance: decides where several are worth the same.
    """
    from ..problems import families

    row = chance.pick(families.of_level(1))
    return Wish(row.level, row.name, chance.below(2**31))
