"""What the opening screen has ready before a key asks for it: which problems come next.

Making them needs the whole exact core.  Where the system can fork, a child does it, and the
opening screen stays as small as it is.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

    from ...problems.questions.model import Problem
    from ..learning.request import ProblemRequest
    from ..store.keeper import Keeper
    from .overview import Overview


@dataclass(frozen=True)
class Foresight:
    """The next problem of each kind of sitting, and the first of these problems, made.

    ``wishes`` are by the value of a `review.Mode`.
    """

    wishes: dict[str, ProblemRequest]
    problem: Problem | None


def foresee(keeper: Keeper | None, board: Overview | None, now: datetime) -> Foresight:
    """Ask the plan for the next problem, and make it; not for the loop.

    Args:
        keeper: of the record; ``None`` where nothing is kept.
        board: what the opening screen shows.
        now: aware, in the learner's time zone.
    """
    from ..learning.plan import Mode
    from .planner import new_plan

    modes = [Mode.UNTIL_DONE, *([Mode.WEAK_SPOTS] if board and board.weak else [])]
    wishes = {mode.value: new_plan(keeper, mode).next(now) for mode in modes}
    problem = None
    with suppress(ValueError, LookupError, ArithmeticError):  # the drill will say why
        problem = wishes[Mode.UNTIL_DONE.value].problem()
    return Foresight(wishes, problem)
