"""What a sitting came to when it ends, and what comes next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from ..learning.climb import Climb
from ..learning.course import Outcome
from ..learning.plan import Mode
from ..learning.skills import SkillState
from ..phrases.skills import skill_parts, slip_words
from .outlook import Outlook, board_of

if TYPE_CHECKING:
    from .overview import Overview


@dataclass(frozen=True)
class SummingUp:
    """A sitting that is over.

    ``asked`` and ``right`` count questions, those right at once and unaided among them;
    ``worked`` were shown as an example.  ``known`` are the skills mastered in it, ``lost`` those
    that were mastered before and are no more, as (kind of question, circuits); ``slips`` are
    those named, by name, each with how often.  ``due`` is the next day on which something falls
    due, with how many skills.
    """

    mode: Mode
    seconds: float
    climbs: int
    asked: int
    right: int
    worked: int
    known: tuple[tuple[str, str], ...]
    lost: tuple[tuple[str, str], ...]
    slips: tuple[tuple[str, int], ...]
    due: tuple[date, int] | None
    board: Overview


def sum_up(
    mode: Mode,
    began: datetime,
    climbs: Sequence[Climb],
    before: Mapping[str, SkillState],
    outlook: Outlook,
) -> SummingUp:
    """Sum a sitting up.

    Args:
        mode: what it was for.
        began: when, aware.
        climbs: what was climbed in it.
        before: the skills when it began.
        outlook: where the learner stands now.
    """
    rungs = [state for climb in climbs for state in climb.rungs]
    left = [state for state in rungs if state.outcome is not Outcome.OPEN]
    asked = [state for state in left if state.outcome is not Outcome.WORKED]
    slips = Counter(mark.slips[0].slip for state in rungs for mark in state.marks if mark.slips)
    was = {skill for skill, state in before.items() if state.mastered}
    now = {skill for skill, state in outlook.states.items() if state.mastered}
    today = outlook.now.date()
    ahead = [(day, count) for day, count in outlook.standing.forecast.calendar if day > today]
    return SummingUp(
        mode,
        (outlook.now - began).total_seconds(),
        len(climbs),
        len(asked),
        sum(state.outcome is Outcome.CLEAN for state in asked),
        len(left) - len(asked),
        tuple(skill_parts(skill) for skill in sorted(now - was)),
        tuple(skill_parts(skill) for skill in sorted(was - now)),
        tuple((slip_words(slip), count) for slip, count in slips.most_common()),
        ahead[0] if ahead else None,
        board_of(outlook),
    )
