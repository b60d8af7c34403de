"""When a skill is reviewed: the scheduler's gap, fitted to the days left until the exam."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .skills import SkillState

SHARES = ((7, 0.30), (35, 0.20), (350, 0.07))
"""(days left, share of them that a gap should take): Cepeda et al., "Spacing effects in
learning: a temporal ridgeline of optimal retention", Psychological Science 19 (2008) 1095."""

SPREAD = 1.5
"""A gap may be shorter or longer than that by this factor, as the memory asks for."""


def share(days: float) -> float:
    """The share of the days left that a gap should take; straight between on a log scale."""
    if days <= SHARES[0][0]:
        return SHARES[0][1]
    for (d0, s0), (d1, s1) in pairwise(SHARES):
        if days <= d1:
            return s0 + (s1 - s0) * math.log(days / d0) / math.log(d1 / d0)
    return SHARES[-1][1]


def band(days: int) -> tuple[int, int]:
    """The shortest and longest gap, in whole days, with so many days left until the exam."""
    wanted = share(days) * days
    shortest = max(1, math.ceil(wanted / SPREAD))
    return shortest, max(shortest, math.floor(wanted * SPREAD))


def fitted(gap: int, days: int | None) -> int:
    """The scheduler's ``gap`` fitted to the ``days`` left until the exam (``None`` without one)."""
    if days is None:
        return max(1, gap)
    shortest, longest = band(days)
    return min(max(gap, shortest), longest)


def due_day(state: SkillState, now: datetime, exam: date | None) -> date | None:
    """The day a mastered skill is to be reviewed; ``None`` where no review fits any more.

    Args:
        state: of a skill that was mastered.
        now: aware, in the learner's time zone.
        exam: the day of the exam there, or ``None``; from that day on nothing is due.
    """
    zone = now.tzinfo
    reviewed = datetime.fromtimestamp(state.reviewed, UTC).astimezone(zone).date()
    left = None if exam is None else (exam - reviewed).days
    if left is not None and left <= 0:
        return None
    day = reviewed + timedelta(days=fitted(state.gap, left))
    return day if exam is None or max(day, now.date()) < exam else None
